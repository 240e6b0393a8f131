"""What every reader does: refuse the empty and the huge, decode JSON into its shape, collect hours."""

from __future__ import annotations

from collections import defaultdict
from datetime import UTC, datetime, timedelta
from typing import Any, TypeVar

import msgspec

from yard.speech import _
from yard.weather.hourly import HOUR, PLAUSIBLE, Forecast, ForecastNotRead, Hour

# Recorded answers are 30 to 500 kB; a body far beyond is no forecast.
MAX_BYTES = 5_000_000
# The longest of the three providers is 16 days; a mistyped interval must not make a million rows.
MAX_HOURS = 16 * 24
# Within these no interval that can be written runs over the ends of the calendar.
YEARS = range(1970, 2200)

Shape = TypeVar("Shape")


def checked_bytes(data: bytes) -> bytes:
    """Raises ForecastNotRead for an empty body (may be better next time) and for a huge one."""
    if not data.strip():
        raise ForecastNotRead(_("the answer is empty"), permanent=False)
    if len(data) > MAX_BYTES:
        raise ForecastNotRead(
            _("the answer is over {most} MB: not a forecast").format(most=MAX_BYTES // 1_000_000), permanent=True
        )
    return data


def decoded(data: bytes, shape: type[Shape]) -> Shape:
    """Decode a JSON body. Cut short or no JSON at all, it may be better next time; a wrong shape will not."""
    try:
        return msgspec.json.decode(checked_bytes(data), type=shape)
    except msgspec.ValidationError as error:
        raise ForecastNotRead(
            _("the answer is not shaped as expected: {error}").format(error=error), permanent=True
        ) from error
    except (msgspec.DecodeError, UnicodeDecodeError) as error:
        raise ForecastNotRead(
            _("the answer is cut short or not JSON: {error}").format(error=error), permanent=False
        ) from error
    except RecursionError as error:
        raise ForecastNotRead(_("the answer is nested too deeply"), permanent=True) from error


def utc_time(text: str) -> datetime:
    """An ISO 8601 time with its offset, in UTC.

    Raises ForecastNotRead, also for a time without offset and for one outside YEARS.
    """
    try:
        time = datetime.fromisoformat(text)
        if time.tzinfo is not None and time.year in YEARS:
            return time.astimezone(UTC)
    except ValueError:
        pass
    raise ForecastNotRead(
        _("{text!r} is not a time from {first} to {last} with its offset from UTC").format(
            text=text[:40], first=YEARS[0], last=YEARS[-1]
        ),
        permanent=True,
    )


def first_whole_hour(time: datetime) -> datetime:
    """The first hour that starts at or after a time."""
    floor = time.replace(minute=0, second=0, microsecond=0)
    return floor if floor == time else floor + HOUR


def whole_hours(start: datetime, end: datetime) -> list[datetime]:
    """Starts of the hours h with start <= h < end, at most MAX_HOURS of them."""
    first = first_whole_hour(start)
    count = min(-((first - end) // HOUR), MAX_HOURS)
    return [first + timedelta(hours=number) for number in range(count)]


class HourBook:
    """Values collected by hour and name; becomes the rows of a forecast."""

    def __init__(self) -> None:
        self._values: defaultdict[datetime, dict[str, Any]] = defaultdict(dict)

    def put(self, hour: datetime, name: str, value: float | bool | None) -> None:
        """Keep a value; None, and a number that cannot be, stay missing. A later value replaces one."""
        if value is None:
            self._values[hour].pop(name, None)
            return
        low_high = PLAUSIBLE.get(name)
        if low_high is None or low_high[0] <= value <= low_high[1]:
            self._values[hour][name] = value
        else:
            self._values[hour].pop(name, None)

    def forecast(self, provider: str, updated_at: datetime | None) -> Forecast:
        """Rows for the hours of which anything is known. Raises ForecastNotRead where that is none."""
        known = sorted(hour for hour, values in self._values.items() if values)
        if not known:
            raise ForecastNotRead(_("the answer holds no hour of which anything is known"), permanent=False)
        end = known[0] + timedelta(hours=MAX_HOURS)
        rows = tuple(Hour(start=hour, **self._values[hour]) for hour in known if hour < end)
        return Forecast(provider, updated_at, rows)
