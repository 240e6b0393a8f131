"""Open-Meteo (open-meteo.com; CC BY 4.0). Its free address is for non-commercial use: a yard needs a key.

Format: its openapi/forecast.yml. Times carry no zone, the offset stands beside them. Temperature, humidity,
wind and weather code are of the instant; gust, rain and its probability are of the preceding hour: they move
one hour back. The tail holds nulls. Older answers spell windgusts_10m for wind_gusts_10m.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime, timedelta

import msgspec

from yard.speech import _
from yard.weather.hourly import HOUR, Forecast, ForecastNotRead, Provider
from yard.weather.readers.body import YEARS, HourBook, decoded
from yard.weather.readers.units import AS_IT_IS, TO_CELSIUS, TO_KNOTS, TO_MILLIMETRES, Convert, converter

# WMO code table 4677 as Open-Meteo uses it: thunderstorm; with slight, with heavy hail.
THUNDER_CODES = (95, 96, 99)

Numbers = tuple[float | None, ...]
_OLD_NAMES = {
    "wind_speed_10m": "windspeed_10m",
    "wind_gusts_10m": "windgusts_10m",
    "wind_direction_10m": "winddirection_10m",
    "dew_point_2m": "dewpoint_2m",
    "relative_humidity_2m": "relativehumidity_2m",
    "weather_code": "weathercode",
}
# Name, row's name, units, whether the value is of the preceding hour.
_COLUMNS: tuple[tuple[str, str, Mapping[str, Convert], bool], ...] = (
    ("temperature_2m", "temp_c", TO_CELSIUS, False),
    ("dew_point_2m", "dew_c", TO_CELSIUS, False),
    ("relative_humidity_2m", "rh", AS_IT_IS, False),
    ("wind_speed_10m", "wind_kn", TO_KNOTS, False),
    ("wind_direction_10m", "wind_from_deg", AS_IT_IS, False),
    ("wind_gusts_10m", "gust_kn", TO_KNOTS, True),
    ("precipitation", "rain_mm", TO_MILLIMETRES, True),
    ("precipitation_probability", "pop", AS_IT_IS, True),
)


class _Body(msgspec.Struct, frozen=True):
    error: bool = False
    reason: str = ""
    utc_offset_seconds: int = 0
    hourly_units: dict[str, str] = {}
    hourly: dict[str, msgspec.Raw] = {}


def read(data: bytes) -> Forecast:
    """Read an hourly answer into rows. Raises ForecastNotRead."""
    body = decoded(data, _Body)
    if body.error:
        raise ForecastNotRead(_("Open-Meteo refused: {reason}").format(reason=body.reason[:200]), permanent=True)
    starts = _starts(body)
    book = HourBook()
    for name, row_name, units, preceding in _COLUMNS:
        values, unit = _column(body, name, len(starts))
        if values is None:
            continue
        convert = converter(name, unit, units)
        for start, value in zip(starts, values, strict=True):
            hour = start - HOUR if preceding else start
            book.put(hour, row_name, None if value is None else convert(value))
    codes, _unit = _column(body, "weather_code", len(starts))
    for start, code in zip(starts, codes or (), strict=False):
        book.put(start, "thunder", None if code is None else code in THUNDER_CODES)
    return book.forecast(Provider.OPEN_METEO, None)


def _starts(body: _Body) -> list[datetime]:
    if "time" not in body.hourly:
        raise ForecastNotRead(_("the answer holds no hourly times"), permanent=True)
    if body.utc_offset_seconds % 3600 or abs(body.utc_offset_seconds) > 24 * 3600:
        raise ForecastNotRead(_("the hours do not start on the hour in UTC: ask for timezone=GMT"), permanent=True)
    texts = decoded(bytes(body.hourly["time"]), tuple[str, ...])
    try:
        offset = timedelta(seconds=body.utc_offset_seconds)
        times = [datetime.fromisoformat(text) for text in texts]
        if any(time.tzinfo or time.minute or time.second or time.microsecond for time in times):
            raise ValueError(_("not a local time on the hour"))
        if any(time.year not in YEARS for time in times):
            raise ValueError(_("not of the years {first} to {last}").format(first=YEARS[0], last=YEARS[-1]))
    except ValueError as error:
        raise ForecastNotRead(
            _("the hourly times cannot be read: {error}").format(error=error), permanent=True
        ) from error
    return [time.replace(tzinfo=UTC) - offset for time in times]


def _column(body: _Body, name: str, length: int) -> tuple[Numbers | None, str | None]:
    """Values and unit of a column under its new or its old name; (None, None) where the answer lacks it."""
    for spelled in (name, _OLD_NAMES.get(name, name)):
        if spelled in body.hourly:
            values = decoded(bytes(body.hourly[spelled]), Numbers)
            if len(values) != length:
                raise ForecastNotRead(
                    _("{name} has {n} values for {length} hours").format(name=name, n=len(values), length=length),
                    permanent=True,
                )
            return values, body.hourly_units.get(spelled)
    return None, None
