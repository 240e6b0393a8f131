"""The calendar as the engine sees it: words of bits a day, and tables that turn clock time into positions.

A position inside the engine is `day << shift | quarter`, with the stride of a day a power of two; an end is the
position of the last quarter + 1, so the end of a day is not the start of the next.  `FAR` stands for "never".
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from yard.planning.engine import FAR
from yard.planning.problem import QUARTER_MIN, Calendar, Inside, Minutes, WindowSet
from yard.planning.timeline import Timeline

Table = npt.NDArray[np.int64]


class SpanTables(NamedTuple):
    """By start, its end; by first taken position, the last start that ends (or gives back its places) by then."""

    end: Table
    last: Table
    last_hold: Table


class WaitTables(NamedTuple):
    """A wait by the key of the job before (its end, or its start if it runs on the clock), and its inverse by the
    start of the job after. `None` where the wait has no such side."""

    earliest: Table | None
    earliest_inverse: Table | None
    latest: Table | None
    latest_inverse: Table | None


class Axis:
    def __init__(self, calendar: Calendar, forecast_until: int = 0) -> None:
        self.calendar = calendar
        self.forecast_until = forecast_until
        self.timeline = Timeline(calendar)
        self.days = calendar.days
        self.quarters = calendar.quarters_per_day
        self.shift = (self.quarters - 1).bit_length()
        self.full = (1 << self.quarters) - 1
        self.size = (self.days << self.shift) + 1
        self._day_starts = np.array(calendar.day_starts, dtype=np.int64)
        self._day_ends = [start + QUARTER_MIN * self.quarters for start in calendar.day_starts]
        self._inside: dict[tuple[str, int, int], list[int]] = {}
        self._minutes = (self._day_starts[:, None] + QUARTER_MIN * np.arange(self.quarters)).ravel()
        at = np.arange(self.size, dtype=np.int64)
        day, quarter = at >> self.shift, at & ((1 << self.shift) - 1)
        self._start_minutes = self._clock(day, quarter)
        last = np.maximum(at - 1, 0)
        self._end_minutes = self._clock(last >> self.shift, (last & ((1 << self.shift) - 1)) + 1)
        self._end_minutes[0] = self._day_starts[0]

    def _clock(self, day: Table, quarter: Table) -> Table:
        over = day >= self.days
        day, quarter = np.where(over, self.days - 1, day), np.where(over, self.quarters, quarter)
        minutes: Table = self._day_starts[day] + QUARTER_MIN * np.minimum(quarter, self.quarters)
        return minutes

    # positions ---------------------------------------------------------------------------------------------------
    def inner(self, position: int) -> int:
        """A start on the Problem's axis as a position of the engine."""
        day, quarter = divmod(position, self.quarters)
        return (day << self.shift) + quarter

    def inner_end(self, position: int) -> int:
        return self.inner(position - 1) + 1

    def outer(self, position: int) -> int:
        return (position >> self.shift) * self.quarters + (position & ((1 << self.shift) - 1))

    def outer_end(self, position: int) -> int:
        return self.outer(position - 1) + 1

    def _inner_starts(self, positions: Table) -> Table:
        inner = ((positions // self.quarters) << self.shift) + positions % self.quarters
        return np.where(positions >= self.calendar.size, FAR, inner)

    # words ---------------------------------------------------------------------------------------------------------
    def words(self, intervals: Iterable[Minutes]) -> list[int]:
        """Quarters that lie wholly inside the intervals (intervals that touch count as one)."""
        joined: list[list[int]] = []
        for starts, ends in intervals:
            if joined and joined[-1][1] >= starts:
                joined[-1][1] = max(ends, joined[-1][1])
            else:
                joined.append([starts, ends])
        return self._start_words(((a, b) for a, b in joined), 0, 1)

    def touched(self, intervals: Iterable[Minutes]) -> list[int]:
        """Quarters that the intervals touch at all."""
        words = [0] * self.days
        for starts, ends in intervals:
            for day in self._days_of(starts, ends):
                begin = self.calendar.day_starts[day]
                first = max(0, (starts - begin) // QUARTER_MIN)
                last = min(self.quarters, -(-(ends - begin) // QUARTER_MIN))
                if first < last:
                    words[day] |= (1 << last) - (1 << first)
        return words

    def start_words(self, duration: int, insides: Iterable[tuple[WindowSet, Inside]]) -> list[int]:
        """Starts of a job of one stretch: inside one day, and each asked stretch inside one interval of its set."""
        fit = (1 << max(0, self.quarters - duration + 1)) - 1
        words = [fit] * self.days
        for windows, inside in insides:
            length = duration - inside.offset_quarters if inside.length_quarters is None else inside.length_quarters
            key = (windows.key, inside.offset_quarters, length)
            if key not in self._inside:
                self._inside[key] = self._start_words(windows.intervals, inside.offset_quarters, length)
            allowed = self._inside[key]
            words = [one & two for one, two in zip(words, allowed, strict=True)]
        return words

    def _start_words(self, intervals: Iterable[Minutes], offset: int, length: int) -> list[int]:
        words = [0] * self.days
        for starts, ends in intervals:
            for day in self._days_of(starts, ends):
                begin = self.calendar.day_starts[day]
                first = max(0, -(-(starts - begin) // QUARTER_MIN) - offset)
                last = min(self.quarters - 1, (ends - begin) // QUARTER_MIN - length - offset)
                if first <= last:
                    words[day] |= (2 << last) - (1 << first)
        return words

    def _days_of(self, starts: int, ends: int) -> range:
        return range(bisect_right(self._day_ends, starts), bisect_left(self.calendar.day_starts, ends))

    # tables ----------------------------------------------------------------------------------------------------------
    def paused_ends(self, counted: list[int], duration: int) -> Table:
        """The end of a job that counts these quarters only, for each start (from the next counted quarter on)."""
        bits = [
            (day << self.shift) + quarter
            for day, word in enumerate(counted)
            for quarter in range(self.quarters)
            if word >> quarter & 1
        ]
        positions = np.array(bits, dtype=np.int64)
        index = np.searchsorted(positions, np.arange(self.size), "left") + duration - 1
        ends = np.full(self.size, FAR, dtype=np.int64)
        fits = index < len(positions)
        ends[fits] = positions[index[fits]] + 1
        return ends

    def elapsed_ends(self, duration: int) -> Table:
        """The end of a job that runs on the clock: the first position at or after its end minute."""
        after = np.searchsorted(self._minutes, self._start_minutes + QUARTER_MIN * duration, "left")
        last = np.maximum(after - 1, 0)
        ends: Table = ((last // self.quarters) << self.shift) + last % self.quarters + 1
        return ends

    def ending(self, counted: list[int], ends: Table) -> list[int]:
        """The starts among the counted quarters from which the job ends at all, a word a day."""
        by_day = (ends[: self.size - 1] < FAR).reshape(self.days, -1)[:, : self.quarters]
        bits = (by_day.astype(np.int64) << np.arange(self.quarters)).sum(axis=1).tolist()
        return [word & fits for word, fits in zip(counted, bits, strict=True)]

    def span_tables(self, ends: Table, extra: int) -> SpanTables:
        at = np.arange(self.size)
        day_end = (((ends - 1) >> self.shift) << self.shift) + self.quarters
        held = np.where(ends >= FAR, FAR, np.minimum(ends + extra, day_end))
        return SpanTables(ends, np.searchsorted(ends, at, "right") - 1, np.searchsorted(held, at, "right") - 1)

    def wait_tables(self, least: int | None, most: int | None, allowance: int, elapsed: int | None) -> WaitTables:
        """least, most: clock minutes. allowance: working quarters first. elapsed: duration of a job on the clock."""
        bare = self._end_minutes if elapsed is None else self._start_minutes + QUARTER_MIN * elapsed
        at = np.arange(self.size)
        earliest = inverse = latest = latest_inverse = None
        if least is not None:
            # A job on the clock may end inside a quarter; its allowance is counted from the next whole one.
            from_minutes = bare if elapsed is None or not allowance else self._opening(self.elapsed_ends(elapsed))
            ready = np.where(bare <= self.forecast_until, bare, self._walk(from_minutes, allowance)) + least
            ready = np.minimum(ready, np.iinfo(np.int64).max // 2)
            earliest = self._inner_starts(np.searchsorted(self._minutes, ready, "left"))
            inverse = np.searchsorted(earliest, at, "right") - 1
        if most is not None:
            last = np.searchsorted(self._minutes, bare + most, "right") - 1
            latest = np.where(last < 0, -1, self._inner_starts(last))
            latest_inverse = np.searchsorted(latest, at, "left")
            latest_inverse = np.where(latest_inverse >= self.size, FAR, latest_inverse)
        return WaitTables(earliest, inverse, latest, latest_inverse)

    def _opening(self, ends: Table) -> Table:
        """The minute of the first quarter at or after each end."""
        last = ends - 1
        day, quarter = last >> self.shift, (last & ((1 << self.shift) - 1)) + 1
        turned = quarter >= self.quarters
        return self._clock(np.where(turned, day + 1, day), np.where(turned, 0, quarter))

    def _walk(self, minutes: Table, allowance: int) -> Table:
        """Each minute, `allowance` quarters of the yard's own hours later."""
        if allowance == 0:
            return minutes
        closes = self.quarters if self.calendar.closes_quarter is None else self.calendar.closes_quarter
        opens_at = self._day_starts + QUARTER_MIN * self.calendar.opens_quarter
        length = QUARTER_MIN * (closes - self.calendar.opens_quarter)
        day = np.searchsorted(opens_at, minutes, "right") - 1
        into = np.clip(minutes - opens_at[np.maximum(day, 0)], 0, length)
        target = np.where(day < 0, 0, day * length + into) + QUARTER_MIN * allowance
        whole = (target - 1) // length  # the day in which the last minute is worked
        over = whole >= self.days
        whole = np.minimum(whole, self.days - 1)
        return np.where(over, np.iinfo(np.int64).max // 4, opens_at[whole] + target - whole * length)
