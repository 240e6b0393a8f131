"""The weather allowance as a table: computed beside the yard's own, cell by cell."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.formats import number_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard import speech
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

SEASONS = {Season.SPRING: gettext_lazy("spring"), Season.AUTUMN: gettext_lazy("autumn")}


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
    """A class of work in a season, and its figures. None: this yard has no such length."""

    name: str
    season: str
    cells: tuple[AllowanceCell | None, ...]


@dataclass(frozen=True)
class AllowanceList:
    """Jobs that cannot stop, or those that may stop at their break points. columns: what the figures are."""

    title: str
    columns: tuple[str, ...]
    rows: tuple[AllowanceRow, ...]


@dataclass(frozen=True)
class AllowancePage:
    """own: how many figures are the yard's; with_water: whether the yard's tides count in them."""

    lists: tuple[AllowanceList, ...]
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
    lists = (
        _list(_("In one piece"), WHOLE, table, computed, own),
        _list(_("Stopping at break points, every 4 hours"), PIECED, table, computed, own),
    )
    return AllowancePage(lists, len(own), ground, bool(ground.may_start))


def _list(
    title: str, family: str, table: AllowanceTable, computed: dict[Cell, float], own: dict[Cell, float]
) -> AllowanceList:
    used = {work_class for _, work_class in classes_in_use()}
    lengths = sorted({length for (each, _, found, length) in computed if each in used and found == family})
    columns = [(SHARE, 0)] * (family == WHOLE) + [(family, length) for length in lengths]
    rows = tuple(
        AllowanceRow(
            name=str(words.label),
            season=str(SEASONS[season]),
            cells=tuple(
                _cell(cell, computed, own, f"{words.label}, {SEASONS[season]}, {_column(*column)}")
                if (cell := (work_class, season, *column)) in computed
                else None
                for column in columns
            ),
        )
        for words, work_class in classes_in_use()
        for season in Season
        if (work_class, season) in table.rows
    )
    return AllowanceList(title, tuple(_column(*column) for column in columns), rows)


def _column(family: str, length: int) -> str:
    return _("workable, %") if family == SHARE else f"{number_format(f'{length / 60:g}')} h"


def _cell(cell: Cell, computed: dict[Cell, float], own: dict[Cell, float], label: str) -> AllowanceCell:
    value = own.get(cell, computed[cell])
    return AllowanceCell(key_of(cell), label, _shown(cell, value), _shown(cell, computed[cell]), cell in own)


def _shown(cell: Cell, value: float) -> str:
    return f"{value * 100:.0f}" if cell[2] == SHARE else speech.number(value / 60, 1)


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
