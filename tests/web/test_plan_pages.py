"""The season board, the day and the plan versions, as far as they need no planning run."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta

import pytest
from django.contrib.auth.models import Group, User
from django.test import Client
from django.urls import reverse

from yard.models import Boat, Job, JobKind, LeftOut, Order, Plan, PlannedJob, PlanRun, YardSettings
from yard.queries.season_board import working_days_between

pytestmark = pytest.mark.django_db
NOW = datetime(2027, 5, 6, 14, tzinfo=UTC)


@pytest.fixture
def planner() -> Client:
    YardSettings.objects.create(name="Tallow Creek Yard", time_zone="America/New_York", clock_frozen_at=NOW)
    user = User.objects.create_user("ada", password=None)
    group, _ = Group.objects.get_or_create(name="planner")
    user.groups.add(group)
    client = Client()
    client.force_login(user)
    return client


def posted_with(count: int) -> Plan:
    """A posted plan with one job of each of `count` boats, each a day later, each promised for the third day."""
    plan = Plan.objects.create(
        number=7, state=Plan.State.POSTED, made_at=NOW, posted_at=NOW, facts_revision=0, late_days=1, unplaced=0
    )
    kind, _ = JobKind.objects.get_or_create(
        key="tune", defaults={"name": "Static tune", "short_name": "tune", "letter": "T", "trade": "rig"}
    )
    for number in range(count):
        boat = Boat.objects.create(ref=f"b{number}", name=f"Boat {number}", length_m=7, beam_m=2)
        order = Order.objects.create(
            ref=f"O{number}", boat=boat, name="Tune", promised_date=date(2027, 5, 12), made_at=NOW
        )
        job = Job.objects.create(order=order, kind=kind, key="tune", name="Static tune")
        starts = datetime(2027, 5, 10, 13, tzinfo=UTC) + timedelta(days=number)
        PlannedJob.objects.create(plan=plan, job=job, starts_at=starts, ends_at=starts + timedelta(hours=1))
    return plan


def test_without_a_plan_the_board_says_so(planner: Client) -> None:
    assert "No boats yet" in planner.get(reverse("season")).content.decode()
    posted_with(1)
    Plan.objects.all().delete()
    assert "No plan is posted yet" in planner.get(reverse("season")).content.decode()


def test_the_board_counts_kept_dates(planner: Client) -> None:
    """Ends Mon 10, Tue 11, Wed 12, Thu 13 May against Wed 12: three kept, the fourth one day late."""
    posted_with(4)
    page = planner.get(reverse("season")).content.decode()
    assert "Plan 7 keeps 3 of 4 promised dates" in page
    assert re.search(r"<b>1</b> <span>late", page)


@pytest.mark.parametrize("boats", [2, 12])
def test_the_board_asks_as_often_for_many_boats(planner: Client, django_assert_num_queries, boats: int) -> None:
    posted_with(boats)
    planner.get(reverse("season"))
    with django_assert_num_queries(23):
        planner.get(reverse("season"))


def test_a_day_lists_its_jobs_in_the_yards_time(planner: Client) -> None:
    """13:00 UTC is 09:00 in New York in May."""
    posted_with(2)
    page = planner.get(reverse("day", args=["2027-05-10"])).content.decode()
    assert "09:00" in page
    assert "Boat 0" in page
    assert "Boat 1" not in page


@pytest.mark.parametrize("day", ["tomorrow", "2027-13-01"])
def test_no_such_day_is_not_found(planner: Client, day: str) -> None:
    assert planner.get(reverse("day", args=[day])).status_code == 404


def test_posting_a_draft_supersedes_the_plan_on_the_wall(planner: Client) -> None:
    old = posted_with(1)
    draft = Plan.objects.create(made_at=NOW, facts_revision=0)
    planner.post(reverse("plan_post", args=[draft.pk]))
    old.refresh_from_db()
    draft.refresh_from_db()
    assert (old.state, draft.state, draft.number) == ("superseded", "posted", 8)


def test_a_plan_is_posted_once(planner: Client) -> None:
    plan = posted_with(1)
    page = planner.post(reverse("plan_post", args=[plan.pk]), follow=True).content.decode()
    assert "posted or withdrawn this plan already" in page
    plan.refresh_from_db()
    assert (plan.state, plan.number) == ("posted", 7)


def test_working_days_leave_sundays_out() -> None:
    """Sat 8 to Mon 10 May 2027: one working day, and one the other way."""
    assert working_days_between(date(2027, 5, 8), date(2027, 5, 10)) == 1
    assert working_days_between(date(2027, 5, 10), date(2027, 5, 8)) == -1


def test_a_run_that_broke_says_what_stands_and_offers_to_plan_again(planner: Client) -> None:
    run = PlanRun.objects.create(state=PlanRun.State.BROKEN, asked_at=NOW, error="It was killed.", seconds_limit=30)
    page = planner.get(reverse("run", args=[run.pk])).content.decode()
    assert "nothing on the wall has changed" in page
    assert "Plan again" in page
    assert 'name="seconds" value="30"' in page
    run.request = {"closure": 1}
    run.save()
    assert "Plan again" not in planner.get(reverse("run", args=[run.pk])).content.decode()


def test_what_a_plan_leaves_out_is_told_in_words_with_a_way_to_the_boat(planner: Client) -> None:
    plan = posted_with(1)
    order = Order.objects.get()
    LeftOut.objects.create(
        plan=plan, boat=order.boat, order=order, rule="double_booking", reason="the people she needs are busy"
    )
    page = planner.get(reverse("plan", args=[plan.pk])).content.decode()
    assert "the people she needs are busy" in page
    assert "double_booking" not in page
    assert reverse("boat", args=[order.boat_id]) in page
