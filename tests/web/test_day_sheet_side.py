"""What stands beside the day sheet, its gusts, and how it prints. It is Thursday 6 May 2027, 10:00."""

from __future__ import annotations

import html
import re
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.urls import reverse

from tests.web.made_creek import (
    FRIDAY,
    MONDAY,
    NOW,
    THURSDAY,
    at,
    job,
    launch,
    person,
    post,
    text_of,
)
from yard.models import (
    GaugeReading,
    HourlyForecast,
    Job,
    PersonSkill,
    Place,
    Plan,
    PlannedJob,
    PlannedPlace,
    Skill,
    YardSettings,
)
from yard.queries.forecasts import hours_between
from yard.services.store_forecast import store_forecast
from yard.weather.readers import nws, plain_csv

pytestmark = pytest.mark.django_db
SAMPLES = Path(__file__).resolve().parents[1] / "reference" / "weather"


@pytest.fixture(autouse=True)
def forecasts_here(creek, tmp_path, settings):
    settings.DATA_DIR = tmp_path


def side_of(client, day: date = THURSDAY) -> str:
    page = client.get(reverse("day", args=[day.isoformat()])).content.decode()
    return text_of_part(page, '<section class="side', "</section>")


def text_of_part(page: str, start: str, end: str) -> str:
    part = page.partition(start)[2].partition(end)[0].partition(">")[2]
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", part)).split())


def keep(folder: Path, *rows: str, head: str = "start_utc,wind_kn,gust_kn") -> HourlyForecast:
    body = "\n".join((head, *rows)).encode()
    forecast = plain_csv.read(body, updated_at=NOW - timedelta(hours=2))
    return store_forecast(forecast, body, fetched_at=NOW, folder=folder)[0]


# now, done, calls, changes


def test_now_and_next_are_of_today_alone(dee):
    plan, cal = post(), person("Cal")
    job(plan, "Dunlin", "Tune", THURSDAY, "09:00", "11:00", cal)
    job(plan, "Knot", "Sew", THURSDAY, "13:00", "15:00", cal)
    side = side_of(dee)
    assert "Now, 10:00 1 Dunlin, Tune, until 11:00: Cal Next, 13:00: 2 Knot, Sew" in side
    assert "Now," not in side_of(dee, FRIDAY)


def test_what_is_done_is_ticked_and_said_even_where_the_plan_has_it_no_more(dee):
    plan = post()
    row = job(plan, "Dunlin", "Tune", THURSDAY, "08:00", "09:30", person("Cal"))
    Job.objects.filter(pk=row.job_id).update(state="done", actual_ends_at=at(THURSDAY, "09:20"))
    page = dee.get(reverse("day", args=["2027-05-06"])).content.decode()
    assert 'class="tick screen"' in page
    assert 'class="box"' in page  # on paper it is ticked by hand
    assert "Done 1 Dunlin, Tune, 09:20" in side_of(dee)
    row.delete()
    assert "Done Dunlin, Tune, 09:20" in side_of(dee)


def test_final_calls_are_for_the_next_open_day(dee):
    """Saturday is open; Sunday is not: on Saturday the calls are for Monday."""
    plan = post()
    launch(plan, "Sanderling", MONDAY, "10:30")
    assert "Final calls at 16:00, for Mon 10 May Sanderling, Launch, 10:30" in side_of(dee, date(2027, 5, 8))
    assert "for Fri 7 May Nobody goes afloat or is moved on the water that day." in side_of(dee)


def test_changes_since_the_plan_before(dee):
    """Tune moves by an hour, Sew gets Ines for Cal, Wash goes to Friday, Rig is new, and Bend stays as it was."""
    old, cal, ines = (
        Plan.objects.create(
            number=6, state="superseded", made_at=NOW, posted_at=NOW - timedelta(days=1), facts_revision=0
        ),
        person("Cal"),
        person("Ines"),
    )
    rows = [
        job(old, "Dunlin", "Tune", THURSDAY, "09:00", "10:00", cal),
        job(old, "Knot", "Sew", THURSDAY, "09:00", "10:00", cal),
        job(old, "Tern", "Wash", THURSDAY, "11:00", "12:00", cal),
        job(old, "Skua", "Bend", THURSDAY, "11:00", "12:00", cal),
    ]
    new = post(7)
    for row, day, starts, who in (
        (rows[0], THURSDAY, "10:00", cal),
        (rows[1], THURSDAY, "09:00", ines),
        (rows[2], FRIDAY, "11:00", cal),
        (rows[3], THURSDAY, "11:00", cal),
    ):
        moved = PlannedJob.objects.create(
            plan=new, job=row.job, starts_at=at(day, starts), ends_at=at(day, starts) + timedelta(hours=1)
        )
        moved.planned_people.create(person=who, name=who.short_name)
    job(new, "Rail", "Rig", THURSDAY, "14:00", "15:00", cal)
    side = side_of(dee).partition("Changed since plan 6")[2].partition("Final calls")[0]
    assert side.strip() == (
        "Knot, Sew: Ines, was Cal Dunlin, Tune: 10:00, was 09:00 Rail, Rig: new Tern, Wash: goes to Fri 7 May 11:00"
    )
    assert "Changed since plan 6 Nothing on this day." in side_of(dee, MONDAY)


def test_little_water_after_she_floats_is_a_limit_close_by(dee):
    """Her water ends at 14:00. Loaded 12:45, afloat by 13:45: a quarter of an hour is left; at 12:30 there is half
    an hour, which is enough."""
    plan = post()
    launch(plan, "Sanderling", MONDAY, "12:45")
    assert "1 Sanderling: her water ends 15 min after she floats off" in side_of(dee, MONDAY)
    PlannedJob.objects.all().delete()
    launch(plan, "Dunlin", MONDAY, "12:30")
    assert "None that is known." in side_of(dee, MONDAY)


def test_a_gauge_that_differs_is_said_beside_the_prediction(dee):
    """The made tide stands at 2.25 m at 10:00."""
    GaugeReading.objects.create(at=NOW, observed_m_above_datum=2.75)
    assert "The gauge read 2.8 m at 10:00, 0.5 m above the prediction." in side_of(dee)
    assert "This sheet shows the prediction." in side_of(dee)
    assert "The gauge read" not in side_of(dee, FRIDAY)


# gusts


def test_gusts_stand_by_hour_and_are_boxed_over_the_limit_of_the_days_work(dee, tmp_path):
    """13:00 to 15:00 UTC are 09:00 to 11:00 in the yard. A mast bears gusts of 15 kn (yard.weather.limits)."""
    plan = post()
    row = job(plan, "Dunlin", "Step the mast", THURSDAY, "10:00", "11:00", person("Cal"), weather_class="mast")
    keep(tmp_path, "2027-05-06T13:00Z,8,12", "2027-05-06T14:00Z,10,21", "2027-05-06T15:00Z,8,15")
    page = dee.get(reverse("day", args=["2027-05-06"])).content.decode()
    assert page.count('class="over"') == 2  # one figure and the mark in the key
    assert "over the mast&#x27;s limit of 15 kn" in page
    side = side_of(dee)
    assert "Dunlin, Step the mast: gust of 21 kn over the limit of 15 at 10:00" in side
    assert "Forecast of Thu 6 May 08:00: the yard's own file." in side
    assert "Gusts, kn 09:00 12 10:00 21 11:00 15" in side
    HourlyForecast.objects.all().delete()
    keep(tmp_path, "2027-05-06T14:00Z,10,13")
    assert "Dunlin, Step the mast: gusts of 13 kn, limit 15, at 10:00" in side_of(dee)  # four fifths of 15 are 12
    Job.objects.filter(pk=row.job_id).update(weather_class="none")
    assert "None that is known." in side_of(dee)


def test_the_yards_own_limit_and_the_wind_at_the_place_are_what_count(dee, tmp_path):
    """A mast bears 15 kn unless the yard says 25; at a place where it blows 1.3 times as hard, 21 kn are 27.3; and a
    place that is open to the east bears 12 kn of easterly, whatever the yard says."""
    row = job(post(), "Dunlin", "Step the mast", THURSDAY, "10:00", "11:00", person("Cal"), weather_class="mast")
    head = "start_utc,wind_kn,gust_kn,wind_from_deg"
    keep(tmp_path, "2027-05-06T14:00Z,6,21,90", head=head)
    YardSettings.objects.update(weather_limits={"mast": {"gust_kn": 25.0}})
    assert "over the mast&#x27;s limit of 25 kn" in dee.get(reverse("day", args=["2027-05-06"])).content.decode()
    assert "gusts of 21 kn, limit 25, at 10:00" in side_of(dee)  # four fifths of 25 are 20
    pole = Place.objects.create(ref="pole", name="Gin pole", kind="gin_pole", outdoor=True, wind_factor=1.3)
    PlannedPlace.objects.create(planned_job=row, place=pole)
    assert "gust of 27 kn over the limit of 25 at 10:00" in side_of(dee)
    sheet = dee.get(reverse("day", args=["2027-05-06"])).content.decode()
    assert "over the mast&#x27;s limit at Gin pole of 19.2 kn" in sheet  # 25 / 1.3
    assert sheet.count('class="over"') == 2  # 21 kn of the forecast are boxed, and the mark in the key
    east = {"from_deg": 45, "to_deg": 135, "sustained_kn": None, "gust_kn": 12}
    Place.objects.update(wind_factor=1.0, wind_limits=[east])
    assert "gust of 21 kn over the limit of 12 at 10:00" in side_of(dee)
    assert "limit at Gin pole of 12 kn" in dee.get(reverse("day", args=["2027-05-06"])).content.decode()
    Place.objects.update(wind_limits=[east | {"from_deg": 225, "to_deg": 315}])
    assert "gusts of 21 kn, limit 25, at 10:00" in side_of(dee)


def test_where_no_gusts_are_given_they_are_reckoned_and_said_so(dee, tmp_path):
    """1.5 times 12 kn are 18."""
    keep(tmp_path, "2027-05-06T14:00Z,12,")
    page = dee.get(reverse("day", args=["2027-05-06"])).content.decode()
    assert ">18</text>" in page
    assert "Where it gives no gusts they are reckoned as 1.5 times the wind." in side_of(dee)


def test_an_old_forecast_says_so_and_none_leaves_the_rest_standing(dee, tmp_path):
    job(post(), "Dunlin", "Tune", THURSDAY, "09:00", "11:00")
    assert "No forecast is kept for this day: wind and rain are not judged." in side_of(dee)
    assert "no forecast for this day" in text_of(dee.get(reverse("day", args=["2027-05-06"])))
    row = keep(tmp_path, "2027-05-06T14:00Z,12,16")
    HourlyForecast.objects.filter(pk=row.pk).update(updated_at=NOW - timedelta(hours=37))
    assert "Forecast of Tue 4 May 21:00, too old to plan by:" in side_of(dee)
    assert "No forecast is kept for this day" in side_of(dee, MONDAY)


def test_a_forecast_is_kept_once_with_its_bytes(tmp_path, capsys):
    file = SAMPLES / "nws_gridpoint.json"
    call_command("fetch_forecast", file=file, format="nws")
    call_command("fetch_forecast", file=file, format="nws")
    row = HourlyForecast.objects.get()
    assert (tmp_path / row.raw_path).read_bytes() == file.read_bytes()
    assert (row.provider, row.credit) == ("nws", "National Weather Service, weather.gov")
    assert "kept already" in capsys.readouterr().out
    known = nws.read(file.read_bytes())
    everything = hours_between(row, datetime(2020, 1, 1, tzinfo=UTC), datetime(2030, 1, 1, tzinfo=UTC))
    assert everything == known.hours  # there and back through JSON
    assert row.updated_at == known.updated_at


@pytest.mark.parametrize("name", ["metno_complete", "open_meteo"])
def test_the_other_providers_are_kept_too(name):
    call_command("fetch_forecast", file=SAMPLES / f"{name}.json", format=name.removesuffix("_complete"))
    assert HourlyForecast.objects.get().rows


def test_a_file_that_is_no_forecast_is_refused_whole(tmp_path):
    (tmp_path / "x.csv").write_text("start_utc,gust_kn\n2027-05-06T14:00Z,plenty\n")
    for file, kind in (
        (tmp_path / "x.csv", "csv"),
        (tmp_path / "none.json", "nws"),
        (SAMPLES / "nws_hourly.json", "nws"),
    ):
        with pytest.raises(CommandError, match="Nothing was kept"):
            call_command("fetch_forecast", file=file, format=kind)
    assert not HourlyForecast.objects.exists()


def test_fetching_wants_a_place_and_a_contact(creek):
    with pytest.raises(CommandError, match="e-mail address"):
        call_command("fetch_forecast", format="nws")
    type(creek).objects.update(email="yard@example.org")
    with pytest.raises(CommandError, match="--file"):
        call_command("fetch_forecast", format="csv")
    with pytest.raises(CommandError, match="a key is needed"):
        call_command("fetch_forecast", format="open_meteo")
    type(creek).objects.update(latitude=None)
    with pytest.raises(CommandError, match="place is not entered"):
        call_command("fetch_forecast", format="nws")


# skills, and a full yard


def test_skills_under_a_name_are_short(dee):
    cal = person("Cal")
    for key, name in (("coxswain", "Workboat coxswain"), ("welder-x", "Aluminium welder")):
        skill, _ = Skill.objects.get_or_create(key=key, defaults={"name": name})
        PersonSkill.objects.create(person=cal, skill=skill, level=2)
    assert "aluminium, workboat" in text_of(dee.get(reverse("day", args=["2027-05-06"])))


@pytest.mark.parametrize("crowd", [2, 14])
def test_two_people_and_fourteen_stay_on_one_page(dee, new_browser, cast, crowd):
    """Chromium's own pages of the printed sheet, on A4 and on Letter."""
    plan = post()
    for number in range(crowd):
        job(plan, f"Boat {number}", "Tune", THURSDAY, "09:00", "11:00", person(f"P{number:02d}"))
    browser = new_browser()
    browser.sign_in(cast.dee)
    browser.open("/days/2027-05-06/")
    for paper in ("A4", "Letter"):
        pdf = browser.ui(lambda page, paper=paper: page.pdf(format=paper))
        assert pdf.count(b"/Type /Page\n") == 1, paper
