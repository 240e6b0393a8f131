"""What must be true of a Problem at birth: one named check for each fact, each yielding sentences."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from yard.planning.reach import reach_faults

if TYPE_CHECKING:
    from yard.planning.problem import Calendar, Job, Minutes, Person, Place, Problem, Way, WindowSet


class ProblemInvalid(ValueError):
    """A Problem that contradicts itself; `faults` has a sentence for each wrong fact."""

    def __init__(self, faults: Sequence[str]) -> None:
        super().__init__("; ".join(faults))
        self.faults = tuple(faults)


def _demand(faults: Iterable[str]) -> None:
    found = tuple(faults)
    if found:
        raise ProblemInvalid(found)


def _sorted_disjoint(what: str, intervals: Sequence[Minutes]) -> Iterator[str]:
    last_end: int | None = None
    for starts, ends in intervals:
        if starts >= ends:
            yield f"{what}: the interval {starts} to {ends} is empty or runs backwards"
        if last_end is not None and starts < last_end:
            yield f"{what}: the interval from {starts} begins before the one before it ends ({last_end})"
        last_end = ends


def check_calendar(calendar: Calendar) -> None:
    _demand(_calendar_faults(calendar))


def _calendar_faults(calendar: Calendar) -> Iterator[str]:
    per_day = calendar.quarters_per_day
    yield from _epoch_faults(calendar.epoch)
    if not 1 <= per_day <= 62:
        yield f"the calendar has {per_day} quarters a day; 1 to 62 are possible"
    closes = per_day if calendar.closes_quarter is None else calendar.closes_quarter
    if not 0 <= calendar.opens_quarter < closes <= per_day:
        yield f"the yard opens at quarter {calendar.opens_quarter} and closes at {closes} of {per_day}"
    if not calendar.day_starts:
        yield "the calendar has no day"
    for name in ("day_names", "weeks"):
        count = len(getattr(calendar, name))
        if count and count != len(calendar.day_starts):
            yield f"the calendar has {len(calendar.day_starts)} days and {count} {name}"
    for day, (one, two) in enumerate(zip(calendar.day_starts, calendar.day_starts[1:], strict=False)):
        if two < one + per_day * 15:
            yield f"day {day + 1} of the calendar starts before day {day} is over"


def _epoch_faults(epoch: str) -> Iterator[str]:
    try:
        instant = datetime.fromisoformat(epoch)
    except ValueError:
        yield f"the epoch '{epoch}' is not an instant, as 2027-01-01T00:00:00+00:00 is"
        return
    if instant.tzinfo is None:
        yield f"the epoch '{epoch}' names no time zone, and so no instant; write +00:00 after it"


def check_person(person: Person) -> None:
    _demand(_sorted_disjoint(f"hours of {person.name}", person.hours))
    _demand(_sorted_disjoint(f"time away of {person.name}", person.away))
    slide = person.slide
    if slide is not None and min(slide.early_min, slide.late_min, slide.days_per_week, slide.span_min) < 0:
        _demand([f"the day of {person.name} slides by less than nothing"])


def check_place(place: Place) -> None:
    _demand([f"{place.name} has a capacity of {place.capacity}"] if place.capacity < 1 else [])
    _demand(_sorted_disjoint(f"closed times of {place.name}", place.closed))
    _demand(_sorted_disjoint(f"charges of {place.name}", [(row.starts, row.ends) for row in place.charges]))
    _demand(f"{place.name} runs {row.quarters} quarters on a charge" for row in place.charges if row.quarters < 0)


def check_window_set(windows: WindowSet) -> None:
    _demand(_sorted_disjoint(f"windows '{windows.key}'", windows.intervals))


def check_job(job: Job) -> None:
    _demand(_job_faults(job))


def _job_faults(job: Job) -> Iterator[str]:
    if not job.ways:
        yield f"job '{job.key}' has no way of doing it"
    for number, way in enumerate(job.ways):
        if job.pausing == "elapsed" and way.crew:
            yield f"job '{job.key}' runs on the clock by itself, so it names no people"
        where = f"job '{job.key}', way {number}"
        yield from _way_faults(where, way)
        if job.not_alone and sum(crew.count for crew in way.crew) < 2:
            yield f"{where}: nobody does this alone, but the crew is fewer than two"
        if way.inside and job.pausing != "fitted":
            yield f"{where}: only a job of one stretch can lie inside a window"
    if job.allowance_quarters < 0:
        yield f"job '{job.key}' has an allowance of {job.allowance_quarters} quarters"
    if job.not_before is not None and job.not_after is not None and job.not_before > job.not_after:
        yield f"job '{job.key}' may not start before {job.not_before} nor after {job.not_after}"


def _way_faults(where: str, way: Way) -> Iterator[str]:
    if way.duration_quarters < 1:
        yield f"{where}: takes {way.duration_quarters} quarters; at least 1"
    if way.place_extra_quarters < 0:
        yield f"{where}: keeps its places {way.place_extra_quarters} quarters longer; at least 0"
    for crew in way.crew:
        if crew.count < 1:
            yield f"{where}: asks for {crew.count} people with skill '{crew.skill}'"
        if crew.level < 1:
            yield f"{where}: asks for skill '{crew.skill}' at level {crew.level}; at least 1"
    for need in way.places:
        if need.units < 1:
            yield f"{where}: asks for {need.units} units of a place"
    for inside in way.inside:
        left = way.duration_quarters - inside.offset_quarters
        if inside.offset_quarters < 0:
            yield f"{where}: a window is asked for before the job begins"
        if left < 1 or (inside.length_quarters is not None and inside.length_quarters > left):
            yield f"{where}: a window is asked for longer than the job"
        if inside.length_quarters is not None and inside.length_quarters < 1:
            yield f"{where}: a window is asked for {inside.length_quarters} quarters"


def check_problem(problem: Problem) -> None:
    for check in (reach_faults, _keys, _numbers, _job_indices, _indices, _pins, _charges, _cycles):
        _demand(check(problem))


def _keys(problem: Problem) -> Iterator[str]:
    for family in ("people", "places", "window_sets", "boats", "orders", "jobs"):
        seen: set[str] = set()
        for row in getattr(problem, family):
            if row.key in seen:
                yield f"two {family} share the key '{row.key}'"
            seen.add(row.key)


def _numbers(problem: Problem) -> Iterator[str]:
    if not 0 <= problem.now <= problem.calendar.size:
        yield f"now is position {problem.now} of a calendar of {problem.calendar.size}"
    if problem.rates.late_day < 0 or problem.rates.flow_day < 0:
        yield "a day late or a day of flow costs less than nothing"
    for order in problem.orders:
        if order.goes_first < 0:
            yield f"order '{order.key}' goes first {order.goes_first} times; at least 0"


def _job_indices(problem: Problem) -> Iterator[str]:
    boats, orders = len(problem.boats), len(problem.orders)
    places, sets = len(problem.places), len(problem.window_sets)
    for job in problem.jobs:
        if not 0 <= job.boat < boats:
            yield f"job '{job.key}' names boat {job.boat}, which is not in the problem"
        if not 0 <= job.order < orders:
            yield f"job '{job.key}' names order {job.order}, which is not in the problem"
        for way in job.ways:
            for need in way.places:
                if not need.any_of or any(not 0 <= place < places for place in need.any_of):
                    yield f"job '{job.key}' names a place that is not in the problem"
            if any(not 0 <= inside.window_set < sets for inside in way.inside):
                yield f"job '{job.key}' names a window set that is not in the problem"


def _indices(problem: Problem) -> Iterator[str]:
    boats, places, jobs = len(problem.boats), len(problem.places), len(problem.jobs)
    for link in problem.links:
        if not (0 <= link.before < jobs and 0 <= link.after < jobs) or link.before == link.after:
            yield f"a wait names jobs {link.before} and {link.after}; both must be in the problem, and two"
    for stay in problem.stays:
        ends = [job for job in (stay.from_job, stay.until_job) if job is not None]
        if any(not 0 <= job < jobs for job in ends) or not 0 <= stay.boat < boats:
            yield "a stay names a job or boat that is not in the problem"
        if not stay.any_of or any(not 0 <= place < places for place in stay.any_of):
            yield "a stay names a place that is not in the problem"
    for waiver in problem.waivers:
        if not 0 <= waiver.job < jobs:
            yield f"a waiver of '{waiver.rule}' names job {waiver.job}, which is not in the problem"


def _pins(problem: Problem) -> Iterator[str]:
    seen: set[int] = set()
    for pin in problem.pins:
        if not 0 <= pin.job < len(problem.jobs):
            yield f"a pin names job {pin.job}, which is not in the problem"
            continue
        key = problem.jobs[pin.job].key
        if pin.job in seen:
            yield f"job '{key}' is pinned twice"
        seen.add(pin.job)
        if not 0 <= pin.way < len(problem.jobs[pin.job].ways):
            yield f"the pin of job '{key}' names way {pin.way}, which she does not have"
        if not 0 <= pin.starts_at < pin.ends_at <= problem.calendar.size:
            yield f"the pin of job '{key}' lies outside the calendar"
        if any(not 0 <= person < len(problem.people) for person in pin.people):
            yield f"the pin of job '{key}' names a person who is not in the problem"
        for place, unit in pin.places:
            if not 0 <= place < len(problem.places):
                yield f"the pin of job '{key}' names place {place}, which is not in the problem"
            elif not 0 <= unit < problem.places[place].capacity:
                row = problem.places[place]
                yield f"the pin of job '{key}' names unit {unit} of {row.name}, which has {row.capacity}"


def _charges(problem: Problem) -> Iterator[str]:
    """A charge lasts within one day, and only work of one stretch can be done on it."""
    charged = {index for index, place in enumerate(problem.places) if place.charges}
    if not charged:
        return
    starts, length = problem.calendar.day_starts, problem.calendar.quarters_per_day * 15
    for index in sorted(charged):
        for row in problem.places[index].charges:
            day = bisect_right(starts, row.starts) - 1
            if day < 0 or row.ends > starts[day] + length:
                yield f"a charge of {problem.places[index].name} from {row.starts} to {row.ends} is not inside one day"
    for job in problem.jobs:
        named = {place for way in job.ways for need in way.places for place in need.any_of}
        if job.pausing != "fitted" and named & charged:
            yield f"job '{job.key}' is not of one stretch, and asks for a place that runs on a charge"


def _cycles(problem: Problem) -> Iterator[str]:
    """Jobs that wait for one another in a circle (only links with a minimum of zero or more count)."""
    after: dict[int, list[int]] = {}
    waiting = [0] * len(problem.jobs)
    for link in problem.links:
        if link.min_wait is not None and link.min_wait >= 0:
            after.setdefault(link.before, []).append(link.after)
            waiting[link.after] += 1
    free = [job for job, count in enumerate(waiting) if count == 0]
    done = 0
    while free:
        job = free.pop()
        done += 1
        for follower in after.get(job, ()):
            waiting[follower] -= 1
            if waiting[follower] == 0:
                free.append(follower)
    if done < len(problem.jobs):
        names = ", ".join(problem.jobs[job].key for job, count in enumerate(waiting) if count)[:200]
        yield f"these jobs wait for one another in a circle: {names}"
