"""Why a boat is left out: the first rule without which she could be planned.

She is tried alone among the pins, then in the plan as it stands; each time one family of rules is given up after the
other until she fits.  Every try is a small Problem of its own, so a reason says what the planner would really do.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import NamedTuple

from yard.planning import engine as e
from yard.planning.freed import Freed, Room
from yard.planning.layout import Layout
from yard.planning.listed import listed
from yard.planning.plan import LeftOut, Plan
from yard.planning.problem import Job, Pin, Problem, Way
from yard.planning.second_look import look_again
from yard.planning.state import empty_state, load_plan, read_plan
from yard.planning.units import CannotExpress
from yard.speech import _

EXPLAIN_S = 5.0  # after this long the rest of the boats left out get the short reason


class _Relaxed(NamedTuple):
    rule: str
    says: str
    problem: Problem


class _Tried(NamedTuple):
    fits: bool
    job: int | None


def left_out(layout: Layout, plan: Plan, *, explain_s: float = EXPLAIN_S) -> Plan:
    """The plan with an entry for each boat that is not wholly placed."""
    problem = layout.problem
    placed = {placement.job for placement in plan.placements}
    if len(placed) == len(problem.jobs):
        return plan
    state = empty_state(layout, plan.berths())
    load_plan(layout, state, plan)
    if read_plan(layout, state, best=False).placements == plan.placements:
        _rescue_boats(layout, state)
        plan = read_plan(layout, state, best=False)
        placed = {placement.job for placement in plan.placements}
    missing = sorted({job.boat for number, job in enumerate(problem.jobs) if number not in placed})
    until = time.monotonic() + explain_s
    rows = []
    for boat in missing:
        if time.monotonic() < until:
            rows.append(why(problem, plan, boat))
        else:
            rows.append(
                LeftOut(boat=boat, rule="complete", job=None, reason=_("no room was found for her in this plan"))
            )
    return replace(plan, left_out=tuple(rows))


def _rescue_boats(layout: Layout, state: list[int]) -> None:
    """A unit of several boats is placed or left out as one; here its boats are tried one by one."""
    g = layout.g
    state[e.PLAIN] = 1
    for unit in range(g[e.UNITS]):
        boats = sorted({layout.problem.jobs[job].boat for job in layout.units.jobs[unit]})
        if len(boats) < 2:
            continue
        e.free_caps(g, state, unit)
        for boat in boats:
            count = 0
            for job in layout.units.jobs[unit]:
                if layout.problem.jobs[job].boat == boat and state[g[e.HELD] + job * g[e.HELD_STRIDE]] < 0:
                    state[g[e.QUEUE] + count] = job
                    count += 1
            if count:
                e.insert(g, state, count, 0)
        e.note_price(g, state, unit)


def why(problem: Problem, plan: Plan, boat: int) -> LeftOut:
    """The reason for one boat."""
    plain = next(_plain_reasons(problem, plan, boat), None)
    if plain is not None:
        return plain
    alone = _case(problem, plan, boat, others=False)
    tried = _try(alone.problem)
    if not tried.fits and (ahead := _whoever_is_ahead(problem, alone)) is not None:
        return ahead
    if not tried.fits and (said := look_again(alone.problem).said) != "possible":
        where = alone.original(tried.job)
        for relaxed in _yard_families(alone.problem):
            if _try(relaxed.problem).fits:
                return _reason(problem, boat, relaxed.rule, where, _in_an_empty_yard(relaxed.says, said))
        several = _("several rules together leave no room")
        return _reason(problem, boat, "complete", where, _in_an_empty_yard(several, said))
    among = _case(problem, plan, boat, others=True)
    tried = _try(among.problem)
    where = among.original(tried.job)
    if tried.fits:
        return _reason(problem, boat, "complete", None, _("room was found for her only after the search had ended"))
    for relaxed in (*_plan_families(among, boat), *_yard_families(among.problem)):
        if _try(relaxed.problem).fits:
            return _reason(problem, boat, relaxed.rule, where, relaxed.says)
    return _reason(problem, boat, "complete", where, _("people and places are taken by the other boats"))


def _in_an_empty_yard(why: str, said: str) -> str:
    if said == "impossible":
        return _("{why}, in an empty yard too").format(why=why)
    return _("{why}, and none was found in an empty yard either").format(why=why)


def _reason(problem: Problem, boat: int, rule: str, job: int | None, says: str) -> LeftOut:
    return LeftOut(boat=boat, rule=rule, job=job, reason=says if job is None else f"{problem.jobs[job].name}: {says}")


def _plain_reasons(problem: Problem, plan: Plan, boat: int) -> Iterator[LeftOut]:
    """What can be seen without trying: nobody with the skill, no place that large, a job before that is not planned."""
    placed = plan.by_job()
    pinned = {pin.job for pin in problem.pins}
    for number, job in enumerate(problem.jobs):
        if job.boat != boat or number in pinned:
            continue
        if not any(_enough_people(problem, way) for way in job.ways):
            needs = listed(_("{n} with '{skill}'").format(n=need.count, skill=need.skill) for need in job.ways[0].crew)
            yield _reason(problem, boat, "crew", number, _("the yard has not the people ({needs})").format(needs=needs))
        if not any(_enough_places(problem, way) for way in job.ways):
            yield _reason(problem, boat, "places", number, _("no place has as many units as it needs"))
    for link in problem.links:
        before, after = problem.jobs[link.before], problem.jobs[link.after]
        if after.boat == boat and before.boat != boat and link.before not in placed and link.after not in pinned:
            name = problem.boats[before.boat].name
            yield _reason(
                problem,
                boat,
                "waits",
                link.after,
                _("waits for {job} of {boat}, which is not planned").format(job=before.name, boat=name),
            )


def _enough_people(problem: Problem, way: Way) -> bool:
    return all(
        sum(person.skills.get(need.skill, 0) >= need.level for person in problem.people) >= need.count
        for need in way.crew
    )


def _enough_places(problem: Problem, way: Way) -> bool:
    return all(any(problem.places[place].capacity >= need.units for place in need.any_of) for need in way.places)


def _case(problem: Problem, plan: Plan, boat: int, *, others: bool) -> Freed:
    """One boat set free; `others`: with the whole plan around her."""
    mine = [number for number, job in enumerate(problem.jobs) if job.boat == boat]
    return Freed(problem, plan, mine, others=others)


def _whoever_is_ahead(problem: Problem, alone: Freed) -> LeftOut | None:
    """Alone she still waits for jobs of others where the plan has them: whether that is what leaves her no room."""
    ghosts = {alone.at[number] for number in alone.ghosts}
    waits = [link for link in alone.problem.links if link.before in ghosts]
    apart = replace(alone.problem, links=tuple(link for link in alone.problem.links if link.before not in ghosts))
    if not waits or not _try(apart).fits:
        return None
    by_end = alone.plan.by_job()
    last = max(waits, key=lambda link: by_end[alone.kept[link.before]].ends_at)
    before, after = (problem.jobs[alone.kept[each]] for each in (last.before, last.after))
    name = problem.boats[before.boat].name
    says = _("{after}: {before} of {boat} comes too late before it in this plan").format(
        after=after.name, before=before.name, boat=name
    )
    return LeftOut(boat=after.boat, rule="waits", job=alone.kept[last.after], reason=says)


def _try(problem: Problem) -> _Tried:
    """Whether every open job of the Problem goes in, forward or backward; else the job at which it failed."""
    try:
        room = Room(problem)
    except CannotExpress:
        return _Tried(False, None)
    return _Tried(True, None) if room.insert() else _Tried(False, room.failed)


def _plan_families(case: Freed, boat: int) -> Iterator[_Relaxed]:
    """What the other boats of the plan hold."""
    problem = case.problem
    ghosts = {case.at[number] for number in case.ghosts}

    def pins(change: Callable[[Pin], Pin]) -> Problem:
        return replace(problem, pins=tuple(change(pin) if pin.job in ghosts else pin for pin in problem.pins))

    yield _Relaxed(
        "double_booking",
        _("the people she needs are at other boats whenever she could be done"),
        pins(lambda pin: replace(pin, people=())),
    )
    yield _Relaxed(
        "places",
        _("the places she needs are taken whenever she could be done"),
        pins(lambda pin: replace(pin, places=())),
    )
    mine = tuple(stay for stay in problem.stays if stay.boat == boat)
    yield _Relaxed("stays", _("no berth is free for all of her nights"), replace(problem, stays=mine))
    yield _Relaxed(
        "places",
        _("people and places are taken by the other boats whenever she could be done"),
        pins(lambda pin: replace(pin, people=(), places=())),
    )


def _yard_families(problem: Problem) -> Iterator[_Relaxed]:
    """The yard's own rules, each given up alone."""
    rules = {problem.window_sets[i.window_set].rule for job in problem.jobs for way in job.ways for i in way.inside}
    for rule in sorted(rules):
        yield _Relaxed(
            "windows",
            _("no stretch of {rule} is long enough when she could use it").format(rule=_(rule)),
            _without(problem, rule),
        )
    dated = _jobs(problem, lambda job: replace(job, not_before=None, not_after=None))
    yield _Relaxed("release", _("her dates leave no room"), replace(dated, now=0))
    waits = tuple(replace(link, max_wait=None) if link.min_wait is not None else link for link in problem.links)
    yield _Relaxed("waits", _("she cannot follow as soon as she must"), replace(problem, links=waits))
    starts = problem.calendar.day_starts
    whole = tuple((start, start + 15 * problem.calendar.quarters_per_day) for start in starts)
    people = tuple(replace(person, hours=whole, away=(), slide=None) for person in problem.people)
    yield _Relaxed(
        "hours", _("the people she needs are not at work long enough together"), replace(problem, people=people)
    )
    places = tuple(replace(place, closed=()) for place in problem.places)
    yield _Relaxed("closed", _("a place she needs is closed"), replace(problem, places=places))
    yield _Relaxed(
        "charge",
        _("the workboat runs no longer on one charge than it has to already"),
        replace(problem, places=tuple(replace(place, charges=()) for place in problem.places)),
    )
    yield _Relaxed("stays", _("no berth is free for all of her nights"), replace(problem, stays=()))
    yield _Relaxed(
        "boat", _("her jobs need her in two places"), _jobs(problem, lambda job: replace(job, needs_boat=False))
    )
    loose = tuple(replace(pin, people=(), places=()) for pin in problem.pins)
    yield _Relaxed("pins", _("jobs that stay as they are take what she needs"), replace(problem, pins=loose))


def _jobs(problem: Problem, change: Callable[[Job], Job]) -> Problem:
    return replace(problem, jobs=tuple(map(change, problem.jobs)))


def _without(problem: Problem, rule: str) -> Problem:
    def change(job: Job) -> Job:
        ways = tuple(
            replace(way, inside=tuple(i for i in way.inside if problem.window_sets[i.window_set].rule != rule))
            for way in job.ways
        )
        return replace(job, ways=ways)

    return _jobs(problem, change)
