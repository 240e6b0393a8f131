"""Hours judged by hand: one hour that every kind of work likes, and one change at a time."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yard.weather.hourly import Hour
from yard.weather.judge import Interval, Measure, Verdict, judge
from yard.weather.limits import LIMITS, Limits, Place, WindSector, WorkKind, fahrenheit

SIX = datetime(2026, 4, 14, 6, tzinfo=UTC)
FINE = Hour(
    start=SIX,
    wind_kn=6,
    gust_kn=9,
    wind_from_deg=200,
    rain_mm=0,
    pop=5,
    temp_c=18,
    dew_c=8,
    rh=52,
    thunder=False,
)


def day(*changes: dict[str, object], hours: int = 12) -> list[Hour]:
    """Fine hours from 06 UTC on, the first ones changed."""
    made = [replace(FINE, start=SIX + timedelta(hours=number)) for number in range(hours)]
    for number, change in enumerate(changes):
        made[number] = replace(made[number], **change)
    return made


def first(kind: WorkKind, *changes: dict[str, object], place: Place | None = None):
    return judge(day(*changes), LIMITS[kind], place=place or Place()).hours[0]


@pytest.mark.parametrize("kind", WorkKind)
def test_a_fine_hour_is_workable_for_every_kind(kind):
    assert first(kind).verdict is Verdict.WORKABLE
    assert first(kind).reasons == ()


@pytest.mark.parametrize(
    ("kind", "at_limit", "beyond", "measure"),
    [
        (WorkKind.SAILS_AND_COVERS, {"wind_kn": 12}, {"wind_kn": 12.1}, Measure.WIND),
        (WorkKind.SAILS_AND_COVERS, {"gust_kn": 18}, {"gust_kn": 18.1}, Measure.GUST),
        (WorkKind.SAILS_AND_COVERS, {"dew_c": 16}, {"dew_c": 16.1}, Measure.DEW_SPREAD),
        (WorkKind.SAILS_AND_COVERS, {"pop": 29}, {"pop": 61}, Measure.RAIN),
        (WorkKind.PATTERN, {"wind_kn": 10}, {"wind_kn": 10.1}, Measure.WIND),
        (WorkKind.PATTERN, {"gust_kn": 15}, {"gust_kn": 15.1}, Measure.GUST),
        (WorkKind.PATTERN, {"temp_c": 10.1}, {"temp_c": 10.0}, Measure.TEMPERATURE),
        (WorkKind.MAST, {"wind_kn": 12}, {"wind_kn": 12.1}, Measure.WIND),
        (WorkKind.MAST, {"gust_kn": 15}, {"gust_kn": 15.1}, Measure.GUST),
        (WorkKind.AFLOAT, {"wind_kn": 15}, {"wind_kn": 15.1}, Measure.WIND),
        (WorkKind.AFLOAT, {"gust_kn": 22}, {"gust_kn": 22.1}, Measure.GUST),
        (WorkKind.AFLOAT, {}, {"thunder": True}, Measure.THUNDER),
        (WorkKind.COATING, {"temp_c": 32.2}, {"temp_c": 32.3}, Measure.TEMPERATURE),
        (WorkKind.COATING, {"rh": 84.9}, {"rh": 85}, Measure.HUMIDITY),
        (WorkKind.COATING, {"dew_c": 13}, {"dew_c": 15.1}, Measure.DEW_SPREAD),
        (WorkKind.WASH, {"temp_c": 4.5}, {"temp_c": 4.4}, Measure.TEMPERATURE),
    ],
)
def test_each_limit_opens_at_its_edge_and_closes_beyond(kind, at_limit, beyond, measure):
    assert first(kind, at_limit).verdict is Verdict.WORKABLE
    closed = first(kind, beyond)
    assert closed.verdict is Verdict.CLOSED
    assert [reason.measure for reason in closed.reasons] == [measure]


def test_fifty_and_ninety_fahrenheit():
    assert fahrenheit(50) == pytest.approx(10.0)
    assert fahrenheit(90) == pytest.approx(32.222, abs=0.001)


@pytest.mark.parametrize(
    ("pop", "rain_mm", "verdict"),
    [
        (29.9, 0.09, Verdict.WORKABLE),
        (29.9, 0.1, Verdict.DOUBTFUL),
        (30, 0, Verdict.DOUBTFUL),
        (60, 0, Verdict.DOUBTFUL),
        (60.1, 0, Verdict.CLOSED),
        (None, 0.09, Verdict.WORKABLE),
        (None, 0.1, Verdict.CLOSED),
        (29.9, None, Verdict.WORKABLE),
        (60, None, Verdict.DOUBTFUL),
        (None, None, Verdict.UNKNOWN),
    ],
)
def test_a_dry_hour_by_probability_and_amount(pop, rain_mm, verdict):
    judged = first(WorkKind.SAILS_AND_COVERS, {"pop": pop, "rain_mm": rain_mm})
    assert judged.verdict is verdict
    one_known = (pop is None) != (rain_mm is None)
    assert (Measure.RAIN in judged.estimated) == one_known


def test_a_missing_gust_is_half_as_much_again_as_the_wind_and_marked():
    judged = first(WorkKind.MAST, {"wind_kn": 10, "gust_kn": None})
    assert judged.verdict is Verdict.WORKABLE
    assert judged.estimated == {Measure.GUST}
    closed = first(WorkKind.MAST, {"wind_kn": 10.1, "gust_kn": None})
    assert [(reason.measure, reason.value, reason.limit) for reason in closed.reasons] == [(Measure.GUST, 15.15, 15)]


@pytest.mark.parametrize(
    ("kind", "missing"),
    [
        (WorkKind.MAST, "wind_kn"),
        (WorkKind.MAST, "thunder"),
        (WorkKind.AFLOAT, "thunder"),
        (WorkKind.PATTERN, "temp_c"),
        (WorkKind.SAILS_AND_COVERS, "temp_c"),
        (WorkKind.WASH, "temp_c"),
    ],
)
def test_what_is_missing_is_never_fine(kind, missing):
    assert first(kind, {missing: None}).verdict is Verdict.UNKNOWN


def test_a_known_reason_closes_although_another_value_is_missing():
    assert first(WorkKind.MAST, {"wind_kn": 20, "thunder": None}).verdict is Verdict.CLOSED


def test_humidity_and_dew_point_come_from_each_other():
    """20 C and 60 % have a dew point of 12.0 C (FAO 56, eq. 11): a spread of 8 C, firm."""
    judged = first(WorkKind.COATING, {"temp_c": 20, "rh": 60, "dew_c": None})
    assert judged.verdict is Verdict.WORKABLE
    assert judged.estimated == {Measure.DEW_SPREAD}
    # 15 C with dew at 12.5 C is 85 %: no longer under it.
    judged = first(WorkKind.COATING, {"temp_c": 15, "rh": None, "dew_c": 12.6})
    assert Measure.HUMIDITY in {reason.measure for reason in judged.reasons}
    assert first(WorkKind.COATING, {"rh": None, "dew_c": None}).verdict is Verdict.UNKNOWN


def test_coating_under_five_degrees_over_the_dew_point_is_doubtful():
    judged = first(WorkKind.COATING, {"temp_c": 18, "dew_c": 13.1, "rh": 73})
    assert judged.verdict is Verdict.DOUBTFUL
    assert judged.reasons[0].limit == 5


def test_a_coat_needs_eight_warm_hours_after_it():
    coating = LIMITS[WorkKind.COATING]
    cold_ninth = day(*[{}] * 9, {"temp_c": 9.9}, hours=20)
    verdicts = [hour.verdict for hour in judge(cold_ninth, coating).hours]
    # 06 has the warm hours 07 to 14 after it, and the cold one at 15 is its ninth; 07 to 14 have it within
    # eight.
    assert verdicts[0] is Verdict.WORKABLE
    assert verdicts[1:10] == [Verdict.CLOSED] * 9
    assert verdicts[10:12] == [Verdict.WORKABLE] * 2
    # After 17 the forecast ends before eight hours are over.
    assert verdicts[12:] == [Verdict.UNKNOWN] * 8


def test_thunder_closes_masts_an_hour_either_side_and_boats_an_hour_after():
    hours = day({}, {}, {}, {"thunder": True}, hours=8)
    masts = [hour.verdict for hour in judge(hours, LIMITS[WorkKind.MAST]).hours]
    assert [number for number, verdict in enumerate(masts) if verdict is Verdict.CLOSED] == [2, 3, 4]
    boats = [hour.verdict for hour in judge(hours, LIMITS[WorkKind.AFLOAT]).hours]
    assert [number for number, verdict in enumerate(boats) if verdict is Verdict.CLOSED] == [3, 4]
    assert judge(hours, LIMITS[WorkKind.MAST]).hours[2].reasons[0].value == 1
    assert judge(hours, LIMITS[WorkKind.SAILS_AND_COVERS]).hours[3].verdict is Verdict.WORKABLE


def test_intervals_join_workable_hours_and_stop_at_a_gap():
    hours = day({}, {"wind_kn": 30}, {"pop": 40}, {}, {}, {}, hours=6)
    del hours[4]
    judgement = judge(hours, LIMITS[WorkKind.SAILS_AND_COVERS])

    def spans(*hours_utc: tuple[int, int]) -> tuple[Interval, ...]:
        return tuple(Interval(SIX.replace(hour=start), SIX.replace(hour=end)) for start, end in hours_utc)

    assert judgement.intervals() == spans((6, 7), (9, 10), (11, 12))
    assert judgement.intervals(up_to=Verdict.DOUBTFUL) == spans((6, 7), (8, 10), (11, 12))
    assert judge([], LIMITS[WorkKind.WASH]).intervals() == ()


def test_a_ramp_in_a_lee_from_the_west_is_shut_by_an_easterly():
    ramp = Place(factor=1.0, sectors=(WindSector(225, 315, 0.6), WindSector(45, 135, 1.4)))
    wind = {"wind_kn": 14, "gust_kn": 20}
    assert first(WorkKind.AFLOAT, wind | {"wind_from_deg": 270}, place=ramp).verdict is Verdict.WORKABLE
    assert first(WorkKind.AFLOAT, wind | {"wind_from_deg": 180}, place=ramp).verdict is Verdict.WORKABLE
    shut = first(WorkKind.AFLOAT, wind | {"wind_from_deg": 90}, place=ramp)
    assert [(reason.measure, reason.value) for reason in shut.reasons] == [
        (Measure.WIND, 19.6),
        (Measure.GUST, 28),
    ]
    # From nobody knows where: as from the worst side.
    assert first(WorkKind.AFLOAT, wind | {"wind_from_deg": None}, place=ramp).verdict is Verdict.CLOSED


def test_a_sector_over_north_is_half_open():
    north = WindSector(315, 45, 0.5)
    assert [north.holds(angle) for angle in (314.9, 315, 0, 360, 44.9, 45, 180)] == [
        False,
        True,
        True,
        True,
        True,
        False,
        False,
    ]


@given(st.floats(0, 60), st.floats(0, 60), st.floats(0, 90))
def test_more_wind_never_opens_an_hour(wind, more, gust):
    for kind in WorkKind:
        calm = first(kind, {"wind_kn": wind, "gust_kn": gust}).verdict
        windier = first(kind, {"wind_kn": wind + more, "gust_kn": gust}).verdict
        assert calm <= windier


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda: Limits(source=""), "names its source"),
        (lambda: Limits(source="x", wind_kn=float("inf")), "leave it out where there is no limit"),
        (lambda: Limits(source="x", gust_kn=-1), "at least 0"),
        (lambda: Limits(source="x", warm_after_h=8), "needs min_temp_c"),
        (lambda: Limits(source="x", thunder_after_h=1), "give both"),
        (lambda: WindSector(10, 10, 1), "from 0 to under 360"),
        (lambda: WindSector(0, 360, 1), "from 0 to under 360"),
        (lambda: Place(factor=0), "over 0 and at most 3"),
    ],
)
def test_limits_and_places_that_cannot_be_are_refused(make, says):
    with pytest.raises(ValueError, match=says):
        make()
