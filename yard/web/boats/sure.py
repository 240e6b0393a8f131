"""How sure a boat's days are, in words: natural frequencies, never a certainty, and what the risk is made of."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.utils.formats import number_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.day_names import said
from yard.models import Boat, DayOdds, Skill
from yard.queries.odds import days_of_boat, newest_odds
from yard.web.boats.words import date_words
from yard.web.units import local

CAUSES = {
    "hours": gettext_lazy("work that takes longer than estimated"),
    "weather": gettext_lazy("weather"),
    "water": gettext_lazy("tides without water enough"),
    "closed": gettext_lazy("days that are shut"),
    "fact": gettext_lazy("what it waits on"),
    "boat": gettext_lazy("another boat in her way"),
    "skill": gettext_lazy("too few hands"),
    "place": gettext_lazy("a place in use"),
}
MOST_CAUSES = 3


@dataclass(frozen=True)
class SureDay:
    """One milestone. ninth: the day by which it is done in nine seasons of ten, "" beyond the calendar. kept: of the
    promised date, "" where none was promised."""

    what: str
    planned: str
    half: str
    ninth: str
    nearly: str
    promised: str
    kept: str
    doubtful: bool
    causes: str


@dataclass(frozen=True)
class Sure:
    """days: empty where her orders are newer than the reckoning. rests_on: what it was reckoned from and when."""

    days: tuple[SureDay, ...]
    rests_on: str


def how_sure(boat: Boat, *, now: datetime) -> Sure | None:
    """The newest reckoning of the plan on the wall for one boat; None where there is none yet. Three queries."""
    odds = newest_odds()
    if odds is None:
        return None
    rows = list(days_of_boat(odds, boat))
    skills = dict(Skill.objects.values_list("key", "name")) if rows else {}
    at = local(odds.made_at)
    rests_on = _(
        "Plan {number} lived through {times} times on {day} at {time}, with hours, weather and what is awaited drawn"
        " anew; it rests on {base}."
    )
    if at.date() == local(now).date():
        rests_on = _(
            "Plan {number} lived through {times} times at {time}, with hours, weather and what is awaited drawn anew;"
            " it rests on {base}."
        )
    return Sure(
        tuple(_day(row, promise, skills) for row, promise in _telling(rows)),
        rests_on.format(
            number=odds.plan.number,
            times=number_format(odds.scenarios, force_grouping=True),
            day=said(at, "D j M"),
            time=said(at, "H:i"),
            base=odds.rests_on,
        ),
    )


def _telling(rows: Sequence[DayOdds]) -> list[tuple[DayOdds, DayOdds]]:
    """Each day with the row that has its promise. An order's last day is not said again where one of its launch,
    delivery or fitting is the same job; its promise is then said there."""
    done = {row.job_id: row for row in rows if row.milestone == DayOdds.Milestone.DONE}
    others = [row for row in rows if row.milestone != DayOdds.Milestone.DONE]
    said = {row.job_id for row in others}
    alone = [row for key, row in done.items() if key not in said]
    told = [(row, done.get(row.job_id, row)) for row in others] + [(row, row) for row in alone]
    return sorted(told, key=lambda pair: (pair[0].planned_date, pair[0].pk))


def _day(row: DayOdds, promise: DayOdds, skills: Mapping[str, str]) -> SureDay:
    done = _("{order} done").format(order=row.order.name)
    whats = {DayOdds.Milestone.DONE: done, DayOdds.Milestone.FITTING: row.job.name}
    return SureDay(
        what=whats.get(DayOdds.Milestone(row.milestone), row.get_milestone_display().capitalize()),
        planned=date_words(row.planned_date),
        half=_words(row.day_50),
        ninth=_words(row.day_90),
        nearly=_words(row.day_95),
        promised="" if promise.promised_date is None else date_words(promise.promised_date),
        kept="" if promise.chance_kept is None else in_ten(promise.chance_kept),
        doubtful=promise.chance_kept is not None and promise.chance_kept < 0.5,
        causes=", ".join(_cause(driver, skills) for driver in row.drivers[:MOST_CAUSES]),
    )


def _words(day: date | None) -> str:
    return "" if day is None else date_words(day)


def in_ten(chance: float) -> str:
    """A chance as so many seasons of ten; at the ends in words, for nothing is certain before she is afloat."""
    tenths = round(10 * chance)
    if tenths <= 0:
        return _("fewer than 1 in 10")
    return _("more than 9 in 10") if tenths >= 10 else _("about {tenths} in 10").format(tenths=tenths)


def _cause(driver: Mapping[str, Any], skills: Mapping[str, str]) -> str:
    name = str(driver.get("name", ""))
    if driver["cause"] == "skill" and name in skills:
        return _("{skill} needed elsewhere").format(skill=skills[name].lower())
    return str(CAUSES.get(str(driver["cause"]), driver["cause"]))
