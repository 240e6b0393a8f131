"""What the season board shows: every order of the posted plan, when it ends and when it was promised."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.db.models import Exists, Max, Min, OuterRef
from django.utils import timezone

from yard.models import LeftOut, Order, Plan, PlannedJob

LATE, WAITING, NO_HAND, ON_TIME = "late", "waiting on", "no day in hand", "on time"
STATES = (LATE, WAITING, NO_HAND, ON_TIME)


@dataclass(frozen=True)
class BoardRow:
    """One order of a plan. days_in_hand: working days (Monday to Saturday) from its end to its date; below 0 late."""

    order: Order
    boat: str
    starts: date | None
    ends: date | None
    due: date | None
    days_in_hand: int | None
    state: str
    reason: str

    @property
    def days_late(self) -> int:
        return max(0, -(self.days_in_hand or 0))


def board_rows(plan: Plan) -> list[BoardRow]:
    """Every open order that the plan knows, the late ones first, then by date. Four queries, however many boats."""
    spans = {
        row["job__order_id"]: row
        for row in plan.planned_jobs.values("job__order_id").annotate(first=Min("starts_at"), last=Max("ends_at"))
    }
    waits = {
        row.order_id: f"{row.job.name}: {row.reason}" if row.job else row.reason
        for row in LeftOut.objects.filter(plan=plan).select_related("job").order_by("-id")
    }
    provisional = PlannedJob.objects.filter(plan=plan, job__order=OuterRef("pk"), provisional=True)
    orders = (
        Order.objects.filter(pk__in=[*spans, *(pk for pk in waits if pk)])
        .select_related("boat")
        .annotate(provisional=Exists(provisional))
        .order_by("id")
    )
    rows = [_row(order, spans.get(order.pk), waits.get(order.pk)) for order in orders]
    return sorted(rows, key=lambda row: (STATES.index(row.state), row.due or date.max, row.order.pk))


def _row(order: Order, span: Mapping[str, Any] | None, waits: str | None) -> BoardRow:
    due = order.promised_date or order.latest_date or order.wanted_date
    starts = timezone.localtime(span["first"]).date() if span else None
    ends = timezone.localtime(span["last"]).date() if span else None
    in_hand = working_days_between(ends, due) if ends and due else None
    return BoardRow(
        order=order,
        boat=order.boat.name if order.boat else order.walk_in_name,
        starts=starts,
        ends=ends,
        due=due,
        days_in_hand=in_hand,
        state=_state(in_hand, waits, order.provisional),  # type: ignore[attr-defined]  # annotated above
        reason=waits or "",
    )


def _state(in_hand: int | None, waits: str | None, provisional: bool) -> str:
    if in_hand is not None and in_hand < 0:
        return LATE
    if waits or provisional:
        return WAITING
    return NO_HAND if in_hand == 0 else ON_TIME


def working_days_between(one: date, two: date) -> int:
    """Mondays to Saturdays after `one` up to `two`; negative where `two` comes first."""
    if two < one:
        return -working_days_between(two, one)
    return sum(1 for step in range(1, (two - one).days + 1) if (one + timedelta(days=step)).weekday() != 6)
