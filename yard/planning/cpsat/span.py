"""span: a job lasts as long as it takes, and pauses only where it may. Makes the modes of each job."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from yard.planning.cpsat.axis import positions
from yard.planning.cpsat.season import Expr, JobVars, Mode, Season
from yard.planning.problem import QUARTER_MIN, Way


def make_modes(season: Season) -> None:
    """The ways of doing each job, with every start that the calendar alone allows."""
    normal = [season.axis.inside(person.hours) for person in season.problem.people]
    for row in season.unpinned:
        for number, way in enumerate(row.job.ways):
            candidates = _candidates(season, way)
            if row.job.pausing == "fitted":
                row.modes.append(
                    Mode(row.index, number, way, season.axis.whole_in_day(way.duration_quarters), way.duration_quarters)
                )
                row.modes[-1].candidates = candidates
            elif row.job.pausing == "elapsed":
                row.modes.append(_elapsed(season, row, number, way))
            else:
                row.modes.extend(_paused(season, row, number, way, candidates, normal))
        for mode in row.modes:
            mode.spots = [list(need.any_of) for need in mode.way.places]


def _candidates(season: Season, way: Way) -> list[list[int]]:
    people = season.problem.people
    return [
        [index for index, person in enumerate(people) if person.skills.get(need.skill, 0) >= need.level]
        for need in way.crew
    ]


def _elapsed(season: Season, row: JobVars, number: int, way: Way) -> Mode:
    timeline = season.axis.timeline
    ends = {
        start: timeline.first_at_or_after(timeline.minute_at(start) + QUARTER_MIN * way.duration_quarters)
        for start in range(season.axis.size)
    }
    return _with_ends(Mode(row.index, number, way, season.axis.full, None), ends)


def _paused(
    season: Season, row: JobVars, number: int, way: Way, candidates: list[list[int]], normal: list[int]
) -> Iterator[Mode]:
    """One mode for each set of working hours that the crew may share: the quarters counted are those of all."""
    groups: dict[int, list[int]] = {}
    for person in sorted({person for row_of_need in candidates for person in row_of_need}):
        groups.setdefault(normal[person], []).append(person)
    crew_size = sum(need.count for need in way.crew)
    if not crew_size:
        yield _counting(season, Mode(row.index, number, way, 0, None), season.axis.full)
        return
    for count in range(1, min(len(groups), crew_size) + 1):
        for chosen in combinations(groups, count):
            counted = season.axis.full
            for hours in chosen:
                counted &= hours
            allowed = {person for hours in chosen for person in groups[hours]}
            mode = Mode(row.index, number, way, 0, None)
            mode.candidates = [[person for person in need if person in allowed] for need in candidates]
            if count > 1:
                mode.hours_groups = tuple(tuple(groups[hours]) for hours in chosen)
            yield _counting(season, mode, counted)


def _counting(season: Season, mode: Mode, counted: int) -> Mode:
    mode.counted = counted
    where = positions(counted) if counted else []
    length = mode.way.duration_quarters
    ends = {start: last + 1 for start, last in zip(where, where[length - 1 :], strict=False)}
    mode.starts = sum(1 << start for start in ends)
    return _with_ends(mode, ends)


def _with_ends(mode: Mode, ends: dict[int, int]) -> Mode:
    """Where every start takes as many positions, a constant serves."""
    sizes = {end - start for start, end in ends.items()}
    if len(sizes) == 1:
        mode.size = sizes.pop()
    else:
        mode.ends = ends
    return mode


def post(season: Season) -> None:
    """Tie each job's end to its start."""
    for row in season.unpinned:
        for mode in row.modes:
            mode.end = row.start + mode.size if mode.size is not None else _end_by_table(season, row, mode)
        if len(row.modes) == 1:
            row.end = row.modes[0].end
            continue
        row.end = season.model.new_int_var(1, season.axis.size, f"end {row.index}")
        for mode in row.modes:
            season.when(season.model.add(row.end == mode.end), mode.literal)


def _end_by_table(season: Season, row: JobVars, mode: Mode) -> Expr:
    """The end for each start from the job's first to its last; between this mode's own starts any value serves."""
    union = 0
    for other in row.modes:
        union |= other.starts
    where = positions(union)
    low, high = where[0], where[-1]
    own = positions(mode.starts)
    table = [mode.ends[own[0]]] * (high - low + 1)
    for start in own:
        table[start - low] = mode.ends[start]
    return season.element(row.start - low, table, f"end {row.index} {mode.way_index}")
