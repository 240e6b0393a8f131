"""Why an order ends when the plan has it, as a yard would say it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from yard.models import WaterNeed
from yard.pictures.lettering import weekday_day_month
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
        return f"not planned: {row.left_out}"
    if row.state == LATE and row.due is not None and row.due < today:
        passed = f"her day was {weekday_day_month(row.due)}"
        main = _main(lanes.causes.get(row.order.pk, []))
        return f"{passed}; {short_words(main, lanes)}" if main else passed
    if needed and row.state != LATE:
        job, fact = needed[0]
        return f"needs {_named(fact)} by {weekday_day_month(local(job.starts_at).date())}"
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
            return f"no tide in working hours {_between(cause)}"
        case "light":
            return f"no light long enough {_between(cause)}"
        case "closed":
            return f"closed {_between(cause)}"
        case "hours":
            return f"{people} not at work {_between(cause)}"
        case "people":
            return f"{people} at other work until {until}"
        case "places":
            return f"{cause.detail} taken until {until}"
        case "berths":
            return f"no berth free until {until}"
        case "boat":
            return f"other work on her until {until}"
        case "crowded":
            return f"people, places and water do not meet until {until}"
        case "follows":
            return f"{_job(cause)} waits for the day of “{cause.detail}”"
        case "wait":
            return f"{_wait(cause)} until {until}"
        case "dates":
            awaited = lanes.awaited.get(cause.job_id, ())
            return f"needs {_named(awaited[0])}, here from {until}" if awaited else f"not before {until}"
        case _:
            return f"room kept: {_job(cause)} could start {_day(cause.could_start_at or cause.ready_at)}"


def long_words(cause: LaneCause, lanes: BoatLanes) -> str:
    """A reason in a sentence: which job, from when until when, and what held it."""
    name, ready, until = cause.job, _day(cause.ready_at), _day(cause.starts_at)
    cost = f" ({_days(cause.days)})" if cause.days else ""
    match cause.kind:
        case "now":
            return f"{name}: work on it can begin {ready}, no sooner."
        case "dates":
            awaited = lanes.awaited.get(cause.job_id, ())
            told = (
                f"it waits on {', '.join(_named(fact) for fact in awaited)}"
                if awaited
                else "work done before it, or a date of its own, says so"
            )
            return f"{name} starts no sooner than {until}: {told}."
        case "wait":
            return f"{name} waits from {ready} to {until}{cost}: {_wait(cause)}."
        case "room":
            return f"{name} could start {_day(cause.could_start_at or cause.ready_at)}; the plan has it {until}{cost}."
        case "follows":
            return f"{name} is kept from {ready} to {until}{cost}: “{cause.detail}” must follow it soon."
        case _:
            return f"{name} is ready {ready} and starts {until}{cost}: {_held_by(cause, lanes)}."


def _held_by(cause: LaneCause, lanes: BoatLanes) -> str:
    people = _crew(cause.detail, lanes)
    return {
        "water": f"{_where(cause)} there is not water enough for her in working hours before",
        "light": "before, no light is long enough",
        "closed": "outdoor work or the water is closed",
        "hours": f"before, {people} are not at work together for long enough",
        "people": f"before, {people} are at other work",
        "places": f"{cause.detail} is taken",
        "berths": f"no berth is free for all of her nights ({cause.detail})" if cause.detail else "no berth is free",
        "boat": "other work is done on her",
    }.get(cause.kind, f"{people or 'people'}, places and water are never free together before")


def _where(cause: LaneCause) -> str:
    return "at her mooring" if cause.water_need in (WaterNeed.ROUTE, WaterNeed.MOORING) else "at the ramp"


def _wait(cause: LaneCause) -> str:
    if cause.detail == "weather":
        return "time kept for bad weather"
    return cause.detail or "the work before it must rest"


def ways_back(causes: Sequence[LaneCause], lanes: BoatLanes) -> list[WayBack]:
    """What would let a job start earlier, the largest gain first; each is priced for that job alone."""
    found = []
    for cause in causes:
        if cause.could_start_at is None or cause.kind == "room":
            continue
        gain = working_days_between(local(cause.could_start_at).date(), local(cause.starts_at).date())
        if gain > 0:
            found.append(WayBack(f"{_offer(cause, lanes)} {_day(cause.could_start_at)}: {cause.job}", gain))
    return sorted(found, key=lambda way: -way.days)[:OFFERED]


def _offer(cause: LaneCause, lanes: BoatLanes) -> str:
    people = _crew(cause.detail, lanes)
    return {
        "water": "A tide outside working hours, or a smaller margin (yours to judge),",
        "light": "Work outside the yard's light",
        "closed": "The closed day opened",
        "hours": f"Other hours for {people}",
        "people": f"{people[:1].upper()}{people[1:]} free",
        "places": f"{cause.detail} free",
        "berths": "A berth free from",
        "boat": "Her other work moved from",
    }.get(cause.kind, "Free")


def told_causes(causes: Sequence[LaneCause]) -> list[LaneCause]:
    """The reasons worth telling: the costliest ones, in order of time."""
    worth = sorted((cause for cause in causes if cause.days > 0 or cause.kind == "dates"), key=_cost, reverse=True)
    return sorted(worth[:SAID], key=lambda cause: cause.sequence)


def _crew(detail: str, lanes: BoatLanes) -> str:
    """ "rigger and 2 hand" as "rigger and 2 yard hands": the yard's own names of its skills."""
    return " and ".join(_skill(word, lanes) for word in detail.split(" and ")) if detail else ""


def _skill(word: str, lanes: BoatLanes) -> str:
    count, _, key = word.rpartition(" ")
    name = lanes.skills.get(key, key)
    name = name[:1].lower() + name[1:]
    return f"{count} {name}{'' if name.endswith('s') else 's'}" if count else name


def _job(cause: LaneCause) -> str:
    return cause.job[:1].lower() + cause.job[1:]


def _day(at: datetime) -> str:
    return weekday_day_month(local(at).date())


def _between(cause: LaneCause) -> str:
    """ "10 to 12 May": the days on which it could not be done."""
    first = local(cause.ready_at).date()
    last = max(first, local(cause.starts_at).date() - timedelta(days=1))
    return weekday_day_month(first) if first == last else f"{weekday_day_month(first)} to {weekday_day_month(last)}"


def _days(count: int) -> str:
    return "1 working day" if count == 1 else f"{count} working days"
