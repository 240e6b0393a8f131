"""All open orders of a boat are one network: what waits for what across them, and what does not."""

from datetime import UTC, date, datetime

import pytest

from tests.services.ordering import JANUARY, SPRING_DATES, ordered
from yard.models import Boat, Job, JobLink, Order, Season
from yard.services.order_package import OrderDates

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("packages")]


@pytest.fixture
def wren() -> Boat:
    return Boat.objects.create(ref="wren", name="Wren", length_m=7.0, beam_m=2.3, draft_m=1.1)


def across(before: Order, after: Order) -> set[tuple[str, str]]:
    found = JobLink.objects.filter(before__order=before, after__order=after, origin=JobLink.Origin.OTHER_ORDER)
    return set(found.values_list("before__key", "after__key"))


@pytest.mark.parametrize("spring_first", [True, False])
def test_bending_on_waits_for_an_open_sail_repair_whichever_came_first(wren: Boat, spring_first: bool) -> None:
    both = ["spring_commissioning", "sail_repair"]
    made = {key: ordered(wren, key) for key in (both if spring_first else reversed(both))}
    assert across(made["sail_repair"], made["spring_commissioning"]) == {("repair", "bend_on"), ("repair", "sails")}
    assert across(made["spring_commissioning"], made["sail_repair"]) == set()


def test_delivery_waits_for_the_tackle(wren: Boat) -> None:
    spring, tackle = ordered(wren, "spring_commissioning"), ordered(wren, "mooring_tackle")
    assert across(tackle, spring) == {("set", "deliver")}
    assert JobLink.objects.get(origin="other_order").reason == f"follows “Set the tackle” of order {tackle.ref}"


def test_a_dodger_is_patterned_on_the_rig_and_fitted_before_the_covers(wren: Boat) -> None:
    spring, canvas = ordered(wren, "spring_commissioning"), ordered(wren, "canvas_order")
    rig = {"step", "tune", "bend_on"}
    assert across(spring, canvas) == {(job, fit) for job in rig for fit in ("pattern", "trial_fit")}
    assert across(canvas, spring) == {("trial_fit", "fit_covers"), ("hand_over", "fit_covers")}


def test_the_survey_waits_for_the_mast_to_come_down_and_the_pattern_comes_first(wren: Boat) -> None:
    lay_up, survey, canvas = (ordered(wren, key) for key in ("autumn_lay_up", "rig_survey", "canvas_order"))
    assert across(lay_up, survey) == {("unstep", "survey")}
    assert across(canvas, lay_up) == {("pattern", "unbend"), ("pattern", "unstep")}


def test_other_boats_finished_jobs_and_closed_orders_are_not_waited_for(wren: Boat) -> None:
    tern = Boat.objects.create(ref="tern", name="Tern", length_m=8.0, beam_m=2.5, draft_m=1.2)
    ordered(tern, "sail_repair")
    closed = ordered(wren, "sail_repair")
    Order.objects.filter(pk=closed.pk).update(state="cancelled")
    done = ordered(wren, "sail_repair")
    Job.objects.filter(order=done).update(state="done", actual_ends_at=JANUARY)
    ordered(wren, "spring_commissioning")
    assert not JobLink.objects.filter(origin="other_order").exists()


def test_a_job_that_has_started_waits_for_nothing_new(wren: Boat) -> None:
    spring = ordered(wren, "spring_commissioning")
    spring.jobs.filter(key="bend_on").update(state="started")
    repair = ordered(wren, "sail_repair")
    assert across(repair, spring) == {("repair", "sails")}


@pytest.mark.parametrize("spring_first", [True, False])
def test_spring_does_not_wait_for_the_autumn_of_the_same_year(wren: Boat, spring_first: bool) -> None:
    """Sails are bent on in May though the repair after the lay-up of October is ordered already."""
    Season.objects.create(name="Spring 2027", starts_on=date(2027, 1, 1), ends_on=date(2027, 8, 1))
    Season.objects.create(name="Autumn 2027", starts_on=date(2027, 8, 1), ends_on=date(2028, 1, 1))
    october = OrderDates(earliest=date(2027, 9, 20), wanted=date(2027, 10, 10))
    wanted = [("spring_commissioning", SPRING_DATES), ("autumn_lay_up", october)]
    made = {
        key: ordered(wren, key, dates=dates, options=["repair_sails", "wash_sails"] if "autumn" in key else None)
        for key, dates in (wanted if spring_first else reversed(wanted))
    }
    spring, autumn = made["spring_commissioning"], made["autumn_lay_up"]
    assert across(spring, autumn) == {("deliver", "collect")}
    assert across(autumn, spring) == set()


def test_without_seasons_a_circle_is_never_closed(wren: Boat) -> None:
    """The lay-up follows the delivery, so nothing before the delivery may wait for the lay-up."""
    spring = ordered(wren, "spring_commissioning")
    autumn = ordered(wren, "autumn_lay_up", options=["repair_sails", "wash_sails"], dates=OrderDates())
    assert across(spring, autumn) == {("deliver", "collect")}
    assert across(autumn, spring) == set()


def test_the_lay_up_before_the_spring_is_waited_for(wren: Boat) -> None:
    Season.objects.create(name="Autumn 2026", starts_on=date(2026, 8, 1), ends_on=date(2027, 1, 1))
    Season.objects.create(name="Spring 2027", starts_on=date(2027, 1, 1), ends_on=date(2027, 8, 1))
    lay_up = ordered(
        wren, "autumn_lay_up", dates=OrderDates(wanted=date(2026, 10, 10)), now=datetime(2026, 9, 1, 12, tzinfo=UTC)
    )
    spring = ordered(wren, "spring_commissioning")
    assert across(lay_up, spring) == {
        ("haul", "uncover"),
        ("cover", "uncover"),
        ("unstep", "rig_look"),
        ("store", "sails"),
        ("store", "bend_on"),
    }
