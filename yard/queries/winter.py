"""Reads of winter's question: who is asked about which orders, and how full the weeks of the coming season are."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from yard.models import (
    DatedHours,
    Job,
    Order,
    Owner,
    Person,
    Plan,
    PlannedJob,
    SameAgain,
    Season,
    YardHoliday,
    YardSettings,
)
from yard.queries.owner_pages import owned_by

WEEK = timedelta(days=7)


@dataclass(frozen=True)
class AskedOwner:
    owner: Owner
    rows: tuple[SameAgain, ...]


@dataclass(frozen=True)
class WeekLoad:
    """Hands' hours of one week, [monday, monday + 7 days). sure, unconfirmed: wanted; there: of everybody at work."""

    monday: date
    sure_h: float
    unconfirmed_h: float
    there_h: float

    @property
    def share(self) -> float:
        """Of the hours there; 0 where nobody works, as the table then says."""
        return (self.sure_h + self.unconfirmed_h) / self.there_h if self.there_h else 0.0


def asked_owners(season: Season) -> list[AskedOwner]:
    """Owners of the boats that are asked about, by name. Two queries."""
    rows = SameAgain.objects.filter(season=season).select_related("order__boat", "order__package", "copy")
    rows = rows.order_by("order__boat__name", "order_id")
    owned = owned_by({row.order.boat_id for row in rows if row.order.boat_id})
    found: dict[int, list[SameAgain]] = {}
    for row in rows:
        if row.order.boat_id in owned:
            found.setdefault(owned[row.order.boat_id].owner_id, []).append(row)
    owners = {row.owner_id: row.owner for row in owned.values()}
    return sorted((AskedOwner(owners[pk], tuple(mine)) for pk, mine in found.items()), key=lambda each: each.owner.name)


def coming_seasons(today: date) -> list[Season]:
    """Seasons that are not over, the earliest first. One query."""
    return list(Season.objects.filter(ends_on__gt=today, closed_at=None).order_by("starts_on"))


def weeks_of(season: Season, yard: YardSettings, plan: Plan | None) -> list[WeekLoad]:
    """Hours wanted against hours there, by week of the season. Eight queries.

    Work that the posted plan places counts in its week; all other work in the week of the order's wanted date, else of
    its promised, latest or earliest one. Hours are those that a plan books: the estimate by the yard's factor.
    """
    monday = season.starts_on - timedelta(days=season.starts_on.weekday())
    mondays = []
    while monday < season.ends_on:
        mondays.append(monday)
        monday += WEEK
    planned = _planned(plan, yard) if plan is not None else {}
    sure, unconfirmed = dict.fromkeys(mondays, 0.0), dict.fromkeys(mondays, 0.0)
    for job in _open_jobs():
        day = planned.get(job.pk) or _wanted(job.order)
        week = day - timedelta(days=day.weekday()) if day is not None else None
        if week in sure:
            (unconfirmed if job.order.unconfirmed else sure)[week] += _hands_h(job, yard)
    there = _hours_there(mondays, yard)
    return [WeekLoad(each, sure[each], unconfirmed[each], there[each]) for each in mondays]


def _open_jobs() -> list[Job]:
    rows = Job.objects.filter(order__state=Order.State.OPEN, state__in=[Job.State.OPEN, Job.State.STARTED])
    return list(rows.select_related("order").prefetch_related("ways").order_by("id"))


def _planned(plan: Plan, yard: YardSettings) -> dict[int, date]:
    zone = ZoneInfo(yard.time_zone)
    rows = PlannedJob.objects.filter(plan=plan).values_list("job", "starts_at")
    return {job: starts_at.astimezone(zone).date() for job, starts_at in rows}


def _wanted(order: Order) -> date | None:
    return order.wanted_date or order.promised_date or order.latest_date or order.earliest_date


def _hands_h(job: Job, yard: YardSettings) -> float:
    way = next(iter(job.ways.all()), None)
    if way is None:
        return 0.0
    hands = sum(int(each.get("count", 1)) for each in way.crew)
    minutes = job.left_min if job.left_min is not None else way.duration_min
    return hands * minutes * yard.duration_factor / 60


def _hours_there(mondays: list[date], yard: YardSettings) -> dict[date, float]:
    people = list(Person.objects.filter(archived=False).prefetch_related("weekly_hours"))
    holidays = set(YardHoliday.objects.values_list("day", flat=True))
    away = list(DatedHours.objects.filter(kind=DatedHours.Kind.AWAY, person__in=people))
    found, zone = dict.fromkeys(mondays, 0.0), ZoneInfo(yard.time_zone)
    for monday in mondays:
        for day in (monday + timedelta(days=count) for count in range(7)):
            if day in holidays:
                continue
            for person in people:
                if not any(row.person_id == person.pk and _covers(row, day, zone) for row in away):
                    rows = [row for row in person.weekly_hours.all() if row.weekday == day.weekday()]
                    found[monday] += sum(_length_h(row.starts, row.ends) for row in rows)
    return found


def _covers(row: DatedHours, day: date, zone: ZoneInfo) -> bool:
    """Away at that day's noon: a day is counted whole or not at all."""
    return row.starts_at <= datetime.combine(day, time(12), zone) < row.ends_at


def _length_h(starts: time, ends: time) -> float:
    return (ends.hour * 60 + ends.minute - starts.hour * 60 - starts.minute) / 60
