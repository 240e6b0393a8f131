"""The yard's settings, its tide beside a table, and the allowance on their pages."""

from __future__ import annotations

import html
import re
from datetime import UTC, datetime, time

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import translation

from yard.models import Place, ShopHours, YardHoliday, YardSettings
from yard.services.weather_limits import limits_of
from yard.weather.limits import WorkKind
from yard.web.settings.form import stretches_of

pytestmark = pytest.mark.django_db
NOW = datetime(2027, 5, 6, 14, tzinfo=UTC)


@pytest.fixture
def yard(tmp_path, monkeypatch) -> YardSettings:
    """A made tide: high at 00:00 (2 m) and 12:00 (3 m) on the yard's clock, low (0 m) at 06:00 and 18:00."""
    rows = ["# name: Made Creek", "# zone: America/New_York", "# unit: m", "# datum: MLLW", "date,time,height,kind"]
    for day in range(1, 32):
        for clock, metres, kind in (
            ("00:00", 2, "high"),
            ("06:00", 0, "low"),
            ("12:00", 3, "high"),
            ("18:00", 0, "low"),
        ):
            rows.append(f"2027-05-{day:02d},{clock},{metres},{kind}")
    (tmp_path / "made.csv").write_text("\n".join(rows) + "\n")
    monkeypatch.chdir(tmp_path)
    return YardSettings.objects.create(
        name="Tallow Creek Yard",
        time_zone="America/New_York",
        clock_frozen_at=NOW,
        tide_station="made.csv",
        datum="MLLW",
        ramp_toe_m_above_datum=0.06,
        trailer_height_m=0.36,
        latitude=40.15,
        longitude=-74.7,
    )


@pytest.fixture
def ada(cast) -> Client:
    client = Client()
    client.force_login(cast.ada, "yard.web.access.RoleBackend")
    return client


def said(answer) -> str:
    body = answer.content.decode().partition("</header>")[2]
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", body)).split())


def form_on(client: Client) -> dict[str, str]:
    """What the page would send if nobody touched it."""
    form = client.get(reverse("yard_settings")).context["form"]
    values = {bound.html_name: bound.value() for bound in form}
    return {name: str(value) for name, value in values.items() if value is not None and value is not False}


def test_a_page_that_nobody_touched_changes_no_figure(yard, ada):
    before = YardSettings.objects.values().get()
    ShopHours.objects.create(weekday=0, starts="07:00", ends="17:00")
    YardHoliday.objects.create(day="2027-05-31", name="Memorial Day")
    answer = ada.post(reverse("yard_settings"), form_on(ada))
    assert answer.status_code == 302, answer.context["form"].errors
    assert YardSettings.objects.values().get() == before
    assert ShopHours.objects.get().version == 1
    assert YardHoliday.objects.get().version == 1


def test_feet_hours_and_limits_as_typed(yard, ada):
    typed = {"margin_rising_m": "2", "shop_0": "07:00 to 12:00, 12:30-17:00", "limit_mast_gust_kn": "13"}
    ada.post(reverse("yard_settings"), form_on(ada) | typed)
    yard.refresh_from_db()
    assert yard.margin_rising_m == pytest.approx(0.6096)  # 2 ft of 0.3048 m
    assert yard.weather_limits == {"mast": {"gust_kn": 13.0}}
    assert [str(row) for row in ShopHours.objects.all()] == ["Monday 07:00 to 12:00", "Monday 12:30 to 17:00"]


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"time_zone": "New York"}, "write it as America/New_York"),
        ({"tide_station": "nowhere"}, "nowhere"),
        ({"trailer_height_m": "80"}, "80 ft is more water than any tide brings: check the unit."),
        ({"shop_2": "7 to 5"}, "write 07:00 to 12:00, 12:30 to 17:00"),
        ({"shop_2": "07:10 to 12:00"}, "not on a quarter of an hour"),
        ({"shop_2": "17:00 to 07:00"}, "ends before it starts"),
        ({"shop_2": "07:00 to 12:00, 11:00 to 15:00"}, "Wednesday: two stretches overlap"),
        ({"holidays": "31 May"}, "Line 1, “31 May”: write 2027-05-31 Memorial Day."),
        ({"limit_mast_gust_kn": "150"}, "Over 60 kn nobody works outdoors"),
        ({"latitude": "140"}, "A latitude lies between -90 and 90"),
        ({"name": ""}, "required"),
        ({"version": "7"}, "Somebody changed the settings meanwhile"),
    ],
)
def test_what_cannot_be_is_said_and_nothing_is_saved(yard, ada, typed, says):
    before = YardSettings.objects.values().get()
    answer = ada.post(reverse("yard_settings"), form_on(ada) | {"phone": "555"} | typed)
    assert answer.status_code == 422
    assert says in said(answer)
    assert YardSettings.objects.values().get() == before


def test_warmth_and_damp_are_the_yards_own_in_its_unit(yard, ada):
    """50 F is 10 C: the two scales meet at 32 F = 0 C and have 180 F for 100 C."""
    page = said(ada.get(reverse("yard_settings")))
    assert "air 3 °C over the dew point (5 to be firm), as warm for 8 h after" in page
    ada.post(
        reverse("yard_settings"), form_on(ada) | {"limit_coating_min_temp_c": "59", "limit_coating_below_rh": "80"}
    )
    yard.refresh_from_db()
    assert yard.weather_limits == {"coating": {"min_temp_c": 15.0, "below_rh": 80.0}}
    assert limits_of(yard)[WorkKind.COATING].min_temp_c == 15
    ada.post(reverse("yard_settings"), form_on(ada))
    assert YardSettings.objects.get().weather_limits == yard.weather_limits
    typed = form_on(ada) | {"limit_coating_min_temp_c": "95"}
    assert "were they swapped?" in said(ada.post(reverse("yard_settings"), typed))


def test_the_way_back_of_a_setting_is_in_its_history(yard, ada):
    ada.post(reverse("yard_settings"), form_on(ada) | {"margin_rising_m": "2"})
    ada.post(reverse("yard_settings"), form_on(ada) | {"margin_rising_m": "3", "light_margin_min": "15"})
    page = said(ada.get(reverse("yard_settings")))
    assert "Margin, rising tide: 2.00 ft → 3.00 ft" in page
    first = yard.history.order_by("history_date", "history_id").filter(margin_rising_m__lt=0.7).last()
    address = reverse("yard_settings_back", args=[first.history_id])
    ada.post(address, {"version": 1})  # a stale page
    assert YardSettings.objects.get().margin_rising_m == pytest.approx(0.9144)
    ada.post(address, {"version": YardSettings.objects.get().version})
    assert YardSettings.objects.get().margin_rising_m == pytest.approx(0.6096)
    assert YardSettings.objects.get().light_margin_min == 0
    assert ada.post(reverse("yard_settings_back", args=[99_999]), {"version": 1}).status_code == 404


def test_hours_and_holidays_have_a_history_and_a_way_back(yard, ada):
    ada.post(
        reverse("yard_settings"), form_on(ada) | {"shop_0": "07:00 to 17:00", "holidays": "2027-05-31 Memorial Day"}
    )
    first = yard.history.order_by("history_date", "history_id").last()
    ada.post(reverse("yard_settings"), form_on(ada) | {"shop_0": "08:00 to 12:00", "holidays": ""})
    page = said(ada.get(reverse("yard_settings")))
    assert "Open: Mon 07:00-17:00 → Mon 08:00-12:00" in page
    assert "Holidays: 2027-05-31 Memorial Day → –" in page
    ada.post(reverse("yard_settings_back", args=[first.history_id]), {"version": YardSettings.objects.get().version})
    assert [str(row) for row in ShopHours.objects.all()] == ["Monday 07:00 to 17:00"]
    assert YardHoliday.objects.get().name == "Memorial Day"


def test_two_people_name_one_place(yard, ada):
    place = Place.objects.create(ref="ramp", name="Ramp", kind="ramp")
    typed = {f"name-{place.pk}": "The hard", f"version-{place.pk}": place.version}
    ada.post(reverse("place_words"), typed)
    page = said(ada.post(reverse("place_words"), typed | {f"name-{place.pk}": "The slip"}, follow=True))
    assert "was changed meanwhile" in page
    assert Place.objects.get().name == "The hard"


def test_each_setting_says_its_default_source_and_effect(yard, ada):
    page = said(ada.get(reverse("yard_settings")))
    assert "Margin, rising tide ft 1.0 ft (common practice; under-keel clearance has no universal rule" in page
    assert "Made Creek; heights above MLLW" in page
    assert "8539993" in page  # the nearest of the shipped stations are named
    assert reverse("accounts") in ada.get(reverse("yard_settings")).content.decode()


def test_places_have_the_yards_words(yard, ada):
    place = Place.objects.create(ref="ramp", name="Ramp", kind="ramp")
    ada.post(reverse("place_words"), {f"name-{place.pk}": "The hard", f"short-{place.pk}": "hard"})
    assert Place.objects.get().name == "The hard"
    page = said(ada.post(reverse("place_words"), {f"name-{place.pk}": ""}, follow=True))
    assert "Nothing was saved" in page
    assert Place.objects.get().name == "The hard"


def test_our_tide_beside_a_table(yard, ada):
    """Ours is high at 12:00 with 3 m = 9.84 ft; the table says 12:20 and 9.3 ft: 20 min earlier, 0.5 ft higher."""
    answer = ada.get(reverse("tide_compare"), {"table": "2027-05-06 12:20 9.3\n2027-05-07 12:20 9.3"})
    page = said(answer)
    assert "Ours is 20 min earlier and 0.5 ft higher on average" in page
    assert "change “later by” by +20 min and “higher by” by -0.5 ft" in page
    assert "Thu 6 May, 12:20 9.3 ft Thu 6 May, 12:00 9.8 ft -20 min 0.5 ft" in page
    assert answer.content.count(b"<circle") == 2


@pytest.mark.parametrize(
    ("table", "says"),
    [
        ("noon", "Line 1, “noon”: write 2027-05-06 11:38 9.4."),
        ("2027-05-06 12:00 9\n2027-13-06 12:00 9", "Line 2"),
        ("2027-05-06 12:00 9\n2027-07-06 12:00 9", "within 31 days"),
        ("2031-05-06 12:00 9", "2031"),
    ],
)
def test_a_table_that_cannot_be_read_is_said(yard, ada, table, says):
    answer = ada.get(reverse("tide_compare"), {"table": table})
    assert answer.status_code == 200
    assert says in said(answer)


def test_a_cell_is_set_shown_beside_the_computed_one_and_taken_back(yard, ada):
    cell = "coating|spring|pieced|960"
    assert "Weather allowance, as computed" in said(ada.get(reverse("allowance")))
    form = {"cell": cell, "version": "1", "value": "60"}
    page = said(ada.post(reverse("allowance"), form, follow=True))
    assert "1 figure of your own" in page
    assert re.search(r"computed \d+\.\d, yours 60\.0", page)
    assert YardSettings.objects.get().weather_allowance == {"coating": {"spring": {"pieced": {"960": 3600.0}}}}
    assert "Somebody changed" in said(ada.post(reverse("allowance"), form, follow=True))
    page = said(ada.post(reverse("allowance"), {"cell": cell, "version": "2", "reset": "1"}, follow=True))
    assert "as computed" in page
    for value in ("much", "nan"):
        bad = {"cell": cell, "version": "3", "value": value}
        assert YardSettings.objects.get().weather_allowance == {}, said(ada.post(reverse("allowance"), bad))


def test_the_page_of_a_yard_without_settings(ada, db):
    assert "No station yet" in said(ada.get(reverse("yard_settings")))
    assert "as computed" in said(ada.get(reverse("allowance")))
    assert "Our tide beside a table" in said(ada.get(reverse("tide_compare")))
    answer = ada.get(reverse("tide_compare"), {"table": "2027-05-06 12:00 9"})
    assert answer.status_code == 200


def test_hours_as_typed():
    assert stretches_of("") == []
    assert [str(each[0]) for each in stretches_of("7:00-12:00, 13:00 – 17:00")] == ["07:00:00", "13:00:00"]


def test_hours_are_typed_and_shown_with_the_languages_own_word(ada, monkeypatch):
    """“bis” stands for any word that a catalogue has for the “to” between two times."""
    monkeypatch.setattr(translation._trans, "pgettext", lambda context, word: "bis" if word == "to" else word)
    assert stretches_of("07:00 bis 12:00") == stretches_of("07:00 to 12:00") == [(time(7), time(12))]
    ShopHours.objects.create(weekday=0, starts=time(7), ends=time(12))
    assert 'value="07:00 bis 12:00"' in ada.get(reverse("yard_settings")).content.decode()
