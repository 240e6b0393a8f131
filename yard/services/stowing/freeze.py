"""The day before which boats are winterised: from a published table of first freezes, or the yard's own."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from functools import cache
from pathlib import Path

from django.contrib.auth.models import User
from django.db import transaction
from django.db.models import QuerySet
from django.utils.translation import gettext as _

from yard.models import AutumnRules, Job, Order
from yard.services.facts_revision import bump_facts
from yard.services.pen import sign
from yard.services.stowing.ground import autumn_rules
from yard.weather.first_freeze import Chance, FreezeNormals, read_first_freezes

TABLE = Path(__file__).parents[3] / "fixtures" / "climate" / "first_freeze.json"
WINTERISE = "winterise"
"""The kind of job that is done before the first freeze."""


@cache
def published() -> Mapping[str, FreezeNormals]:
    """The stations of the shipped table, by key."""
    return read_first_freezes(TABLE.read_bytes())


@dataclass(frozen=True)
class LastDay:
    """The day by which boats of one autumn are winterised. chance: that it has frozen before it, None where no station
    is chosen."""

    on: date
    chance: Chance | None
    own: bool


def last_day(rules: AutumnRules, since: date) -> LastDay | None:
    """Of the autumn of the year that `since` lies in; None where the yard chose neither a station nor a day."""
    year = since.year
    station = published().get(rules.freeze_station)
    if rules.freeze_own_day:
        on = date.fromisoformat(f"{year}-{rules.freeze_own_day}")
        return LastDay(on, _chance(station, rules, on), own=True)
    if station is None or rules.freeze_below_f not in station.days:
        return None
    on = station.day_at(rules.freeze_below_f, rules.freeze_in_100, year)
    return LastDay(on, _chance(station, rules, on), own=False)


def chance_by(rules: AutumnRules, day: date) -> Chance | None:
    """How likely it has frozen before a day; None where no station is chosen."""
    return _chance(published().get(rules.freeze_station), rules, day)


def _chance(station: FreezeNormals | None, rules: AutumnRules, day: date) -> Chance | None:
    if station is None or rules.freeze_below_f not in station.days:
        return None
    return station.chance_by(rules.freeze_below_f, day)


def to_winterise() -> QuerySet[Job]:
    """Open work before the first freeze, with what a page shows of it."""
    rows = Job.objects.filter(kind__key=WINTERISE, state=Job.State.OPEN, order__state=Order.State.OPEN)
    return rows.select_related("order__boat").order_by("finish_by_date", "order__boat__name", "pk")


@transaction.atomic
def bring_to_last_day(*, by: User | None, now: datetime, today: date) -> int:
    """Give all open winterising the yard's day; how many had another. What lies in another autumn is left alone."""
    bump_facts()
    last = last_day(autumn_rules(), today)
    if last is None:
        return 0
    changed = 0
    for job in to_winterise():
        day = job.finish_by_date
        if day == last.on or (day is not None and day.year != last.on.year):
            continue
        job.finish_by_date = last.on
        sign(job, by=by, now=now, reason=_("before the first freeze, by the yard's rules"))
        job.save(update_fields=["finish_by_date"])
        changed += 1
    return changed


def day_when_ordered(kind: str, named: date | None, since: date) -> date | None:
    """The last day of a job that is ordered now: the yard's day where it winterises and the yard has chosen one."""
    if kind != WINTERISE or named is None:
        return named
    last = last_day(autumn_rules(), named)
    return named if last is None or last.on < since else last.on
