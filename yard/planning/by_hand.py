"""One job moved by a person: the starts that hold, best first, and what any other would break or move.

Starts come from the engine's tables with everything else pinned, so that nobody moves; every other placement is judged
by the independent check, as it is written down.
"""

from __future__ import annotations

import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from yard.planning import engine as e
from yard.planning.check import Breach, faults
from yard.planning.fit import last_days
from yard.planning.freed import Freed, Room, pin_of
from yard.planning.plan import Placement, Plan
from yard.planning.problem import QUARTER_MIN, Problem
from yard.planning.reshuffle.differences import changes
from yard.planning.timeline import Timeline
from yard.planning.units import CannotExpress

SHOVES = frozenset({"double_booking", "places", "boat", "waits", "stays", "slides"})
"""Rules between two jobs: what breaks one of them may hold once the other moves."""
A_DAY = 2  # starts offered of one day
LOOK_AT = 40  # starts placed before the best are told, nearest first


@dataclass(frozen=True, slots=True)
class Offer:
    """A placement that holds. late_days: of her order. days_off: from where it stands. moved: jobs of hers besides."""

    placement: Placement
    plan: Plan
    late_days: int
    days_off: int
    moved: int = 0


@dataclass(frozen=True, slots=True)
class Judged:
    """A placement as a person wants it. plan: with it.  breaches: its own, and those of others that were not before.

    with_others: the plan in which others make room, None where none was found.  moved: those, by job.  left: what it
    breaks even so.
    """

    plan: Plan
    breaches: tuple[Breach, ...]
    with_others: Plan | None = None
    moved: tuple[int, ...] = ()
    left: tuple[Breach, ...] = ()


def offers(problem: Problem, plan: Plan, job: int, *, near: int | None = None, count: int = 8) -> tuple[Offer, ...]:
    """The best starts of a job while everybody else stays: on time first, then near `near` (an axis position; None:
    where it stands now), then early.  Raises CannotExpress for what the engine does not take."""
    freed = Freed(unpinned(problem, job), plan, [job])
    room = freed.room()
    home = _home(plan, job) if near is None else near
    found = list(_placed(problem, plan, freed, room, job, home))
    found.sort(key=lambda one: (one.late_days, one.days_off, one.placement.starts_at))
    return tuple(found[:count])


def offers_with_hers(
    problem: Problem, plan: Plan, job: int, *, count: int = 4, within_s: float = 0.6
) -> tuple[Offer, ...]:
    """Starts that hold if her own other work moves too and nobody else's: the earliest of all, then the days after the
    one it has, one of each, as many as are found in the time.  Raises CannotExpress.

    Each try is about a tenth of a second on a season of a hundred boats.
    """
    until = time.monotonic() + within_s
    pinned = {pin.job for pin in problem.pins} - {job}
    boat = problem.jobs[job].boat
    hers = [number for number, row in enumerate(problem.jobs) if row.boat == boat and number not in pinned]
    home, per_day = _home(plan, job), problem.calendar.quarters_per_day
    floors = [problem.now] if home is None else [problem.now, (home // per_day + 1) * per_day]
    found: dict[int, Offer] = {}
    while floors and len(found) < count and time.monotonic() < until:
        floor = floors.pop(0)
        offer = _from_floor(problem, plan, job, hers, floor) if floor < problem.calendar.size else None
        if offer is None:
            continue
        day = offer.placement.starts_at // per_day
        found.setdefault(day, offer)
        if floor != problem.now or home is None:
            floors.append((day + 1) * per_day)
    return tuple(sorted(found.values(), key=lambda one: (one.late_days, one.days_off, one.placement.starts_at)))


def _from_floor(problem: Problem, plan: Plan, job: int, hers: list[int], floor: int) -> Offer | None:
    """Her jobs put in again, this one not before that position."""
    minute = Timeline(problem.calendar).minute_at(floor)
    row = problem.jobs[job]
    later = replace(row, not_before=max(minute, row.not_before or minute))
    jobs = tuple(later if number == job else one for number, one in enumerate(problem.jobs))
    freed = Freed(replace(unpinned(problem, job), jobs=jobs), plan, hers)
    room = freed.room()
    if not room.insert():
        return None
    whole = replace(freed.whole_plan(room.plan()), left_out=plan.left_out)
    placement = whole.by_job()[job]
    per_day, order, home = problem.calendar.quarters_per_day, row.order, _home(plan, job)
    late = max(0, last_days(problem, whole).get(order, 0) - problem.orders[order].due_day)
    off = 0 if home is None else abs(placement.starts_at // per_day - home // per_day)
    moved = len({each.job for each in changes(problem, plan, whole)} - {job})
    if placement == plan.by_job().get(job):
        return None
    return Offer(placement, whole, late, off, moved)


def judge(problem: Problem, plan: Plan, wanted: Placement) -> Judged:
    """What a placement breaks, and who would have to make room for it."""
    free = unpinned(problem, wanted.job)
    placed = _with(plan, wanted, _stays(free, plan, wanted))
    before = {_name(breach) for breach in faults(free, plan) if breach.job != wanted.job}
    breaches = tuple(breach for breach in faults(free, placed) if _name(breach) not in before)
    judged = Judged(placed, breaches)
    return _making_room(free, judged, wanted, before) if any(b.rule in SHOVES for b in breaches) else judged


def rest_after(problem: Problem, plan: Plan, first: int, rest: int) -> Plan | None:
    """A job that was split: its first part no sooner than it stood, the rest at its earliest; None: no room."""
    minute = Timeline(problem.calendar).minute_at(plan.by_job()[first].starts_at)
    jobs = tuple(replace(row, not_before=minute) if n == first else row for n, row in enumerate(problem.jobs))
    freed = Freed(replace(unpinned(problem, first), jobs=jobs), plan, [first, rest])
    room = freed.room()
    return freed.whole_plan(room.plan()) if room.insert() else None


def crew_in_order(problem: Problem, job: int, way: int, people: Iterable[int]) -> tuple[int, ...]:
    """The people in the order of the way's needs, each where the skill is; as given where no order fits."""
    given = tuple(people)
    needs = [need for need in problem.jobs[job].ways[way].crew for _ in range(need.count)]

    def fits(person: int, at: int) -> bool:
        return problem.people[person].skills.get(needs[at].skill, 0) >= needs[at].level

    def filled(at: int, left: frozenset[int]) -> tuple[int, ...] | None:
        if at == len(needs):
            return tuple(sorted(left))
        for person in sorted(left):
            if fits(person, at) and (more := filled(at + 1, left - {person})) is not None:
                return (person, *more)
        return None

    return filled(0, frozenset(given)) or given


def end_of(problem: Problem, job: int, way: int, people: Iterable[int], start: int) -> int:
    """Where a job that starts there ends, by its way of taking time; the calendar's end where it does not end in it."""
    row, calendar = problem.jobs[job], problem.calendar
    length = row.ways[way].duration_quarters
    if row.pausing == "fitted":
        return min(start + length, calendar.size)
    timeline = Timeline(calendar)
    if row.pausing == "elapsed":
        return timeline.first_at_or_after(timeline.minute_at(start) + QUARTER_MIN * length)
    crew = [problem.people[person].hours for person in people]
    for position in range(start, calendar.size):
        minute = timeline.minute_at(position)
        if all(any(a <= minute and minute + QUARTER_MIN <= b for a, b in hours) for hours in crew):
            length -= 1
        if length == 0:
            return position + 1
    return calendar.size


def unpinned(problem: Problem, job: int) -> Problem:
    """Without the pin of a job: a person who moves it has leave to."""
    return replace(problem, pins=tuple(pin for pin in problem.pins if pin.job != job))


def _home(plan: Plan, job: int) -> int | None:
    placed = plan.by_job().get(job)
    return None if placed is None else placed.starts_at


def _placed(problem: Problem, plan: Plan, freed: Freed, room: Room, job: int, home: int | None) -> Iterator[Offer]:
    g, state, number = room.layout.g, room.state, freed.at[job]
    per_day, order = problem.calendar.quarters_per_day, problem.jobs[job].order
    due = problem.orders[order].due_day
    for mode, start in _nearest(room, number, home, per_day):
        if not e.place(g, state, number, mode, start):
            continue
        whole = freed.whole_plan(room.plan())
        e.unplace(g, state, number)
        placement = whole.by_job()[job]
        off = 0 if home is None else abs(placement.starts_at // per_day - home // per_day)
        late = max(0, last_days(problem, whole).get(order, 0) - due)
        if placement != plan.by_job().get(job):
            yield Offer(placement, replace(whole, left_out=plan.left_out), late, off)


def _nearest(room: Room, job: int, home: int | None, per_day: int) -> list[tuple[int, int]]:
    """(mode, start) of the nearest starts that hold, at most `A_DAY` of a day."""
    g, state, shift = room.layout.g, room.state, room.layout.axis.shift
    row = g[e.JOB] + job * e.JOB_STRIDE
    by_day: dict[int, dict[int, int]] = {}
    for number in range(g[row + e.J_MODE_COUNT]):
        mode = g[row + e.J_MODES] + number * e.MODE_STRIDE
        if not e.bounds(g, state, job, mode):
            continue
        lo, hi = state[e.LO], state[e.HI]
        for day in range(lo >> shift, (hi >> shift) + 1):
            word = e.starts_on(g, state, mode, day, lo, hi)
            for quarter in range(per_day):
                if word >> quarter & 1:
                    by_day.setdefault(day, {}).setdefault(quarter, mode)
    home_day, home_quarter = (None, 0) if home is None else divmod(home, per_day)
    found: list[tuple[int, int]] = []
    for day in sorted(by_day, key=lambda day: (abs(day - home_day) if home_day is not None else day, day)):
        quarters = sorted(by_day[day])
        nearest = min(quarters, key=lambda quarter: abs(quarter - home_quarter))
        for quarter in list(dict.fromkeys((nearest, quarters[0])))[:A_DAY]:
            found.append((by_day[day][quarter], (day << shift) + quarter))
    return found[:LOOK_AT]


def _stays(problem: Problem, plan: Plan, wanted: Placement) -> Plan:
    """The plan's nights as the engine lays them with the job there; as they were where it cannot."""
    without = replace(plan, placements=tuple(row for row in plan.placements if row.job != wanted.job))
    try:
        freed = Freed(replace(problem, pins=(*problem.pins, pin_of(wanted))), without, [])
        return freed.whole_plan(freed.room().plan())
    except (CannotExpress, ValueError, LookupError):
        return plan


def _with(plan: Plan, wanted: Placement, nights: Plan) -> Plan:
    rows = plan.by_job() | {wanted.job: wanted}
    laid = {at.stay: at for at in plan.stays} | {at.stay: at for at in nights.stays}
    return replace(
        plan,
        placements=tuple(rows[number] for number in sorted(rows)),
        stays=tuple(laid[number] for number in sorted(laid)),
    )


def _making_room(problem: Problem, judged: Judged, wanted: Placement, before: set[tuple[object, ...]]) -> Judged:
    """First those that stand in its way move, then all open work of their boats."""
    pinned = {pin.job for pin in problem.pins} | {wanted.job}
    stays = problem.stays
    near: set[int] = set()
    for breach in judged.breaches:
        near |= {breach.job} if breach.job is not None else set()
        near |= {int(breach.numbers["other_job"])} if "other_job" in breach.numbers else set()
        if "other_stay" in breach.numbers:
            other = stays[int(breach.numbers["other_stay"])]
            near |= {job for job in (other.from_job, other.until_job) if job is not None}
    near -= pinned
    boats = {problem.jobs[job].boat for job in near} | {problem.jobs[wanted.job].boat}
    wider = {n for n, row in enumerate(problem.jobs) if row.boat in boats} - pinned
    held = replace(problem, pins=(*problem.pins, pin_of(wanted)))
    for free in (near, wider):
        found = _put_again(held, judged.plan, free)
        if found is None:
            continue
        left = tuple(breach for breach in faults(problem, found) if _name(breach) not in before)
        if not any(breach.rule in SHOVES for breach in left):
            rows = changes(problem, judged.plan, found)
            moved = tuple(sorted({row.job for row in rows} - {wanted.job}))
            return replace(judged, with_others=found, moved=moved, left=left)
    return judged


def _put_again(problem: Problem, plan: Plan, free: Iterable[int]) -> Plan | None:
    freed = Freed(problem, plan, free)
    try:
        room = freed.room()
    except (CannotExpress, ValueError):
        return None
    if not freed.free or not room.insert():
        return None
    return replace(freed.whole_plan(room.plan()), left_out=plan.left_out)


def _name(breach: Breach) -> tuple[object, ...]:
    return breach.rule, breach.job, breach.message
