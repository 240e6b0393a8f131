"""The water that a planned job's boat needs on a day, and when that day has it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from yard.models import GaugeReading, Job, WaterNeed, YardSettings
from yard.pictures.lettering import clock, height_text
from yard.pictures.shapes import Span
from yard.services.read_problem import WaterLevel
from yard.tides.source import TideSource
from yard.web.days.hours import DAY
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
        return JobWater("no tide station", ())
    return JobWater(level, tuple(windows_on(tide, yard, day, level.rising_m - yard.margin_rising_m)))


def water_words(water: JobWater | None, yard: YardSettings) -> str:
    """ "Water 10:00 to 14:00, needs 7.4 ft."; "" for a job that needs none."""
    if water is None:
        return ""
    if not isinstance(water.level, WaterLevel):
        return f"Water not judged: {water.level}." if water.level else ""
    needs = f"needs {height_text(height(water.level.rising_m, yard))} {height_unit(yard)}"
    if water.spans == (DAY,):
        return f"Water all day, {needs}."
    if not water.spans:
        return f"No water for her, {needs}."
    return f"Water {' and '.join(f'{clock(s.starts_min)} to {end_clock(s)}' for s in water.spans)}, {needs}."


def end_clock(span: Span) -> str:
    return "24:00" if span.ends_min == 1440 else clock(span.ends_min)
