"""waits: a job starts no sooner and no later after the job before it than it may."""

from __future__ import annotations

from yard.planning.cpsat.season import Expr, JobVars, Literal, Season
from yard.planning.problem import QUARTER_MIN


def post(season: Season) -> None:
    for number, link in enumerate(season.problem.links):
        before, after = season.jobs[link.before], season.jobs[link.after]
        if before.pin is not None and after.pin is not None:
            continue  # facts: no plan can change them
        if after.pin is None and not isinstance(before.present, bool) and before.present is not after.present:
            season.when(season.model.add_bool_or([before.present]), after.present)
        there = (before.present, after.present)
        starts = season.start_minute(after)
        if link.min_wait is not None:
            bare = season.bare_end_minute(before)
            season.when(season.model.add(starts >= bare + link.min_wait), *there)
            if before.job.allowance_quarters:
                over = _over(season, before, number)
                beyond = _beyond_forecast(season, bare, number)
                if beyond is not False:
                    season.when(season.model.add(starts >= over + link.min_wait), *there, beyond)
            if link.min_wait >= 0:  # follows from the rest, and is seen at once
                season.when(season.model.add(after.start >= before.end), *there)
        if link.max_wait is not None:
            latest = season.bare_end_minute(before) + link.max_wait
            season.when(season.model.add(starts <= latest), *there)


def _over(season: Season, before: JobVars, number: int) -> Expr:
    """The end of the allowance of the job before, in the yard's working time."""
    table = _after_allowance(season, before.job.allowance_quarters)
    return table[before.end] if isinstance(before.end, int) else season.element(before.end, table, f"over {number}")


def _beyond_forecast(season: Season, bare_end: Expr, number: int) -> Literal:
    """Whether the job before ends beyond the forecast; as a variable it is false only where it does not."""
    until = season.problem.forecast_until
    if isinstance(bare_end, int) or until <= 0:
        return not isinstance(bare_end, int) or bare_end > until
    beyond = season.model.new_bool_var(f"beyond the forecast {number}")
    season.model.add(bare_end <= until).only_enforce_if(~beyond)
    return beyond


def _after_allowance(season: Season, allowance: int) -> list[int]:
    """For each position (and the end of the axis): the clock minute when that many open quarters have passed.

    Past the last day: a minute after every start, so that nothing follows.
    """
    calendar, axis = season.problem.calendar, season.axis
    closes = axis.per_day if calendar.closes_quarter is None else calendar.closes_quarter
    never = axis.timeline.end_minute(axis.size) + QUARTER_MIN * (allowance + axis.size)
    open_quarters = [p for p in range(axis.size) if calendar.opens_quarter <= p % axis.per_day < closes]
    table = [never] * (axis.size + 1)
    rank = 0
    for position in range(axis.size + 1):
        while rank < len(open_quarters) and open_quarters[rank] < position:
            rank += 1
        last = rank + allowance - 1
        if last < len(open_quarters):
            table[position] = axis.timeline.end_minute(open_quarters[last] + 1)
    return table
