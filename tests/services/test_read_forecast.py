"""The forecast as the planner is given it: hours shut by kind of work and by the wind at a place."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from types import SimpleNamespace
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from yard.models import HourlyForecast, Place, YardSettings
from yard.services.read_problem.axis import Axis, Stretch, make_axis
from yard.services.read_problem.forecast import TRUSTED, ForecastBook, hours_known
from yard.weather.hourly import HOUR, Hour, hours_as_rows, hours_from_rows

pytestmark = pytest.mark.django_db

NOW = datetime(2027, 5, 6, 12, 0, tzinfo=UTC)  # 08:00 at the yard
CALM: dict[str, Any] = {
    "wind_kn": 6.0,
    "gust_kn": 9.0,
    "wind_from_deg": 270.0,
    "rain_mm": 0.0,
    "pop": 5.0,
    "temp_c": 15.0,
    "dew_c": 5.0,
    "rh": 50.0,
    "thunder": False,
}


def forecast(count: int = 72, *, made: datetime = NOW - HOUR, **at: dict[str, object]) -> HourlyForecast:
    """Calm hours from NOW on; `h3={...}` changes what the fourth of them says."""
    hours = [Hour(start=NOW + HOUR * number, **{**CALM, **at.get(f"h{number}", {})}) for number in range(count)]
    return HourlyForecast.objects.create(
        provider="nws", fetched_at=made, updated_at=made, credit="", raw_sha256=str(made), rows=hours_as_rows(hours)
    )


def axis() -> Axis:
    day = NOW.date()
    zone = ZoneInfo("America/New_York")
    return make_axis(
        day,
        day + timedelta(days=7),
        zone=zone,
        weekdays=set(range(7)),
        holidays=set(),
        extra_days=set(),
        reach=[Stretch(7 * 60, 17 * 60)],
        shop=[Stretch(8 * 60, 16 * 60)],
    )


def job(weather_class: str, *place_kinds: str, outdoor: bool = True) -> Any:
    way = SimpleNamespace(place_kinds=list(place_kinds))
    return SimpleNamespace(weather_class=weather_class, outdoor=outdoor, ways=SimpleNamespace(all=lambda: [way]))


def shut_hours(
    weather_class: str, *place_kinds: str, places: tuple[Place, ...] = (), yard: YardSettings | None = None
) -> list[int]:
    """Which hours from NOW on are wholly shut."""
    book = ForecastBook.read(axis(), places, yard or YardSettings(), NOW)
    sets = {windows.key: windows for windows in book.sets([job(weather_class, *place_kinds)])}
    windows = sets[book.key(job(weather_class, *place_kinds), place_kinds)]
    assert windows.rule == "forecast"
    starts = {number: book.axis.minute(NOW + HOUR * number) for number in range(72)}
    return [
        number
        for number, minute in starts.items()
        if not any(opens < minute + 60 and minute < closes for opens, closes in windows.intervals)
    ]


def test_without_a_forecast_nothing_is_shut_and_nothing_is_known() -> None:
    book = ForecastBook.read(axis(), [], YardSettings(), NOW)
    assert (book.hours, book.until_minute, book.sets([job("mast")])) == ((), 0, [])


def test_a_gust_shuts_the_hour_for_masts_and_not_for_washing() -> None:
    forecast(h3={"gust_kn": 16.0})
    assert shut_hours("mast") == [3]
    assert shut_hours("wash") == []


def test_indoor_work_and_work_in_any_weather_has_no_set() -> None:
    forecast(h3={"gust_kn": 60.0})
    assert ForecastBook.read(axis(), [], YardSettings(), NOW).sets([job("none"), job("mast", outdoor=False)]) == []


def test_wind_at_a_place_is_its_own_factor_of_the_forecast() -> None:
    """14 kn at 1.1 are 15.4: over the 15 kn of a mast at the gin pole, not elsewhere."""
    forecast(h3={"gust_kn": 14.0})
    pole = Place.objects.create(ref="pole", name="Gin pole", kind="gin_pole", outdoor=True, wind_factor=1.1)
    assert shut_hours("mast", "gin_pole", places=(pole,)) == [3]
    assert shut_hours("mast", "dock", places=(pole,)) == []


def test_a_ramp_open_to_the_east_is_shut_by_an_easterly_alone() -> None:
    """13 kn from the east, from the west, and from an unknown quarter, which may be the east."""
    winds = {
        f"h{number}": {"wind_kn": 13.0, "wind_from_deg": deg} for number, deg in ((2, 90.0), (4, 270.0), (6, None))
    }
    forecast(**winds)
    limits = [{"from_deg": 45, "to_deg": 135, "sustained_kn": 12, "gust_kn": 18}]
    ramp = Place.objects.create(ref="ramp", name="Ramp", kind="ramp", outdoor=True, wind_limits=limits)
    assert shut_hours("afloat", "ramp", places=(ramp,)) == [2, 6]


def test_only_the_first_two_days_bind_and_only_while_the_forecast_is_fresh() -> None:
    forecast(h47={"gust_kn": 40.0}, h48={"gust_kn": 40.0})
    assert shut_hours("mast") == [47]
    book = ForecastBook.read(axis(), [], YardSettings(), NOW)
    assert book.until_minute == book.axis.minute(NOW + TRUSTED)
    assert hours_known(NOW + timedelta(hours=36)) == ()


def test_a_forecast_that_came_later_was_not_known_then() -> None:
    forecast(h3={"gust_kn": 40.0}, made=NOW + HOUR)
    assert hours_known(NOW) == ()


def test_hours_survive_the_column() -> None:
    hours = (Hour(start=NOW, **CALM), Hour(start=NOW + HOUR))
    assert hours_from_rows(hours_as_rows(hours)) == hours
    assert hours_as_rows(hours)[1] == {"start": "2027-05-06T13:00:00Z"}
    with pytest.raises(ValueError, match="wind_kn"):
        hours_from_rows([{"start": "2027-05-06T13:00:00Z", "wind_kn": "strong"}])


def test_the_yards_own_limit_shuts_what_the_default_leaves_open() -> None:
    """A gust of 14 kn is under the default 15 kn for masts, and over a yard's own 13 kn."""
    forecast(h5={"gust_kn": 14.0})
    assert shut_hours("mast") == []
    assert shut_hours("mast", yard=YardSettings(weather_limits={"mast": {"gust_kn": 13.0}})) == [5]
