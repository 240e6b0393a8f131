"""How long the tide takes, in milliseconds of one core: `python -m yard.tides bench`.

The best and the middle of several rounds are printed; the difference between them is the machine's noise.
"""

from __future__ import annotations

import platform
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from statistics import median
from time import process_time

import numpy as np

from yard.tides.opening import open_source
from yard.tides.source import FloatArray, TideSource, seconds_of

ROUNDS = 15
LEVELS_M = (0.0, 0.8, 1.5, 2.2, 2.9)


@dataclass(frozen=True, slots=True)
class Timing:
    """One measurement: what was done, its best and its median time in milliseconds of processor time."""

    what: str
    best_ms: float
    median_ms: float


def run(station_id: str) -> list[Timing]:
    """Time a year at 6 minutes, a season's high and low waters, and its windows at five levels."""
    source = open_source(station_id)
    season = datetime(2027, 3, 15, tzinfo=UTC), datetime(2027, 11, 15, tzinfo=UTC)
    year = year_at_six_minutes(2027)
    return [
        _time("heights, a year at 6 minutes", lambda: source.heights_m(year)),
        _time("high and low waters, 15 March to 15 November", lambda: source.events(*season)),
        _time("windows at 5 levels, 15 March to 15 November", lambda: _windows(source, *season)),
    ]


def year_at_six_minutes(year: int) -> FloatArray:
    """Every six minutes of a UTC year, seconds since 1970."""
    begin, end = (seconds_of(datetime(y, 1, 1, tzinfo=UTC)) for y in (year, year + 1))
    return np.arange(begin, end, 360.0)


def _windows(source: TideSource, starts_at: datetime, ends_at: datetime) -> object:
    return source.windows(starts_at, ends_at, LEVELS_M)


def _time(what: str, work: Callable[[], object]) -> Timing:
    # Processor time of all threads: a matrix product that spreads over cores is charged for each of them.
    work()
    spent = []
    for _ in range(ROUNDS):
        began = process_time()
        work()
        spent.append((process_time() - began) * 1000)
    return Timing(what, min(spent), median(spent))


def report(station_id: str) -> str:
    """The measurements as lines of text."""
    machine = f"Python {platform.python_version()}, numpy {np.__version__}, {platform.machine()}"
    lines = [f"{t.what}: best {t.best_ms:.2f} ms, median {t.median_ms:.2f} ms" for t in run(station_id)]
    return "\n".join([f"{machine}; processor time, {ROUNDS} rounds", *lines])
