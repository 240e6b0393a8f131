"""The first freeze by published climate: how likely it has come by a day, and the day by which it is so likely.

A station's table gives dates for 10, 50 and 90 in 100. Between them dates are reckoned as if they were spread normally,
piece by piece (common practice: the publisher fits a distribution to dates too); beyond them nothing is said but
"fewer" or "more", for a table that ends at 1 year in 10 knows no rarer ones.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from statistics import NormalDist

import msgspec

from yard.speech import _

NORMAL = NormalDist()
AUTUMN_FROM = (7, 1)
"""A freeze is counted from here to the end of June: a date before it belongs to the next year."""


class FreezeNotRead(ValueError):
    """The bytes are no table of first freezes; the text names the station and what is wrong there."""


@dataclass(frozen=True, slots=True)
class About:
    """In so many of 100 autumns; between published figures, so to the nearest whole."""

    in_100: int


@dataclass(frozen=True, slots=True)
class FewerThan:
    """Earlier than the first published date: in fewer than so many of 100."""

    in_100: int


@dataclass(frozen=True, slots=True)
class MoreThan:
    """Later than the last published date: in more than so many of 100."""

    in_100: int


Chance = About | FewerThan | MoreThan


@dataclass(frozen=True, slots=True)
class FreezeNormals:
    """One station. days: by threshold, degrees Fahrenheit, (in 100, month, day), both rising along the autumn."""

    key: str
    station_id: str
    name: str
    latitude: float
    longitude: float
    period: str
    source: str
    days: Mapping[int, tuple[tuple[int, int, int], ...]]

    def __post_init__(self) -> None:
        if not self.source.strip():
            raise FreezeNotRead(f"{self.name}: a table of first freezes names its source")
        for threshold, rows in self.days.items():
            dates = [_in_autumn(month, day, 2026) for _, month, day in rows]
            rising = all(a < b for a, b in pairwise(dates)) and all(a[0] < b[0] for a, b in pairwise(rows))
            if len(rows) < 2 or not rising or not all(0 < row[0] < 100 for row in rows):
                raise FreezeNotRead(f"{self.name}, {threshold} °F: two dates at least, later with a greater share")

    @property
    def least_in_100(self) -> int:
        return max(rows[0][0] for rows in self.days.values())

    @property
    def most_in_100(self) -> int:
        return min(rows[-1][0] for rows in self.days.values())

    def day_at(self, below_f: int, in_100: int, year: int) -> date:
        """The day of the autumn that begins in `year` before which it has frozen in so many of 100 autumns.

        Raises ValueError for a threshold or a share that the table does not reach.
        """
        rows = self._rows(below_f)
        if not rows[0][0] <= in_100 <= rows[-1][0]:
            raise ValueError(
                _("{name} has dates for {least} to {most} in 100, not for {in_100}").format(
                    name=self.name, least=rows[0][0], most=rows[-1][0], in_100=in_100
                )
            )
        for (less, *_less), (more, *_more) in pairwise(rows):
            if in_100 <= more:
                first, last = (_in_autumn(row[1], row[2], year) for row in rows if row[0] in (less, more))
                share = (_z(in_100) - _z(less)) / (_z(more) - _z(less))
                return first + timedelta(days=int(share * (last - first).days))  # rounded to the early side
        raise AssertionError("the share lies between two of the table's")

    def chance_by(self, below_f: int, day: date) -> Chance:
        """How likely the first freeze of that autumn has come before a day. Raises ValueError for a threshold."""
        rows = self._rows(below_f)
        year = day.year if (day.month, day.day) >= AUTUMN_FROM else day.year - 1
        dates = [_in_autumn(month, of_month, year) for _, month, of_month in rows]
        if day < dates[0]:
            return FewerThan(rows[0][0])
        if day > dates[-1]:
            return MoreThan(rows[-1][0])
        for (first, last), ((less, *_less), (more, *_more)) in zip(pairwise(dates), pairwise(rows), strict=True):
            if day <= last:
                share = (day - first) / (last - first)
                return About(round(100 * NORMAL.cdf(_z(less) + share * (_z(more) - _z(less)))))
        raise AssertionError("the day lies between two of the table's")

    def _rows(self, below_f: int) -> tuple[tuple[int, int, int], ...]:
        if below_f not in self.days:
            known = ", ".join(str(each) for each in sorted(self.days))
            raise ValueError(
                _("{name} has dates for {known} °F, not for {below_f}").format(
                    name=self.name, known=known, below_f=below_f
                )
            )
        return self.days[below_f]


def _in_autumn(month: int, day: int, year: int) -> date:
    """Its date in the autumn that begins in `year`; 29 February is the first of March."""
    of_year = year if (month, day) >= AUTUMN_FROM else year + 1
    return date(of_year, 3, 1) if (month, day) == (2, 29) else date(of_year, month, day)


def _z(in_100: int) -> float:
    return NORMAL.inv_cdf(in_100 / 100)


class _Station(msgspec.Struct, frozen=True):
    key: str
    station_id: str
    name: str
    latitude: float
    longitude: float
    period: str
    source: str
    days: dict[int, dict[int, str]]


class _File(msgspec.Struct, frozen=True):
    stations: tuple[_Station, ...]


def read_first_freezes(data: bytes) -> Mapping[str, FreezeNormals]:
    """Read the JSON of fixtures/climate/first_freeze.json, by key. Raises FreezeNotRead."""
    try:
        file = msgspec.json.decode(data, type=_File)
    except (msgspec.MsgspecError, UnicodeDecodeError) as error:
        raise FreezeNotRead(f"table of first freezes: {error}") from error
    found = {}
    for row in file.stations:
        try:
            days = {
                threshold: tuple((in_100, *map(int, day.split("-"))) for in_100, day in sorted(dates.items()))
                for threshold, dates in row.days.items()
            }
            facts = msgspec.structs.asdict(row) | {"days": days}
            found[row.key] = FreezeNormals(**facts)
        except (ValueError, TypeError) as error:
            raise FreezeNotRead(f"{row.name}: {error}") from error
    return found
