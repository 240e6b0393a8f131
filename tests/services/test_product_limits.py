"""What a data sheet says of air and waits: kept by the planner, and found by the check at the door where it is not.

Each rule stands twice: as windows and waits of the problem, and in check_products, which reads sheets and forecast
anew. The sheet is invented: not under 12 °C (the yard's own default for coating is 10 °C), at most 80 % humidity, 4 °C
above the dew point, the next coat 20 hours to 3 days later.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, time, timedelta
from typing import Any

import pytest

from yard.models import (
    Boat,
    HourlyForecast,
    Job,
    JobKind,
    JobLink,
    JobWay,
    Order,
    Person,
    ProductSheet,
    ProductWait,
    ShopHours,
    WeeklyHours,
    YardSettings,
)
from yard.planning.check import faults
from yard.planning.plan import Plan, Planned
from yard.planning.solve import Rounds, solve
from yard.services.check_products import air_against, product_faults
from yard.services.product_limits import WeatherBook, sheets_of
from yard.services.read_problem import ReadProblem, read_problem
from yard.services.save_plan import Making, PlanRefused, save_plan
from yard.weather.hourly import HOUR
from yard.weather.limits import LIMITS, WorkKind
from yard.weather.product import ProductLimits, with_products

NOW = datetime(2027, 5, 6, 11, 0, tzinfo=UTC)  # Thursday 07:00 at the yard
FAIR: dict[str, Any] = {
    "wind_kn": 5.0, "gust_kn": 8.0, "rain_mm": 0.0, "pop": 0.0, "temp_c": 16.0, "dew_c": 6.0, "rh": 52.0,
    "thunder": False,
}  # fmt: skip


@pytest.fixture
def sheet(db: None) -> ProductSheet:
    row = ProductSheet.objects.create(
        kind="paint",
        name="Heron Red",
        source="Heron's sheet 7, invented",
        min_temp_c=12.0,
        max_temp_c=30.0,
        max_humidity_pct=80,
        min_dew_spread_c=4.0,
        overcoat_max_min=3 * 24 * 60,
    )
    ProductWait.objects.create(sheet=row, use="overcoat", from_temp_c=10.0, min_wait_min=20 * 60)
    return row


@pytest.fixture
def coats(sheet: ProductSheet) -> tuple[Job, Job]:
    """Two coats of an hour on Wren, by Ben, who works 08:00 to 16:00; the second waits as the sheet says."""
    YardSettings.objects.create(
        name="Creek", time_zone="America/New_York", tide_station="8418150", latitude=43.66, longitude=-70.25
    )
    ben = Person.objects.create(name="Ben Ash", short_name="Ben")
    for weekday in range(7):
        ShopHours.objects.create(weekday=weekday, starts=time(8), ends=time(16))
        WeeklyHours.objects.create(person=ben, weekday=weekday, starts=time(8), ends=time(16))
    wren = Boat.objects.create(ref="wren", name="Wren", length_m=7.0, beam_m=2.3, draft_m=1.1)
    order = Order.objects.create(ref="27-001", boat=wren, name="Paint", made_at=NOW)
    paint = JobKind.objects.create(
        key="paint", name="Paint", short_name="paint", letter="P", trade="yard", outdoor=True, weather_class="coating",
        needs_boat=True,
    )  # fmt: skip
    first, second = (
        Job.objects.create(
            order=order, kind=paint, key=key, name=name, sequence=number, outdoor=True, weather_class="coating"
        )
        for number, (key, name) in enumerate((("one", "First coat"), ("two", "Second coat")))
    )
    for job in (first, second):
        JobWay.objects.create(job=job, sequence=0, duration_min=60, crew=[])
    JobLink.objects.create(
        before=first, after=second, min_wait_min=20 * 60, max_wait_min=3 * 24 * 60, product_kind="paint",
        product_sheet=sheet, origin=JobLink.Origin.PACKAGE,
    )  # fmt: skip
    return first, second


def forecast(**at: dict[str, Any]) -> None:
    """Two fair days from NOW on; `h3={...}` changes what the fourth hour says."""
    rows = [
        {"start": f"{NOW + HOUR * number:%Y-%m-%dT%H:%M:%SZ}"} | FAIR | at.get(f"h{number}", {}) for number in range(48)
    ]
    known = NOW - HOUR
    HourlyForecast.objects.create(
        provider="nws", fetched_at=known, updated_at=known, credit="", raw_sha256="1", rows=rows
    )


def planned(read: ReadProblem) -> Planned:
    """By the front door; that both planners keep windows and waits is shown rule by rule in tests/planning/rules."""
    found = solve(read.problem, stop=Rounds(5), workers=1, backend="python")
    assert isinstance(found, Planned), found
    return found


def starts(read: ReadProblem, plan: Plan) -> list[datetime]:
    """When the coats begin."""
    by_job = {read.jobs[row.job]: read.axis.timeline.starts_at(row.starts_at) for row in plan.placements}
    return [by_job[pk] for pk in sorted(by_job)]


def moved(read: ReadProblem, plan: Plan, job: Job, at: datetime) -> Plan:
    position = read.axis.timeline.first_at_or_after(read.axis.minute(at))
    return replace(
        plan,
        placements=tuple(
            replace(row, starts_at=position, ends_at=position + row.ends_at - row.starts_at)
            if read.jobs[row.job] == job.pk
            else row
            for row in plan.placements
        ),
    )


def test_without_a_forecast_the_wait_alone_holds(coats) -> None:
    """Trivial: the second coat begins 20 hours after the hour of the first, or later."""
    read = read_problem(now=NOW)
    plan = planned(read).plan
    first, second = starts(read, plan)
    assert timedelta(hours=21) <= second - first <= timedelta(hours=73)
    assert (list(faults(read.problem, plan)), product_faults(read, plan)) == ([], [])


def test_air_is_kept_where_the_yards_own_default_would_have_let_it_pass(coats) -> None:
    """Kept: 11 °C until 10:00 is warm enough for the default of 10 °C, not for this sheet: no coat before 10:00."""
    forecast(h0={"temp_c": 11.0}, h1={"temp_c": 11.0}, h2={"temp_c": 11.0}, h3={"temp_c": 12.0})
    read = read_problem(now=NOW)
    plan = planned(read).plan
    assert starts(read, plan)[0] >= NOW + 3 * HOUR
    assert (list(faults(read.problem, plan)), product_faults(read, plan)) == ([], [])
    at_ten, at_nine = (moved(read, plan, coats[0], NOW + hours * HOUR) for hours in (3, 2))
    assert [list(faults(read.problem, each)) == [] for each in (at_ten, at_nine)] == [True, False]
    JobLink.objects.update(product_sheet=None)
    without = read_problem(now=NOW)
    assert (list(faults(without.problem, at_nine)), product_faults(without, at_nine)) == ([], [])


@pytest.mark.parametrize(
    ("air", "says"),
    [
        ({"temp_c": 11.9}, "11.9 °C, its sheet says at least 12"),
        ({"temp_c": 30.5, "rh": 30.0}, "30.5 °C, its sheet says at most 30"),
        ({"rh": 81.0}, "81 % humidity, its sheet says at most 80"),
        ({"dew_c": 12.5}, "3.5 °C above the dew point, its sheet says at least 4"),
    ],
)
def test_broken_air_is_found_by_both_checks_and_not_saved(coats, air, says) -> None:
    """Broken: the fair plan is kept; the same plan in an hour that the sheet does not allow is refused."""
    forecast(h2=air)
    read = read_problem(now=NOW)
    kept = planned(read)
    assert product_faults(read, kept.plan) == []
    broken = moved(read, kept.plan, coats[0], NOW + 2 * HOUR)
    assert {fault.rule for fault in faults(read.problem, broken)} == {"windows"}
    found = product_faults(read, broken)
    assert [(fault.rule, fault.job) for fault in found] == [("product", coats[0].pk)]
    assert says in found[0].message
    with pytest.raises(PlanRefused) as refused:
        save_plan(read, replace(kept, plan=broken), Making(None, NOW, 1))
    assert any(says in sentence for sentence in refused.value.faults)


@pytest.mark.parametrize(
    ("at", "says"),
    [
        (NOW + 25 * HOUR, "16.0 h after Heron Red was put on, its sheet says at least 20"),
        (NOW + 97 * HOUR, "88.0 h after Heron Red was put on, its sheet says at most 72"),
    ],
)
def test_broken_waits_are_found_by_both_checks(coats, at, says) -> None:
    """The first coat ends at 16:00; of the sheet itself, also where the copy of the wait in her order was changed."""
    read = read_problem(now=NOW)
    first_late = moved(read, planned(read).plan, coats[0], NOW + 8 * HOUR)
    broken = moved(read, first_late, coats[1], at)
    assert [fault.rule for fault in faults(read.problem, broken)] == ["waits"]
    JobLink.objects.update(min_wait_min=0, max_wait_min=None)
    found = product_faults(read, broken)
    assert [(fault.rule, fault.job) for fault in found] == [("product_wait", coats[1].pk)]
    assert says in found[0].message


def test_a_wait_typed_for_her_alone_is_that_persons_word(coats) -> None:
    forecast()  # inside it nothing is allowed for weather between the two
    JobLink.objects.update(min_wait_min=60, origin=JobLink.Origin.BY_HAND)
    read = read_problem(now=NOW)
    plan = moved(read, moved(read, planned(read).plan, coats[0], NOW + HOUR), coats[1], NOW + 3 * HOUR)
    assert (list(faults(read.problem, plan)), product_faults(read, plan)) == ([], [])


def test_the_dew_point_is_reckoned_where_the_forecast_has_none(sheet) -> None:
    """16 °C at 80 %: by the Magnus formula 12.6 °C (3.4 °C of spread), at 70 % 10.5 °C (5.5 °C)."""
    assert air_against(sheet, {"temp_c": 16.0, "rh": 80.0}).startswith("3.4 °C above the dew point")
    assert air_against(sheet, {"temp_c": 16.0, "rh": 70.0}) == ""
    assert air_against(sheet, {}) == ""


def test_both_coats_know_their_product_and_what_follows_does_not(coats, sheet) -> None:
    first, second = coats
    launch = JobKind.objects.create(key="launch", name="Launch", short_name="launch", letter="L", trade="launch")
    third = Job.objects.create(order=first.order, kind=launch, key="three", name="Launch", sequence=2)
    JobLink.objects.create(before=second, after=third, product_kind="paint", product_sheet=sheet)
    assert sheets_of([first.pk, second.pk, third.pk]) == {first.pk: (sheet,), second.pk: (sheet,)}


def test_a_sheet_stands_for_the_default_and_the_yards_own_limit_where_it_is_stricter() -> None:
    """A cold-weather paint goes on from 2 °C on, unless the yard itself has said 5 °C; of two sheets the stricter."""
    cold = ProductLimits(name="Cold", source="invented", min_temp_c=2.0, below_rh=90.0)
    mild = ProductLimits(name="Mild", source="invented", min_temp_c=8.0)
    coating = LIMITS[WorkKind.COATING]
    assert (with_products(coating, [cold], own={}).min_temp_c, coating.min_temp_c) == (2.0, pytest.approx(10.0))
    assert with_products(coating, [cold], own={"min_temp_c": 5.0}).min_temp_c == 5.0
    assert with_products(coating, [cold, mild], own={}).min_temp_c == 8.0
    assert with_products(coating, [cold], own={"below_rh": 85.0}).below_rh == 85.0
    assert with_products(coating, [cold], own={}).max_temp_c == coating.max_temp_c
    assert with_products(coating, [], own={}) is coating


def test_indoors_the_air_is_not_the_forecasts(coats, sheet) -> None:
    first, _ = coats
    book = WeatherBook.of(YardSettings.objects.get(), sheets_of([first.pk]))
    assert book.of_job(first).min_temp_c == 12.0
    first.outdoor, first.weather_class = False, "none"
    assert book.of_job(first) is None
