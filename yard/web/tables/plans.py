"""Plan versions as a list."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import django_tables2 as tables
from django.contrib.auth.models import User
from django.urls import reverse
from django.utils.html import format_html
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.models import Plan
from yard.queries.accounts import called
from yard.web.context import clock_words
from yard.web.tables.yard_table import YardTable

NUMBER = {"th": {"class": "num"}, "td": {"class": "num"}}


class PlanTable(YardTable):
    """One row a plan: who made it and when, who hung it up, what it costs."""

    caption = gettext_lazy("Plan versions")
    caption_hidden = True
    row_heading = "number"

    number = tables.Column(gettext_lazy("Plan"), empty_values=())
    state = tables.Column(gettext_lazy("State"))
    made_at = tables.Column(gettext_lazy("Made"))
    posted_at = tables.Column(gettext_lazy("Posted"), default="")
    late_days = tables.Column(gettext_lazy("Days late"), attrs=NUMBER, default="–")
    unplaced = tables.Column(gettext_lazy("Boats left out"), attrs=NUMBER, default="–")
    cost = tables.Column(gettext_lazy("Cost"), attrs=NUMBER, default="–")
    seconds = tables.Column(gettext_lazy("Planned for"), attrs=NUMBER, default="–")
    note = tables.Column(gettext_lazy("Note"), default="", orderable=False)

    class Meta:
        order_by = "-made_at"
        empty_text = gettext_lazy("No plan of this kind.")

    def render_number(self, record: Plan) -> str:
        words = _("Plan {n}").format(n=record.number) if record.number else _("Draft")
        return format_html('<a href="{}">{}</a>', reverse("plan", args=[record.pk]), words)

    def render_made_at(self, value: datetime, record: Plan) -> str:
        return _by(clock_words(value), record.made_by)

    def render_posted_at(self, value: datetime, record: Plan) -> str:
        return _by(clock_words(value), record.posted_by)

    def render_seconds(self, value: float) -> str:
        return f"{value:.0f} s"

    def order_number(self, rows: Any, is_descending: bool) -> tuple[Any, bool]:
        """Drafts have no number; they stand by the time at which they were made."""
        return rows.order_by(*(("-number", "-made_at") if is_descending else ("number", "made_at"))), True


def _by(time: str, user: User | None) -> str:
    return _("{time} by {who}").format(time=time, who=called(user)) if user else time
