"""What people read: heights in the yard's own unit, times on the yard's own clock. Inside, all is metres and UTC."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta

from django.utils import timezone

from yard.models import YardSettings

FOOT_M = 0.3048
"""The international foot, exact since 1959."""


def in_feet(yard: YardSettings) -> bool:
    """Whether the yard reads feet and inches; else metres."""
    return yard.units == YardSettings.Units.FEET


def feet(metres: float) -> float:
    return metres / FOOT_M


def height(metres: float, yard: YardSettings) -> float:
    """A height or depth in the unit that the yard reads."""
    return feet(metres) if in_feet(yard) else metres


def metres_of(shown: float, yard: YardSettings) -> float:
    """What somebody typed in the yard's unit, in metres."""
    return shown * FOOT_M if in_feet(yard) else shown


def height_unit(yard: YardSettings) -> str:
    """ "ft" or "m"."""
    return "ft" if in_feet(yard) else "m"


def local(at: datetime) -> datetime:
    """On the clock of the yard, whose zone the middleware has made the current one."""
    return timezone.localtime(at)


def minute_on(at: datetime, day: date) -> int:
    """Minutes from the midnight of `day` on the yard's clock, as its hands show them; negative on the day before."""
    return clock_minute(at) - day.toordinal() * 1440


def clock_minute(at: datetime) -> int:
    """The minute that the yard's clock shows, counted through all days: the midnight of one is its ordinal times 1440.

    What is looked for on many days is so read off the clock once.
    """
    shown = local(at)
    return shown.toordinal() * 1440 + shown.hour * 60 + shown.minute


def at_minute(day: date, minute: int) -> datetime:
    """The instant (UTC) at which the yard's clock shows that minute of the day; the earlier one if it does so twice."""
    midnight = datetime.combine(day, time(), timezone.get_current_timezone())
    return (midnight + timedelta(minutes=minute)).astimezone(UTC)
