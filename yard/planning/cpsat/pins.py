"""pins: started, finished and pinned jobs stay as they are.

What a pinned job holds is posted by the rules of people, places and boats, overlaps between pins made one: no plan
can mend those, and the check tells of them.
"""

from __future__ import annotations

from yard.planning.cpsat.season import Season
from yard.planning.plan import Placement


def narrow(season: Season) -> None:
    """A pinned job has constants for variables."""
    for row in season.jobs:
        if row.pin is not None:
            row.start, row.end = row.pin.starts_at, row.pin.ends_at


def placements(season: Season) -> list[Placement]:
    """Pinned jobs as the plan names them."""
    return [
        Placement(
            job=pin.job,
            way=pin.way,
            starts_at=pin.starts_at,
            ends_at=pin.ends_at,
            people=pin.people,
            places=pin.places,
        )
        for pin in season.problem.pins
    ]
