"""The weather allowance of each job: what follows an outdoor job waits, and its place stays taken a little longer.

The table is computed by yard.weather from the climate shipped with the program and the yard's own hours and tides
(yard.services.read_problem.weather_ground), once in each process for each ground; the cells that the yard has set
itself (YardSettings.weather_allowance) stand in the place of the computed ones.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import lru_cache
from typing import Any

import numpy as np
from django.conf import settings

from yard.models import Job, WeatherClass, YardSettings
from yard.services.read_problem.weather_ground import AllowanceGround
from yard.weather.allowance import (
    NO_ALLOWANCE,
    Allowance,
    AllowanceTable,
    ClassAllowance,
    Knot,
    NeverWorkable,
    allowance_table,
)
from yard.weather.climate import HalfDayChain, Season, WorkClass, read_half_day_climate, season_of

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


Cell = tuple[WorkClass, Season, str, int]
"""A figure of the table: class, season, family (one of FAMILIES), and length in minutes (0 for the share)."""
WHOLE, PIECED, SHARE = "whole", "pieced", "hours_ok"
FAMILIES = (WHOLE, PIECED, SHARE)


@lru_cache(maxsize=1)
def _chains() -> Mapping[tuple[WorkClass, Season], HalfDayChain]:
    return read_half_day_climate((CLIMATE_FOLDER / "half_day.json").read_bytes()).chains


@lru_cache(maxsize=8)
def computed_table(ground: AllowanceGround) -> AllowanceTable:
    """The table of the shipped climate, the yard's hours and its tides; a second or two, kept in the process.

    Launches and deliveries start only where the water lets them. Where not even a quarter of an hour afloat can
    ever start on this ground, the water is left out of the table: the planner's own windows still hold.
    """
    dry = {key: chain for key, chain in _chains().items() if key[0] != WorkClass.AFLOAT}
    afloat = {key: chain for key, chain in _chains().items() if key[0] == WorkClass.AFLOAT}
    table = allowance_table(dry, ground.hours, seed=SEED, runs=RUNS)
    water = {WorkClass.AFLOAT: np.array(ground.may_start, dtype=np.bool_)} if ground.may_start else {}
    try:
        wet = allowance_table(afloat, ground.hours, seed=SEED, runs=RUNS, may_start=water)
    except NeverWorkable:
        wet = allowance_table(afloat, ground.hours, seed=SEED, runs=RUNS)
    return AllowanceTable({**table.rows, **wet.rows})


def table_of(yard: YardSettings, ground: AllowanceGround) -> AllowanceTable:
    """The table that a plan reads: computed, with the yard's own cells in it."""
    return with_cells(computed_table(ground), cells_from_json(yard.weather_allowance))


def with_cells(table: AllowanceTable, cells: Mapping[Cell, float]) -> AllowanceTable:
    """The table with these figures in the place of its own; a length that it lacks is a knot of its own."""
    rows = dict(table.rows)
    for (work_class, season, family, length), value in cells.items():
        row = rows.get((work_class, season))
        if row is not None:
            rows[work_class, season] = _with_cell(row, family, length, value)
    return AllowanceTable(rows)


def _with_cell(row: ClassAllowance, family: str, length: int, value: float) -> ClassAllowance:
    if family == SHARE:
        return replace(row, hours_ok=value)
    if family == PIECED:
        return replace(row, pieced=_with_knot(row.pieced, length, value))
    return replace(row, whole=_with_knot(row.whole, length, value))


def _with_knot(knots: Iterable[Knot], length_min: int, wait_min: float) -> tuple[Knot, ...]:
    found = {knot.length_min: knot for knot in knots} | {length_min: Knot(length_min, wait_min, 0.0)}
    return tuple(found[key] for key in sorted(found))


def cells_of(table: AllowanceTable) -> dict[Cell, float]:
    """Every figure of a table by its cell: the share of workable hours, and waits in minutes of working time."""
    cells: dict[Cell, float] = {}
    for (work_class, season), row in table.rows.items():
        cells[work_class, season, SHARE, 0] = row.hours_ok
        for family, knots in ((WHOLE, row.whole), (PIECED, row.pieced)):
            cells |= {(work_class, season, family, knot.length_min): knot.wait_min for knot in knots}
    return cells


def cells_as_json(cells: Mapping[Cell, float]) -> dict[str, Any]:
    """For the yard's row: {class: {season: {family: {length in minutes: figure}}}}."""
    rows: dict[str, Any] = {}
    for (work_class, season, family, length), value in sorted(cells.items()):
        rows.setdefault(str(work_class), {}).setdefault(str(season), {}).setdefault(family, {})[str(length)] = value
    return rows


def cells_from_json(rows: Mapping[str, Any]) -> dict[Cell, float]:
    """Raises ValueError where the stored cells do not make sense."""
    return {
        (WorkClass(work_class), Season(season), family, int(length)): float(value)
        for work_class, seasons in rows.items()
        for season, families in seasons.items()
        for family, figures in families.items()
        for length, value in figures.items()
    }


def classes_in_use() -> Iterable[tuple[WeatherClass, WorkClass]]:
    """The classes of work that some job's weather names, with the climate's name for each."""
    return ((WeatherClass(key), work_class) for key, work_class in CLASS_OF.items())


def allowance_of(table: AllowanceTable, job: Job, length_min: int, month: int) -> Allowance:
    """The allowance of one outdoor job of this bare length in this month; none indoors."""
    work_class = CLASS_OF.get(job.weather_class)
    if not job.outdoor or work_class is None:
        return NO_ALLOWANCE
    return table.for_job(work_class, season_of(month), length_min)
