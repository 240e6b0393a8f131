"""Sails on the lines: how much line each drying job takes, and by when what came off damp must hang.

A place with a length of line is planned in stretches of STRETCH_M: sails are rounded up, which leaves room between two
of them, and the line is rounded down. A sail that is longer than the longest line hangs doubled and takes all of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from math import ceil

from yard.models import Job, Place, PlaceKind
from yard.queries.sails import DAMP_KEY, DRY, USUAL_LINE_M, DampSail, damp_sails, line_taken, sails_of_jobs

STRETCH_M = 2.0
"""Fine enough for sails of 5 to 15 m, and a plan names few units (common practice)."""


@dataclass(frozen=True)
class Drying:
    """line_m: of each job that dries sails, by job id. damp: of those, the damp sail whose day ends first."""

    line_m: Mapping[int, float] = field(default_factory=dict)
    damp: Mapping[int, DampSail] = field(default_factory=dict)

    def units(self, job: int, longest: int) -> int:
        """Stretches that a job takes, at most all of the longest line."""
        return min(max(1, ceil(self.line_m.get(job, USUAL_LINE_M) / STRETCH_M - 1e-9)), longest)


def read_drying(jobs: Iterable[Job], now: datetime) -> Drying:
    """At most five queries, none where no open job dries sails. What is on the line already has no day to keep."""
    rows = [job for job in jobs if job.kind.key == DRY and job.state not in (Job.State.DONE, Job.State.CANCELLED)]
    if not rows:
        return Drying()
    sails = sails_of_jobs(rows)
    lengths = {pk: sum(line_taken(sail).length_m for sail in held) or USUAL_LINE_M for pk, held in sails.items()}
    lying = {each.sail.pk: each for each in damp_sails(now, {sail.pk for held in sails.values() for sail in held})}
    damp = {}
    for job in rows:
        mine = [lying[sail.pk] for sail in sails[job.pk] if sail.pk in lying]
        if mine and job.key.startswith(DAMP_KEY) and job.state != Job.State.STARTED:
            damp[job.pk] = min(mine, key=lambda each: each.until)
    return Drying(lengths, damp)


def capacity_of(row: Place) -> int:
    """Units that the planner counts: stretches of a line whose length is known, else as the place says."""
    if row.kind == PlaceKind.DRYING_LINE and row.line_m:
        return max(1, int(row.line_m / STRETCH_M + 1e-9))
    return row.capacity
