"""A planned season as the flat table that `dispatch` reads."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cache, partial

import numpy as np
from numpy.typing import NDArray

from yard.promise import dispatch as d
from yard.promise.season import Need, PlannedSeason, SeasonJob, Worker

PAUSING = {"fitted": d.FITTED, "paused": d.PAUSED, "elapsed": d.ELAPSED}


@dataclass(frozen=True, slots=True)
class Layout:
    """table: the dispatch's G, its jobs numbered as the plan starts them.  order: the season's own number of each.
    state: how long S is.  causes: what each cause of TOLD stands for, in order."""

    table: list[int]
    order: list[int]
    state: int
    causes: tuple[tuple[str, str], ...]


class _Table:
    def __init__(self) -> None:
        self.g: list[int] = [0] * d.HEADER
        self._known: dict[tuple[int, ...], int] = {}

    def add(self, values: Iterable[int]) -> int:
        """Append a table; gives its offset. Equal tables stand once."""
        row = tuple(values)
        if row not in self._known:
            self._known[row] = len(self.g)
            self.g.extend(row)
        return self._known[row]

    def counted(self, values: Iterable[int], *, each: int = 1) -> int:
        """A table behind its own count of entries (`each` values an entry)."""
        row = list(values)
        return self.add([len(row) // each, *row])

    def space(self, size: int) -> int:
        at = len(self.g)
        self.g.extend([0] * size)
        return at

    def fill(self, at: int, values: Iterable[int]) -> None:
        row = list(values)
        self.g[at : at + len(row)] = row


def lay_out(season: PlannedSeason) -> Layout:
    """Everything of the season that no scenario changes.

    Jobs that are looked at together stand together: some hundredths of the time.
    """
    order = in_order(season)
    season = _renumbered(season, order)
    table = _Table()
    skills = list(dict.fromkeys(need.skill for job in season.jobs for need in job.needs))
    causes = _causes(season, skills)
    _axis(season, table)
    spots = _spots(season, table)
    _people(season, table)
    _jobs(season, table, skills, spots)
    _lying(season, table, spots)
    g = table.g
    g[d.MARK] = table.space(len(season.milestones) * d.MARK_STRIDE)
    for number, mark in enumerate(season.milestones):
        table.fill(g[d.MARK] + number * d.MARK_STRIDE, (mark.job, int(mark.at_start)))
    marked = {mark.job for mark in season.milestones}
    for index in marked:
        g[g[d.JOB] + index * d.JOB_STRIDE + d.J_MARKED] = 1
    g[d.MARKED] = len(marked) or len(season.jobs) + 1  # where nobody asks for a day, all is lived through
    g[d.MARKS], g[d.CAUSES] = len(season.milestones), len(causes)
    g[d.SKILL_CAUSE], g[d.SPOT_CAUSE] = d.TOLD_SKILL, d.TOLD_SKILL + max(1, len(skills))
    return Layout(table=g, order=order, state=_state(season, g), causes=causes)


def _causes(season: PlannedSeason, skills: list[str]) -> tuple[tuple[str, str], ...]:
    told = [("hours", ""), ("weather", ""), ("water", ""), ("closed", ""), ("fact", ""), ("boat", "")]
    told += [("skill", skill) for skill in skills] or [("skill", "")]
    return (*told, *(("place", spot.name) for spot in season.spots)) if season.spots else (*told, ("place", ""))


def _axis(season: PlannedSeason, table: _Table) -> None:
    axis, g = season.axis, table.g
    per_day = axis.quarters_per_day
    g[d.DAYS], g[d.PER_DAY], g[d.SIZE], g[d.NOW] = axis.days, per_day, axis.size, season.now
    g[d.DAY_START] = table.add(axis.day_starts)
    weeks = {week: number for number, week in enumerate(dict.fromkeys(axis.weeks))}
    g[d.WEEKS] = len(weeks)
    g[d.DAY_WEEK] = table.add(weeks[week] for week in axis.weeks)
    g[d.DAY_FULL] = (1 << per_day) - 1
    g[d.DAY_WAKE] = table.add(_wake(season, day) for day in range(axis.days))
    g[d.CLOCK_FIRST] = axis.day_starts[0]
    clock: list[int] = []
    for day, start in enumerate(axis.day_starts):
        at = -(-(start - axis.day_starts[0]) // 15)
        clock += [day * per_day] * (at - len(clock))
        clock += range(day * per_day, (day + 1) * per_day)
    g[d.CLOCK], g[d.CLOCK_COUNT] = table.add(clock), len(clock)
    g[d.DAY_OF] = table.add(day for day in range(axis.days) for _ in range(per_day))
    g[d.MINUTE] = table.add(start + 15 * quarter for start in axis.day_starts for quarter in range(per_day))


def _wake(season: PlannedSeason, day: int) -> int:
    """The quarters of a day at which somebody's working time, or a place's, begins; always the first."""
    word = 1
    rows = [words[day] for person in season.people for words in (person.work_words, person.slid_words)]
    rows += [spot.open_words[day] for spot in season.spots if spot.open_words]
    for row in rows:
        word |= row & ~(row << 1)
    return word & ((1 << season.axis.quarters_per_day) - 1)


def _spots(season: PlannedSeason, table: _Table) -> list[int]:
    """Write the table of spots; gives each spot's first unit."""
    g = table.g
    g[d.SPOTS] = len(season.spots)
    g[d.SPOT] = table.space(max(1, len(season.spots)) * d.SPOT_STRIDE)
    first: list[int] = []
    units = 0
    for number, spot in enumerate(season.spots):
        first.append(units)
        opens = table.add(spot.open_words) if spot.open_words else -1
        table.fill(g[d.SPOT] + number * d.SPOT_STRIDE, (units, spot.capacity, opens))
        units += spot.capacity
    g[d.UNITS] = units
    return first


def _people(season: PlannedSeason, table: _Table) -> None:
    """A row for each person, and one more for the yard's own hours, in which work without people passes.

    Whoever has the fewest skills stands first, and so is taken first.
    """
    g = table.g
    g[d.PEOPLE] = len(season.people)
    g[d.PERSON] = table.space((len(season.people) + 1) * d.PERSON_STRIDE)
    numbers = _numbers(season)
    lines: list[list[int]] = [[] for _ in season.people]
    for index, job in enumerate(season.jobs):
        for person in job.people:
            lines[numbers[person]].append(index)
    rows = [season.people[person] for person in sorted(numbers, key=lambda person: numbers[person])]
    _at_work(season, table, rows)
    for number, row in enumerate(rows):
        values = (table.add(row.work_words), table.add(row.slid_words), row.slides_per_week)
        worked = _worked(season, table, row.work_words)
        table.fill(g[d.PERSON] + number * d.PERSON_STRIDE, (*values, *worked, table.counted(lines[number])))
    worked = _worked(season, table, season.axis.open_words)
    table.fill(g[d.PERSON] + len(season.people) * d.PERSON_STRIDE + d.PW_BEFORE, worked)


def _numbers(season: PlannedSeason) -> dict[int, int]:
    """Each person's number in the table."""
    people = range(len(season.people))
    ranked = sorted(people, key=lambda person: (len(season.people[person].skills), person))
    return {person: number for number, person in enumerate(ranked)}


def _at_work(season: PlannedSeason, table: _Table, rows: list[Worker]) -> None:
    """Who may be at work in each quarter, a bit for each person: a quick look before the exact one."""
    masks = np.zeros(season.axis.size, dtype=np.int64)
    for number, row in enumerate(rows):
        at_work = [regular | slid for regular, slid in zip(row.work_words, row.slid_words, strict=True)]
        masks |= _quarters(season, at_work).astype(np.int64) << number
    table.g[d.AT_WORK] = table.add(masks.tolist())


def _quarters(season: PlannedSeason, words: Sequence[int]) -> NDArray[np.bool_]:
    """A word a day as one truth for each position of the axis."""
    bits = np.array(words, dtype=np.int64)[:, None] >> np.arange(season.axis.quarters_per_day) & 1
    return bits.ravel().astype(np.bool_)


def _worked(season: PlannedSeason, table: _Table, words: tuple[int, ...]) -> tuple[int, int, int]:
    """How many working quarters lie before each position, and where each of them is."""
    works = _quarters(season, words)
    before = np.concatenate(([0], np.cumsum(works)))
    positions = np.flatnonzero(works).tolist()
    return table.add(before.tolist()), table.add(positions), len(positions)


def in_order(season: PlannedSeason) -> list[int]:
    """The jobs as the plan starts them; those of one moment as they stand."""
    return sorted(range(len(season.jobs)), key=lambda index: (season.jobs[index].planned, index))


def _renumbered(season: PlannedSeason, order: list[int]) -> PlannedSeason:
    """The same season, its jobs in this order."""
    number = {index: rank for rank, index in enumerate(order)}

    def after(index: int | None) -> int | None:
        return None if index is None else number[index]

    return replace(
        season,
        jobs=tuple(season.jobs[index] for index in order),
        waits=tuple(replace(wait, before=number[wait.before], after=number[wait.after]) for wait in season.waits),
        lying=tuple(
            replace(stay, from_job=after(stay.from_job), until_job=after(stay.until_job)) for stay in season.lying
        ),
        milestones=tuple(replace(mark, job=number[mark.job]) for mark in season.milestones),
    )


def _jobs(season: PlannedSeason, table: _Table, skills: list[str], spots: list[int]) -> None:
    g = table.g
    g[d.JOBS], g[d.BOATS], g[d.CLASSES], g[d.FACTS] = (
        len(season.jobs),
        season.boats,
        len(season.weather),
        len(season.facts),
    )
    g[d.JOB] = table.space(max(1, len(season.jobs)) * d.JOB_STRIDE)
    links, numbers = _Links(season), _numbers(season)
    crew = cache(partial(_crew, season, table, skills, numbers))
    domains = [table.add(words) for words in season.domains]
    unit_lines, boat_lines = _lines(season, table, spots)
    for index, job in enumerate(season.jobs):
        row = [0] * d.JOB_STRIDE
        _times(season, job, row, domains)
        row[d.J_CREW] = crew(job.needs)
        named = [numbers[person] for person in job.people]
        row[d.J_PEOPLE], row[d.J_NAMED] = table.counted(named), sum(1 << number for number in set(named))
        row[d.J_SPOTS] = table.add(_spot_needs(job))
        units = [spots[spot] + unit for spot, unit in job.units]
        row[d.J_UNITS] = table.counted([v for unit in units for v in (unit, unit_lines[unit])], each=2)
        row[d.J_AFTER] = table.counted(links.after[index], each=2)
        row[d.J_PREDS] = links.before[index]
        row[d.J_FROM], row[d.J_UNTIL] = table.counted(links.begun[index]), table.counted(links.ended[index])
        row[d.J_BOAT_LINE] = boat_lines.get(job.boat, -1)
        table.fill(g[d.JOB] + index * d.JOB_STRIDE, row)
        g[g[d.JOB] + index * d.JOB_STRIDE + d.J_FACTS] = table.counted(job.facts)


def _times(season: PlannedSeason, job: SeasonJob, row: list[int], domains: list[int]) -> None:
    per_day = season.axis.quarters_per_day
    row[d.J_PLANNED] = job.planned
    row[d.J_EARLIEST] = job.planned // per_day * per_day if job.may_start_early else job.planned
    row[d.J_EARLY], row[d.J_LENGTH], row[d.J_PAUSING] = int(job.may_start_early), job.booked, PAUSING[job.pausing]
    row[d.J_DOMAIN] = domains[job.domain] if job.domain >= 0 else -1
    row[d.J_CLASS], row[d.J_NOT_BEFORE], row[d.J_BOAT] = job.weather, max(job.not_before, season.now), job.boat
    row[d.J_SLIDES], row[d.J_WATER], row[d.J_RUNNING] = int(job.slides), int(job.in_water), int(job.running)


class _Links:
    """Waits and stays by job."""

    def __init__(self, season: PlannedSeason) -> None:
        count = len(season.jobs)
        self.after: list[list[int]] = [[] for _ in range(count)]
        self.before = [0] * count
        self.begun: list[list[int]] = [[] for _ in range(count)]
        self.ended: list[list[int]] = [[] for _ in range(count)]
        for wait in season.waits:
            self.after[wait.before] += [wait.after, wait.min_wait]
            self.before[wait.after] += 1
        for number, stay in enumerate(season.lying):
            if stay.from_job is not None:
                self.begun[stay.from_job].append(number)
            if stay.until_job is not None:
                self.ended[stay.until_job].append(number)


def _lines(season: PlannedSeason, table: _Table, spots: list[int]) -> tuple[dict[int, int], dict[int, int]]:
    """What the plan puts into each unit and does on each boat, in its order."""
    units: dict[int, list[int]] = {}
    boats: dict[int, list[int]] = {}
    for index, job in enumerate(season.jobs):
        for spot, unit in job.units:
            units.setdefault(spots[spot] + unit, []).append(index)
        if job.boat >= 0:
            boats.setdefault(job.boat, []).append(index)
    return (
        {unit: table.counted(line) for unit, line in units.items()},
        {boat: table.counted(line) for boat, line in boats.items()},
    )


def _crew(
    season: PlannedSeason, table: _Table, skills: list[str], numbers: dict[int, int], needs: tuple[Need, ...]
) -> int:
    """Needs, the scarcest skill first: who has it as a mask, how many are needed, which skill it is."""
    found = []
    for need in needs:
        who = [numbers[person] for person, row in enumerate(season.people) if row.has(need.skill, need.level)]
        found.append((len(who), sum(1 << number for number in who), need))
    found.sort(key=lambda each: each[0])
    rows = [(mask, need.count, skills.index(need.skill)) for _, mask, need in found]
    return table.counted([value for row in rows for value in row], each=3)


def _spot_needs(job: SeasonJob) -> list[int]:
    row = [len(job.spots)]
    for need in job.spots:
        row += [need.units, need.planned, len(need.any_of), *need.any_of]
    return row


def _lying(season: PlannedSeason, table: _Table, spots: list[int]) -> None:
    g = table.g
    g[d.LYINGS] = len(season.lying)
    g[d.LIE] = table.space(max(1, len(season.lying)) * d.LIE_STRIDE)
    for number, stay in enumerate(season.lying):
        from_job = -1 if stay.from_job is None else stay.from_job
        until = -1 if stay.until_job is None else stay.until_job
        planned = spots[stay.planned[0]] + stay.planned[1]
        table.fill(g[d.LIE] + number * d.LIE_STRIDE, (until, from_job, table.counted(stay.any_of), planned))


def _state(season: PlannedSeason, g: list[int]) -> int:
    """Give each array of the state its offset; gives the length of all."""
    jobs, people, days = len(season.jobs), len(season.people), season.axis.days
    sizes = {
        d.LIFE: jobs * d.LIFE_STRIDE,
        d.WEATHER: len(season.weather) * days,
        d.FACT: len(season.facts),
        d.P_UNTIL: people,
        d.U_UNTIL: g[d.UNITS],
        d.B_UNTIL: season.boats,
        d.P_NEXT: people,
        d.U_NEXT: g[d.UNITS],
        d.B_NEXT: season.boats,
        d.SLID: people * days,
        d.SLID_WEEK: people * g[d.WEEKS],
        d.LIE_UNIT: len(season.lying),
        d.AWAKE: jobs // d.WORD + 1,
        d.BED: days,
        d.TEAM: people,
        d.TAKEN: g[d.UNITS] + 1,
        d.LATER: days,
    }
    if set(sizes) != set(range(d.LIFE, d.STATE_SIZE)):
        raise AssertionError("an array of the state has no room")
    at = d.REGISTERS
    for name, size in sizes.items():
        g[name] = at
        at += max(1, size)
    g[d.STATE_SIZE] = at
    return at
