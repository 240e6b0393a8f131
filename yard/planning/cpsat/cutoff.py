"""cutoff: only plans as cheap as one that is had.

Not a rule of the yard: it takes away plans that cost more than `Cutoff.cost`, and the days on which a job cannot start
in any that does not.
"""

from __future__ import annotations

from yard.planning.cpsat.season import Season


def narrow(season: Season) -> None:
    if season.cutoff is None:
        return
    per_day = season.axis.per_day
    for row in season.unpinned:
        days = season.cutoff.start_days.get(row.index)
        if days is not None:
            mask = sum(((1 << per_day) - 1) << (day * per_day) for day in days)
            for mode in row.modes:
                mode.starts &= mask
