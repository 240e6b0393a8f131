"""Reads of how sure the posted plan's days are."""

from __future__ import annotations

from datetime import date

from django.db.models import QuerySet

from yard.models import Boat, DayOdds, Plan, PlanOdds


def newest_odds() -> PlanOdds | None:
    """The newest simulation of the plan on the wall, or None; the plan's JSON texts are not read. One query."""
    rows = PlanOdds.objects.filter(plan__state=Plan.State.POSTED).select_related("plan")
    return rows.defer("plan__problem", "plan__plan").order_by("-made_at", "-id").first()


def days_of(odds: PlanOdds) -> QuerySet[DayOdds]:
    """Every day of a simulation with its order and boat, the earliest planned first. One query."""
    return odds.days.select_related("order__boat", "job").order_by("planned_date", "id")


def days_of_boat(odds: PlanOdds, boat: Boat) -> QuerySet[DayOdds]:
    """The days of one boat's orders, the earliest planned first. One query."""
    return days_of(odds).filter(order__boat=boat)


def chance_by(day: DayOdds, at: date) -> float:
    """The chance, 0 to 1, that it is done on this date or before."""
    share = 0.0
    for text, done in day.chances:
        if date.fromisoformat(text) > at:
            break
        share = float(done)
    return share
