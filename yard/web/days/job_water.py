"""The water that a planned job's boat needs on a day, and when that day has it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import reduce

from django.utils.translation import gettext as _

from yard.models import GaugeReading, Job, WaterNeed, YardSettings
from yard.pictures.lettering import clock, height_text
from yard.pictures.shapes import Span
from yard.services.read_problem import WaterLevel
from yard.tides.source import TideSource
from yard.web.days.hours import DAY, end_clock
from yard.web.days.ramp_work import level_of
from yard.web.days.water import NoTide, windows_on
from yard.web.units import height, height_unit

Tides = Mapping[str, TideSource | NoTide]
"""The tide at "ramp" and at "field"."""


@dataclass(frozen=True)
class JobWater:
    """level: what she needs, or which fact is missing. spans: when that day has it."""

    level: WaterLevel | str
    spans: tuple[Span, ...]


def job_water(
    job: Job, yard: YardSettings, day: date, tides: Tides, floated: Mapping[int, GaugeReading]
) -> JobWater | None:
    """None for a job that needs no water."""
    if job.water_need == WaterNeed.NONE:
        return None
    level = level_of(job, yard, floated)
    if not isinstance(level, WaterLevel):
        return JobWater(level, ())
    tide = tides[level.where]
    if isinstance(tide, NoTide):
        return JobWater(_("no tide station"), ())
    return JobWater(level, tuple(windows_on(tide, yard, day, level.rising_m - yard.margin_rising_m)))


def water_words(water: JobWater | None, yard: YardSettings) -> str:
    """ "Water 10:00 to 14:00, needs 7.4 ft."; "" for a job that needs none."""
    if water is None:
        return ""
    if not isinstance(water.level, WaterLevel):
        return _("Water not judged: {why}.").format(why=water.level) if water.level else ""
    if water.spans == (DAY,):
        words = _("Water all day, needs {height} {unit}.")
    elif not water.spans:
        words = _("No water for her, needs {height} {unit}.")
    else:
        words = _("Water {windows}, needs {height} {unit}.")
    needs, unit = height_text(height(water.level.rising_m, yard)), height_unit(yard)
    return words.format(windows=_windows(water.spans), height=needs, unit=unit)


def _windows(spans: tuple[Span, ...]) -> str:
    """ "10:00 to 12:00 and 21:10 to 22:00" """
    each = [_("{first} to {last}").format(first=clock(span.starts_min), last=end_clock(span)) for span in spans]
    return reduce(lambda first, last: _("{first} and {last}").format(first=first, last=last), each) if each else ""
