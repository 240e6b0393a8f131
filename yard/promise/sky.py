"""Half days lost and workable by class of work: the forecast's hours first, then the climate's chain.

The chain is Richardson's (Water Resources Research 17 (1981) 182): whether a half day is lost depends on the one
before.  Classes of one group are lost together: each half day has one normal for the group and one for each class,
with correlation LATENT, and a class is lost where their sum lies below the threshold of its chance.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from yard.promise.season import HalfDays, PlannedSeason

IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]
FloatArray = NDArray[np.float64]

LATENT = 0.9  # 0 to 0.9 changed the share of kept dates by 2.5 points or less (computed)
FORECAST_PERSISTENCE = 0.9  # from hour to hour, of a forecast's error: common practice
HALF_DAY_NEEDS_QUARTERS = 12  # with fewer workable quarters in a row a half day is lost
_NEARLY = 1e-12  # a chance of 0 or 1 as a threshold that no normal reaches


def threshold(chance: float) -> float:
    """The value below which a standard normal lies with this chance; far out for 0 and 1."""
    if chance <= _NEARLY:
        return -40.0
    return 40.0 if chance >= 1 - _NEARLY else NormalDist().inv_cdf(chance)


@dataclass(frozen=True, slots=True)
class _Known:
    """What a forecast says in each scenario. words: (days, classes, scenarios).  covered: word a day.
    lost: by half day from today's morning on, for as long as it covers whole halves; (halves, classes, scenarios)."""

    words: IntArray
    covered: list[int]
    lost: BoolArray


class Sky:
    """Draws the weather of many scenarios of one season."""

    def __init__(self, season: PlannedSeason, scenarios: int, *, lost_factor: float = 1.0) -> None:
        axis = season.axis
        self.season, self.scenarios = season, scenarios
        self.today = season.now // axis.quarters_per_day
        first = axis.calendar_days[self.today]
        self.groups = np.array([row.group for row in season.weather], dtype=np.int64)
        self.day_of = np.array([axis.calendar_days[day] - first for day in range(self.today, axis.days)])
        self.months = _months(axis.months[self.today :], self.day_of.tolist())
        self.chances = np.minimum(np.array([row.lost for row in season.weather]) * lost_factor, 1.0)
        flat = [threshold(float(chance)) for chance in self.chances.ravel()]
        self.thresholds = np.array(flat, dtype=np.float32).reshape(self.chances.shape)  # class, month, half, before
        morning = np.array([(1 << quarter) - 1 for quarter in axis.midday_quarter[self.today :]], dtype=np.int64)
        full = np.int64((1 << axis.quarters_per_day) - 1)
        self.halves = np.stack([morning, full & ~morning])  # half, day

    def words(self, rng: np.random.Generator, doubt_sd: float) -> IntArray:
        """Workable quarters, (scenarios, classes, days); the days before today are closed."""
        classes, days = len(self.season.weather), self.season.axis.days
        out = np.zeros((self.scenarios, classes, days), dtype=np.int64)
        if classes == 0:
            return out
        shift = (rng.standard_normal(self.scenarios) * doubt_sd).astype(np.float32)
        known = self._forecast(rng)
        lost = self._chain(rng, shift, None if known is None else known.lost)
        fair = ~lost[self.day_of]  # day, half, class, scenario
        words = np.where(fair[:, 0], self.halves[0][:, None, None], 0)
        words |= np.where(fair[:, 1], self.halves[1][:, None, None], 0)
        if known is not None:
            for day, covered in enumerate(known.covered):
                words[day] = (words[day] & ~covered) | known.words[day]
        out[:, :, self.today :] = words.transpose(2, 1, 0)
        return out

    def _chain(self, rng: np.random.Generator, shift: NDArray[np.float32], known: BoolArray | None) -> BoolArray:
        """Lost half days, (calendar days from today, 2, classes, scenarios)."""
        days, classes = len(self.months), len(self.groups)
        shared = rng.standard_normal((days, 2, int(self.groups.max()) + 1, self.scenarios), dtype=np.float32)
        normal = rng.standard_normal((days, 2, classes, self.scenarios), dtype=np.float32)
        normal *= np.float32((1 - LATENT) ** 0.5)
        shared *= np.float32(LATENT**0.5)
        for number, group in enumerate(self.groups):
            normal[:, :, number] += shared[:, :, group]
        normal -= shift
        limits = self.thresholds[:, np.array(self.months) - 1].transpose(1, 2, 3, 0)[..., None]
        after_fair, after_lost = normal < limits[:, :, 0], normal < limits[:, :, 1]  # day, half, class, scenario
        rest = rng.standard_normal((classes, self.scenarios), dtype=np.float32)
        before = rest - shift < self._steady()[:, None]
        lost = np.empty((days, 2, classes, self.scenarios), dtype=np.bool_)
        for half_day in range(2 * days):
            day, half = divmod(half_day, 2)
            if known is not None and half_day < len(known):
                lost[day, half] = known[half_day]
            else:
                lost[day, half] = (before & after_lost[day, half]) | (~before & after_fair[day, half])
            before = lost[day, half]
        return lost

    def _steady(self) -> NDArray[np.float32]:
        """Thresholds of the long-run chance of a lost afternoon, by class, in today's month."""
        morning, afternoon = self.chances[:, self.months[0] - 1, 0], self.chances[:, self.months[0] - 1, 1]
        stays = afternoon[:, 1] - afternoon[:, 0]
        chance = (morning[:, 0] * stays + afternoon[:, 0]) / np.maximum(
            1 - (morning[:, 1] - morning[:, 0]) * stays, 1e-9
        )
        return np.array([threshold(float(each)) for each in np.minimum(chance, 1.0)], dtype=np.float32)

    def _forecast(self, rng: np.random.Generator) -> _Known | None:
        """Hours of the forecast, in each scenario lost together as its error goes from hour to hour."""
        rows = self.season.weather
        length = max((len(row.forecast) for row in rows), default=0)
        if length == 0:
            return None
        axis = self.season.axis
        limits = np.array([_limits(row, length) for row in rows], dtype=np.float32)
        normal = _by_the_hour(rng, [self._minute(self.season.now + n) for n in range(length)], self._shape())
        last = (self.season.now + length - 1) // axis.quarters_per_day
        words = np.zeros((last - self.today + 1, len(rows), self.scenarios), dtype=np.int64)
        covered = [0] * (last - self.today + 1)
        for number in range(length):
            day, quarter = divmod(self.season.now + number, axis.quarters_per_day)
            fair = normal[number][self.groups] >= limits[:, number : number + 1]
            words[day - self.today] |= np.where(fair, np.int64(1 << quarter), 0)
            covered[day - self.today] |= 1 << quarter
        return _Known(words, covered, self._half_days(words, covered))

    def _shape(self) -> tuple[int, int]:
        return int(self.groups.max()) + 1, self.scenarios

    def _minute(self, position: int) -> int:
        day, quarter = divmod(position, self.season.axis.quarters_per_day)
        return self.season.axis.day_starts[day] + 15 * quarter

    def _half_days(self, words: IntArray, covered: Sequence[int]) -> BoolArray:
        """Half days of the forecast, through days without work, up to the first that it does not speak of."""
        lost: list[BoolArray] = []
        for day in range(len(covered)):
            while len(lost) < 2 * int(self.day_of[day]):  # a Sunday between: as the half day before it
                lost.append(lost[-1])
            for half in range(2):
                spoken = covered[day] & int(self.halves[half][day])
                if spoken == 0 and day > 0:
                    return np.array(lost, dtype=np.bool_)
                lost.append(_too_short(words[day] & spoken, min(HALF_DAY_NEEDS_QUARTERS, spoken.bit_count())))
        return np.array(lost, dtype=np.bool_)


def _months(months: Sequence[int], day_of: Sequence[int]) -> list[int]:
    """The month of each calendar day from today on; a day without work has that of the day before it."""
    found: list[int] = []
    for month, day in zip(months, day_of, strict=True):
        found += [found[-1] if found else month] * (day - len(found))
        found.append(month)
    return found


def _limits(row: HalfDays, length: int) -> list[float]:
    chances = [*row.forecast, *[row.forecast[-1] if row.forecast else 0.0] * (length - len(row.forecast))]
    return [threshold(chance) for chance in chances]


def _by_the_hour(rng: np.random.Generator, minutes: Sequence[int], shape: tuple[int, int]) -> NDArray[np.float32]:
    """One normal an hour, tied to the hour before; (quarters, groups, scenarios)."""
    out = np.empty((len(minutes), *shape), dtype=np.float32)
    out[0] = rng.standard_normal(shape, dtype=np.float32)
    for number in range(1, len(minutes)):
        hours = minutes[number] // 60 - minutes[number - 1] // 60
        tie = FORECAST_PERSISTENCE**hours
        fresh = rng.standard_normal(shape, dtype=np.float32) if hours else np.float32(0)
        out[number] = np.float32(tie) * out[number - 1] + np.float32((1 - tie * tie) ** 0.5) * fresh
    return out


def _too_short(words: IntArray, needed: int) -> BoolArray:
    """Whether no run of so many workable quarters lies in the words."""
    have, run = 1, words.copy()
    while have < needed:
        step = min(have, needed - have)
        run &= run >> step
        have += step
    return np.asarray(run == 0)
