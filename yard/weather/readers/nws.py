"""NWS gridpoint forecasts (api.weather.gov, US government, free for any purpose).

Format: weather-gov/api, gridpoints.md and openapi.yaml 1.9.0; habits seen in 27 recorded answers, 2022 to
2024 and later: equal neighbours are merged into long intervals; rain is a total over its interval; a layer
that an office does not make has no values and no unit; rain may end days before wind; gridX is a number or a
string. The hourly endpoint has no gusts and its wind is words: it is refused here.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta
from urllib.parse import urlsplit

import msgspec

from yard.speech import _
from yard.weather.hourly import HOUR, Forecast, ForecastNotRead, Provider
from yard.weather.readers.body import HourBook, decoded, utc_time, whole_hours
from yard.weather.readers.intervals import interval
from yard.weather.readers.units import AS_IT_IS, TO_CELSIUS, TO_KNOTS, TO_MILLIMETRES, Convert, converter

HOST = "api.weather.gov"
# Where an office gives no weather words: from 10 per cent, the least chance that NWS calls "isolated" (from
# memory).
THUNDER_PROBABILITY_PERCENT = 10.0


class _Value(msgspec.Struct, frozen=True):
    time: str = msgspec.field(name="validTime")
    value: float | None = None


class _Layer(msgspec.Struct, frozen=True):
    uom: str | None = None
    values: tuple[_Value, ...] = ()


class _Weather(msgspec.Struct, frozen=True):
    weather: str | None = None


class _WeatherValue(msgspec.Struct, frozen=True):
    time: str = msgspec.field(name="validTime")
    value: tuple[_Weather, ...] | None = None


class _WeatherLayer(msgspec.Struct, frozen=True):
    values: tuple[_WeatherValue, ...] = ()


_EMPTY = _Layer()


class _Properties(msgspec.Struct, frozen=True, rename="camel"):
    update_time: str | None = None
    periods: msgspec.Raw = msgspec.Raw()  # empty: not there
    temperature: _Layer = _EMPTY
    dewpoint: _Layer = _EMPTY
    relative_humidity: _Layer = _EMPTY
    wind_speed: _Layer = _EMPTY
    wind_gust: _Layer = _EMPTY
    wind_direction: _Layer = _EMPTY
    probability_of_precipitation: _Layer = _EMPTY
    quantitative_precipitation: _Layer = _EMPTY
    probability_of_thunder: _Layer = _EMPTY
    weather: _WeatherLayer = _WeatherLayer()


class _Gridpoint(msgspec.Struct, frozen=True):
    properties: _Properties


class _PointProperties(msgspec.Struct, frozen=True, rename="camel"):
    forecast_grid_data: str
    time_zone: str | None = None


class _Point(msgspec.Struct, frozen=True):
    properties: _PointProperties


# Layer, row's name, units: values that hold for every hour of their interval.
_STANDING: tuple[tuple[str, str, Mapping[str, Convert]], ...] = (
    ("temperature", "temp_c", TO_CELSIUS),
    ("dewpoint", "dew_c", TO_CELSIUS),
    ("relative_humidity", "rh", AS_IT_IS),
    ("wind_speed", "wind_kn", TO_KNOTS),
    ("wind_gust", "gust_kn", TO_KNOTS),
    ("wind_direction", "wind_from_deg", AS_IT_IS),
    ("probability_of_precipitation", "pop", AS_IT_IS),
)


def read_grid_url(data: bytes) -> str:
    """The address of the gridpoint forecast, out of an answer of /points/{lat},{lon}.

    Raises ForecastNotRead, also where the address is not https at NWS: an answer must not send us elsewhere.
    """
    url = decoded(data, _Point).properties.forecast_grid_data
    try:
        parts = urlsplit(url)
    except ValueError as error:
        raise ForecastNotRead(_("the grid address is no address"), permanent=True) from error
    if parts.scheme != "https" or parts.netloc != HOST:
        raise ForecastNotRead(_("the grid address does not lie at https://{host}").format(host=HOST), permanent=True)
    return url


def read(data: bytes) -> Forecast:
    """Read a gridpoint answer into hourly rows. Raises ForecastNotRead."""
    properties = decoded(data, _Gridpoint).properties
    if bytes(properties.periods):
        raise ForecastNotRead(
            _("this is NWS's forecast in words, without gusts: fetch the address in forecastGridData"),
            permanent=True,
        )
    now = utc_time(properties.update_time) if properties.update_time else None
    book = HourBook()
    for layer_name, name, units in _STANDING:
        _put_standing(book, layer_name, getattr(properties, layer_name), name, units, now)
    _put_rain(book, properties.quantitative_precipitation, now)
    _put_thunder(book, properties, now)
    return book.forecast(Provider.NWS, now)


def _put_standing(
    book: HourBook,
    layer_name: str,
    layer: _Layer,
    name: str,
    units: Mapping[str, Convert],
    now: datetime | None,
) -> None:
    if not layer.values:
        return
    convert = converter(layer_name, layer.uom, units)
    for item in layer.values:
        value = None if item.value is None else convert(item.value)
        for hour in whole_hours(*interval(item.time, now=now)):
            book.put(hour, name, value)


def _put_rain(book: HourBook, layer: _Layer, now: datetime | None) -> None:
    """Spread each total evenly over its interval; an hour that totals do not cover wholly stays unknown."""
    if not layer.values:
        return
    convert = converter("quantitative_precipitation", layer.uom, TO_MILLIMETRES)
    fallen: dict[datetime, tuple[timedelta, float]] = {}
    for item in layer.values:
        start, end = interval(item.time, now=now)
        if item.value is None:
            continue
        total = convert(item.value)
        for hour in whole_hours(start.replace(minute=0, second=0, microsecond=0), end):
            overlap = min(end, hour + HOUR) - max(start, hour)
            covered, depth = fallen.get(hour, (timedelta(0), 0.0))
            fallen[hour] = (covered + overlap, depth + total * (overlap / (end - start)))
    for hour, (covered, depth) in fallen.items():
        if covered >= HOUR:
            book.put(hour, "rain_mm", depth)


def _put_thunder(book: HourBook, properties: _Properties, now: datetime | None) -> None:
    """Weather words first, which overrule the probability wherever they are given; else unknown."""
    for item in properties.probability_of_thunder.values:
        chance = None if item.value is None else item.value >= THUNDER_PROBABILITY_PERCENT
        for hour in whole_hours(*interval(item.time, now=now)):
            book.put(hour, "thunder", chance)
    for words in properties.weather.values:
        if words.value is None:
            continue
        thunder = any(part.weather == "thunderstorms" for part in words.value)
        for hour in whole_hours(*interval(words.time, now=now)):
            book.put(hour, "thunder", thunder)
