"""release: nothing starts before its date, after its date or in the past."""

from __future__ import annotations

from yard.planning.cpsat.season import Season


def narrow(season: Season) -> None:
    axis = season.axis
    last_minute = axis.timeline.end_minute(axis.size)
    coming = axis.full & ~((1 << season.problem.now) - 1)
    for row in season.unpinned:
        first = axis.day_starts[0] if row.job.not_before is None else row.job.not_before
        last = last_minute if row.job.not_after is None else row.job.not_after
        mask = coming & axis.begins_between(first, last)
        for mode in row.modes:
            mode.starts &= mask
