"""A forecast or a log typed or exported by the yard itself, as CSV in columns of our own.

One row an hour. start_utc is needed; the other columns are optional, in any order, and an empty cell is
missing: start_utc (2026-04-14T06:00Z), wind_kn, gust_kn, wind_from_deg, rain_mm, pop_percent, temp_c, dew_c,
rh_percent, thunder (yes or no).
"""

from __future__ import annotations

import csv
import io
import math
from datetime import datetime

from yard.speech import _
from yard.weather.hourly import PLAUSIBLE, Forecast, ForecastNotRead, Hour
from yard.weather.readers.body import MAX_HOURS, checked_bytes, utc_time

PROVIDER = "csv"
START = "start_utc"
NUMBERS = {
    "wind_kn": "wind_kn",
    "gust_kn": "gust_kn",
    "wind_from_deg": "wind_from_deg",
    "rain_mm": "rain_mm",
    "pop_percent": "pop",
    "temp_c": "temp_c",
    "dew_c": "dew_c",
    "rh_percent": "rh",
}
THUNDER = {"yes": True, "no": False}
COLUMNS = (START, *NUMBERS, "thunder")


def read(data: bytes, *, updated_at: datetime | None) -> Forecast:
    """Read a CSV file; all of it or nothing. updated_at: when it was made, if that is known.

    Raises ForecastNotRead naming the row (the heading is row 1), the column and the remedy.
    """
    try:
        text = checked_bytes(data).decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise _refused(_("the file is not UTF-8 text: save it as CSV UTF-8")) from error
    try:
        lines = list(csv.reader(io.StringIO(text, newline=""), strict=True))
    except csv.Error as error:
        raise _refused(_("the file is not CSV: {error}").format(error=error)) from error
    heading = [cell.strip() for cell in lines[0]] if lines else []
    _check_heading(heading)
    hours: list[Hour] = []
    for number, line in enumerate(lines[1:], start=2):
        if not any(cell.strip() for cell in line):
            continue
        hour = _hour(number, heading, line)
        if hours and hour.start <= hours[-1].start:
            raise _refused(
                _("row {number}, {column}: not after the row before it: sort by time, each hour once").format(
                    number=number, column=START
                )
            )
        hours.append(hour)
    if not hours:
        raise _refused(_("the file holds no hours: write one row for each hour under the heading"))
    if len(hours) > MAX_HOURS:
        raise _refused(_("the file holds {count} hours: keep at most {most}").format(count=len(hours), most=MAX_HOURS))
    return Forecast(PROVIDER, updated_at, tuple(hours))


def _refused(reason: str) -> ForecastNotRead:
    return ForecastNotRead(reason, permanent=True)


def _check_heading(heading: list[str]) -> None:
    if START not in heading:
        raise _refused(
            _("row 1: no column {column}: head the columns with {columns}, between commas").format(
                column=START, columns=", ".join(COLUMNS)
            )
        )
    for name in heading:
        if name not in COLUMNS:
            raise _refused(
                _("row 1: the column {name!r} is not known: use {columns}").format(
                    name=name[:40], columns=", ".join(COLUMNS)
                )
            )
        if heading.count(name) > 1:
            raise _refused(_("row 1: the column {name} stands twice: keep one").format(name=name))


def _hour(number: int, heading: list[str], line: list[str]) -> Hour:
    if len(line) != len(heading):
        raise _refused(
            _("row {number}: {cells} cells under {headings} headings: fill or remove cells").format(
                number=number, cells=len(line), headings=len(heading)
            )
        )
    cells = {name: cell.strip() for name, cell in zip(heading, line, strict=True)}
    start = _start(number, cells[START])
    values = {NUMBERS[name]: _number(number, name, cell) for name, cell in cells.items() if name in NUMBERS}
    return Hour(start=start, thunder=_thunder(number, cells.get("thunder", "")), **values)


def _start(number: int, cell: str) -> datetime:
    try:
        start = utc_time(cell)
    except ForecastNotRead:
        raise _refused(
            _("row {number}, {column}: {cell!r}: write UTC as 2026-04-14T06:00Z").format(
                number=number, column=START, cell=cell[:40]
            )
        ) from None
    if start.minute or start.second or start.microsecond:
        raise _refused(
            _("row {number}, {column}: {cell!r} is not on the hour: write 2026-04-14T06:00Z").format(
                number=number, column=START, cell=cell[:40]
            )
        )
    return start


def _number(number: int, name: str, cell: str) -> float | None:
    if not cell:
        return None
    low, high = PLAUSIBLE[NUMBERS[name]]
    try:
        value = float(cell)
    except ValueError:
        raise _refused(
            _("row {number}, {column}: {cell!r} is not a number: write digits and a point, or empty it").format(
                number=number, column=name, cell=cell[:40]
            )
        ) from None
    if not (math.isfinite(value) and low <= value <= high):
        raise _refused(
            _("row {number}, {column}: {cell!r} is not {low:g} to {high:g}: correct or empty it").format(
                number=number, column=name, cell=cell[:40], low=low, high=high
            )
        )
    return value


def _thunder(number: int, cell: str) -> bool | None:
    if not cell:
        return None
    if cell.lower() not in THUNDER:
        raise _refused(
            _("row {number}, thunder: {cell!r}: write yes or no, or leave it empty").format(
                number=number, cell=cell[:40]
            )
        )
    return THUNDER[cell.lower()]
