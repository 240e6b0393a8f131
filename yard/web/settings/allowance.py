"""The weather allowance as a table: computed beside the yard's own, cell by cell."""

from __future__ import annotations

from dataclasses import dataclass

from yard.models import ShopHours, YardSettings
from yard.services.read_problem.rows import drafts_of_the_fleet
from yard.services.read_problem.weather import (
    PIECED,
    SHARE,
    WHOLE,
    Cell,
    cells_from_json,
    cells_of,
    classes_in_use,
    computed_table,
)
from yard.services.read_problem.weather_ground import AllowanceGround, allowance_ground
from yard.weather.allowance import AllowanceTable
from yard.weather.climate import Season, WorkClass


@dataclass(frozen=True)
class AllowanceCell:
    """One figure. key: its name in a form; shown, computed: in hours, or per cent for the share; own: edited."""

    key: str
    label: str
    shown: str
    computed: str
    own: bool


@dataclass(frozen=True)
class AllowanceRow:
    """A class of work in a season: the share of workable hours, then waits by length. None: no such length."""

    name: str
    season: str
    share: AllowanceCell
    waits: tuple[AllowanceCell | None, ...]


@dataclass(frozen=True)
class AllowancePage:
    """columns: lengths as they are read; level_m: the water that the median boat was computed with."""

    rows: tuple[AllowanceRow, ...]
    columns: tuple[str, ...]
    own: int
    ground: AllowanceGround
    with_water: bool


def ground_of(yard: YardSettings, year: int) -> AllowanceGround:
    """Two queries."""
    return allowance_ground(yard, list(ShopHours.objects.all()), drafts_of_the_fleet(), year=year)


def allowance_page(yard: YardSettings, year: int) -> AllowancePage:
    ground = ground_of(yard, year)
    table = computed_table(ground)
    computed, own = cells_of(table), cells_from_json(yard.weather_allowance)
    columns = _columns(table)
    rows = [
        AllowanceRow(
            name=words.label,
            season=str(season),
            share=_cell((work_class, season, SHARE, 0), computed, own, f"{words.label}, {season}, workable hours"),
            waits=tuple(
                _cell(cell, computed, own, f"{words.label}, {season}, {_length(family, length)}")
                if (cell := (work_class, season, family, length)) in computed
                else None
                for family, length in columns
            ),
        )
        for words, work_class in classes_in_use()
        for season in Season
        if (work_class, season) in table.rows
    ]
    shown = tuple(_length(family, length) for family, length in columns)
    return AllowancePage(tuple(rows), shown, len(own), ground, bool(ground.may_start))


def _columns(table: AllowanceTable) -> list[tuple[str, int]]:
    used = {work_class for _, work_class in classes_in_use()}
    found = {
        (family, length)
        for (work_class, _, family, length) in cells_of(table)
        if work_class in used and family != SHARE
    }
    return sorted(found, key=lambda column: (column[0] == PIECED, column[1]))


def _length(family: str, length: int) -> str:
    return f"{length / 60:g} h" + (" in parts" if family == PIECED else "")


def _cell(cell: Cell, computed: dict[Cell, float], own: dict[Cell, float], label: str) -> AllowanceCell:
    value = own.get(cell, computed[cell])
    return AllowanceCell(key_of(cell), label, _shown(cell, value), _shown(cell, computed[cell]), cell in own)


def _shown(cell: Cell, value: float) -> str:
    return f"{value * 100:.0f}" if cell[2] == SHARE else f"{value / 60:.1f}"


def key_of(cell: Cell) -> str:
    return "|".join(str(each) for each in cell)


def cell_of(key: str) -> Cell:
    """Raises ValueError for what names no cell."""
    work_class, season, family, length = key.split("|")
    if family not in (WHOLE, PIECED, SHARE):
        raise ValueError(f"no such family: {family}")
    return WorkClass(work_class), Season(season), family, int(length)


def figure_of(cell: Cell, typed: str) -> float:
    """Hours or per cent as typed, as the table keeps them. Raises ValueError."""
    value = float(typed.replace(",", "."))
    return value / 100 if cell[2] == SHARE else value * 60
