"""Windows that all jobs share: working light, and outdoor time and water that nothing has closed."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.utils.translation import gettext as _

from yard.models import Closure, YardSettings
from yard.planning.problem import WindowSet
from yard.services.read_problem.axis import Axis, YardNotReady
from yard.services.read_problem.intervals import minus, union
from yard.services.read_problem.rows import Rows
from yard.tides.daylight import daylight


def common_sets(rows: Rows, axis: Axis) -> list[WindowSet]:
    """ "light" always; "outdoors" and "water open" only where something is closed."""
    sets = [light_set(rows.yard, axis)]
    for key, covers in (
        ("outdoors", {Closure.Covers.OUTDOORS}),
        ("water open", {Closure.Covers.OUTDOORS, Closure.Covers.WATER}),
    ):
        shut = union(
            (axis.minute(row.starts_at), axis.minute(row.ends_at)) for row in rows.closures if row.covers in covers
        )
        if shut:
            whole = ((axis.minute(axis.starts_at), axis.minute(axis.ends_at)),)
            sets.append(WindowSet(key=key, rule="closed", intervals=minus(whole, shut)))
    return sets


def light_set(yard: YardSettings, axis: Axis) -> WindowSet:
    """Working light of every day: from sun or civil dawn, as the yard's rule says, with its margin."""
    if yard.latitude is None or yard.longitude is None:
        raise YardNotReady(_("The yard's latitude and longitude are not entered: light cannot be computed (Yard)."))
    margin = timedelta(minutes=yard.light_margin_min)
    intervals = []
    for day in axis.dates:
        light = daylight(yard.latitude, yard.longitude, day, yard.time_zone)
        first, last = (
            (light.sunrise, light.sunset) if yard.light_rule == "sun" else (light.civil_dawn, light.civil_dusk)
        )
        if not isinstance(first, datetime) or not isinstance(last, datetime):
            continue  # a day on which the sun does not cross: no working light is assumed
        intervals.append((axis.minute(first - margin) + 1, axis.minute(last + margin)))
    return WindowSet(key="light", rule="light", intervals=union(intervals))
