"""What the list of places may be searched for and narrowed to."""

from __future__ import annotations

import django_filters
from django import forms
from django.db.models import QuerySet

from yard.models import Place, PlaceKind
from yard.queries.by_words import carrying


class PlaceFilter(django_filters.FilterSet):
    find = django_filters.CharFilter(
        label="Find", method="find_words", widget=forms.TextInput(attrs={"type": "search"})
    )
    kind = django_filters.ChoiceFilter(label="Kind", empty_label="every kind", choices=PlaceKind.choices)
    gone = django_filters.ChoiceFilter(
        label="In use", method="in_use", empty_label="in use", choices=[("yes", "archived")]
    )

    class Meta:
        model = Place
        fields = ("find", "kind", "gone")

    def filter_queryset(self, queryset: QuerySet[Place]) -> QuerySet[Place]:
        if not self.form.cleaned_data.get("gone"):
            queryset = queryset.filter(archived=False)
        narrowed: QuerySet[Place] = super().filter_queryset(queryset)
        return narrowed

    def in_use(self, rows: QuerySet[Place], name: str, gone: str) -> QuerySet[Place]:
        return rows.filter(archived=True)

    def find_words(self, rows: QuerySet[Place], name: str, words: str) -> QuerySet[Place]:
        return carrying(rows, words, ("name__icontains", "short_name__icontains", "notes__icontains"))
