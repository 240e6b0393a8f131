"""A list of what is in use, unless what was archived is asked for."""

from __future__ import annotations

from typing import Any

import django_filters
from django.db.models import QuerySet
from django.utils.translation import gettext_lazy as _


class InUseFilter(django_filters.FilterSet):
    gone = django_filters.ChoiceFilter(
        label=_("In use"), method="archived", empty_label=_("in use"), choices=[("yes", _("archived"))]
    )

    def filter_queryset(self, queryset: QuerySet[Any]) -> QuerySet[Any]:
        narrowed: QuerySet[Any] = super().filter_queryset(
            queryset.filter(archived=bool(self.form.cleaned_data.get("gone")))
        )
        return narrowed

    def archived(self, rows: QuerySet[Any], name: str, gone: str) -> QuerySet[Any]:
        """Done for all rows before any other question is asked."""
        return rows
