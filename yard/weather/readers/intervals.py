"""Time intervals as NWS writes them: start/duration, start/end, with NOW for either end."""

from __future__ import annotations

import re
from datetime import datetime, timedelta

from yard.speech import _
from yard.weather.hourly import ForecastNotRead
from yard.weather.readers.body import utc_time

# ISO 8601 durations without months and years, which have no fixed length. The digits allowed keep every
# duration under 1,000 years.
_DURATION = re.compile(
    r"P(?:(?P<weeks>\d{1,4})W)?(?:(?P<days>\d{1,5})D)?"
    r"(?:T(?:(?P<hours>\d{1,6})H)?(?:(?P<minutes>\d{1,8})M)?(?:(?P<seconds>\d{1,9})S)?)?"
)


def duration(text: str) -> timedelta:
    """P1DT6H gives 30 hours. Raises ForecastNotRead; a duration is never nothing."""
    match = _DURATION.fullmatch(text)
    parts = {name: int(value) for name, value in match.groupdict().items() if value} if match else {}
    span = timedelta(**parts)
    if not span:
        raise ForecastNotRead(_("{text!r} is not a length of time").format(text=text[:40]), permanent=True)
    return span


def interval(text: str, *, now: datetime | None) -> tuple[datetime, datetime]:
    """Start and end in UTC of start/duration, duration/end or start/end; NOW is the time of the forecast.

    Raises ForecastNotRead where the text is none of these, NOW is unknown, or nothing lies between.
    """
    first, slash, second = text.partition("/")
    if not slash:
        raise ForecastNotRead(_("{text!r} is not an interval of time").format(text=text[:60]), permanent=True)
    if first.startswith("P"):
        end = _moment(second, now)
        start = end - duration(first)
    else:
        start = _moment(first, now)
        end = start + duration(second) if second.startswith("P") else _moment(second, now)
    if end <= start:
        raise ForecastNotRead(_("{text!r} ends before it starts").format(text=text[:60]), permanent=True)
    return start, end


def _moment(text: str, now: datetime | None) -> datetime:
    if text != "NOW":
        return utc_time(text)
    if now is None:
        raise ForecastNotRead(_("an interval says NOW, and the forecast does not say when that was"), permanent=True)
    return now
