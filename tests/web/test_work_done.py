"""An order all of whose work is done says so on every page, and no page waits for anybody to call it done."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from django.test import Client
from django.urls import reverse

from tests.letters.told_yard import NOW, make_order, make_owner, make_plan, make_yard, tell
from tests.web.made_creek import BACKEND, text_of
from yard.models import Job, Order, Plan, Season, YardSettings
from yard.promise.states import State
from yard.queries import boat_page
from yard.queries.boat_list import standing_of
from yard.queries.finished import all_work_done, is_finished, last_done_at, said_finished, with_work_left
from yard.queries.letters_due import letters_due
from yard.queries.season_board import boat_rows

ENDED = NOW - timedelta(days=1)


@pytest.fixture
def yard(db: None) -> YardSettings:
    return make_yard()


@pytest.fixture
def plan(yard: YardSettings) -> Plan:
    return make_plan()


@pytest.fixture
def order(plan: Plan) -> Order:
    """Planned to end three days after it was to be done; its work ended yesterday."""
    made = make_order(plan, make_owner("Pia"), "Tern", NOW + timedelta(days=9))
    made.promised_date = date(2027, 5, 12)
    made.save()
    return made


@pytest.fixture
def done(order: Order) -> Order:
    order.jobs.update(state=Job.State.DONE, actual_ends_at=ENDED)
    return order


@pytest.fixture
def ada(cast) -> Client:
    client = Client()
    client.force_login(cast.ada, BACKEND)
    return client


@pytest.mark.parametrize(
    ("states", "finished"),
    [
        ([], False),
        (["open"], False),
        (["done"], True),
        (["done", "done"], True),
        (["done", "started"], False),
        (["done", "failed"], False),
        (["done", "cancelled"], True),
        (["cancelled"], False),
    ],
)
def test_both_ways_of_asking_say_the_same(order: Order, states: list[str], finished: bool) -> None:
    first = order.jobs.get()
    for number, state in enumerate(states):
        ended = ENDED if state == "done" else None
        Job.objects.create(order=order, kind=first.kind, key=f"x{number}", name="X", state=state, actual_ends_at=ended)
    Job.objects.filter(pk=first.pk).update(state="cancelled")
    assert is_finished(order) is finished
    assert Order.objects.filter(all_work_done()).exists() is finished
    assert said_finished(Order.objects.all()).get().last_done_at == last_done_at(order)
    assert with_work_left(Order.objects.all()).exists() is not finished


def test_she_is_late_on_the_board_until_it_is_done_and_then_gone_from_it(order: Order, plan: Plan) -> None:
    assert [row.state for row in boat_rows(plan)] == ["late"]
    order.jobs.update(state=Job.State.DONE, actual_ends_at=ENDED)
    assert boat_rows(plan) == []


def test_a_boat_stands_as_done_also_in_a_plan_that_has_nothing_of_her(done: Order, plan: Plan) -> None:
    for posted in (plan, None):
        standing, _ = standing_of(boat_page.boat_rows(done.boat, posted, with_owners=False))
        assert (standing.state, standing.done_by) == ("done", date(2027, 5, 5))


def test_one_order_that_is_left_is_what_she_stands_for(done: Order, plan: Plan) -> None:
    make_order(plan, None, "Tern", NOW + timedelta(days=2))
    assert standing_of(boat_page.boat_rows(done.boat, plan, with_owners=False))[0].state == "on-time"


def test_the_pages_say_done(done: Order, ada: Client) -> None:
    orders = text_of(ada.get(reverse("orders")))
    assert "done Wed 5 May all 1" in orders
    assert "No open order of this kind." in text_of(ada.get(reverse("orders"), {"work": "left"}))
    assert "Tern" in text_of(ada.get(reverse("orders"), {"work": "done"}))
    assert "done" in text_of(ada.get(reverse("boats"), {"state": "done"}))
    assert "Tern" in text_of(ada.get(reverse("boats"), {"state": "done"}))
    page = text_of(ada.get(reverse("order", args=[done.pk])))
    assert "done : the last of its work on Wed 5 May" in page
    assert "Her owner was not told yet : it stands on the morning list ." in page
    tell(done, "done", None, at=NOW)
    assert "Her owner was told so." in text_of(ada.get(reverse("order", args=[done.pk])))


def test_she_stands_on_the_morning_list_until_her_owner_was_told(done: Order, plan: Plan, yard: YardSettings) -> None:
    (row,) = letters_due(plan, yard, now=NOW)
    assert row.due.state is State.DONE
    tell(done, "done", None, at=NOW)
    assert letters_due(plan, yard, now=NOW) == []


def test_of_a_closed_season_nothing_is_news(done: Order, plan: Plan, yard: YardSettings) -> None:
    season = Season.objects.create(name="Last", starts_on=date(2026, 3, 1), ends_on=date(2026, 7, 1), closed_at=NOW)
    Order.objects.filter(pk=done.pk).update(season=season)
    assert letters_due(plan, yard, now=NOW) == []


def test_work_that_is_not_wanted_any_more_sets_no_day(order: Order, plan: Plan, yard: YardSettings) -> None:
    first, at = order.jobs.get(), NOW + timedelta(days=12)
    late = Job.objects.create(order=order, kind=first.kind, key="late", name="Late", state="cancelled")
    plan.planned_jobs.create(job=late, starts_at=at, ends_at=at + timedelta(hours=1))
    (row,) = letters_due(plan, yard, now=NOW)
    assert row.due.date == date(2027, 5, 15)


def test_what_is_done_ahead_of_its_time_sets_no_day_while_other_work_is_left(
    order: Order, plan: Plan, yard: YardSettings
) -> None:
    first, at = order.jobs.get(), NOW + timedelta(days=12)
    ahead = Job.objects.create(
        order=order, kind=first.kind, key="ahead", name="Ahead", state="done", actual_ends_at=ENDED
    )
    plan.planned_jobs.create(job=ahead, starts_at=at, ends_at=at + timedelta(hours=1))
    (row,) = letters_due(plan, yard, now=NOW)
    assert row.due.date == date(2027, 5, 15)
