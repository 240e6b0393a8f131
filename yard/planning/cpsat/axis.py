"""Sets of axis positions as big integers: bit p is set where position p belongs to the set."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence

from ortools.sat.python import cp_model

from yard.planning.problem import QUARTER_MIN, Calendar, Minutes
from yard.planning.timeline import Timeline


class Axis:
    def __init__(self, calendar: Calendar) -> None:
        self.timeline = Timeline(calendar)
        self.per_day = calendar.quarters_per_day
        self.days = calendar.days
        self.size = calendar.size
        self.full = (1 << self.size) - 1
        self.day_starts = calendar.day_starts

    def inside(self, intervals: Sequence[Minutes]) -> int:
        """Quarters that lie wholly in the union of the intervals."""
        outside: list[Minutes] = []
        last = self.day_starts[0]
        for starts, ends in intervals:
            if starts > last:
                outside.append((last, starts))
            last = max(last, ends)
        outside.append((last, self.day_starts[-1] + self.per_day * QUARTER_MIN + 1))
        return self.full & ~self.touching(outside)

    def touching(self, intervals: Sequence[Minutes]) -> int:
        """Quarters of which any part lies in one of the intervals."""
        mask = 0
        for starts, ends in intervals:
            for day in range(max(0, bisect_right(self.day_starts, starts) - 1), self.days):
                opens = self.day_starts[day]
                if opens >= ends:
                    break
                low = max(0, (starts - opens) // QUARTER_MIN)
                high = min(self.per_day, -(-(ends - opens) // QUARTER_MIN))
                if low < high:
                    mask |= ((1 << (high - low)) - 1) << (day * self.per_day + low)
        return mask

    def begins_between(self, first_minute: int, last_minute: int) -> int:
        """Quarters that begin within [first_minute, last_minute], both included."""
        low = self.timeline.first_at_or_after(first_minute)
        high = self.timeline.last_at_or_before(last_minute)
        return ((1 << (high + 1 - low)) - 1) << low if low <= high else 0

    def runs(self, mask: int, length: int) -> int:
        """Positions from which `length` quarters lie in the mask, over the ends of days too."""
        done = 1
        while done < length:
            step = min(done, length - done)
            mask &= mask >> step
            done += step
        return mask

    def whole_in_day(self, length: int) -> int:
        """Positions from which `length` quarters lie in one day."""
        room = self.per_day - length + 1
        if room <= 0:
            return 0
        day = (1 << room) - 1
        return sum(day << (number * self.per_day) for number in range(self.days))

    def day(self, number: int) -> int:
        return ((1 << self.per_day) - 1) << (number * self.per_day)


def positions(mask: int) -> list[int]:
    return [place for place, bit in enumerate(reversed(f"{mask:b}")) if bit == "1"]


def domain(mask: int) -> cp_model.Domain:
    return cp_model.Domain.from_values(positions(mask))


def at_least(count: int, masks: Iterable[int], full: int) -> int:
    """Positions that belong to at least `count` of the masks."""
    levels = [full] + [0] * count
    for mask in masks:
        for level in range(count, 0, -1):
            levels[level] |= levels[level - 1] & mask
    return levels[count]


def count_before(mask: int, size: int) -> list[int]:
    """For each position (and `size`): how many positions before it belong to the mask."""
    counts = [0] * (size + 1)
    for position in positions(mask):
        counts[position + 1] = 1
    for position in range(size):
        counts[position + 1] += counts[position]
    return counts
