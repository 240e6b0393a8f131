"""Plan versions as a list."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import django_tables2 as tables
from django.contrib.auth.models import User
from django.urls import reverse
from django.utils.html import format_html

from yard.models import Plan
from yard.queries.accounts import called
from yard.web.context import clock_words
from yard.web.tables.yard_table import YardTable

NUMBER = {"th": {"class": "num"}, "td": {"class": "num"}}


class PlanTable(YardTable):
    """One row a plan: who made it and when, who hung it up, what it costs."""

    caption = "Plan versions"
    caption_hidden = True
    row_heading = "number"

    number = tables.Column("Plan", empty_values=())
    state = tables.Column("State")
    made_at = tables.Column("Made")
    posted_at = tables.Column("Posted", default="")
    late_days = tables.Column("Days late", attrs=NUMBER, default="–")
    unplaced = tables.Column("Boats left out", attrs=NUMBER, default="–")
    cost = tables.Column("Cost", attrs=NUMBER, default="–")
    seconds = tables.Column("Planned for", attrs=NUMBER, default="–")
    note = tables.Column("Note", default="", orderable=False)

    class Meta:
        order_by = "-made_at"
        empty_text = "No plan of this kind."

    def render_number(self, record: Plan) -> str:
        words = f"Plan {record.number}" if record.number else "Draft"
        return format_html('<a href="{}">{}</a>', reverse("plan", args=[record.pk]), words)

    def render_made_at(self, value: datetime, record: Plan) -> str:
        return f"{clock_words(value)}{_by(record.made_by)}"

    def render_posted_at(self, value: datetime, record: Plan) -> str:
        return f"{clock_words(value)}{_by(record.posted_by)}"

    def render_seconds(self, value: float) -> str:
        return f"{value:.0f} s"

    def order_number(self, rows: Any, is_descending: bool) -> tuple[Any, bool]:
        """Drafts have no number; they stand by the time at which they were made."""
        return rows.order_by(*(("-number", "-made_at") if is_descending else ("number", "made_at"))), True


def _by(user: User | None) -> str:
    return f" by {called(user)}" if user else ""
