"""The weather allowance of each job: what follows an outdoor job waits, and its place stays taken a little longer.

The table is the yard's own where it has one (YardSettings.weather_allowance), else the one that yard.weather
computes from the climate shipped with the program, once in each process.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from django.conf import settings

from yard.models import Job, WeatherClass, YardSettings
from yard.weather.allowance import (
    NO_ALLOWANCE,
    Allowance,
    AllowanceTable,
    ClassAllowance,
    Knot,
    WorkingHours,
    allowance_table,
)
from yard.weather.climate import Season, WorkClass, read_half_day_climate, season_of

CLASS_OF: dict[str, WorkClass] = {
    WeatherClass.SAILS: WorkClass.SAILS_AND_COVERS,
    WeatherClass.PATTERN: WorkClass.PATTERN,
    WeatherClass.MAST: WorkClass.MAST_GUST_15,
    WeatherClass.AFLOAT: WorkClass.AFLOAT,
    WeatherClass.COATING: WorkClass.COATING,
}
"""Washing has no class of its own: above 40 F it goes on in nearly any weather of a season (common practice)."""

SEED, RUNS = 1, 2000
CLIMATE_FOLDER = settings.BASE_DIR / "fixtures" / "climate"


@lru_cache(maxsize=1)
def computed_table() -> AllowanceTable:
    """The table computed from the climate that is shipped; seconds the first time, kept in the process."""
    climate = read_half_day_climate((CLIMATE_FOLDER / "half_day.json").read_bytes())
    return allowance_table(climate.chains, WorkingHours(), seed=SEED, runs=RUNS)


def table_of(yard: YardSettings) -> AllowanceTable:
    return table_from_json(yard.weather_allowance) if yard.weather_allowance else computed_table()


def table_as_json(table: AllowanceTable) -> dict[str, Any]:
    """For the settings page and its row: {class: {season: {hours_ok, whole: [[length, wait]], pieced: [...]}}}."""
    rows: dict[str, Any] = {}
    for (work_class, season), row in table.rows.items():
        rows.setdefault(str(work_class), {})[str(season)] = {
            "hours_ok": row.hours_ok,
            "whole": [[knot.length_min, knot.wait_min] for knot in row.whole],
            "pieced": [[knot.length_min, knot.wait_min] for knot in row.pieced],
        }
    return rows


def table_from_json(rows: dict[str, Any]) -> AllowanceTable:
    """Raises ValueError or KeyError where the stored table does not make sense."""

    def knots(pairs: list[list[float]]) -> tuple[Knot, ...]:
        return tuple(Knot(int(length), float(wait), 0.0) for length, wait in pairs)

    return AllowanceTable(
        {
            (WorkClass(work_class), Season(season)): ClassAllowance(
                hours_ok=row["hours_ok"], whole=knots(row["whole"]), pieced=knots(row["pieced"])
            )
            for work_class, seasons in rows.items()
            for season, row in seasons.items()
        }
    )


def allowance_of(table: AllowanceTable, job: Job, length_min: int, month: int) -> Allowance:
    """The allowance of one outdoor job of this bare length in this month; none indoors."""
    work_class = CLASS_OF.get(job.weather_class)
    if not job.outdoor or work_class is None:
        return NO_ALLOWANCE
    return table.for_job(work_class, season_of(month), length_min)
