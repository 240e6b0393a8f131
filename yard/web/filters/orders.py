"""How the list of open orders is narrowed."""

from __future__ import annotations

from typing import Any

import django_filters
from django import forms
from django.db.models import Q, QuerySet
from django.utils.translation import gettext_lazy as _

from yard.models import Fact, Order
from yard.queries.finished import all_work_done, with_work_left
from yard.queries.packages import packages_in_use

WORK = [("left", _("left to do")), ("done", _("all done"))]
WAITS = [("yes", _("something")), ("unknown", _("an unknown fact")), ("no", _("nothing"))]


class OrderFilter(django_filters.FilterSet):
    """By words, by package, by what it waits on."""

    q = django_filters.CharFilter(
        label=_("Find"), method="find", widget=forms.TextInput(attrs={"class": "field", "type": "search"})
    )
    package = django_filters.ModelChoiceFilter(
        label=_("Package"),
        queryset=lambda request: packages_in_use(),
        empty_label=_("every"),
        widget=forms.Select(attrs={"class": "field"}),
    )
    waits = django_filters.ChoiceFilter(
        label=_("Waits on"),
        method="waiting",
        choices=WAITS,
        empty_label=_("all"),
        widget=forms.Select(attrs={"class": "field"}),
    )

    work = django_filters.ChoiceFilter(
        label=_("Work"),
        method="standing",
        choices=WORK,
        empty_label=_("left or done"),
        widget=forms.Select(attrs={"class": "field"}),
    )

    class Meta:
        model = Order
        fields: list[str] = []

    def find(self, rows: QuerySet[Order], name: str, value: str) -> QuerySet[Order]:
        named = Q(ref__icontains=value) | Q(name__icontains=value) | Q(boat__name__icontains=value)
        named |= Q(bag_tag__iexact=value)
        if self.request is not None and self.request.user.has_perm("yard.see_owners"):
            named |= Q(walk_in_name__icontains=value) | Q(boat__owners__name__icontains=value)
        return rows.filter(pk__in=Order.objects.filter(named).values("pk"))

    def standing(self, rows: QuerySet[Order], name: str, value: str) -> QuerySet[Order]:
        return rows.filter(all_work_done()) if value == "done" else with_work_left(rows)

    def waiting(self, rows: QuerySet[Order], name: str, value: Any) -> QuerySet[Order]:
        away = Fact.objects.exclude(state=Fact.State.HERE)
        if value == "unknown":
            away = away.filter(state=Fact.State.UNKNOWN)
        found = Order.objects.filter(jobs__facts__in=away).values("pk")
        return rows.exclude(pk__in=found) if value == "no" else rows.filter(pk__in=found)
