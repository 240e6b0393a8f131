"""What the list of a plan's jobs may be narrowed to."""

from __future__ import annotations

import django_filters
from django.db.models import Q, QuerySet
from django.utils.translation import gettext_lazy as _

from yard.models import PlannedJob, Trade


class JobFilter(django_filters.FilterSet):
    """By letters of the boat, the person or the job, and by trade. The names are those of the board's address."""

    find = django_filters.CharFilter(method="by_letters", label=_("Find"))
    trade = django_filters.ChoiceFilter(
        field_name="job__kind__trade", choices=Trade.choices, label=_("Trade"), empty_label=_("every trade")
    )

    class Meta:
        model = PlannedJob
        fields = ("find", "trade")

    def by_letters(self, rows: QuerySet[PlannedJob], name: str, value: str) -> QuerySet[PlannedJob]:
        order = Q(job__order__boat__name__icontains=value) | Q(job__order__walk_in_name__icontains=value)
        return rows.filter(order | Q(job__name__icontains=value) | Q(people__short_name__icontains=value)).distinct()
