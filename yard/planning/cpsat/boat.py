"""boat: a boat is in one place."""

from __future__ import annotations

from ortools.sat.python import cp_model

from yard.planning.cpsat.season import Season, merged


def post(season: Season) -> None:
    at: dict[int, list[cp_model.IntervalVar]] = {}
    pinned: dict[int, list[tuple[int, int]]] = {}
    for row in season.jobs:
        if not row.job.needs_boat:
            continue
        if row.pin is not None:
            pinned.setdefault(row.job.boat, []).append((row.pin.starts_at, row.pin.ends_at))
        else:
            interval = season.interval(row.start, row.end, f"boat at job {row.index}", row.present)
            at.setdefault(row.job.boat, []).append(interval)
    for boat, intervals in at.items():
        intervals += [season.fixed(*span, f"boat {boat} at a pinned job") for span in merged(pinned.get(boat, []))]
        season.model.add_no_overlap(intervals)
