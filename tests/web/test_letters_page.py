"""The morning list: who is to be told what, from rows and a posted plan to a page."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta

import pytest
from django.test import Client
from django.urls import reverse
from model_bakery import baker

from yard.models import (
    Boat,
    Closure,
    Fact,
    Job,
    JobKind,
    Order,
    Plan,
    PlannedJob,
    ShopHours,
    Telling,
    YardHoliday,
    YardSettings,
)
from yard.queries.letters_due import letters_due
from yard.queries.plans import posted_plan

NOW = datetime(2027, 5, 6, 14, tzinfo=UTC)  # a Thursday, 10:00 in the yard

pytestmark = pytest.mark.django_db


@pytest.fixture
def yard() -> YardSettings:
    for weekday in range(5):
        ShopHours.objects.create(weekday=weekday, starts=time(7), ends=time(17))
    ShopHours.objects.create(weekday=5, starts=time(8), ends=time(13))
    return YardSettings.objects.create(name="Tallow Creek Yard", time_zone="America/New_York", clock_frozen_at=NOW)


@pytest.fixture
def plan() -> Plan:
    return Plan.objects.create(number=1, state=Plan.State.POSTED, made_at=NOW, posted_at=NOW, facts_revision=0)


def order(plan: Plan, name: str, at: datetime, **job: object) -> Order:
    kind, _ = JobKind.objects.get_or_create(
        key="deliver", defaults={"name": "Deliver", "short_name": "deliver", "letter": "V", "trade": "mooring"}
    )
    row = Order.objects.create(
        ref=name,
        boat=baker.make(Boat, name=name, length_m=8, beam_m=2.5, displacement_kg=2000),
        name="Spring",
        made_at=NOW,
    )
    work = Job.objects.create(order=row, kind=kind, key="deliver", name="Deliver", outdoor=True, **job)
    PlannedJob.objects.create(plan=plan, job=work, starts_at=at, ends_at=at + timedelta(hours=2))
    return row


def tell(row: Order, state: str, day: date, at: datetime) -> None:
    Telling.objects.create(order=row, boat=row.boat, state=state, told_date=day, how="call", told_at=at)


def due(yard: YardSettings, now: datetime = NOW) -> list[tuple[str, str, str]]:
    rows = letters_due(posted_plan(), yard, now=now)
    return [(row.order.ref, row.due.state.value, row.due.reason.name) for row in rows]


def test_the_most_urgent_stands_first(yard: YardSettings, plan: Plan) -> None:
    ago = NOW - timedelta(days=20)
    order(plan, "Far", NOW + timedelta(days=40))
    moved = order(plan, "Moved", NOW + timedelta(days=9))
    tell(moved, "day", date(2027, 5, 12), ago)
    broken = order(plan, "Broken", NOW + timedelta(days=6))
    tell(broken, "firm", date(2027, 5, 7), ago)
    told = order(plan, "Told", NOW + timedelta(days=10))
    tell(told, "day", date(2027, 5, 16), ago)
    assert due(yard) == [
        ("Broken", "day", "FIRM_BROKEN"),
        ("Moved", "day", "DAY_MOVED"),
        ("Far", "week", "WEEK_DUE"),
    ]


def test_monday_s_final_call_is_on_saturday_and_before_a_holiday_on_the_day_before(
    yard: YardSettings, plan: Plan
) -> None:
    monday = datetime(2027, 5, 10, 14, tzinfo=UTC)
    row = order(plan, "Heron", monday)
    tell(row, "day", date(2027, 5, 10), NOW - timedelta(days=9))
    yard.firm_told_hours_before = 12  # so that the final call comes first
    saturday_noon = datetime(2027, 5, 8, 16, tzinfo=UTC)
    assert due(yard, saturday_noon - timedelta(minutes=1)) == []
    assert due(yard, saturday_noon) == [("Heron", "firm", "FINAL_CALL")]
    YardHoliday.objects.create(day=date(2027, 5, 8), name="Founders' day")
    friday = datetime(2027, 5, 7, 20, tzinfo=UTC)  # 16:00 in the yard
    assert due(yard, friday - timedelta(minutes=1)) == []
    assert due(yard, friday) == [("Heron", "firm", "FINAL_CALL")]


def test_never_firm_before_the_facts_are_here_and_on_hold_where_the_day_is_closed(
    yard: YardSettings, plan: Plan
) -> None:
    at = NOW + timedelta(hours=30)
    row = order(plan, "Tern", at)
    tell(row, "day", date(2027, 5, 7), NOW - timedelta(days=9))
    fact = Fact.objects.create(
        kind="permit", name="the permit", order=row, state="expected", expected_date=date(2027, 5, 7), set_at=NOW
    )
    fact.jobs.add(row.jobs.get())
    assert due(yard) == [], "still only a provisional day, which she knows"
    fact.state, fact.expected_date = Fact.State.HERE, None
    fact.save()
    assert due(yard) == [("Tern", "firm", "FIRM_DUE")]
    Closure.objects.create(
        covers="outdoors",
        starts_at=at - timedelta(hours=2),
        ends_at=at + timedelta(hours=5),
        reason="gale",
        made_at=NOW,
    )
    assert due(yard) == [("Tern", "weather_hold", "FIRM_DUE")]


def test_the_page_for_those_who_may_see_owners(
    yard: YardSettings, plan: Plan, cast, django_assert_max_num_queries
) -> None:
    client = Client()
    client.force_login(cast.cy, "yard.web.access.RoleBackend")
    assert "Nobody needs telling" in client.get(reverse("letters")).content.decode()
    for number in range(6):
        order(plan, f"Boat {number}", NOW + timedelta(days=40 + number))
    with django_assert_max_num_queries(19):
        page = client.get(reverse("letters")).content.decode()
    assert "6 orders in all" in page
    assert "provisional week" in page
    Plan.objects.all().delete()
    assert "No plan is posted yet" in client.get(reverse("letters")).content.decode()
    client.force_login(cast.ben, "yard.web.access.RoleBackend")
    assert client.get(reverse("letters")).status_code == 403
