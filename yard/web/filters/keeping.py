"""How the lists of owners and of moorings are searched and narrowed."""

from __future__ import annotations

from datetime import date
from typing import Any

import django_filters
from django import forms
from django.db.models import QuerySet

from yard.models import Mooring, Owner
from yard.queries.moorings import moorings_found, needing
from yard.queries.owners import lacking, owners_found

FIND = {"type": "search", "data-find": "", "class": "field"}


class OwnerFilter(django_filters.FilterSet):
    """By words, by what is missing, by how somebody is reached."""

    find = django_filters.CharFilter(
        label="Find",
        method="find_words",
        widget=forms.TextInput(attrs={**FIND, "placeholder": "name, telephone, boat, e-mail"}),
    )
    lacks = django_filters.ChoiceFilter(
        label="Lacks",
        method="lacking",
        empty_label="nothing asked",
        choices=[
            ("phone", "a telephone number"),
            ("email", "an e-mail address"),
            ("insurance", "insurance of a boat"),
            ("boat", "a boat"),
        ],
    )
    prefers = django_filters.ChoiceFilter(label="Reached best by", empty_label="any", choices=Owner.Prefers.choices)

    class Meta:
        model = Owner
        fields = ("find", "lacks", "prefers")

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today

    def find_words(self, rows: QuerySet[Owner], name: str, words: str) -> QuerySet[Owner]:
        return owners_found(rows, words)

    def lacking(self, rows: QuerySet[Owner], name: str, what: str) -> QuerySet[Owner]:
        return lacking(rows, what, self.today)


class MooringFilter(django_filters.FilterSet):
    """By words, and by what needs somebody."""

    find = django_filters.CharFilter(
        label="Find",
        method="find_words",
        widget=forms.TextInput(attrs={**FIND, "placeholder": "number, boat, permit, where it lies"}),
    )
    needs = django_filters.ChoiceFilter(
        label="Needs",
        method="needing",
        empty_label="nothing asked",
        choices=[
            ("permit", "a permit within a month"),
            ("inspection", "an inspection within a month"),
            ("tackle", "new tackle"),
            ("unset", "its tackle set this year"),
        ],
    )
    temporary = django_filters.BooleanFilter(
        label="Kind",
        widget=forms.Select(choices=[("", "every mooring"), ("false", "with a permit"), ("true", "temporary")]),
    )

    class Meta:
        model = Mooring
        fields = ("find", "needs", "temporary")

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today

    def find_words(self, rows: QuerySet[Mooring], name: str, words: str) -> QuerySet[Mooring]:
        return moorings_found(rows, words)

    def needing(self, rows: QuerySet[Mooring], name: str, what: str) -> QuerySet[Mooring]:
        return needing(rows, what, self.today)
