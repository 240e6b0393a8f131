"""An official table of high and low waters, typed or imported as CSV.

The file names its zone, unit and datum in lines that begin with "#", then has the columns of COLUMNS:

    # name: Tallow Creek
    # zone: America/New_York
    # unit: ft
    # datum: MLLW
    date,time,height,kind
    2026-05-04,05:12,9.8,high
    2026-05-04,11:30,-0.2,low

zone: an IANA name, "UTC", or a fixed offset such as UTC-05:00 (many tables keep standard time all year).
A time may carry its own offset (01:30-04:00), which the hour that happens twice in autumn needs.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, timezone, tzinfo
from io import StringIO
from itertools import pairwise
from math import isfinite
from pathlib import Path
from typing import Final, Literal
from zoneinfo import ZoneInfo

import numpy as np

from yard.speech import _
from yard.tides.roots import Extremes
from yard.tides.source import Kind, TideError, seconds_of
from yard.tides.sources import TableSource

COLUMNS: Final = ("date", "time", "height", "kind")
METRES: Final = {"m": 1.0, "ft": 0.3048}
KINDS: Final[dict[str, Kind]] = {"high": "high", "h": "high", "hw": "high", "low": "low", "l": "low", "lw": "low"}
LONGEST_GAP: Final = timedelta(hours=26)
"""High to low takes about 6 h, or 12 where there is one tide a day; a longer gap is a missing row."""
MOST_HEIGHT_M: Final = 25.0
"""Above any tide on earth; a greater number is a slip of unit or typing."""

Unit = Literal["m", "ft"]


@dataclass(frozen=True, slots=True)
class TableProblem:
    """One fault of a table. row: as numbered in the file, from 1; field: the column; remedy in the text."""

    row: int
    field: str
    text: str

    def __str__(self) -> str:
        return _("row {row}, {field}: {text}").format(row=self.row, field=self.field, text=self.text)


class TableError(TideError):
    """A table cannot be used; problems holds every fault that was found, and nothing of the table is kept."""

    def __init__(self, name: str, problems: tuple[TableProblem, ...]) -> None:
        self.problems = problems
        if len(problems) > 1:
            told = _("{name}: {problem} (and {n} more)").format(name=name, problem=problems[0], n=len(problems) - 1)
        else:
            told = f"{name}: {problems[0]}"
        super().__init__(told)


@dataclass(frozen=True, slots=True)
class TableHead:
    """What the numbers of a table mean."""

    name: str
    zone: str
    unit: Unit
    datum: str


@dataclass(frozen=True, slots=True)
class _Row:
    number: int
    at: datetime
    height_m: float
    kind: Kind


def read_table_file(path: Path) -> TableSource:
    """A table from a CSV file that names its zone, unit and datum. Raises TableError."""
    try:
        text = path.read_text("utf-8-sig")
    except OSError as error:
        raise TideError(
            _("{file_name} cannot be read: {error}").format(file_name=path.name, error=error.strerror)
        ) from error
    except UnicodeDecodeError as error:
        raise TideError(
            _("{file_name} is not UTF-8 text: save it as CSV (UTF-8)").format(file_name=path.name)
        ) from error
    return read_table(text, head=_head_of(text, path.name))


def read_table(text: str, *, head: TableHead) -> TableSource:
    """A table from CSV text, all or nothing. Raises TableError with every fault of every row."""
    problems: list[TableProblem] = []
    zone = zone_of(head.zone)
    rows = list(_rows(text, zone, METRES[head.unit], problems))
    # Only once every row can be read: a row that is missing here would make its neighbours look wrong.
    problems = problems or list(_faults_of_order(rows))
    if len(rows) < 2 and not problems:
        problems.append(TableProblem(1, "date", _("a table needs two high or low waters or more")))
    if problems:
        raise TableError(head.name, tuple(problems))
    extremes = Extremes(
        np.array([seconds_of(row.at) for row in rows]),
        np.array([row.height_m for row in rows]),
        np.array([row.kind == "high" for row in rows]),
    )
    return TableSource(head.name, head.datum, head.zone if isinstance(zone, ZoneInfo) else "UTC", extremes)


def zone_of(name: str) -> tzinfo:
    """A time zone from an IANA name, "UTC" or "UTC-05:00". Raises TideError."""
    fixed = re.fullmatch(r"(?:UTC|GMT)?([+-])(\d{1,2}):?(\d{2})?", name.strip())
    if fixed:
        minutes = int(fixed[2]) * 60 + int(fixed[3] or 0)
        if minutes <= 14 * 60:
            return timezone(timedelta(minutes=-minutes if fixed[1] == "-" else minutes))
    try:
        return ZoneInfo(name.strip())
    except (KeyError, ValueError, OSError) as error:
        raise TideError(
            _("{name!r} is no time zone: write one such as America/New_York or UTC-05:00").format(name=name)
        ) from error


def _head_of(text: str, file_name: str) -> TableHead:
    named = {"name": Path(file_name).stem}
    for line in text.splitlines():
        key, colon, value = line.lstrip("# ").partition(":")
        if line.startswith("#") and colon:
            named[key.strip().lower()] = value.strip().strip(",")
    missing = [key for key in ("zone", "unit", "datum") if not named.get(key)]
    if missing:
        example = {"zone": "America/New_York", "unit": "ft", "datum": "MLLW"}[missing[0]]
        raise TideError(
            _("{file_name}: {field} is not named: add a line such as '# {field}: {example}'").format(
                file_name=file_name, field=missing[0], example=example
            )
        )
    match named["unit"].lower():
        case "m" | "ft" as unit:
            return TableHead(named["name"], named["zone"], unit, named["datum"])
        case other:
            raise TideError(
                _("{file_name}: unit {unit!r} is not known: write '# unit: m' or '# unit: ft'").format(
                    file_name=file_name, unit=other
                )
            )


def _rows(text: str, zone: tzinfo, metres: float, problems: list[TableProblem]) -> Iterator[_Row]:
    lines = csv.reader(StringIO(text))
    columns: list[str] = []
    for cells in lines:
        number = lines.line_num
        if not any(cell.strip() for cell in cells) or cells[0].startswith("#"):
            continue
        if not columns:
            columns = [cell.strip().lower() for cell in cells]
            for name in COLUMNS:
                if name not in columns:
                    text = _("no such column: the first row names {columns}").format(columns=", ".join(COLUMNS))
                    problems.append(TableProblem(number, name, text))
            if problems:
                return
            continue
        values = dict(zip(columns, (cell.strip() for cell in cells), strict=False))
        try:
            yield _row(number, values, zone, metres)
        except _Fault as fault:
            problems.append(TableProblem(number, fault.field, fault.text))


class _Fault(Exception):
    def __init__(self, field: str, text: str) -> None:
        super().__init__(text)
        self.field, self.text = field, text


def _row(number: int, values: dict[str, str], zone: tzinfo, metres: float) -> _Row:
    day = _day(values.get("date", ""))
    at = _instant(day, values.get("time", ""), zone)
    return _Row(number, at, _height(values.get("height", "")) * metres, _kind(values.get("kind", "")))


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise _Fault("date", _("{text!r} is no date: write 2026-05-04").format(text=text)) from None


def _instant(day: date, text: str, zone: tzinfo) -> datetime:
    try:
        clock = time.fromisoformat(text)
    except ValueError:
        raise _Fault(
            "time", _("{text!r} is no time of day: write 05:12 on a 24-hour clock").format(text=text)
        ) from None
    if clock.tzinfo is not None:
        return datetime.combine(day, clock).astimezone(UTC)
    first = datetime.combine(day, clock, zone)
    second = first.replace(fold=1)
    if first.utcoffset() == second.utcoffset():
        return first.astimezone(UTC)
    offset = first.utcoffset() or timedelta(0)
    later = second.utcoffset() or timedelta(0)
    if offset < later:
        raise _Fault(
            "time",
            _("the clock skips {text} on this day: write it with its offset, such as {text}-05:00").format(text=text),
        )
    raise _Fault(
        "time", _("{text} happens twice on this day: write it with its offset, such as {text}-04:00").format(text=text)
    )


def _height(text: str) -> float:
    try:
        height = float(text)
    except ValueError:
        raise _Fault("height", _("{text!r} is no height: write a number such as 9.8").format(text=text)) from None
    if not isfinite(height) or abs(height) > MOST_HEIGHT_M / METRES["ft"]:
        raise _Fault("height", _("{text} is no height of a tide: check the number and the unit").format(text=text))
    return height


def _kind(text: str) -> Kind:
    try:
        return KINDS[text.lower()]
    except KeyError:
        raise _Fault("kind", _("{text!r} is neither high nor low: write high or low").format(text=text)) from None


def _faults_of_order(rows: list[_Row]) -> Iterator[TableProblem]:
    for before, row in pairwise(rows):
        if row.at <= before.at:
            yield TableProblem(
                row.number,
                "time",
                _("is not later than row {row}: put the rows in order of time").format(row=before.number),
            )
        elif row.at - before.at > LONGEST_GAP:
            yield TableProblem(
                row.number,
                "date",
                _("is over 26 hours after row {row}: add the missing rows").format(row=before.number),
            )
        elif row.kind == before.kind:
            told = (
                _("is high like row {row}: add the water between them")
                if row.kind == "high"
                else _("is low like row {row}: add the water between them")
            )
            yield TableProblem(row.number, "kind", told.format(row=before.number))
        elif (row.height_m > before.height_m) != (row.kind == "high"):
            told = (
                _("does not fit high after row {row}: check both heights")
                if row.kind == "high"
                else _("does not fit low after row {row}: check both heights")
            )
            yield TableProblem(row.number, "height", told.format(row=before.number))
