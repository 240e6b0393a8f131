"""MET Norway locationforecast 2.0 `complete` (api.met.no; CC BY 4.0: credit and link on every page that shows
it).

Format: api.met.no documentation and recorded answers of 2020. Values stand at an instant, which is the start
of its step; steps are of 1 h for two days, then of 6 h; the last one has no length. Rain is of the next 1 or
6 hours. Outside the Nordic area there are no gusts and no probabilities. `compact` has no dew point: its
hours lack it.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from itertools import pairwise

import msgspec

from yard.speech import _
from yard.weather.hourly import HOUR, Forecast, ForecastNotRead, Provider
from yard.weather.readers.body import HourBook, decoded, utc_time, whole_hours
from yard.weather.readers.units import AS_IT_IS, TO_CELSIUS, TO_KNOTS, TO_MILLIMETRES, Convert, converter

LONGEST_STEP = timedelta(hours=6)

_UNITS = {
    "air_temperature": ("temp_c", TO_CELSIUS),
    "dew_point_temperature": ("dew_c", TO_CELSIUS),
    "relative_humidity": ("rh", AS_IT_IS),
    "wind_speed": ("wind_kn", TO_KNOTS),
    "wind_speed_of_gust": ("gust_kn", TO_KNOTS),
    "wind_from_direction": ("wind_from_deg", AS_IT_IS),
}


class _NextDetails(msgspec.Struct, frozen=True):
    precipitation_amount: float | None = None
    probability_of_precipitation: float | None = None


class _Summary(msgspec.Struct, frozen=True):
    symbol_code: str | None = None


class _Next(msgspec.Struct, frozen=True):
    summary: _Summary = _Summary()
    details: _NextDetails = _NextDetails()


class _Instant(msgspec.Struct, frozen=True):
    details: dict[str, float | None]


class _Data(msgspec.Struct, frozen=True):
    instant: _Instant
    next_1_hours: _Next | None = None
    next_6_hours: _Next | None = None


class _Step(msgspec.Struct, frozen=True):
    time: str
    data: _Data


class _Meta(msgspec.Struct, frozen=True):
    updated_at: str | None = None
    units: dict[str, str] = {}


class _Properties(msgspec.Struct, frozen=True):
    meta: _Meta
    timeseries: tuple[_Step, ...]


class _Body(msgspec.Struct, frozen=True):
    properties: _Properties


def read(data: bytes) -> Forecast:
    """Read a `complete` answer into hourly rows. Raises ForecastNotRead."""
    properties = decoded(data, _Body).properties
    converters = _converters(properties)
    rain = converter("precipitation_amount", properties.meta.units.get("precipitation_amount", "mm"), TO_MILLIMETRES)
    book = HourBook()
    for step, following in pairwise(properties.timeseries):
        start, next_start = utc_time(step.time), utc_time(following.time)
        if next_start <= start:
            raise ForecastNotRead(
                _("the times of the forecast do not rise at {time}").format(time=following.time[:40]), permanent=True
            )
        # After a gap a value stands no longer than the longest step that the provider makes.
        _put_step(book, step.data, start, min(next_start - start, LONGEST_STEP), converters, rain)
    updated_at = utc_time(properties.meta.updated_at) if properties.meta.updated_at else None
    return book.forecast(Provider.METNO, updated_at)


def _converters(properties: _Properties) -> dict[str, tuple[str, Convert]]:
    """For each value that the answer holds: its name in a row, and how to convert it."""
    held = {name for step in properties.timeseries for name in step.data.instant.details}
    units = properties.meta.units
    return {
        name: (row_name, converter(name, units.get(name), known))
        for name, (row_name, known) in _UNITS.items()
        if name in held
    }


def _put_step(
    book: HourBook,
    data: _Data,
    start: datetime,
    length: timedelta,
    converters: dict[str, tuple[str, Convert]],
    rain: Convert,
) -> None:
    """Fill the hours of one step: instant values stand, rain is spread evenly over the hours it is of."""
    hourly = length <= HOUR and data.next_1_hours is not None
    ahead, hours_ahead = (data.next_1_hours, 1) if hourly else (data.next_6_hours, 6)
    for hour in whole_hours(start, start + length):
        for name, (row_name, convert) in converters.items():
            value = data.instant.details.get(name)
            book.put(hour, row_name, None if value is None else convert(value))
        if ahead is None:
            continue
        amount = ahead.details.precipitation_amount
        book.put(hour, "rain_mm", None if amount is None else rain(amount) / hours_ahead)
        book.put(hour, "pop", ahead.details.probability_of_precipitation)
        symbol = ahead.summary.symbol_code
        book.put(hour, "thunder", None if symbol is None else "thunder" in symbol)
