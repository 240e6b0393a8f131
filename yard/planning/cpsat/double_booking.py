"""double_booking: nobody is in two places at once; a pause is not free for other work."""

from __future__ import annotations

from ortools.sat.python import cp_model

from yard.planning.cpsat.season import Season, merged


def post(season: Season) -> None:
    busy: dict[int, list[cp_model.IntervalVar]] = {}
    for row in season.unpinned:
        for mode in row.modes:
            for person, booked in mode.booked.items():
                interval = season.interval(row.start, mode.end, f"job {row.index} person {person}", booked)
                busy.setdefault(person, []).append(interval)
    for person, intervals in busy.items():
        pinned = merged((pin.starts_at, pin.ends_at) for pin in season.problem.pins if person in pin.people)
        intervals += [season.fixed(starts, ends, f"pinned person {person}") for starts, ends in pinned]
        season.model.add_no_overlap(intervals)
