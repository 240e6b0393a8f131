"""What a list of plan versions may be narrowed to."""

from __future__ import annotations

import django_filters
from django.utils.translation import gettext_lazy as _

from yard.models import Plan


class PlanFilter(django_filters.FilterSet):
    state = django_filters.ChoiceFilter(choices=Plan.State.choices, label=_("State"), empty_label=_("every state"))

    class Meta:
        model = Plan
        fields = ("state",)
