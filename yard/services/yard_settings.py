"""The one writer of the yard's settings, shop hours, holidays, words for places and allowance cells."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from itertools import pairwise
from typing import Any
from zoneinfo import ZoneInfo

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from yard.models import Place, ShopHours, StaleRow, YardHoliday, YardSettings
from yard.services import keeping
from yard.services.facts_revision import bump_facts
from yard.services.keeping import Keeper, Kept, Refused, SomebodyWasQuicker, Words, Writer, rows_as_of
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
from yard.services.week_hours import WeekOf, overlap_in
from yard.speech import number, short_number
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
    reason: str = ""


@dataclass(frozen=True)
class Holidays:
    """Days on which the yard is shut, by name; they stand beside its settings."""

    def read(self, row: Any) -> dict[date, str]:
        return _by_day(YardHoliday.objects.all())

    def was(self, pasts: Sequence[Any]) -> list[dict[date, str]]:
        return [_by_day(rows) for rows in rows_as_of(YardHoliday.history, [past.history_date for past in pasts])]

    def write(self, row: Any, value: Mapping[date, str], writer: Writer, reason: str) -> None:
        wanted = dict(value)
        for each in YardHoliday.objects.all():
            name = wanted.pop(each.day, None)
            if name == each.name:
                continue
            writer.sign(each, reason)
            if name is None:
                each.delete()
            else:
                each.name = name
                each.save()
        for day, name in wanted.items():
            fresh = YardHoliday(day=day, name=name)
            fresh.full_clean()
            writer.sign(fresh, reason)
            fresh.save()


def _by_day(rows: Any) -> dict[date, str]:
    return {each.day: each.name for each in sorted(rows, key=lambda each: each.day)}


def _hours_overlap(row: YardSettings, values: Mapping[str, Any]) -> Words:
    words = overlap_in(values.get("shop", ()))
    return {"shop": words} if words else {}


YARD = Keeper(
    YardSettings,
    tuple(each.name for each in YardSettings._meta.concrete_fields if each.editable and each.name != "clock_frozen_at"),
    beside={"shop": WeekOf(ShopHours), "holidays": Holidays()},
    words={"shop": gettext_noop("open"), "weather_limits": gettext_noop("limits of weather")},
    wrong_with=_hours_overlap,
)


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
    said = dict(values)
    if "tide_station" in values:
        said["datum"] = _datum_of(values["tide_station"])
    if shop is not None:
        said["shop"] = tuple(sorted((day, *stretch) for day, stretches in shop.items() for stretch in stretches))
    if holidays is not None:
        said["holidays"] = dict(holidays)
    if not YardSettings.objects.filter(pk=1).exists():
        return _written(keeping.add(YARD, said, writer=_writer(change)))
    return _changed(said, change)


def put_settings_back(history_id: int, *, change: Change) -> YardSettings:
    """Make settings, opening hours and holidays what they were in one row of the settings' history.

    Raises YardSettings.DoesNotExist, SettingRefused, StaleRow.
    """
    return _written(keeping.put_back(YARD, 1, history_id, seen_version=change.seen_version, writer=_writer(change)))


def _changed(values: Mapping[str, Any], change: Change) -> YardSettings:
    return _written(
        keeping.change(
            YARD,
            1,
            values,
            seen_version=change.seen_version,
            writer=_writer(change),
            reason=change.reason or _("settings changed"),
        )
    )


def _written(outcome: Kept[YardSettings] | Refused | SomebodyWasQuicker[YardSettings]) -> YardSettings:
    match outcome:
        case Kept(row):
            return row
        case Refused(words):
            raise SettingRefused({key: " ".join(each) for key, each in words.items()})
        case SomebodyWasQuicker(stored):
            raise StaleRow(stored)


def _writer(change: Change) -> Writer:
    zone = YardSettings.objects.values_list("time_zone", flat=True).filter(pk=1).first() or "UTC"
    return Writer(change.by, change.now, change.now.astimezone(ZoneInfo(zone)).date())


def _datum_of(station: str) -> str:
    if not station:
        return ""
    try:
        return open_source(station).datum
    except (TideError, OSError) as error:
        raise SettingRefused({"tide_station": f"{error}"}) from error


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
        sign(place, by=change.by, now=change.now, reason=change.reason or _("settings changed"))
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
        raise SettingRefused({"cell": _("The table has no such figure: choose one that it shows.")})
    bump_facts()
    row = YardSettings.objects.filter(pk=1).first()
    if row is None:
        raise SettingRefused({"cell": _("The yard has no settings yet: enter its name and station first.")})
    own = cells_from_json(row.weather_allowance)
    own.pop(cell, None)
    if value is not None:
        _check_figure(cell, value)
        own[cell] = value
    _check_rising(cell, known | own)
    with_cells(computed, own)  # refuses what cannot be a table
    return _changed({"weather_allowance": cells_as_json(own)}, change)


def _check_figure(cell: Cell, value: float) -> None:
    if cell[2] == SHARE and not 0 < value <= 1:
        raise SettingRefused({"cell": _("A share of workable hours is over 0 and at most 100 %.")})
    if cell[2] != SHARE and not 0 <= value <= LONGEST_WAIT_MIN:
        raise SettingRefused({"cell": _("A wait is 0 hours or more, and no more than sixty days.")})


def _check_rising(cell: Cell, cells: Mapping[Cell, float]) -> None:
    work_class, season, family, _knot = cell
    if family not in (WHOLE, PIECED):
        return
    knots = sorted((key[3], value) for key, value in cells.items() if key[:3] == (work_class, season, family))
    for (shorter, less), (longer, more) in pairwise(knots):
        if more < less:
            raise SettingRefused(
                {
                    "cell": _(
                        "A job of {longer} h would wait {more} h, less than one of {shorter} h ({less} h): a "
                        "longer job never waits less."
                    ).format(
                        longer=short_number(longer / 60),
                        more=number(more / 60, 1),
                        shorter=short_number(shorter / 60),
                        less=number(less / 60, 1),
                    )
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
