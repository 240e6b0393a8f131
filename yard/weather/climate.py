"""Climate beyond the forecast: two-state chains of lost and workable days and half days.

The idea is Richardson's (Water Resources Research 17 (1981) 182): whether a day is lost depends on the day
before it and on nothing older. The tables in fixtures/climate carry their own source notes; this module only
reads, validates and steps them.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from types import MappingProxyType

import msgspec
import numpy as np
from numpy.typing import NDArray

BoolArray = NDArray[np.bool_]

# The printed probabilities are rounded to 0.001 and the first half day of each year has no day before it; the
# widest gap in the tables of fixtures/climate is 0.0042 (coating, autumn) and 0.0113 (daily, 123 pairs).
STATIONARY_TOLERANCE = 0.02


class WorkClass(StrEnum):
    """Kinds of outdoor work that the same weather stops; the values are the keys of the climate table."""

    SAILS_AND_COVERS = "canvas"
    PATTERN = "pattern"
    MAST_GUST_15 = "lift15"
    MAST_GUST_20 = "lift20"
    AFLOAT = "afloat"
    COATING = "coating"


class Season(StrEnum):
    SPRING = "spring"
    AUTUMN = "autumn"


# Months with a half-day chain of their own: April to June, September to November. Every other month takes the
# nearest of these (common practice, for want of data: a chain of its own would be harsher from December to
# March).
SEASON_OF_MONTH: Mapping[int, Season] = MappingProxyType(
    {month: Season.SPRING if 2 <= month <= 7 else Season.AUTUMN for month in range(1, 13)}
)


class ClimateNotRead(ValueError):
    """The bytes are no climate table; the text names the place and what is wrong there."""


def season_of(month: int) -> Season:
    """The season whose chain stands for a month (1 to 12). Raises ValueError outside."""
    if month not in SEASON_OF_MONTH:
        raise ValueError(f"a month is 1 to 12, not {month}")
    return SEASON_OF_MONTH[month]


def check_probability(name: str, value: float) -> None:
    if not (math.isfinite(value) and 0.0 <= value <= 1.0):
        raise ValueError(f"{name} is {value}; a probability is 0 to 1")


def check_stationary(name: str, share: float, before: float, after_lost: float, after_ok: float) -> None:
    """A share must follow from the share one step before and the two transition probabilities."""
    expected = before * after_lost + (1.0 - before) * after_ok
    if abs(expected - share) > STATIONARY_TOLERANCE:
        raise ValueError(f"{name} is {share}, but its transition probabilities give {expected:.3f}")


@dataclass(frozen=True, slots=True)
class HalfDayChain:
    """Lost and workable half days of one class of work in one season.

    hours_ok: share of the working hours that are workable, 0 to 1; the rest are probabilities that a half day
    is lost, alone or after the half day before it. `days` is the number of days observed.
    """

    rule: str
    days: int
    years: tuple[int, ...]
    hours_ok: float
    am_lost: float
    pm_lost: float
    am_lost_after_pm_lost: float
    am_lost_after_pm_ok: float
    pm_lost_after_am_lost: float
    pm_lost_after_am_ok: float

    def __post_init__(self) -> None:
        for name in (
            "hours_ok",
            "am_lost",
            "pm_lost",
            "am_lost_after_pm_lost",
            "am_lost_after_pm_ok",
            "pm_lost_after_am_lost",
            "pm_lost_after_am_ok",
        ):
            check_probability(name, getattr(self, name))
        if self.days < 1:
            raise ValueError(f"a chain rests on at least one observed day, not {self.days}")
        check_stationary("pm_lost", self.pm_lost, self.am_lost, self.pm_lost_after_am_lost, self.pm_lost_after_am_ok)
        check_stationary("am_lost", self.am_lost, self.pm_lost, self.am_lost_after_pm_lost, self.am_lost_after_pm_ok)

    @property
    def day_lost(self) -> float:
        """Probability that both halves of a day are lost."""
        return self.am_lost * self.pm_lost_after_am_lost

    def sample_lost(self, runs: int, days: int, rng: np.random.Generator) -> BoolArray:
        """Draw stretches of weather in step with the season's own share of lost half days.

        Returns True where a half day is lost; shape (runs, days, 2), morning then afternoon, consecutive
        calendar days (a Sunday has weather too).
        """
        draws = rng.random((runs, days, 2))
        lost = np.empty((runs, days, 2), dtype=np.bool_)
        afternoon_before = rng.random(runs) < self.pm_lost
        for day in range(days):
            after = np.where(afternoon_before, self.am_lost_after_pm_lost, self.am_lost_after_pm_ok)
            lost[:, day, 0] = draws[:, day, 0] < after
            after = np.where(lost[:, day, 0], self.pm_lost_after_am_lost, self.pm_lost_after_am_ok)
            lost[:, day, 1] = draws[:, day, 1] < after
            afternoon_before = lost[:, day, 1]
        return lost


@dataclass(frozen=True, slots=True)
class DailyChain:
    """Lost days of one month: `p` the share, then given the day before; mean and sd in days a month."""

    month: int
    p: float
    p_after_yes: float
    p_after_no: float
    mean_days: float
    sd_days: float
    n: int

    def __post_init__(self) -> None:
        season_of(self.month)
        for name in ("p", "p_after_yes", "p_after_no"):
            check_probability(name, getattr(self, name))
        check_stationary("p", self.p, self.p, self.p_after_yes, self.p_after_no)
        if self.n < 1 or self.sd_days < 0 or not 0 <= self.mean_days <= 31:
            raise ValueError(f"month {self.month}: n, mean_days or sd_days cannot be")

    def sample_lost(self, runs: int, days: int, rng: np.random.Generator, *, lost_before: bool) -> BoolArray:
        """Draw days after a known one; True where a day is lost; shape (runs, days)."""
        draws = rng.random((runs, days))
        lost = np.empty((runs, days), dtype=np.bool_)
        before = np.full(runs, lost_before)
        for day in range(days):
            lost[:, day] = draws[:, day] < np.where(before, self.p_after_yes, self.p_after_no)
            before = lost[:, day]
        return lost


@dataclass(frozen=True, slots=True)
class Station:
    """A weather station and its daily chains: twelve months each, January first."""

    station_id: str
    name: str
    lat_deg: float
    lon_deg: float
    source: str
    chains: Mapping[str, tuple[DailyChain, ...]]

    def __post_init__(self) -> None:
        if not (-90 <= self.lat_deg <= 90 and -180 <= self.lon_deg <= 180):
            raise ValueError(f"{self.station_id}: latitude or longitude is not on the globe")
        for name, chain in self.chains.items():
            if [month.month for month in chain] != list(range(1, 13)):
                raise ValueError(f"{self.station_id}, {name}: needs the months 1 to 12 in order")


@dataclass(frozen=True, slots=True)
class HalfDayClimate:
    """Half-day chains by class of work and season, with the note on where they come from."""

    source: str
    chains: Mapping[tuple[WorkClass, Season], HalfDayChain] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if not self.source.strip():
            raise ValueError("a climate table names its source")

    def chain(self, work_class: WorkClass, season: Season) -> HalfDayChain:
        """Raises KeyError, naming both, where the table holds no such chain."""
        try:
            return self.chains[work_class, season]
        except KeyError:
            raise KeyError(f"the climate table holds no chain for {work_class.name}, {season}") from None


class _HalfDayRow(msgspec.Struct, frozen=True):
    rule: str
    days: int
    years: tuple[int, ...]
    hours_ok: float
    am_lost: float
    pm_lost: float
    am_lost_after_pm_lost: float
    am_lost_after_pm_ok: float
    pm_lost_after_am_lost: float
    pm_lost_after_am_ok: float


class _HalfDayFile(msgspec.Struct, frozen=True):
    source: str
    classes: dict[str, dict[str, _HalfDayRow]]


class _StationRow(msgspec.Struct, frozen=True):
    name: str
    lat: float
    lon: float
    source: str
    chains: dict[str, tuple[DailyChain, ...]]


class _DailyFile(msgspec.Struct, frozen=True):
    stations: dict[str, _StationRow]


def read_half_day_climate(data: bytes) -> HalfDayClimate:
    """Read the JSON of fixtures/climate/half_day.json. Raises ClimateNotRead."""
    try:
        table = msgspec.json.decode(data, type=_HalfDayFile)
    except (msgspec.MsgspecError, UnicodeDecodeError) as error:
        raise ClimateNotRead(f"half-day climate table: {error}") from error
    chains = {}
    for class_key, seasons in table.classes.items():
        for season_key, row in seasons.items():
            try:
                key = (WorkClass(class_key), Season(season_key))
                chains[key] = HalfDayChain(**msgspec.structs.asdict(row))
            except ValueError as error:
                raise ClimateNotRead(f"class {class_key}, {season_key}: {error}") from error
    try:
        return HalfDayClimate(table.source, MappingProxyType(chains))
    except ValueError as error:
        raise ClimateNotRead(f"half-day climate table: {error}") from error


def read_daily_climate(data: bytes) -> Mapping[str, Station]:
    """Read the JSON of fixtures/climate/daily.json, by station id. Raises ClimateNotRead."""
    try:
        table = msgspec.json.decode(data, type=_DailyFile)
    except (msgspec.MsgspecError, UnicodeDecodeError) as error:
        raise ClimateNotRead(f"daily climate table: {error}") from error
    stations = {}
    for station_id, row in table.stations.items():
        try:
            stations[station_id] = Station(
                station_id, row.name, row.lat, row.lon, row.source, MappingProxyType(row.chains)
            )
        except ValueError as error:
            raise ClimateNotRead(f"station {station_id}: {error}") from error
    return MappingProxyType(stations)
