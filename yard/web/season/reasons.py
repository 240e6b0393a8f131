"""Why an order ends when the plan has it, as a yard would say it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from yard.models import WaterNeed
from yard.pictures.lettering import weekday_day_month
from yard.planning.listed import listed
from yard.queries.season_board import LATE, NO_PLAN, Awaited, BoatLanes, LaneCause, OrderRow, working_days_between
from yard.web.units import local

SAID = 4
"""So many reasons are told of an opened boat; the rest are smaller."""
OFFERED = 3


@dataclass(frozen=True)
class WayBack:
    """Something that would let one job start earlier, and by how many working days."""

    words: str
    days: int


def short_reason(row: OrderRow, lanes: BoatLanes, *, today: date) -> str:
    """The one reason that stands in the row: of a late boat what cost most days, of a waiting one what she needs."""
    jobs = lanes.jobs.get(row.order.pk, [])
    needed = [(job, fact) for job in jobs if not job.done for fact in lanes.awaited.get(job.job_id, ())]
    if row.state == NO_PLAN:
        return ""
    if row.left_out and row.state != LATE:
        return row.left_out
    if row.state == LATE and row.left_out and row.ends is None:
        return _("not planned: {why}").format(why=row.left_out)
    if row.state == LATE and row.due is not None and row.due < today:
        passed = _("her day was {day}").format(day=weekday_day_month(row.due))
        main = _main(lanes.causes.get(row.order.pk, []))
        return f"{passed}; {short_words(main, lanes)}" if main else passed
    if needed and row.state != LATE:
        job, fact = needed[0]
        return _("needs {fact} by {day}").format(fact=_named(fact), day=_day(job.starts_at))
    main = _main(lanes.causes.get(row.order.pk, []))
    return short_words(main, lanes) if main else ""


def _main(causes: Sequence[LaneCause]) -> LaneCause | None:
    """What cost most working days; what merely could be earlier counts only where nothing else does."""
    real = [cause for cause in causes if cause.kind not in ("now", "room")]
    costly = [cause for cause in real if cause.days > 0 or cause.kind == "dates"]
    return max(costly, key=_cost, default=None) or next((c for c in causes if c.kind == "room" and c.days > 1), None)


def _cost(cause: LaneCause) -> tuple[int, datetime]:
    return cause.days, cause.starts_at


def needed_days(row: OrderRow, lanes: BoatLanes) -> list[date]:
    """The days by which a fact that is not here yet is needed: the first job planned in spite of it."""
    found: dict[int, date] = {}
    for job in lanes.jobs.get(row.order.pk, []):
        if not job.done:
            for fact in lanes.awaited.get(job.job_id, ()):
                day = local(job.starts_at).date()
                found[fact.fact_id] = min(found.get(fact.fact_id, day), day)
    return sorted(set(found.values()))


def _named(fact: Awaited) -> str:
    return fact.name[0].lower() + fact.name[1:] if fact.name[1:2].islower() else fact.name


def short_words(cause: LaneCause, lanes: BoatLanes) -> str:
    """A reason in a few words, for the lane."""
    until, people = _day(cause.starts_at), _crew(cause.detail, lanes)
    match cause.kind:
        case "water":
            return _("no tide in working hours {days}").format(days=_between(cause))
        case "light":
            return _("no light long enough {days}").format(days=_between(cause))
        case "closed":
            return _("closed {days}").format(days=_between(cause))
        case "hours":
            return _("{people} not at work {days}").format(people=people, days=_between(cause))
        case "people":
            return _("{people} at other work until {day}").format(people=people, day=until)
        case "places":
            return _("{place} taken until {day}").format(place=cause.detail, day=until)
        case "berths":
            return _("no berth free until {day}").format(day=until)
        case "boat":
            return _("other work on her until {day}").format(day=until)
        case "crowded":
            return _("people, places and water do not meet until {day}").format(day=until)
        case "follows":
            return _("{job} waits for the day of “{other}”").format(job=_job(cause), other=cause.detail)
        case "wait":
            return _("{what} until {day}").format(what=_wait(cause), day=until)
        case "dates":
            awaited = lanes.awaited.get(cause.job_id, ())
            said = _("needs {fact}, here from {day}") if awaited else _("not before {day}")
            return said.format(fact=_named(awaited[0]) if awaited else "", day=until)
        case _:
            day = _day(cause.could_start_at or cause.ready_at)
            return _("room kept: {job} could start {day}").format(job=_job(cause), day=day)


def long_words(cause: LaneCause, lanes: BoatLanes) -> str:
    """A reason in a sentence: which job, from when until when, and what held it."""
    name, ready, until = cause.job, _day(cause.ready_at), _day(cause.starts_at)
    if cause.days:
        until = f"{until} ({_days(cause.days)})"
    match cause.kind:
        case "now":
            return _("{job}: work on it can begin {day}, no sooner.").format(job=name, day=ready)
        case "dates":
            return _no_sooner(cause, lanes)
        case "wait":
            said = _("{job} waits from {first} to {last}: {why}.")
            return said.format(job=name, first=ready, last=until, why=_wait(cause))
        case "room":
            first = _day(cause.could_start_at or cause.ready_at)
            return _("{job} could start {first}; the plan has it {last}.").format(job=name, first=first, last=until)
        case "follows":
            said = _("{job} is kept from {first} to {last}: “{other}” must follow it soon.")
            return said.format(job=name, first=ready, last=until, other=cause.detail)
        case _:
            said = _("{job} is ready {first} and starts {last}: {why}.")
            return said.format(job=name, first=ready, last=until, why=_held_by(cause, lanes))


def _no_sooner(cause: LaneCause, lanes: BoatLanes) -> str:
    awaited = ", ".join(_named(fact) for fact in lanes.awaited.get(cause.job_id, ()))
    said = (
        _("{job} starts no sooner than {day}: it waits on {facts}.")
        if awaited
        else _("{job} starts no sooner than {day}: work done before it, or a date of its own, says so.")
    )
    return said.format(job=cause.job, day=_day(cause.starts_at), facts=awaited)


def _held_by(cause: LaneCause, lanes: BoatLanes) -> str:
    people = _crew(cause.detail, lanes)
    other = _("people, places and water are never free together before")
    if people:
        other = _("{people}, places and water are never free together before")
    said = {
        "water": _no_water(cause),
        "light": _("before, no light is long enough"),
        "closed": _("outdoor work or the water is closed"),
        "hours": _("before, {people} are not at work together for long enough"),
        "people": _("before, {people} are at other work"),
        "places": _("{what} is taken"),
        "berths": _("no berth is free for all of her nights ({what})") if cause.detail else _("no berth is free"),
        "boat": _("other work is done on her"),
    }.get(cause.kind, other)
    return said.format(people=people, what=cause.detail)


def _no_water(cause: LaneCause) -> str:
    if cause.water_need in (WaterNeed.ROUTE, WaterNeed.MOORING):
        return _("at her mooring there is not water enough for her in working hours before")
    return _("at the ramp there is not water enough for her in working hours before")


def _wait(cause: LaneCause) -> str:
    if cause.detail == "weather":
        return _("time kept for bad weather")
    return cause.detail or _("the work before it must rest")


def ways_back(causes: Sequence[LaneCause], lanes: BoatLanes) -> list[WayBack]:
    """What would let a job start earlier, the largest gain first; each is priced for that job alone."""
    found = []
    for cause in causes:
        if cause.could_start_at is None or cause.kind == "room":
            continue
        gain = working_days_between(local(cause.could_start_at).date(), local(cause.starts_at).date())
        if gain > 0:
            found.append(WayBack(_offer(cause, _day(cause.could_start_at), lanes), gain))
    return sorted(found, key=lambda way: -way.days)[:OFFERED]


def _offer(cause: LaneCause, day: str, lanes: BoatLanes) -> str:
    people = _crew(cause.detail, lanes)
    said = {
        "water": _("A tide outside working hours, or a smaller margin (yours to judge), {day}: {job}"),
        "light": _("Work outside the yard's light {day}: {job}"),
        "closed": _("The closed day opened {day}: {job}"),
        "hours": _("Other hours for {who} {day}: {job}"),
        "people": _("{Who} free {day}: {job}"),
        "places": _("{what} free {day}: {job}"),
        "berths": _("A berth free from {day}: {job}"),
        "boat": _("Her other work moved from {day}: {job}"),
    }.get(cause.kind, _("Free {day}: {job}"))
    named = f"{people[:1].upper()}{people[1:]}"
    return said.format(day=day, job=cause.job, who=people, Who=named, what=cause.detail)


def told_causes(causes: Sequence[LaneCause]) -> list[LaneCause]:
    """The reasons worth telling: the costliest ones, in order of time."""
    worth = sorted((cause for cause in causes if cause.days > 0 or cause.kind == "dates"), key=_cost, reverse=True)
    return sorted(worth[:SAID], key=lambda cause: cause.sequence)


def _crew(detail: str, lanes: BoatLanes) -> str:
    """ "rigger and 2 hand", the planner's keys, as "rigger and 2 yard hands": the yard's own names of its skills."""
    return listed(_skill(word, lanes) for word in detail.split(" and ")) if detail else ""


def _skill(word: str, lanes: BoatLanes) -> str:
    count, _space, key = word.rpartition(" ")
    name = lanes.skills.get(key, key)
    name = name[:1].lower() + name[1:]
    if not count:
        return name
    said = _("{n} {skill}") if name.endswith("s") else _("{n} {skill}s")
    return said.format(n=count, skill=name)


def _job(cause: LaneCause) -> str:
    return cause.job[:1].lower() + cause.job[1:]


def _day(at: datetime) -> str:
    return weekday_day_month(local(at).date())


def _between(cause: LaneCause) -> str:
    """ "10 to 12 May": the days on which it could not be done."""
    first = local(cause.ready_at).date()
    last = max(first, local(cause.starts_at).date() - timedelta(days=1))
    if first == last:
        return weekday_day_month(first)
    return _("{first} to {last}").format(first=weekday_day_month(first), last=weekday_day_month(last))


def _days(count: int) -> str:
    return ngettext("{n} working day", "{n} working days", count).format(n=count)
