"""When to ask for a forecast again, and when one is too old to plan by.

Every 3 hours from 04 to 19 o'clock in the yard's zone, and surely before 05:00 and 15:30, when the day's work
is called; MET Norway recomputes outside the Nordic area every 6 hours. Providers ask that clients do not all
come on the hour: each yard draws a minute once and keeps it.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from enum import StrEnum
from zoneinfo import ZoneInfo

from yard.weather.hourly import Provider


class Age(StrEnum):
    FRESH = "fresh"
    OLD = "old"  # still planned by, and said to be old
    TOO_OLD = "too old"  # the climate stands in its place


OLD_AFTER = timedelta(hours=12)
TOO_OLD_AFTER = timedelta(hours=36)

CALLS = (time(5, 0), time(15, 30))
# A fetch for a call comes 1 to 15 minutes ahead of it, so that its retry is over too.
AHEAD_OF_CALL_MIN = 15
REGULAR_HOURS = {
    Provider.NWS: (4, 7, 10, 13, 16, 19),
    Provider.OPEN_METEO: (4, 7, 10, 13, 16, 19),
    # With the two calls, about every 6 hours of the working day.
    Provider.METNO: (10,),
}


def next_fetch_at(
    now: datetime,
    last: datetime | None,
    provider: Provider,
    zone: ZoneInfo,
    *,
    minute: int,
    not_before: datetime | None = None,
) -> datetime:
    """The next time to fetch, in UTC; now itself where a time was missed or nothing was ever fetched.

    last: when it was last tried. minute: 0 to 59, drawn once by each yard. not_before: the provider's
    Expires. Raises ValueError for a minute outside, or a time without zone.
    """
    if not 0 <= minute <= 59:
        raise ValueError(f"a minute is 0 to 59, not {minute}")
    for moment in (now, last, not_before):
        if moment is not None and moment.tzinfo is None:
            raise ValueError(f"{moment.isoformat()} has no zone")
    now = now.astimezone(UTC)
    if last is None or last > now:  # a clock that was set back must not stop the forecasts
        due = now
    else:
        today = last.astimezone(zone).date()
        days = (today, today + timedelta(days=1))
        times = sorted(moment for day in days for moment in _times(day, provider, zone, minute))
        due = max(now, next(moment for moment in times if moment > last))
    return due if not_before is None else max(due, not_before.astimezone(UTC))


def _times(day: date, provider: Provider, zone: ZoneInfo, minute: int) -> list[datetime]:
    """The day's fetches in UTC."""
    regular = [datetime.combine(day, time(hour, minute), zone) for hour in REGULAR_HOURS[provider]]
    ahead = timedelta(minutes=1 + minute % AHEAD_OF_CALL_MIN)
    calls = [datetime.combine(day, call, zone) - ahead for call in CALLS]
    return [moment.astimezone(UTC) for moment in regular + calls]


def age(read_at: datetime, now: datetime) -> Age:
    """How far a forecast may be trusted, by the time it was made, or fetched where that is not told."""
    elapsed = now - read_at
    if elapsed > TOO_OLD_AFTER:
        return Age.TOO_OLD
    return Age.OLD if elapsed > OLD_AFTER else Age.FRESH
