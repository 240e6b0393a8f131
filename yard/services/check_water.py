"""Water at the yard's door: from the rows as they are, and from heights of water, not from windows.

The planner is given windows; here nothing of that is used. For each job that needs water the predicted height is
worked out minute by minute through the stretch that needs it, and held against what the boat's draft, the ramp or
the mooring and the yard's margins ask for, added up anew from the rows.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np
from django.utils.translation import gettext as _
from numpy.typing import NDArray

from yard.models import Boat, GaugeReading, Job, Mooring, YardSettings
from yard.planning import plan as planner_plan
from yard.services.read_problem import ReadProblem, tide_at
from yard.speech import number

FloatArray = NDArray[np.float64]

ROUNDING_M = 0.002
"""The planner's levels are rounded up to the millimetre and its windows to whole minutes inside; no more than that."""


@dataclass(frozen=True)
class WaterFault:
    """A stretch of a job without enough water ("water"), or with too much to pass under a bridge ("under").

    Heights in metres above the station's datum.
    """

    rule: str
    job: int
    boat: str
    at: datetime
    height_m: float
    needed_m: float

    @property
    def message(self) -> str:
        if self.rule == "under":
            return _(
                "{boat} passes under with at most {needed} m at {at} UTC, and the tide is predicted at {predicted} m"
            ).format(
                boat=self.boat,
                needed=number(self.needed_m, 2),
                at=f"{self.at:%Y-%m-%d %H:%M}",
                predicted=number(self.height_m, 2),
            )
        return _("{boat} needs {needed} m at {at} UTC, and the tide is predicted at {predicted} m").format(
            boat=self.boat,
            needed=number(self.needed_m, 2),
            at=f"{self.at:%Y-%m-%d %H:%M}",
            predicted=number(self.height_m, 2),
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
        for rule, needed_m, short_m in _kept(row, yard, floated, heights):
            worst = int(np.argmax(short_m))
            if short_m[worst] > ROUNDING_M:
                found.append(
                    WaterFault(
                        rule=rule,
                        job=row.pk,
                        boat=row.order.boat.name if row.order.boat else row.order.walk_in_name,
                        at=first + timedelta(minutes=worst),
                        height_m=float(heights[worst]),
                        needed_m=float(needed_m[worst]),
                    )
                )
    return found


def _kept(
    row: Job, yard: YardSettings, floated: dict[int | None, float], heights_m: FloatArray
) -> Iterator[tuple[str, FloatArray, FloatArray]]:
    """What the job must keep: the rule, the height it asks for at each minute, and by how much that is missed."""
    if row.water_need != "below_maximum":
        margins = np.where(np.gradient(heights_m) >= 0, yard.margin_rising_m, yard.margin_falling_m)
        needed = _base_m(row, yard, floated) + margins
        yield "water", needed, needed - heights_m
    mooring = _mooring(row)
    underside_m = mooring.underside_m_above_datum if mooring is not None else None
    if row.water_need in ("route", "below_maximum") and underside_m is not None:
        boat = row.order.boat
        mast_m = boat.mast_height_m if boat is not None and boat.mast_height_m is not None else float("inf")
        highest = np.full_like(heights_m, underside_m - mast_m - max(yard.margin_rising_m, yard.margin_falling_m))
        yield "under", highest, heights_m - highest


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
    mooring = _mooring(row)
    depths = [] if mooring is None else [mooring.depth_m_at_datum, mooring.route_shoalest_m_at_datum]
    known = [depth for depth in depths if depth is not None]
    return draft - min(known) if known else float("inf")


def _mooring(row: Job) -> Mooring | None:
    """Where she goes: the order's own mooring, else the one of her permit."""
    boat = row.order.boat
    return row.order.to_mooring or (next(iter(boat.permit_moorings.all()), None) if boat is not None else None)
