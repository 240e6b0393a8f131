"""What follows from the other rules where jobs differ in nothing but length, due day and weight.

Not a rule of the yard: it only takes away plans for which an equal or better one is left, without which a single
busy machine is not proved in a minute (OR-Library's wt40, instance 1).

Two jobs of one machine, `one` no longer, no less weighty and due no later than `two`: where `two` comes first, let them
change places, and what lies between moves earlier by the difference of their lengths. `one` gains at least what `two`
loses, since its days late rise at least as fast from any end on, and nothing else ends later.  So `one` may be put
first.  Of all best plans take one with the fewest pairs out of order, and exchange the closest such pair: no new one
arises, since the order is transitive. (Emmons 1969 for one machine, cited from memory; the argument stands by itself.)
"""

from __future__ import annotations

from itertools import combinations

from yard.planning.cpsat.places import pinned_units
from yard.planning.cpsat.season import JobVars, Season
from yard.planning.problem import Order


def post(season: Season) -> None:
    tied = _tied_jobs(season)
    for place, row in enumerate(season.problem.places):
        users = [job for job in season.unpinned if _uses(job, place)]
        if row.capacity > 1 or pinned_units(season, place) or not _alike(season, users, place, tied):
            continue
        for one, two in combinations(sorted(users, key=lambda job: _rank(season, job)), 2):
            if _first_may_be(season, one, two):
                season.model.add(one.end <= two.start)


def _tied_jobs(season: Season) -> set[int]:
    """Jobs that some other fact names."""
    problem = season.problem
    tied = {job for link in problem.links for job in (link.before, link.after)}
    tied |= {job for stay in problem.stays for job in (stay.from_job, stay.until_job) if job is not None}
    by_order: dict[int, list[JobVars]] = {}
    for row in season.jobs:
        by_order.setdefault(row.job.order, []).append(row)
    for order, rows in by_order.items():
        if len(rows) > 1 or problem.orders[order].began_day is not None:
            tied |= {row.index for row in rows}
    return tied


def _uses(row: JobVars, place: int) -> bool:
    return any(place in need for mode in row.modes for need in mode.spots)


def _alike(season: Season, users: list[JobVars], place: int, tied: set[int]) -> bool:
    """Whether each of them needs this machine alone, from one common start to the end of the calendar."""
    if season.problem.places[place].charges:
        return False  # on which charge each runs is not alike
    if season.may_leave_out or (season.axis.per_day > 1 and season.problem.rates.flow_day):
        return False
    first: set[int] = set()
    for row in users:
        if len(row.modes) > 1 or row.index in tied or row.job.needs_boat:
            return False
        mode = row.modes[0]
        if mode.way.crew or mode.size is None or mode.way.place_extra_quarters or mode.spots != [[place]]:
            return False
        lowest = (mode.starts & -mode.starts).bit_length() - 1
        last = season.axis.size - mode.size
        if mode.starts != (1 << (last + 1)) - (1 << lowest):
            return False
        first.add(lowest)
    return len(first) == 1


def _order(season: Season, row: JobVars) -> Order:
    return season.problem.orders[row.job.order]


def _rank(season: Season, row: JobVars) -> tuple[int, int, int, int]:
    order = _order(season, row)
    return row.modes[0].size or 0, -order.goes_first, order.due_day, row.index


def _first_may_be(season: Season, one: JobVars, two: JobVars) -> bool:
    """`one` comes before `two` in rank, so it is no longer; equals go by their index."""
    first, second = _order(season, one), _order(season, two)
    return first.goes_first >= second.goes_first and first.due_day <= second.due_day
