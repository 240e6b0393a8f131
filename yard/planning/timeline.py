"""From clock minutes to positions on the planning axis and back. Nothing else in the planner does this."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from datetime import UTC, datetime, timedelta

from yard.planning.problem import QUARTER_MIN, Calendar


class Timeline:
    """The axis of one Calendar.

    Positions run from 0 to `size` (the end of the last day).  There and back: `position_at(minute_at(p)) == p`.
    """

    def __init__(self, calendar: Calendar) -> None:
        self.calendar = calendar
        self.per_day = calendar.quarters_per_day
        self.size = calendar.size
        self.epoch = datetime.fromisoformat(calendar.epoch).astimezone(UTC)

    def minute_at(self, position: int) -> int:
        """The clock minute at which this quarter begins; for `size`, the end of the last day."""
        if position == self.size:
            return self.end_minute(position)
        day, quarter = divmod(position, self.per_day)
        return self.calendar.day_starts[day] + quarter * QUARTER_MIN

    def end_minute(self, position: int) -> int:
        """The clock minute at which work that ends at this position ends: the end of the quarter before it.

        At the end of a day this is that evening, not the next morning.
        """
        if position == 0:
            return self.calendar.day_starts[0]
        day, quarter = divmod(position - 1, self.per_day)
        return self.calendar.day_starts[day] + (quarter + 1) * QUARTER_MIN

    def first_at_or_after(self, minute: int) -> int:
        """The first position whose quarter begins at or after this minute; `size` where there is none."""
        starts = self.calendar.day_starts
        day = bisect_right(starts, minute) - 1
        if day < 0:
            return 0
        quarter = -(-(minute - starts[day]) // QUARTER_MIN)
        return min(self.size, day * self.per_day + min(quarter, self.per_day))

    def last_at_or_before(self, minute: int) -> int:
        """The last position whose quarter begins at or before this minute; -1 where there is none."""
        starts = self.calendar.day_starts
        day = bisect_right(starts, minute) - 1
        if day < 0:
            return -1
        quarter = (minute - starts[day]) // QUARTER_MIN
        return day * self.per_day + min(quarter, self.per_day - 1)

    def position_at(self, minute: int) -> int:
        """The position whose quarter begins exactly then. Raises ValueError between quarters and outside days."""
        position = self.first_at_or_after(minute)
        if position == self.size or self.minute_at(position) != minute:
            raise ValueError(f"no working quarter begins at minute {minute}")
        return position

    def minute_of(self, instant: datetime) -> int:
        """Whole clock minutes from the epoch to an aware instant (rounded down)."""
        return (instant - self.epoch) // timedelta(minutes=1)

    def instant_of(self, minute: int) -> datetime:
        """The UTC instant of a clock minute."""
        return self.epoch + timedelta(minutes=minute)

    def starts_at(self, position: int) -> datetime:
        return self.instant_of(self.minute_at(position))

    def ends_at(self, position: int) -> datetime:
        return self.instant_of(self.end_minute(position))

    def day_of_minute(self, minute: int) -> int:
        """The day that contains, or else is the first after, this minute; `days` where there is none."""
        starts = self.calendar.day_starts
        length = self.per_day * QUARTER_MIN
        return bisect_left([start + length for start in starts], minute + 1)
