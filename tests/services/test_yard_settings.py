"""The yard's settings saved whole or not at all; the allowance on its own tides, with its own cells over it."""

from datetime import UTC, date, datetime, time

import pytest

from yard.models import Boat, FactsRevision, Place, ShopHours, StaleRow, YardHoliday, YardSettings
from yard.services.read_problem.rows import drafts_of_the_fleet
from yard.services.read_problem.weather import cells_as_json, cells_from_json, cells_of, computed_table, table_of
from yard.services.read_problem.weather_ground import allowance_ground
from yard.services.weather_limits import limits_of
from yard.services.yard_settings import (
    YARD,
    Change,
    SettingRefused,
    name_places,
    put_settings_back,
    save_settings,
    set_allowance_cell,
)
from yard.weather.climate import Season, WorkClass
from yard.weather.limits import WorkKind

pytestmark = pytest.mark.django_db
NOW = datetime(2027, 1, 11, 14, tzinfo=UTC)
AFLOAT_4H = (WorkClass.AFLOAT, Season.SPRING, "whole", 240)


@pytest.fixture
def yard() -> YardSettings:
    return YardSettings.objects.create(
        name="Quill's Yard",
        time_zone="America/New_York",
        tide_station="8539993",
        datum="MLLW",
        ramp_toe_m_above_datum=0.06,
        trailer_height_m=0.36,
    )


def change(yard: YardSettings) -> Change:
    return Change(None, NOW, yard.version)


def test_all_is_saved_together_with_its_history(yard: YardSettings) -> None:
    ShopHours.objects.create(weekday=0, starts=time(7), ends=time(17))
    YardHoliday.objects.create(day=date(2027, 7, 5), name="old")
    count = FactsRevision.objects.get().count
    save_settings(
        {"name": "Teal Yard", "tide_station": "8410140"},
        shop={0: [(time(7), time(12)), (time(13), time(17))], 5: [(time(8), time(12))]},
        holidays={date(2027, 5, 31): "Memorial Day"},
        change=change(yard),
    )
    yard.refresh_from_db()
    assert (yard.name, yard.datum) == ("Teal Yard", "MLLW")
    rows = list(ShopHours.objects.values_list("weekday", "starts", "ends"))
    assert rows == [(0, time(7), time(12)), (0, time(13), time(17)), (5, time(8), time(12))]
    assert list(YardHoliday.objects.values_list("name", flat=True)) == ["Memorial Day"]
    assert yard.history.first().history_change_reason == "settings changed"
    assert FactsRevision.objects.get().count == count + 1


@pytest.mark.parametrize(
    ("values", "shop", "field", "says"),
    [
        ({"name": "X", "tide_station": "nowhere"}, {}, "tide_station", "nowhere"),
        ({"name": "X", "time_zone": "Mars/Olympus"}, {}, "time_zone", "not a known time zone"),
        ({"name": "X"}, {0: [(time(7), time(12)), (time(11), time(17))]}, "shop", "Monday: two stretches overlap"),
    ],
)
def test_what_cannot_be_is_refused_whole(yard: YardSettings, values, shop, field: str, says: str) -> None:
    with pytest.raises(SettingRefused) as refused:
        save_settings(values, shop=shop, change=change(yard))
    assert says in refused.value.faults[field]
    assert YardSettings.objects.get().name == "Quill's Yard"
    assert not ShopHours.objects.exists()


def test_hours_and_holidays_go_back_with_the_settings_on_a_clock_that_stands_still(yard: YardSettings) -> None:
    week, short = {0: [(time(7), time(17))]}, {0: [(time(7), time(12))], 5: [(time(8), time(12))]}
    save_settings({}, shop=week, holidays={date(2027, 5, 31): "Memorial Day"}, change=change(yard))
    first = yard.history.order_by("history_date", "history_id").last()
    for shop, holidays in ((short, {}), ({}, {date(2027, 7, 5): "Independence Day"})):
        save_settings({}, shop=shop, holidays=holidays, change=change(YardSettings.objects.get()))
    put_settings_back(first.history_id, change=change(YardSettings.objects.get()))
    assert list(ShopHours.objects.values_list("weekday", "starts", "ends")) == [(0, time(7), time(17))]
    assert list(YardHoliday.objects.values_list("day", "name")) == [(date(2027, 5, 31), "Memorial Day")]
    pasts = list(yard.history.order_by("history_date", "history_id"))
    assert [len(kept["shop"]) for kept in YARD.was(pasts)][-4:] == [1, 2, 0, 1]
    assert [list(kept["holidays"].values()) for kept in YARD.was(pasts)][-4:] == [
        ["Memorial Day"],
        [],
        ["Independence Day"],
        ["Memorial Day"],
    ]
    with pytest.raises(StaleRow):
        put_settings_back(first.history_id, change=Change(None, NOW, 1))


def test_the_second_of_two_people_is_told(yard: YardSettings) -> None:
    seen = change(yard)
    save_settings({"name": "First"}, change=seen)
    with pytest.raises(StaleRow):
        save_settings({"name": "Second"}, change=seen)
    assert YardSettings.objects.get().name == "First"


def test_a_yard_without_settings_gets_its_row() -> None:
    save_settings({"name": "New"}, change=Change(None, NOW, 0))
    assert YardSettings.objects.get().name == "New"


def test_places_have_the_yards_own_words(yard: YardSettings) -> None:
    place = Place.objects.create(ref="ramp", name="Ramp", kind="ramp")
    assert name_places({place.pk: ("The hard", "hard")}, change=change(yard)) == 1
    assert Place.objects.values_list("name", "short_name").get() == ("The hard", "hard")
    with pytest.raises(SettingRefused, match="ramp"):
        name_places({place.pk: ("", "")}, change=change(yard))


def test_limits_are_the_defaults_with_the_yards_winds(yard: YardSettings) -> None:
    yard.weather_limits = {"mast": {"gust_kn": 13.0}}
    limits = limits_of(yard)
    assert (limits[WorkKind.MAST].gust_kn, limits[WorkKind.MAST].wind_kn) == (13.0, 12)
    assert limits[WorkKind.AFLOAT].gust_kn == 22


def test_a_launch_waits_longer_where_the_tide_lets_her_start_less(yard: YardSettings) -> None:
    """The deeper the median boat, the fewer quarters can start, the longer the wait; other work is as before."""
    Boat.objects.create(ref="wren", name="Wren", length_m=7.0, beam_m=2.3, draft_m=1.0)
    dry = computed_table(allowance_ground(yard, [], (), year=2027))
    shallow = allowance_ground(yard, [], drafts_of_the_fleet(), year=2027)
    deep = allowance_ground(yard, [], (1.35,), year=2027)
    assert shallow.level_m == pytest.approx(0.06 + 0.36 + 1.0 + 0.3048)
    starts = [sum(map(sum, ground.may_start)) for ground in (shallow, deep)]
    assert starts[0] > starts[1] > 0
    waits = [cells_of(table)[AFLOAT_4H] for table in (dry, computed_table(shallow), computed_table(deep))]
    assert waits == sorted(waits)
    assert waits[0] < waits[2]
    other = (WorkClass.COATING, Season.SPRING, "whole", 240)
    assert cells_of(dry)[other] == cells_of(computed_table(deep))[other]


def test_a_ramp_that_never_floats_her_still_has_a_table(yard: YardSettings) -> None:
    never = allowance_ground(yard, [], (9.0,), year=2027)
    dry = allowance_ground(yard, [], (), year=2027)
    assert not any(map(any, never.may_start))
    assert cells_of(computed_table(never)) == cells_of(computed_table(dry))


def test_the_working_day_is_the_commonest_one(yard: YardSettings) -> None:
    for weekday in range(5):
        ShopHours.objects.create(weekday=weekday, starts=time(7), ends=time(17))
    ShopHours.objects.create(weekday=5, starts=time(7), ends=time(12))
    hours = allowance_ground(yard, list(ShopHours.objects.all()), (), year=2027).hours
    assert (hours.morning_min, hours.afternoon_min, hours.weekdays) == (300, 300, frozenset(range(6)))


def test_a_cell_of_the_yards_own_is_what_the_plan_reads_and_goes_back(yard: YardSettings) -> None:
    ground = allowance_ground(yard, [], (), year=2027)
    computed = computed_table(ground)
    before = cells_of(computed)[AFLOAT_4H]
    set_allowance_cell(AFLOAT_4H, before + 5, computed=computed, change=change(yard))
    yard.refresh_from_db()
    assert table_of(yard, ground).for_job(WorkClass.AFLOAT, Season.SPRING, 240).wait_min == round(before + 5)
    assert cells_from_json(cells_as_json({AFLOAT_4H: 3.0})) == {AFLOAT_4H: 3.0}
    set_allowance_cell(AFLOAT_4H, None, computed=computed, change=change(yard))
    yard.refresh_from_db()
    assert yard.weather_allowance == {}


@pytest.mark.parametrize(
    ("cell", "value", "says"),
    [
        (AFLOAT_4H, -1.0, "0 hours or more"),
        (AFLOAT_4H, 0.0, "never waits less"),
        (AFLOAT_4H, 1e6, "sixty days"),
        ((WorkClass.AFLOAT, Season.SPRING, "hours_ok", 0), 1.2, "at most 100 %"),
        ((WorkClass.AFLOAT, Season.SPRING, "whole", 7), 5.0, "no such figure"),
    ],
)
def test_a_figure_that_cannot_be_is_refused(yard: YardSettings, cell, value: float, says: str) -> None:
    computed = computed_table(allowance_ground(yard, [], (), year=2027))
    with pytest.raises(SettingRefused, match=says):
        set_allowance_cell(cell, value, computed=computed, change=change(yard))
    assert YardSettings.objects.get().weather_allowance == {}
