"""Three providers' answers to one row an hour, against rows derived by hand (tests/reference/weather)."""

import itertools
import json
import re
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from yard.weather.hourly import Forecast, ForecastNotRead, Hour, is_newer
from yard.weather.readers import metno, nws, open_meteo
from yard.weather.readers.body import MAX_BYTES, MAX_HOURS
from yard.weather.readers.intervals import duration, interval

SAMPLES = Path(__file__).parents[1] / "reference" / "weather"
EXPECTED = json.loads((SAMPLES / "expected.json").read_text())["rows"]
READERS = {"nws_gridpoint": nws.read, "metno_complete": metno.read, "open_meteo": open_meteo.read}
COMPARED = ("wind_kn", "gust_kn", "rain_mm", "pop", "temp_c", "dew_c", "rh", "thunder")


def sample(name: str) -> bytes:
    return (SAMPLES / f"{name}.json").read_bytes()


def at(forecast: Forecast, time: str) -> Hour:
    start = datetime.fromisoformat(time)
    return next(hour for hour in forecast.hours if hour.start == start)


@pytest.mark.parametrize("name", READERS)
def test_every_expected_row_is_read_and_what_is_not_known_is_missing(name):
    forecast = READERS[name](sample(name))
    assert len(forecast.hours) == EXPECTED[name]["hours"]
    updated = EXPECTED[name]["updated"]
    assert forecast.updated_at == (None if updated is None else datetime.fromisoformat(updated))
    for time, expected in EXPECTED[name]["at"].items():
        hour = at(forecast, time)
        for field in COMPARED:
            value = getattr(hour, field)
            if field not in expected:
                # The sample's weather codes are absent, so its thunder is unknown: also missing.
                assert value is None, (time, field)
            elif field == "thunder":
                assert value is expected[field], (time, field)
            else:
                tolerance = 0.05 if field.endswith("_kn") else 0.0005  # as printed in expected.json
                assert value == pytest.approx(expected[field], abs=tolerance), (time, field)


@pytest.mark.parametrize("name", READERS)
def test_hours_follow_each_other_without_gap(name):
    hours = READERS[name](sample(name)).hours
    assert {b.start - a.start for a, b in itertools.pairwise(hours)} == {timedelta(hours=1)}


# NWS


def gridpoint(**layers: object) -> bytes:
    return json.dumps({"properties": {"updateTime": "2026-04-14T09:12:31+00:00"} | layers}).encode()


def layer(unit: str | None, *values: tuple[str, float | None]) -> dict[str, object]:
    made: dict[str, object] = {"values": [{"validTime": time, "value": value} for time, value in values]}
    return made if unit is None else {"uom": unit} | made


TEMPERATURE = layer("wmoUnit:degC", ("2026-04-14T06:00:00+00:00/PT6H", 10))


def test_whole_knots_come_back_whole():
    """NWS winds are whole knots times 1.852; 12 kn must not fail a limit of 12 kn by a rounding error."""
    for knots in range(100):
        body = gridpoint(windSpeed=layer("wmoUnit:km_h-1", ("2026-04-14T06:00:00+00:00/PT1H", knots * 1.852)))
        assert nws.read(body).hours[0].wind_kn == knots


def test_rain_is_spread_over_its_interval_and_unknown_after_the_last():
    rain = layer("wmoUnit:mm", ("2026-04-14T06:00:00+00:00/PT3H", 6), ("2026-04-14T09:00:00+00:00/PT1H", 0.5))
    hours = nws.read(gridpoint(temperature=TEMPERATURE, quantitativePrecipitation=rain)).hours
    assert [hour.rain_mm for hour in hours] == [2, 2, 2, 0.5, None, None]


def test_rain_in_half_hours_adds_up_and_half_an_hour_alone_is_unknown():
    rain = layer(
        "wmoUnit:mm",
        ("2026-04-14T06:00:00+00:00/PT30M", 1),
        ("2026-04-14T06:30:00+00:00/PT30M", 2),
        ("2026-04-14T07:00:00+00:00/PT30M", 4),
    )
    hours = nws.read(gridpoint(temperature=TEMPERATURE, quantitativePrecipitation=rain)).hours
    assert [hour.rain_mm for hour in hours] == [3, None, None, None, None, None]


def test_a_layer_without_values_or_unit_is_missing():
    body = gridpoint(temperature=TEMPERATURE, windGust={"values": []}, probabilityOfThunder={"values": []})
    assert {(hour.gust_kn, hour.thunder) for hour in nws.read(body).hours} == {(None, None)}


def test_thunder_is_in_the_words_first_then_in_the_probability():
    chance = layer(None, ("2026-04-14T06:00:00+00:00/PT3H", 9.9), ("2026-04-14T09:00:00+00:00/PT3H", 10))
    words = {"values": [{"validTime": "2026-04-14T11:00:00+00:00/PT1H", "value": [{"weather": "rain"}]}]}
    hours = nws.read(gridpoint(temperature=TEMPERATURE, probabilityOfThunder=chance, weather=words)).hours
    assert [hour.thunder for hour in hours] == [False, False, False, True, True, False]


def test_a_sentinel_is_missing_and_another_unit_is_converted():
    gust = layer("wmoUnit:m_s-1", ("2026-04-14T06:00:00+00:00/PT1H", -9999), ("2026-04-14T07:00:00+00:00/PT1H", 10))
    hours = nws.read(gridpoint(temperature=TEMPERATURE, windGust=gust)).hours
    assert [hour.gust_kn for hour in hours[:3]] == [None, 19.44, None]


def test_an_unknown_unit_is_refused_not_guessed():
    with pytest.raises(ForecastNotRead, match="wind_speed comes in the unit 'wmoUnit:beaufort'") as caught:
        nws.read(gridpoint(windSpeed=layer("wmoUnit:beaufort", ("2026-04-14T06:00:00+00:00/PT1H", 4))))
    assert caught.value.permanent


def test_an_endless_interval_makes_no_endless_forecast():
    body = gridpoint(temperature=layer("wmoUnit:degC", ("2026-04-14T06:00:00+00:00/P99999D", 10)))
    assert len(nws.read(body).hours) == MAX_HOURS


def test_the_forecast_in_words_is_refused_by_name():
    with pytest.raises(ForecastNotRead, match="without gusts: fetch the address in forecastGridData") as caught:
        nws.read(sample("nws_hourly"))
    assert caught.value.permanent


def test_the_grid_address_is_taken_only_from_nws():
    assert nws.read_grid_url(sample("nws_points")) == "https://api.weather.gov/gridpoints/XXX/10,20"
    for elsewhere in (b"http://api.weather.gov/", b"https://api.weather.gov.example/", b"https://[x/"):
        body = sample("nws_points").replace(b"https://api.weather.gov/", elsewhere)
        with pytest.raises(ForecastNotRead, match="grid address"):
            nws.read_grid_url(body)


def test_intervals_in_every_spelling():
    now = datetime(2026, 4, 14, 9, 12, tzinfo=UTC)
    six = datetime(2026, 4, 14, 6, tzinfo=UTC)
    noon_tomorrow = datetime(2026, 4, 15, 12, tzinfo=UTC)
    for text in (
        "2026-04-14T06:00:00+00:00/P1DT6H",
        "2026-04-14T02:00:00-04:00/PT30H",
        "2026-04-14T06:00:00Z/2026-04-15T12:00:00Z",
        "PT30H/2026-04-15T12:00:00+00:00",
    ):
        assert interval(text, now=now) == (six, noon_tomorrow)
    assert interval("NOW/PT1H", now=now) == (now, now + timedelta(hours=1))
    assert interval("2026-04-14T06:00:00Z/NOW", now=now) == (six, now)
    assert (duration("P1W"), duration("PT90S")) == (timedelta(days=7), timedelta(seconds=90))


@pytest.mark.parametrize(
    "text",
    [
        "",
        "/",
        "2026-04-14T06:00:00Z",
        "2026-04-14T06:00:00/PT1H",
        "2026-04-14T06:00:00Z/P",
        "NOW/PT1H",
        "P1M/NOW",
        "2026-04-14T06:00:00Z/PT0H",
        "2026-04-14T06:00:00Z/2026-04-14T05:00:00Z",
        "0001-01-01T00:00:00+14:00/PT1H",
    ],
)
def test_what_is_no_interval_is_refused(text):
    with pytest.raises(ForecastNotRead) as caught:
        interval(text, now=None)
    assert caught.value.permanent


# MET Norway


def test_metno_gusts_and_probability_are_read_where_the_area_has_them():
    body = json.loads(sample("metno_complete"))
    first = body["properties"]["timeseries"][0]["data"]
    first["instant"]["details"]["wind_speed_of_gust"] = 10.0
    body["properties"]["meta"]["units"]["wind_speed_of_gust"] = "m/s"
    first["next_1_hours"]["details"]["probability_of_precipitation"] = 42.0
    first["next_1_hours"]["summary"]["symbol_code"] = "heavyrainandthunder"
    hours = metno.read(json.dumps(body).encode()).hours
    assert (hours[0].gust_kn, hours[0].pop, hours[0].thunder) == (19.44, 42.0, True)
    assert (hours[1].gust_kn, hours[1].pop, hours[1].thunder) == (None, None, False)


def test_metno_rain_of_six_hours_is_spread_over_them():
    body = json.loads(sample("metno_complete"))
    last_but_one = body["properties"]["timeseries"][-2]["data"]
    last_but_one["next_6_hours"]["details"]["precipitation_amount"] = 3.0
    hours = metno.read(json.dumps(body).encode()).hours
    assert [hour.rain_mm for hour in hours[-7:]] == [0] + [0.5] * 6


def test_metno_values_stand_no_longer_than_six_hours_over_a_gap():
    body = json.loads(sample("metno_complete"))
    steps = body["properties"]["timeseries"]
    body["properties"]["timeseries"] = [steps[0], steps[30]]  # 30 hours apart
    hours = metno.read(json.dumps(body).encode()).hours
    assert [hour.start.hour for hour in hours] == [6, 7, 8, 9, 10, 11]


def test_metno_times_that_fall_are_refused():
    body = json.loads(sample("metno_complete"))
    body["properties"]["timeseries"].reverse()
    with pytest.raises(ForecastNotRead, match="do not rise"):
        metno.read(json.dumps(body).encode())


# Open-Meteo


def test_open_meteo_offset_and_old_names():
    body = sample("open_meteo").replace(b'"utc_offset_seconds":0', b'"utc_offset_seconds":-14400')
    body = body.replace(b"wind_gusts_10m", b"windgusts_10m")
    hours = open_meteo.read(body).hours
    assert hours[0].start == datetime(2026, 4, 14, 9, tzinfo=UTC)  # 05:00 at UTC-4
    assert hours[0].gust_kn == pytest.approx(9.0, abs=0.05)


def test_open_meteo_thunder_is_in_the_code_of_its_hour():
    body = json.loads(sample("open_meteo"))
    body["hourly"]["weather_code"] = [3, 95, 96, 99, None] + [0] * 43
    hours = open_meteo.read(json.dumps(body).encode()).hours
    assert [hour.thunder for hour in hours[:7]] == [None, False, True, True, True, None, False]


@pytest.mark.parametrize(
    ("body", "says"),
    [
        (b'{"error":true,"reason":"Invalid API key"}', "Open-Meteo refused: Invalid API key"),
        (
            sample("open_meteo").replace(b'"utc_offset_seconds":0', b'"utc_offset_seconds":19800'),
            "timezone=GMT",
        ),
        (
            sample("open_meteo").replace(b'"temperature_2m":[3.3,', b'"temperature_2m":['),
            "47 values for 48 hours",
        ),
        (sample("open_meteo").replace(b'"2026-04-14T06:00"', b'"2026-04-14T06:20"'), "on the hour"),
        (sample("open_meteo").replace(b'"2026-04-14T06:00"', b'"0001-01-01T00:00"'), "1970 to 2199"),
        (sample("open_meteo").replace(b'"time":[', b'"times":['), "no hourly times"),
    ],
)
def test_open_meteo_faults_are_said(body, says):
    with pytest.raises(ForecastNotRead, match=re.escape(says)) as caught:
        open_meteo.read(body)
    assert caught.value.permanent


# Every reader


@pytest.mark.parametrize("name", READERS)
@pytest.mark.parametrize(
    ("body", "permanent"),
    [
        (b"", False),
        (b" \n", False),
        (b"<html>503 Service Unavailable</html>", False),
        (b"{}", True),
        (b"[]", True),
        (b"null", True),
        (b'{"properties": null, "hourly": null}', True),
        (b"\x1f\x8b\x08\x00", False),
        (b'{"properties": "\xff\xfe"}', None),
        (b"[" * 100_000, None),
        (b" " * MAX_BYTES + b"{}", True),
    ],
)
def test_what_is_no_forecast_gives_the_one_error(name, body, permanent):
    with pytest.raises(ForecastNotRead) as caught:
        READERS[name](body)
    assert caught.value.reason
    assert permanent is None or caught.value.permanent is permanent


@pytest.mark.parametrize("name", READERS)
def test_an_answer_cut_short_may_be_better_next_time(name):
    body = sample(name)
    for length in range(1, len(body) - 1, 997):
        with pytest.raises(ForecastNotRead) as caught:
            READERS[name](body[:length])
        assert not caught.value.permanent


@pytest.mark.parametrize("name", READERS)
@given(data=st.data())
@settings(max_examples=150, deadline=None)
def test_a_damaged_answer_is_read_or_refused_never_worse(name, data):
    """Swap a token of the true answer for a stranger's: rows or the one error come back."""
    body = sample(name)
    tokens = list(re.finditer(rb'"[^"]*"|-?\d+(?:\.\d+)?|null|\[|\{', body))
    spot = data.draw(st.sampled_from(tokens))
    stranger = data.draw(
        st.sampled_from(
            [
                b"null",
                b"-9999",
                b"1e308",
                b"1e999",
                b"true",
                b'""',
                b'"NOW"',
                b"[]",
                b"{}",
                b"9" * 400,
                b'"P9W"',
                b'"9999-12-31T23:00:00+00:00/P99999D"',
                b'"0001-01-01T00:00:00+14:00"',
                b'"2026-02-30T00:00Z"',
            ]
        )
    )
    try:
        forecast = READERS[name](body[: spot.start()] + stranger + body[spot.end() :])
    except ForecastNotRead as error:
        assert error.reason
    else:
        assert 1 <= len(forecast.hours) <= MAX_HOURS


def test_an_old_body_sent_again_is_known_as_such():
    def updated(hour: int | None) -> Forecast:
        time = None if hour is None else datetime(2026, 4, 14, hour, tzinfo=UTC)
        return Forecast("nws", time, (Hour(start=datetime(2026, 4, 14, 6, tzinfo=UTC)),))

    assert is_newer(updated(9), None)
    assert is_newer(updated(9), updated(8))
    assert not is_newer(updated(9), updated(9))
    assert not is_newer(updated(8), updated(9))
    assert is_newer(updated(None), updated(9))


def test_a_row_starts_on_the_hour_in_utc_and_holds_what_can_be():
    with pytest.raises(ValueError, match="on the hour in UTC"):
        Hour(start=datetime(2026, 4, 14, 6, 30, tzinfo=UTC))
    with pytest.raises(ValueError, match="on the hour in UTC"):
        Hour(start=datetime(2026, 4, 14, 6))
    with pytest.raises(ValueError, match="rh is 101; it is 0 to 100"):
        Hour(start=datetime(2026, 4, 14, 6, tzinfo=UTC), rh=101)
