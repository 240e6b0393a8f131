"""The days of the plan: which days anybody works, and the clock stretch of each that the planner looks at."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _

from yard.planning.problem import MAX_QUARTERS_PER_DAY, QUARTER_MIN, Calendar
from yard.planning.timeline import Timeline

MINUTES_PER_DAY = 24 * 60


class YardNotReady(Exception):
    """The yard lacks a fact without which no season can be planned; the text says which and where to enter it."""


@dataclass(frozen=True)
class Stretch:
    """A local time of day [starts_min, ends_min) in minutes after midnight."""

    starts_min: int
    ends_min: int


def stretch(starts: time, ends: time) -> Stretch:
    """From two times of a day; 00:00 as an end is midnight."""
    return Stretch(starts.hour * 60 + starts.minute, ends.hour * 60 + ends.minute or MINUTES_PER_DAY)


@dataclass(frozen=True)
class Axis:
    """The calendar of a plan with the yard's own dates and zone beside it.

    dates: the local date of each axis day, rising. timeline: minutes and positions.
    """

    calendar: Calendar
    timeline: Timeline
    dates: tuple[date, ...]
    zone: ZoneInfo
    opens_min: int

    def minute(self, instant: datetime) -> int:
        return self.timeline.minute_of(instant)

    def local(self, day: date, minutes: int) -> int:
        """The clock minute of a local time of day, on the real clock of that date (clock changes included)."""
        midnight = datetime.combine(day, time(), tzinfo=self.zone)
        local = (datetime.combine(day, time()) + timedelta(minutes=minutes)).replace(tzinfo=self.zone)
        return self.minute((local if minutes else midnight).astimezone(UTC))

    def due_day(self, day: date) -> int:
        """The last axis day on or before a date, counted in working days; negative before the calendar begins.

        Before the calendar each Monday to Saturday counts as a working day, beyond it too.
        """
        if day < self.dates[0]:
            return -_weekdays_between(day, self.dates[0])
        if day > self.dates[-1]:
            return len(self.dates) - 1 + _weekdays_between(self.dates[-1], day)
        return sum(1 for other in self.dates if other <= day) - 1

    def date_of(self, axis_day: int) -> date:
        """The date of an axis day inside the calendar."""
        return self.dates[axis_day]

    @property
    def starts_at(self) -> datetime:
        return self.timeline.starts_at(0)

    @property
    def ends_at(self) -> datetime:
        return self.timeline.ends_at(self.timeline.size)


def _weekdays_between(one: date, two: date) -> int:
    """Mondays to Saturdays in (one, two]."""
    return sum(1 for step in range(1, (two - one).days + 1) if (one + timedelta(days=step)).weekday() != 6)


def make_axis(
    first: date,
    last: date,
    *,
    zone: ZoneInfo,
    weekdays: Iterable[int],
    holidays: Iterable[date],
    extra_days: Iterable[date],
    reach: Sequence[Stretch],
    shop: Sequence[Stretch],
) -> Axis:
    """The axis from `first` to `last`, both included.

    weekdays: those on which anybody works; extra_days: dated hours on other days.
    reach: every stretch of a day in which somebody may work, slides included; shop: the yard's own hours.
    Raises YardNotReady where nobody works, or where the working day is longer than the planner's 15 h 30 min.
    """
    if not reach:
        raise YardNotReady(_("Nobody has working hours yet: enter the people's weekly hours first (Crew)."))
    opens = min(stretch.starts_min for stretch in reach) // QUARTER_MIN * QUARTER_MIN
    quarters = -(-(max(stretch.ends_min for stretch in reach) - opens) // QUARTER_MIN)
    if quarters > MAX_QUARTERS_PER_DAY:
        raise YardNotReady(
            _(
                "From the earliest start to the latest end, slides included, the working day is "
                "longer than 15 h 30 min: shorten somebody's hours or how far they slide for a tide "
                "(Crew)."
            )
        )
    working, shut, extra = set(weekdays), set(holidays), set(extra_days)
    span = [first + timedelta(days=step) for step in range((last - first).days + 1)]
    dates = tuple(day for day in span if (day.weekday() in working and day not in shut) or day in extra)
    if not dates:
        raise YardNotReady(_("No working day lies between {first} and {last}.").format(first=first, last=last))
    calendar = _calendar(dates, zone, opens, quarters, shop)
    return Axis(calendar=calendar, timeline=Timeline(calendar), dates=dates, zone=zone, opens_min=opens)


def _calendar(dates: tuple[date, ...], zone: ZoneInfo, opens: int, quarters: int, shop: Sequence[Stretch]) -> Calendar:
    epoch = datetime.combine(dates[0], time(), tzinfo=zone).astimezone(UTC)

    def start(day: date) -> int:
        local = (datetime.combine(day, time()) + timedelta(minutes=opens)).replace(tzinfo=zone)
        return (local.astimezone(UTC) - epoch) // timedelta(minutes=1)

    opens_quarter = min((s.starts_min for s in shop), default=opens)
    closes_quarter = max((s.ends_min for s in shop), default=opens + quarters * QUARTER_MIN)
    return Calendar(
        epoch=epoch.isoformat(),
        quarters_per_day=quarters,
        day_starts=tuple(start(day) for day in dates),
        day_names=tuple(day.isoformat() for day in dates),
        weeks=tuple((day.toordinal() - 1) // 7 for day in dates),  # ordinal 1 was a Monday
        opens_quarter=max(0, (opens_quarter - opens) // QUARTER_MIN),
        closes_quarter=min(quarters, (closes_quarter - opens) // QUARTER_MIN),
    )
