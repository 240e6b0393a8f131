"""Clock intervals as words of quarters, and where in each day a job may start for water, light and closed times."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from yard.planning.problem import QUARTER_MIN, Calendar, Inside, Job, Minutes, Problem, Way

IntArray = NDArray[np.int64]


def words_of(calendar: Calendar, intervals: tuple[Minutes, ...], *, touched: bool = False) -> tuple[int, ...]:
    """A word for each day of the quarters that lie wholly inside the intervals; `touched`: that touch one."""
    per_day = calendar.quarters_per_day
    words = [0] * calendar.days
    length = per_day * QUARTER_MIN
    for starts, ends in intervals:
        for day, opens in enumerate(calendar.day_starts):
            if opens >= ends or opens + length <= starts:
                continue
            if touched:
                first, last = (starts - opens) // QUARTER_MIN, -(-(ends - opens) // QUARTER_MIN)
            else:
                first, last = -(-(starts - opens) // QUARTER_MIN), (ends - opens) // QUARTER_MIN
            first, last = max(0, first), min(per_day, last)
            if first < last:
                words[day] |= (1 << last) - (1 << first)
    return tuple(words)


class Domains:
    """Start words of jobs; equal ones stand once in `words`."""

    def __init__(self, problem: Problem, weather_rules: frozenset[str]) -> None:
        self.words: list[tuple[int, ...]] = []
        self._problem, self._weather = problem, weather_rules
        self._known: dict[tuple[tuple[int, int, int], ...], int] = {}
        self._reach: dict[int, IntArray] = {}
        calendar = problem.calendar
        self._per_day, self._days = calendar.quarters_per_day, calendar.days
        quarters = np.arange(self._per_day) * QUARTER_MIN
        self._minutes = np.array(calendar.day_starts)[:, None] + quarters[None, :]
        self._left = self._per_day - np.arange(self._per_day)

    def of(self, job: Job, way: Way) -> int:
        """Index into `words`, -1 where the job may start at any quarter."""
        if job.pausing != "fitted":
            return -1
        asked = tuple(self._stretch(each, way) for each in way.inside if not self._is_weather(each))
        if not asked:
            return -1
        if asked not in self._known:
            allowed = np.ones((self._days, self._per_day), dtype=np.bool_)
            for window_set, offset, length in asked:
                allowed &= self._may_start(window_set, offset, length)
            self._known[asked] = len(self.words)
            bits = np.int64(1) << np.arange(self._per_day, dtype=np.int64)
            self.words.append(tuple((allowed * bits).sum(axis=1).tolist()))
        return self._known[asked]

    def _is_weather(self, each: Inside) -> bool:
        return self._problem.window_sets[each.window_set].rule in self._weather

    def _stretch(self, each: Inside, way: Way) -> tuple[int, int, int]:
        length = way.duration_quarters - each.offset_quarters if each.length_quarters is None else each.length_quarters
        return each.window_set, each.offset_quarters, length

    def _may_start(self, window_set: int, offset: int, length: int) -> NDArray[np.bool_]:
        reach = self._reach.get(window_set)
        if reach is None:
            reach = self._reach[window_set] = self._reach_of(window_set)
        allowed = np.zeros((self._days, self._per_day), dtype=np.bool_)
        allowed[:, : self._per_day - offset] = reach[:, offset:] >= length
        return allowed

    def _reach_of(self, window_set: int) -> IntArray:
        """For how many quarters from each on one interval holds, at most to the end of the day."""
        intervals = self._problem.window_sets[window_set].intervals
        if not intervals:
            return np.zeros((self._days, self._per_day), dtype=np.int64)
        starts = np.array([each[0] for each in intervals])
        ends = np.array([each[1] for each in intervals])
        at = np.searchsorted(starts, self._minutes, side="right") - 1
        left = np.where(at >= 0, (ends[at] - self._minutes) // QUARTER_MIN, 0)
        return np.clip(left, 0, self._left[None, :])
