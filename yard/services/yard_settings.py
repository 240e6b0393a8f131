"""The one writer of the yard's settings, shop hours, holidays, words for places and allowance cells."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from itertools import pairwise
from typing import Any

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction

from yard.models import Place, ShopHours, StaleRow, YardHoliday, YardSettings
from yard.services.facts_revision import bump_facts
from yard.services.pen import sign
from yard.services.read_problem.weather import (
    PIECED,
    SHARE,
    WHOLE,
    Cell,
    cells_as_json,
    cells_from_json,
    cells_of,
    with_cells,
)
from yard.tides import TideError, open_source
from yard.weather.allowance import AllowanceTable

LONGEST_WAIT_MIN = 60 * 24 * 60
"""Sixty days of the clock: longer is a mistyped figure (common practice)."""

Stretch = tuple[time, time]


class SettingRefused(Exception):
    """What was typed cannot be; `faults` name the field and the remedy. Nothing was saved."""

    def __init__(self, faults: Mapping[str, str]) -> None:
        super().__init__(" ".join(faults.values()))
        self.faults = dict(faults)


@dataclass(frozen=True, slots=True)
class Change:
    """Who changes the settings, when (aware), and the version of the settings that they saw; 0 where none exist."""

    by: User | None
    now: datetime
    seen_version: int
    reason: str = "settings changed"


@transaction.atomic
def save_settings(
    values: Mapping[str, Any],
    *,
    shop: Mapping[int, Sequence[Stretch]] | None = None,
    holidays: Mapping[date, str] | None = None,
    change: Change,
) -> YardSettings:
    """Save settings (fields of YardSettings), opening hours by weekday and holidays; all of it or nothing.

    shop, holidays: whole new lists; None leaves them. A station is opened before it is believed, and names its datum.
    Raises SettingRefused, or StaleRow where somebody else changed the settings meanwhile.
    """
    bump_facts()
    row = YardSettings.objects.filter(pk=1).first()
    new = row is None
    row = row or YardSettings(name="")
    for name, value in values.items():
        setattr(row, name, value)
    if "tide_station" in values:
        row.datum = _datum_of(row.tide_station)
    _check(row)
    sign(row, by=change.by, now=change.now, reason=change.reason)
    if new:
        row.save()
    else:
        row.save_over(change.seen_version)
    if shop is not None:
        _save_shop(shop, change)
    if holidays is not None:
        _save_holidays(holidays, change)
    return row


@transaction.atomic
def put_settings_back(history_id: int, fields: Sequence[str], *, change: Change) -> YardSettings:
    """Make these settings, and the tables of weather, what they were in one row of their history.

    Hours and holidays have histories of their own and stay. Raises YardSettings.DoesNotExist, SettingRefused, StaleRow.
    """
    past = YardSettings.history.filter(history_id=history_id).first()
    if past is None:
        raise YardSettings.DoesNotExist
    values = {name: getattr(past, name) for name in (*fields, "weather_limits", "weather_allowance")}
    return save_settings(values, change=change)


def _datum_of(station: str) -> str:
    if not station:
        return ""
    try:
        return open_source(station).datum
    except (TideError, OSError) as error:
        raise SettingRefused({"tide_station": f"{error}"}) from error


def _check(row: YardSettings) -> None:
    try:
        row.full_clean()
    except ValidationError as error:
        raise SettingRefused({name: " ".join(texts) for name, texts in error.message_dict.items()}) from error


def _save_shop(shop: Mapping[int, Sequence[Stretch]], change: Change) -> None:
    wanted = {(weekday, starts): ends for weekday, stretches in shop.items() for starts, ends in _in_order(stretches)}
    for row in ShopHours.objects.all():
        ends = wanted.pop((row.weekday, row.starts), None)
        if ends is None:
            sign(row, by=change.by, now=change.now, reason=change.reason)
            row.delete()
        elif ends != row.ends:
            row.ends = ends
            sign(row, by=change.by, now=change.now, reason=change.reason)
            row.save()
    for (weekday, starts), ends in wanted.items():
        row = ShopHours(weekday=weekday, starts=starts, ends=ends)
        row.full_clean()
        sign(row, by=change.by, now=change.now, reason=change.reason)
        row.save()


def _in_order(stretches: Sequence[Stretch]) -> list[Stretch]:
    ordered = sorted(stretches)
    for one, other in pairwise(ordered):
        if other[0] < one[1]:
            raise SettingRefused({"shop": f"Hours overlap at {other[0]:%H:%M}: let one stretch end before the next."})
    return ordered


def _save_holidays(holidays: Mapping[date, str], change: Change) -> None:
    wanted = dict(holidays)
    for row in YardHoliday.objects.all():
        name = wanted.pop(row.day, None)
        if name is None:
            sign(row, by=change.by, now=change.now, reason=change.reason)
            row.delete()
        elif name != row.name:
            row.name = name
            sign(row, by=change.by, now=change.now, reason=change.reason)
            row.save()
    for day, name in wanted.items():
        row = YardHoliday(day=day, name=name)
        row.full_clean()
        sign(row, by=change.by, now=change.now, reason=change.reason)
        row.save()


@transaction.atomic
def name_places(names: Mapping[int, tuple[str, str]], *, change: Change, seen: Mapping[int, int] | None = None) -> int:
    """The yard's own words for its places: (name, short name) by place id. Gives how many changed.

    seen: the version of each place that was read. Raises SettingRefused, or StaleRow for one that changed meanwhile.
    """
    bump_facts()
    changed = 0
    for place in Place.objects.filter(pk__in=names):
        name, short = names[place.pk]
        if (place.name, place.short_name) == (name, short):
            continue
        if seen is not None and place.version != seen.get(place.pk, place.version):
            raise StaleRow(place)
        place.name, place.short_name = name, short
        try:
            place.full_clean()
        except ValidationError as error:
            raise SettingRefused({f"place-{place.pk}": f"{place.ref}: {' '.join(error.messages)}"}) from error
        sign(place, by=change.by, now=change.now, reason=change.reason)
        place.save()
        changed += 1
    return changed


@transaction.atomic
def set_allowance_cell(cell: Cell, value: float | None, *, computed: AllowanceTable, change: Change) -> YardSettings:
    """Put the yard's own figure into the allowance table, or with None the computed one back.

    value: a share over 0 and at most 1, or a wait in minutes of working time. computed: the table as it stands
    without the yard's figures. Raises SettingRefused, or StaleRow.
    """
    known = cells_of(computed)
    if cell not in known:
        raise SettingRefused({"cell": "The table has no such figure: choose one that it shows."})
    bump_facts()
    row = YardSettings.objects.filter(pk=1).first()
    if row is None:
        raise SettingRefused({"cell": "The yard has no settings yet: enter its name and station first."})
    own = cells_from_json(row.weather_allowance)
    own.pop(cell, None)
    if value is not None:
        _check_figure(cell, value)
        own[cell] = value
    _check_rising(cell, known | own)
    with_cells(computed, own)  # refuses what cannot be a table
    row.weather_allowance = cells_as_json(own)
    sign(row, by=change.by, now=change.now, reason=change.reason)
    return row.save_over(change.seen_version)


def _check_figure(cell: Cell, value: float) -> None:
    if cell[2] == SHARE and not 0 < value <= 1:
        raise SettingRefused({"cell": "A share of workable hours is over 0 and at most 100 %."})
    if cell[2] != SHARE and not 0 <= value <= LONGEST_WAIT_MIN:
        raise SettingRefused({"cell": "A wait is 0 hours or more, and no more than sixty days."})


def _check_rising(cell: Cell, cells: Mapping[Cell, float]) -> None:
    work_class, season, family, _ = cell
    if family not in (WHOLE, PIECED):
        return
    knots = sorted((key[3], value) for key, value in cells.items() if key[:3] == (work_class, season, family))
    for (shorter, less), (longer, more) in pairwise(knots):
        if more < less:
            raise SettingRefused(
                {
                    "cell": f"A job of {longer / 60:g} h would wait {more / 60:.1f} h, less than one of "
                    f"{shorter / 60:g} h ({less / 60:.1f} h): a longer job never waits less."
                }
            )


__all__ = [
    "Change",
    "SettingRefused",
    "StaleRow",
    "name_places",
    "put_settings_back",
    "save_settings",
    "set_allowance_cell",
]
