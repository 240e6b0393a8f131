"""What must be true of a Problem at birth: one named check for each fact, each yielding sentences."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from yard.planning.reach import reach_faults
from yard.speech import _, gettext_noop

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


def _sorted_disjoint(what: str, name: str, intervals: Sequence[Minutes]) -> Iterator[str]:
    """what: whose they are, said with the name once something is wrong."""
    last_end: int | None = None
    for starts, ends in intervals:
        if starts >= ends:
            yield _("{what}: the interval {starts} to {ends} is empty or runs backwards").format(
                what=_(what).format(name=name), starts=starts, ends=ends
            )
        if last_end is not None and starts < last_end:
            yield _("{what}: the interval from {starts} begins before the one before it ends ({last_end})").format(
                what=_(what).format(name=name), starts=starts, last_end=last_end
            )
        last_end = ends


def check_calendar(calendar: Calendar) -> None:
    _demand(_calendar_faults(calendar))


def _calendar_faults(calendar: Calendar) -> Iterator[str]:
    per_day = calendar.quarters_per_day
    yield from _epoch_faults(calendar.epoch)
    if not 1 <= per_day <= 62:
        yield _("the calendar has {per_day} quarters a day; 1 to 62 are possible").format(per_day=per_day)
    closes = per_day if calendar.closes_quarter is None else calendar.closes_quarter
    if not 0 <= calendar.opens_quarter < closes <= per_day:
        yield _("the yard opens at quarter {opens} and closes at {closes} of {per_day}").format(
            opens=calendar.opens_quarter, closes=closes, per_day=per_day
        )
    if not calendar.day_starts:
        yield _("the calendar has no day")
    for name in ("day_names", "weeks"):
        count = len(getattr(calendar, name))
        if count and count != len(calendar.day_starts):
            yield _("the calendar has {days} days and {count} {name}").format(
                days=len(calendar.day_starts), count=count, name=name
            )
    for day, (one, two) in enumerate(zip(calendar.day_starts, calendar.day_starts[1:], strict=False)):
        if two < one + per_day * 15:
            yield _("day {next_day} of the calendar starts before day {day} is over").format(next_day=day + 1, day=day)


def _epoch_faults(epoch: str) -> Iterator[str]:
    try:
        instant = datetime.fromisoformat(epoch)
    except ValueError:
        yield _("the epoch '{epoch}' is not an instant, as 2027-01-01T00:00:00+00:00 is").format(epoch=epoch)
        return
    if instant.tzinfo is None:
        yield _("the epoch '{epoch}' names no time zone, and so no instant; write +00:00 after it").format(epoch=epoch)


def check_person(person: Person) -> None:
    _demand(_sorted_disjoint(gettext_noop("hours of {name}"), person.name, person.hours))
    _demand(_sorted_disjoint(gettext_noop("time away of {name}"), person.name, person.away))
    slide = person.slide
    if slide is not None and min(slide.early_min, slide.late_min, slide.days_per_week, slide.span_min) < 0:
        _demand([_("the day of {person} slides by less than nothing").format(person=person.name)])


def check_place(place: Place) -> None:
    _demand(
        [_("{place} has a capacity of {capacity}").format(place=place.name, capacity=place.capacity)]
        if place.capacity < 1
        else []
    )
    _demand(_sorted_disjoint(gettext_noop("closed times of {name}"), place.name, place.closed))
    _demand(
        _sorted_disjoint(
            gettext_noop("charges of {name}"), place.name, [(row.starts, row.ends) for row in place.charges]
        )
    )
    _demand(
        _("{place} runs {quarters} quarters on a charge").format(place=place.name, quarters=row.quarters)
        for row in place.charges
        if row.quarters < 0
    )


def check_window_set(windows: WindowSet) -> None:
    _demand(_sorted_disjoint(gettext_noop("windows '{name}'"), windows.key, windows.intervals))


def check_job(job: Job) -> None:
    _demand(_job_faults(job))


def _job_faults(job: Job) -> Iterator[str]:
    if not job.ways:
        yield _("job '{job}' has no way of doing it").format(job=job.key)
    for number, way in enumerate(job.ways):
        if job.pausing == "elapsed" and way.crew:
            yield _("job '{job}' runs on the clock by itself, so it names no people").format(job=job.key)
        for fault in (*_way_faults(way), *_way_of_job_faults(job, way)):
            yield _("job '{job}', way {way}: {fault}").format(job=job.key, way=number, fault=fault)
    if job.allowance_quarters < 0:
        yield _("job '{job}' has an allowance of {quarters} quarters").format(
            job=job.key, quarters=job.allowance_quarters
        )
    if job.not_before is not None and job.not_after is not None and job.not_before > job.not_after:
        yield _("job '{job}' may not start before {not_before} nor after {not_after}").format(
            job=job.key, not_before=job.not_before, not_after=job.not_after
        )


def _way_of_job_faults(job: Job, way: Way) -> Iterator[str]:
    if job.not_alone and sum(crew.count for crew in way.crew) < 2:
        yield _("nobody does this alone, but the crew is fewer than two")
    if way.inside and job.pausing != "fitted":
        yield _("only a job of one stretch can lie inside a window")


def _way_faults(way: Way) -> Iterator[str]:
    if way.duration_quarters < 1:
        yield _("takes {quarters} quarters; at least 1").format(quarters=way.duration_quarters)
    if way.place_extra_quarters < 0:
        yield _("keeps its places {quarters} quarters longer; at least 0").format(quarters=way.place_extra_quarters)
    for crew in way.crew:
        if crew.count < 1:
            yield _("asks for {count} people with skill '{skill}'").format(count=crew.count, skill=crew.skill)
        if crew.level < 1:
            yield _("asks for skill '{skill}' at level {level}; at least 1").format(skill=crew.skill, level=crew.level)
    for need in way.places:
        if need.units < 1:
            yield _("asks for {units} units of a place").format(units=need.units)
    for inside in way.inside:
        left = way.duration_quarters - inside.offset_quarters
        if inside.offset_quarters < 0:
            yield _("a window is asked for before the job begins")
        if left < 1 or (inside.length_quarters is not None and inside.length_quarters > left):
            yield _("a window is asked for longer than the job")
        if inside.length_quarters is not None and inside.length_quarters < 1:
            yield _("a window is asked for {quarters} quarters").format(quarters=inside.length_quarters)


def check_problem(problem: Problem) -> None:
    for check in (reach_faults, _keys, _numbers, _job_indices, _indices, _pins, _charges, _cycles):
        _demand(check(problem))


def _keys(problem: Problem) -> Iterator[str]:
    for family in ("people", "places", "window_sets", "boats", "orders", "jobs"):
        seen: set[str] = set()
        for row in getattr(problem, family):
            if row.key in seen:
                yield _("two {family} share the key '{key}'").format(family=family, key=row.key)
            seen.add(row.key)


def _numbers(problem: Problem) -> Iterator[str]:
    if not 0 <= problem.now <= problem.calendar.size:
        yield _("now is position {now} of a calendar of {size}").format(now=problem.now, size=problem.calendar.size)
    if problem.rates.late_day < 0 or problem.rates.flow_day < 0:
        yield _("a day late or a day of flow costs less than nothing")
    for order in problem.orders:
        if order.goes_first < 0:
            yield _("order '{order}' goes first {goes_first} times; at least 0").format(
                order=order.key, goes_first=order.goes_first
            )


def _job_indices(problem: Problem) -> Iterator[str]:
    boats, orders = len(problem.boats), len(problem.orders)
    places, sets = len(problem.places), len(problem.window_sets)
    for job in problem.jobs:
        if not 0 <= job.boat < boats:
            yield _("job '{job}' names boat {boat}, which is not in the problem").format(job=job.key, boat=job.boat)
        if not 0 <= job.order < orders:
            yield _("job '{job}' names order {order}, which is not in the problem").format(job=job.key, order=job.order)
        for way in job.ways:
            for need in way.places:
                if not need.any_of or any(not 0 <= place < places for place in need.any_of):
                    yield _("job '{job}' names a place that is not in the problem").format(job=job.key)
            if any(not 0 <= inside.window_set < sets for inside in way.inside):
                yield _("job '{job}' names a window set that is not in the problem").format(job=job.key)


def _indices(problem: Problem) -> Iterator[str]:
    boats, places, jobs = len(problem.boats), len(problem.places), len(problem.jobs)
    for link in problem.links:
        if not (0 <= link.before < jobs and 0 <= link.after < jobs) or link.before == link.after:
            yield _("a wait names jobs {before} and {after}; both must be in the problem, and two").format(
                before=link.before, after=link.after
            )
    for stay in problem.stays:
        ends = [job for job in (stay.from_job, stay.until_job) if job is not None]
        if any(not 0 <= job < jobs for job in ends) or not 0 <= stay.boat < boats:
            yield _("a stay names a job or boat that is not in the problem")
        if not stay.any_of or any(not 0 <= place < places for place in stay.any_of):
            yield _("a stay names a place that is not in the problem")
    for waiver in problem.waivers:
        if not 0 <= waiver.job < jobs:
            yield _("a waiver of '{rule}' names job {job}, which is not in the problem").format(
                rule=waiver.rule, job=waiver.job
            )


def _pins(problem: Problem) -> Iterator[str]:
    seen: set[int] = set()
    for pin in problem.pins:
        if not 0 <= pin.job < len(problem.jobs):
            yield _("a pin names job {job}, which is not in the problem").format(job=pin.job)
            continue
        key = problem.jobs[pin.job].key
        if pin.job in seen:
            yield _("job '{job}' is pinned twice").format(job=key)
        seen.add(pin.job)
        if not 0 <= pin.way < len(problem.jobs[pin.job].ways):
            yield _("the pin of job '{job}' names way {way}, which she does not have").format(job=key, way=pin.way)
        if not 0 <= pin.starts_at < pin.ends_at <= problem.calendar.size:
            yield _("the pin of job '{job}' lies outside the calendar").format(job=key)
        if any(not 0 <= person < len(problem.people) for person in pin.people):
            yield _("the pin of job '{job}' names a person who is not in the problem").format(job=key)
        for place, unit in pin.places:
            if not 0 <= place < len(problem.places):
                yield _("the pin of job '{job}' names place {place}, which is not in the problem").format(
                    job=key, place=place
                )
            elif not 0 <= unit < problem.places[place].capacity:
                row = problem.places[place]
                yield _("the pin of job '{job}' names unit {unit} of {place}, which has {capacity}").format(
                    job=key, unit=unit, place=row.name, capacity=row.capacity
                )


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
                yield _("a charge of {place} from {starts} to {ends} is not inside one day").format(
                    place=problem.places[index].name, starts=row.starts, ends=row.ends
                )
    for job in problem.jobs:
        named = {place for way in job.ways for need in way.places for place in need.any_of}
        if job.pausing != "fitted" and named & charged:
            yield _("job '{job}' is not of one stretch, and asks for a place that runs on a charge").format(job=job.key)


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
        yield _("these jobs wait for one another in a circle: {names}").format(names=names)
