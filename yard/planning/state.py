"""The engine's state: made empty (with what is pinned), filled from a plan, read as a plan."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence

import numpy as np

from yard.planning import engine as e
from yard.planning.layout import Layout
from yard.planning.plan import Placement, Plan, StayAt
from yard.planning.problem import Pin
from yard.planning.spent import charge_rows, spend, spent_words


def seed_of(seed: int, thread: int) -> int:
    """A 32-bit start for the generator, never 0: Knuth's multiplicative hash of (seed, thread)."""
    return ((seed * 1009 + thread + 1) * 2654435761 + 0x9E3779B9) % 0xFFFFFFFF + 1


def empty_state(layout: Layout, berths: Mapping[int, int] | None = None) -> list[int]:
    """Nothing placed but what is pinned; priced."""
    g, axis = layout.g, layout.axis
    state = [0] * layout.state_size
    state[e.RANDOM] = 1
    for area in (e.HELD, e.SAVED, e.BEST, e.TRIED):
        for job in range(g[e.JOBS]):
            state[g[area] + job * g[e.HELD_STRIDE]] = -1
    for area in (e.BERTH, e.BERTH_SAVED, e.BERTH_BEST, e.BERTH_TRIED):
        for stay in range(g[e.STAYS]):
            state[g[area] + stay] = -1
    for job in range(g[e.JOBS]):
        state[g[e.CEILING] + job] = e.FAR
    for order in range(g[e.ORDERS]):
        state[g[e.CAP] + order] = e.FAR
    for number, place in enumerate(layout.stay_places):
        for night in range(axis.days):
            state[g[e.NIGHTS] + number * axis.days + night] = layout.problem.places[place].capacity
    _free_rows(layout, state)
    for pin in layout.problem.pins:
        _pin(layout, state, pin)
    _freshen_all(layout, state)
    _settled_stays(layout, state, berths or {})
    e.price_all(g, state)
    return state


def _free_rows(layout: Layout, state: list[int]) -> None:
    g, axis = layout.g, layout.axis
    words: dict[int, Sequence[int]] = dict(layout.ground.constant_rows)
    whole = [axis.full] * axis.days
    for place, first in enumerate(layout.ground.unit_rows):
        words.update((first + unit, whole) for unit in range(layout.problem.places[place].capacity))
    words.update((row, whole) for row in layout.ground.boat_rows.values())
    words.update(spent_words(layout.ground.spent, axis))
    for person, rows in enumerate(layout.roster.people):
        pairs = zip(layout.roster.normal[person], layout.roster.present[person], strict=True)
        words[rows.free] = [normal & present for normal, present in pairs]
    for row, days in words.items():
        for day, word in enumerate(days):
            state[g[e.FREE] + day * g[e.ROWS] + row] = word


def _pin(layout: Layout, state: list[int], pin: Pin) -> None:
    g, axis, job = layout.g, layout.axis, layout.problem.jobs[pin.job]
    start, end = axis.inner(pin.starts_at), axis.inner_end(pin.ends_at)
    mode = g[g[e.JOB] + pin.job * e.JOB_STRIDE + e.J_MODES]
    held = g[e.HELD] + pin.job * g[e.HELD_STRIDE]
    state[held : held + 4] = [start, end, mode, 0]
    for person in pin.people:
        rows = layout.roster.people[person]
        for day, bits in _bits(layout, start, end):
            at = g[e.FREE] + day * g[e.ROWS]
            if rows.tracked:
                worked = bits & layout.roster.normal[person][day] if job.pausing == "paused" else bits
                state[at + rows.taken] |= bits
                state[at + rows.worked] |= worked
            else:
                state[at + rows.free] &= ~bits
    units = [layout.ground.unit_rows[place] + unit for place, unit in pin.places if _exists(layout, place, unit)]
    taken = [(row, e.hold_end(g, mode, row, end)) for row in units]
    spend(layout.ground.spent, axis, g, state, pin)
    if job.needs_boat and job.boat in layout.ground.boat_rows:
        taken.append((layout.ground.boat_rows[job.boat], end))
    for row, until in taken:
        for day, bits in _bits(layout, start, until):
            state[g[e.FREE] + day * g[e.ROWS] + row] &= ~bits


def _exists(layout: Layout, place: int, unit: int) -> bool:
    places = layout.problem.places
    return 0 <= place < len(places) and 0 <= unit < places[place].capacity


def _bits(layout: Layout, start: int, end: int) -> Iterable[tuple[int, int]]:
    """(day, word) of a stretch."""
    axis = layout.axis
    for day in range(start >> axis.shift, ((end - 1) >> axis.shift) + 1):
        first = max(0, start - (day << axis.shift))
        last = min(axis.quarters, end - (day << axis.shift))
        yield day, (1 << last) - (1 << first)


def _freshen_all(layout: Layout, state: list[int]) -> None:
    g = layout.g
    for person, rows in enumerate(layout.roster.people):
        if not rows.tracked:
            continue
        row = g[e.PERSON] + person * e.PERSON_STRIDE
        for day in range(layout.axis.days):
            worked = state[g[e.FREE] + day * g[e.ROWS] + rows.worked]
            if rows.slide >= 0 and worked & ~layout.roster.normal[person][day]:
                state[g[e.SLID] + g[row + e.P_SLID] + g[g[e.WEEK] + day]] += 1
        for day in range(layout.axis.days):
            e.freshen(g, state, person, day)


def _settled_stays(layout: Layout, state: list[int], berths: Mapping[int, int]) -> None:
    """Stays between pinned jobs, or from the start to the end of the season: where a plan has them (`berths`: place by
    stay), so that boats that lie together go on doing so; else where the fewest others may lie."""
    g = layout.g
    numbers = {place: number for number, place in enumerate(layout.stay_places)}
    wanted = {stay: numbers.get(place, -1) for stay, place in berths.items()}
    asked = [0] * len(layout.stay_places)
    options: list[list[int]] = []
    for stay in range(g[e.STAYS]):
        row = g[e.STAY] + stay * e.STAY_STRIDE
        options.append(list(g[g[row + e.N_PLACES] : g[row + e.N_PLACES] + g[row + e.N_COUNT]]))
        for place in options[-1]:
            asked[place] += 1
    for stay in sorted(range(g[e.STAYS]), key=lambda stay: (wanted.get(stay, -1) < 0, len(options[stay]))):
        row = g[e.STAY] + stay * e.STAY_STRIDE
        first, until = e.stay_from(g, state, row), e.stay_until(g, state, row)
        if first < 0 or until < 0:
            continue
        ranked = sorted(options[stay], key=lambda place: (place != wanted.get(stay), asked[place]))
        free = [place for place in ranked if e.first_full(g, state, place, first) >= until]
        # Where none is free the pins contradict each other; the check will say so.
        e.take_stay(g, state, stay, free[0] if free else ranked[0])


def read_plan(layout: Layout, state: Sequence[int], *, best: bool) -> Plan:
    """The plan that a state holds (`best`: its best so far), without the boats left out."""
    g, axis, problem = layout.g, layout.axis, layout.problem
    state = state.tolist() if isinstance(state, np.ndarray) else state  # Python's numbers, whichever engine made them
    area = g[e.BEST] if best else g[e.HELD]
    berths = g[e.BERTH_BEST] if best else g[e.BERTH]
    placements: list[Placement] = []
    pins = {pin.job: pin for pin in problem.pins}
    for job in range(g[e.JOBS]):
        held = area + job * g[e.HELD_STRIDE]
        if job in pins:
            pin = pins[job]
            placements.append(
                Placement(
                    job=job,
                    way=pin.way,
                    starts_at=pin.starts_at,
                    ends_at=pin.ends_at,
                    people=pin.people,
                    places=pin.places,
                )
            )
        elif state[held] >= 0:
            placements.append(_placement(layout, job, list(state[held : held + g[e.HELD_STRIDE]])))
    spans = {p.job: (axis.inner(p.starts_at), axis.inner_end(p.ends_at)) for p in placements}
    chosen = {stay: int(state[berths + stay]) for stay in range(g[e.STAYS])}
    return Plan(placements=tuple(placements), stays=_name_stays(layout, spans, chosen))


def read_placement(layout: Layout, state: Sequence[int], job: int) -> Placement:
    """One job, neither pinned nor out, as a state holds it."""
    held = layout.g[e.HELD] + job * layout.g[e.HELD_STRIDE]
    return _placement(layout, job, [int(x) for x in state[held : held + layout.g[e.HELD_STRIDE]]])


def _placement(layout: Layout, job: int, row: list[int]) -> Placement:
    mode = layout.modes[row[e.H_MODE]]
    g = layout.g
    rows = row[e.H_ROWS : e.H_ROWS + row[e.H_COUNT]]
    crew = len(mode.gang.turn)
    named = [-1 - x for x in rows[:crew]]
    by_need: list[list[int]] = []
    for count, _members in mode.gang.needs:
        by_need.append(named[:count])
        named = named[count:]
    people = tuple(by_need[need].pop(0) for need in mode.gang.turn)
    units = [x >> 1 for x in rows[crew:]]
    by_place: list[list[int]] = []
    places = g[mode.row + e.K_PLACES]
    for need in range(g[mode.row + e.K_PLACE_COUNT]):
        first = g[places + need * e.PLACE_STRIDE + 2]
        count = g[first + 2]  # units are the same for each alternative of a need
        by_place.append(units[:count])
        units = units[count:]
    held = tuple(layout.place_of_row(by_place[need].pop(0)) for need, count in mode.takes for _unit in range(count))
    return Placement(
        job=job,
        way=mode.way,
        starts_at=layout.axis.outer(row[e.H_START]),
        ends_at=layout.axis.outer_end(row[e.H_END]),
        people=people,
        places=held,
    )


def _name_stays(layout: Layout, spans: dict[int, tuple[int, int]], chosen: dict[int, int]) -> tuple[StayAt, ...]:
    """Name a unit for each stay: nights on a line never need more units than the busiest night."""
    shift, days = layout.axis.shift, layout.axis.days
    nights: list[tuple[int, int, int, int]] = []
    for number, stay in enumerate(layout.problem.stays):
        if any(job is not None and job not in spans for job in (stay.from_job, stay.until_job)):
            continue
        first = 0 if stay.from_job is None else (spans[stay.from_job][1] - 1) >> shift
        until = days if stay.until_job is None else spans[stay.until_job][0] >> shift
        place = layout.stay_places[chosen[number]] if chosen[number] >= 0 else stay.any_of[0]
        nights.append((first, until, number, place))
    free_from: dict[tuple[int, int], int] = {}
    named: list[StayAt] = []
    for first, until, number, place in sorted(nights):
        if until <= first:
            named.append(StayAt(stay=number, place=place, unit=0))
            continue
        capacity = layout.problem.places[place].capacity
        unit = next((u for u in range(capacity) if free_from.get((place, u), 0) <= first), 0)
        free_from[place, unit] = until
        named.append(StayAt(stay=number, place=place, unit=unit))
    return tuple(sorted(named, key=lambda stay: stay.stay))


def load_plan(layout: Layout, state: list[int], plan: Plan) -> None:
    """Place the plan's jobs where it has them, boat by boat, as far as the Problem still allows it.

    A boat of which any job no longer fits as planned is not placed: `construct` or the search puts her back.  A boat
    that is placed already stays where she is.
    """
    g = layout.g
    by_job = plan.by_job()
    numbers = {place: number for number, place in enumerate(layout.stay_places)}
    berths = {stay.stay: numbers.get(stay.place, -1) for stay in plan.stays}
    state[e.PLAIN] = 1
    units = sorted(range(len(layout.units.jobs)), key=lambda unit: (layout.units.levels[unit], unit))
    for unit in units:
        placed: list[int] = []
        jobs = [job for job in layout.units.jobs[unit] if not g[g[e.JOB] + job * e.JOB_STRIDE + e.J_PINNED]]
        if any(state[g[e.HELD] + job * g[e.HELD_STRIDE]] >= 0 for job in jobs):
            continue
        for job in jobs:
            if job not in by_job or not _place_as(layout, state, by_job[job], berths):
                break
            placed.append(job)
        if len(placed) < len(jobs):
            for job in reversed(placed):
                e.unplace(g, state, job)
    e.price_all(g, state)


def _place_as(layout: Layout, state: list[int], wanted: Placement, berths: dict[int, int]) -> bool:
    """Place one job exactly as a plan has it, people and units too, if every rule of the engine allows it."""
    g = layout.g
    row = g[e.JOB] + wanted.job * e.JOB_STRIDE
    start = layout.axis.inner(wanted.starts_at)
    for number in range(g[row + e.J_MODE_COUNT]):
        mode = g[row + e.J_MODES] + number * e.MODE_STRIDE
        if layout.modes[mode].way != wanted.way:
            continue
        rows = _rows_of(layout, state, mode, wanted)
        if rows is None or not e.bounds(g, state, wanted.job, mode):
            continue
        day = start >> g[e.SHIFT]
        if not state[e.LO] <= start <= state[e.HI] or not e.starts_on(g, state, mode, day, start, start):
            continue
        if not _rows_free(layout, state, mode, start, rows):
            continue
        held = g[e.HELD] + wanted.job * g[e.HELD_STRIDE]
        state[held : held + 4 + len(rows)] = [start, e.end_of(g, mode, start), mode, len(rows), *rows]
        e.turn_rows(g, state, wanted.job)
        if not _lie_as(layout, state, wanted.job, berths):
            e.unplace(g, state, wanted.job)
            return False
        return True
    return False


def _lie_as(layout: Layout, state: list[int], job: int, berths: dict[int, int]) -> bool:
    """Take the stays that this job completes where the plan has them."""
    g = layout.g
    row = g[e.JOB] + job * e.JOB_STRIDE
    begun = g[g[row + e.J_FROM] : g[row + e.J_FROM] + g[row + e.J_FROM_COUNT]]
    ended = g[g[row + e.J_UNTIL] : g[row + e.J_UNTIL] + g[row + e.J_UNTIL_COUNT]]
    for number in (*begun, *ended):
        stay = g[e.STAY] + number * e.STAY_STRIDE
        first, until = e.stay_from(g, state, stay), e.stay_until(g, state, stay)
        if first < 0 or until < 0:
            continue
        place = berths.get(number, -1)
        options = g[g[stay + e.N_PLACES] : g[stay + e.N_PLACES] + g[stay + e.N_COUNT]]
        if place not in options or (first < until and e.first_full(g, state, place, first) < until):
            place = -1
        if e.take_stay(g, state, number, place) == 0:
            return False
    return True


def _rows_of(layout: Layout, state: list[int], number: int, wanted: Placement) -> list[int] | None:
    """What a job of this mode would hold, written as the engine does; None if the plan's names do not fit the mode."""
    g, mode = layout.g, layout.modes[number]
    if len(wanted.people) != len(mode.gang.turn) or len(set(wanted.people)) < len(wanted.people):
        return None
    by_need: list[list[int]] = [[] for _ in mode.gang.needs]
    for person, need in zip(wanted.people, mode.gang.turn, strict=True):
        members = {mode.gang.people[at] for at in mode.gang.needs[need][1]}
        if person not in members:
            return None
        by_need[need].append(-1 - person)
    rows = [row for need in by_need for row in need]
    units = list(wanted.places)
    if len(units) != sum(count for _need, count in mode.takes):
        return None
    by_place: list[list[int]] = [[] for _ in range(g[number + e.K_PLACE_COUNT])]
    for need, count in mode.takes:
        for place, unit in units[:count]:
            if not _exists(layout, place, unit):
                return None
            by_place[need].append(2 * (layout.ground.unit_rows[place] + unit) + 1)
        units = units[count:]
    start = layout.axis.inner(wanted.starts_at)
    for need, held in enumerate(by_place):
        if not held and (charge := charge_rows(g, state, number, need, start)) is not None:
            held.extend(2 * row + 1 for row in charge)
    boat = layout.problem.jobs[wanted.job].boat
    if layout.problem.jobs[wanted.job].needs_boat and boat in layout.ground.boat_rows:
        by_place[-1].append(2 * layout.ground.boat_rows[boat])
    for need, held in enumerate(by_place):
        if not _one_alternative(layout, number, need, [row >> 1 for row in held]):
            return None
    return rows + [row for need in by_place for row in need]


def _one_alternative(layout: Layout, mode: int, need: int, rows: list[int]) -> bool:
    g = layout.g
    table = g[mode + e.K_PLACES] + need * e.PLACE_STRIDE
    for number in range(g[table + 1]):
        option = g[table + 2] + number * e.ALTERNATIVE_STRIDE
        inside = all(g[option] <= row < g[option] + g[option + 1] for row in rows)
        if inside and len(rows) == g[option + 2] == len(set(rows)):
            return True
    return False


def _rows_free(layout: Layout, state: list[int], mode: int, start: int, rows: list[int]) -> bool:
    g = layout.g
    end = e.end_of(g, mode, start)
    members = g[mode + e.K_PEOPLE]
    free = {g[members + 2 * i]: g[members + 2 * i + 1] for i in range(g[mode + e.K_PEOPLE_COUNT])}
    for row in rows:
        if row < 0:
            if not e.free_for(g, state, free[-1 - row], start, end):
                return False
            continue
        if not e.free_for(g, state, row >> 1, start, e.hold_end(g, mode, row >> 1, end) if row & 1 else end):
            return False
        if row & 1 and row >> 1 < g[e.CHARGED]:
            place, _unit = layout.place_of_row(row >> 1)
            shut = layout.ground.open_rows.get(place, -1)
            if shut >= 0 and not e.free_for(g, state, shut, start, end):
                return False
    return True


def load_what_fits(layout: Layout, state: list[int], plan: Plan, jobs: Collection[int] | None = None) -> list[int]:
    """Place each of the plan's jobs (of `jobs` only) that has no place yet where the plan has it, if it fits there.

    Gives the jobs that have no place afterwards; they are marked as coming, so that what follows them can stand.
    """
    g = layout.g
    by_job = plan.by_job()
    numbers = {place: number for number, place in enumerate(layout.stay_places)}
    berths = {stay.stay: numbers.get(stay.place, -1) for stay in plan.stays}
    state[e.PLAIN] = 1
    units = sorted(range(len(layout.units.jobs)), key=lambda unit: (layout.units.levels[unit], unit))
    waiting = [
        job
        for unit in units
        for job in layout.units.jobs[unit]
        if not g[g[e.JOB] + job * e.JOB_STRIDE + e.J_PINNED] and state[g[e.HELD] + job * g[e.HELD_STRIDE]] < 0
    ]
    for job in waiting:
        state[g[e.PENDING] + job] = 1
    for job in waiting:
        if job in by_job and (jobs is None or job in jobs) and _place_as(layout, state, by_job[job], berths):
            state[g[e.PENDING] + job] = 0
    return [job for job in waiting if state[g[e.PENDING] + job]]
