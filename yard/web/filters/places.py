"""What the list of places may be searched for and narrowed to."""

from __future__ import annotations

import django_filters
from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext_lazy as _

from yard.models import Place, PlaceKind
from yard.queries.by_words import carrying
from yard.web.filters.in_use import InUseFilter


class PlaceFilter(InUseFilter):
    find = django_filters.CharFilter(
        label=_("Find"), method="find_words", widget=forms.TextInput(attrs={"type": "search"})
    )
    kind = django_filters.ChoiceFilter(label=_("Kind"), empty_label=_("every kind"), choices=PlaceKind.choices)

    class Meta:
        model = Place
        fields = ("find", "kind", "gone")

    def find_words(self, rows: QuerySet[Place], name: str, words: str) -> QuerySet[Place]:
        return carrying(rows, words, ("name__icontains", "short_name__icontains", "notes__icontains"))
