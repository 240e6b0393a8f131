"""The check at the yard's door: from the rows as they are, and from heights of water, not from windows.

The planner is given windows; here nothing of that is used. For each job that needs water the predicted height is
worked out minute by minute through the stretch that needs it, and held against what the boat's draft, the ramp or
the mooring and the yard's margins ask for, added up anew from the rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from yard.models import Boat, GaugeReading, Job, Mooring, Plan, YardSettings
from yard.planning import plan as planner_plan
from yard.planning.check import faults
from yard.services.read_problem import ReadProblem, read_problem, tide_at
from yard.services.stored_plan import plan_from_rows

ROUNDING_M = 0.002
"""The planner's levels are rounded up to the millimetre and its windows to whole minutes inside; no more than that."""


@dataclass(frozen=True)
class WaterFault:
    """A stretch of a job without enough water. Heights in metres above the station's datum."""

    rule: str
    job: int
    boat: str
    at: datetime
    height_m: float
    needed_m: float

    @property
    def message(self) -> str:
        return (
            f"{self.boat} needs {self.needed_m:.2f} m at {self.at:%Y-%m-%d %H:%M} UTC,"
            f" and the tide is predicted at {self.height_m:.2f} m"
        )


def water_faults(read: ReadProblem, plan: planner_plan.Plan) -> list[WaterFault]:
    """Every placed job that needs water and lacks it at some minute; pinned jobs included."""
    yard = YardSettings.objects.get(pk=1)
    rows = {
        row.pk: row
        for row in Job.objects.filter(pk__in=read.jobs)
        .exclude(water_need="none")
        .select_related("kind", "order__boat", "order__to_mooring")
        .prefetch_related("ways", "order__boat__permit_moorings")
    }
    floated = {
        reading.boat_id: reading.observed_m_above_datum
        for reading in GaugeReading.objects.filter(boat__isnull=False).order_by("at", "id")
    }
    tides = {"ramp": tide_at(yard, "ramp"), "field": tide_at(yard, "field")} if rows else {}
    found = []
    for placed in plan.placements:
        row = rows.get(read.jobs[placed.job])
        if row is None or row.state == Job.State.STARTED:
            continue  # a job under way is a fact: whoever is there reads the gauge
        starts = read.axis.timeline.starts_at(placed.starts_at)
        sequence = int(read.problem.jobs[placed.job].ways[placed.way].name)
        first, last = _wet_stretch(row, sequence, starts, read.axis.timeline.ends_at(placed.ends_at))
        where = "ramp" if row.water_need == "ramp" else "field"
        minutes = np.arange(first.timestamp(), last.timestamp() + 1.0, 60.0)
        heights = tides[where].heights_m(minutes)
        base = _base_m(row, yard, floated)
        margins = np.where(np.gradient(heights) >= 0, yard.margin_rising_m, yard.margin_falling_m)
        short = base + margins - heights
        worst = int(np.argmax(short))
        if short[worst] > ROUNDING_M:
            found.append(
                WaterFault(
                    rule="water",
                    job=row.pk,
                    boat=row.order.boat.name if row.order.boat else row.order.walk_in_name,
                    at=first + timedelta(minutes=worst),
                    height_m=float(heights[worst]),
                    needed_m=float(base + margins[worst]),
                )
            )
    return found


def _wet_stretch(row: Job, sequence: int, starts: datetime, ends: datetime) -> tuple[datetime, datetime]:
    way = next((way for way in row.ways.all() if way.sequence == sequence), None)
    parts = (way.parts if way is not None else []) or row.kind.parts
    at, wet = starts, []
    for part in parts:
        until = at + timedelta(minutes=part["minutes"])
        if part["water"]:
            wet.append((at, until))
        at = until
    return (wet[0][0], wet[-1][1]) if wet else (starts, ends)


def _base_m(row: Job, yard: YardSettings, floated: dict[int | None, float]) -> float:
    """The height that just floats her there, before any margin."""
    boat: Boat | None = row.order.boat
    draft = boat.draft_m if boat is not None and boat.draft_m is not None else float("inf")
    if row.water_need == "ramp":
        if boat is not None and boat.pk in floated:
            return floated[boat.pk]
        return (yard.ramp_toe_m_above_datum or 0.0) + (yard.trailer_height_m or 0.0) + draft
    mooring = row.order.to_mooring or (_permit_mooring(boat) if boat is not None else None)
    depths = [] if mooring is None else [mooring.depth_m_at_datum, mooring.route_shoalest_m_at_datum]
    known = [depth for depth in depths if depth is not None]
    return draft - min(known) if known else float("inf")


def _permit_mooring(boat: Boat) -> Mooring | None:
    return next(iter(boat.permit_moorings.all()), None)


@dataclass(frozen=True)
class Fault:
    """One fault of a stored plan, as check_plan prints it."""

    rule: str
    job: str
    message: str


def check_stored(plan: Plan) -> list[Fault]:
    """Check a stored plan from its rows and from the yard's facts as they are now.

    The plan's rows are laid on a Problem read anew as of the moment it was made; work finished since is left away.
    Raises YardNotReady where the yard's facts no longer make a Problem at all.
    """
    read = read_problem(now=plan.made_at)
    stored = plan_from_rows(plan, read)
    found = [
        Fault(rule=breach.rule, job=_job_name(read, breach.job), message=breach.message)
        for breach in faults(read.problem, stored)
    ]
    return found + [
        Fault(rule=water.rule, job=str(water.job), message=water.message) for water in water_faults(read, stored)
    ]


def _job_name(read: ReadProblem, job: int | None) -> str:
    return "" if job is None or not 0 <= job < len(read.jobs) else str(read.jobs[job])
