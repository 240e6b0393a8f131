"""A boat sold on a day to come: nothing changes before, all of it on the day, in the yard's zone, and it is called off.

Whoever asks first on the day carries it out: the worker, a page, or a calendar's reader.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from django_tasks_db.models import DBTaskResult

from yard.models import (
    Boat,
    BoatOwner,
    CalendarAddress,
    Fact,
    Job,
    JobKind,
    Mooring,
    Order,
    Owner,
    OwnerPage,
    SaleToCome,
    StaleRow,
    WholeChange,
    YardSettings,
)
from yard.services.keeping import Refused, Writer
from yard.services.whole_change.sale import Sale, current_shares
from yard.services.whole_change.sale_to_come import (
    Agreed,
    NotToChange,
    agree,
    begins_at,
    call_off,
    carry_out_anyway,
    carry_out_due,
    is_due,
    waiting,
)
from yard.services.whole_change.take_back import take_back
from yard.tasks import carry_out_sales

pytestmark = pytest.mark.django_db
NOW, TODAY = datetime(2027, 5, 6, 14, tzinfo=UTC), date(2027, 5, 6)
DAY = date(2027, 6, 12)
FIRST = datetime(2027, 6, 12, 4, tzinfo=UTC)  # midnight in New York in summer


@pytest.fixture(autouse=True)
def yard() -> YardSettings:
    return YardSettings.objects.create(name="Creek", time_zone="America/New_York")


@pytest.fixture
def writer(cast) -> Writer:
    return Writer(cast.cy, NOW, TODAY)


@pytest.fixture
def wren() -> Boat:
    """Ann's Wren on her mooring, a job that waits on the permit, Ann's private page and calendar."""
    ann = Owner.objects.create(name="Ann Hale", ref="hale")
    Owner.objects.create(name="Bo Reed", ref="reed")
    her = Boat.objects.create(ref="wren", name="Wren", length_m=7.0, beam_m=2.3, draft_m=1.1)
    BoatOwner.objects.create(boat=her, owner=ann, starts_on=date(2025, 1, 1), told_first=True)
    Mooring.objects.create(ref="M-12", permit_boat=her, permit_number="114", permit_expires_on=date(2027, 12, 31))
    CalendarAddress.objects.create(kind="owner", name="Ann's", token_sha256="a", owner=ann, made_at=NOW, changed_at=NOW)
    OwnerPage.objects.create(owner=ann, token_sha256="p", made_at=NOW)
    kind = JobKind.objects.create(key="go", name="Go", short_name="go", letter="G", trade="mooring")
    order = Order.objects.create(ref="27-001", boat=her, name="Out", made_at=NOW)
    permit = Fact.objects.create(kind="permit", name="permit", boat=her, state="here", here_since=TODAY, set_at=NOW)
    permit.jobs.add(Job.objects.create(order=order, kind=kind, key="go", name="Go"))
    return her


def agreed(her: Boat, writer: Writer, **more: Any) -> SaleToCome:
    shares = frozenset(current_shares(her).values_list("pk", flat=True))
    plain: dict[str, Any] = {
        "sold_on": DAY,
        "sellers": shares,
        "buyer": Owner.objects.get(ref="reed"),
        "papers_by": date(2027, 6, 20),
    }
    outcome = agree(her, Sale(**plain | more), seen_version=her.version, writer=writer)
    assert isinstance(outcome, Agreed), outcome
    return outcome.row


def owner_of(her: Boat) -> str:
    return BoatOwner.objects.get(boat=her, ends_on=None).owner.ref


def test_before_the_day_nothing_changes_and_on_it_all_of_it(wren, writer):
    row = agreed(wren, writer)
    assert YardSettings.objects.get().next_sale_on == DAY
    carry_out_due(now=FIRST - timedelta(minutes=1))
    assert (owner_of(wren), Fact.objects.get().state, row.waits) == ("hale", "here", True)
    assert OwnerPage.objects.get().withdrawn_at is None
    carry_out_due(now=FIRST)
    row.refresh_from_db()
    share, old = BoatOwner.objects.get(ends_on=None), BoatOwner.objects.exclude(ends_on=None).get()
    assert (share.owner.ref, share.starts_on, old.ends_on) == ("reed", DAY, DAY)
    assert {fact.state for fact in Fact.objects.all()} == {"expected"}  # the permit, and the new owner's insurance
    assert Mooring.objects.get().permit_number == ""
    assert OwnerPage.objects.get().withdrawn_at == FIRST
    assert (row.carried_out_at, row.change.says) == (FIRST, "Wren sold to Bo Reed on 2027-06-12")
    assert YardSettings.objects.get().next_sale_on is None
    carry_out_due(now=FIRST + timedelta(days=1))
    assert WholeChange.objects.count() == 1
    take_back(row.change, writer=writer)
    assert (owner_of(wren), OwnerPage.objects.get().withdrawn_at) == ("hale", None)


def test_calendars_that_the_seller_was_given_since_end_too(wren, writer):
    agreed(wren, writer, calendars_end=frozenset(CalendarAddress.objects.values_list("pk", flat=True)))
    CalendarAddress.objects.create(
        kind="boat", name="Wren", token_sha256="b", boat=wren, made_at=NOW + timedelta(days=3), changed_at=NOW
    )
    carry_out_due(now=FIRST)
    assert set(CalendarAddress.objects.values_list("withdrawn_at", flat=True)) == {FIRST}


def test_called_off_she_stays_whose_she_is(wren, writer):
    row = agreed(wren, writer)
    call_off(row, writer=writer)
    assert (waiting(wren), YardSettings.objects.get().next_sale_on) == (None, None)
    carry_out_due(now=FIRST)
    assert owner_of(wren) == "hale"
    with pytest.raises(NotToChange):
        call_off(row, writer=writer)
    agreed(wren, writer)  # and another one may be agreed


def test_one_sale_of_hers_waits_at_a_time_and_two_people_are_told(wren, writer):
    key = uuid4()
    assert agreed(wren, writer, form_key=key) == agreed(wren, writer, form_key=key)
    shares = frozenset(current_shares(wren).values_list("pk", flat=True))
    sale = Sale(sold_on=DAY, sellers=shares, buyer={"name": "Di Moss", "phone": "", "email": ""})
    match agree(wren, sale, seen_version=wren.version, writer=writer):
        case Refused(words):
            assert "agreed already" in words[""][0]
        case Agreed():
            pytest.fail("two sales wait")
    with pytest.raises(StaleRow):
        agree(wren, sale, seen_version=wren.version - 1, writer=writer)


def test_what_is_wrong_is_said_when_it_is_agreed_and_not_on_the_day(wren, writer):
    shares = frozenset(current_shares(wren).values_list("pk", flat=True))
    sale = Sale(sold_on=DAY, sellers=shares, buyer={"name": "Di Moss", "phone": "0177", "email": ""})
    match agree(wren, sale, seen_version=wren.version, writer=writer):
        case Refused(words):
            assert "area code" in words["new_phone"][0]
        case Agreed():
            pytest.fail("a telephone number without its area was kept")
    assert (SaleToCome.objects.count(), Owner.objects.count(), owner_of(wren)) == (0, 2, "hale")


def test_what_stands_in_its_way_on_the_day_is_said_and_does_not_stop_the_yard(wren, writer):
    row = agreed(wren, writer)
    Boat.objects.update(archived=True)
    carry_out_due(now=FIRST)
    row.refresh_from_db()
    assert ("archived" in row.why_not, row.waits, YardSettings.objects.get().next_sale_on) == (True, True, None)
    Boat.objects.update(archived=False)
    on_the_day = Writer(writer.by, FIRST, DAY)
    assert carry_out_anyway(row, writer=on_the_day) == ""
    assert owner_of(wren) == "reed"


@pytest.mark.parametrize(
    ("zone", "day", "first"),
    [
        ("America/New_York", date(2027, 3, 14), datetime(2027, 3, 14, 5, tzinfo=UTC)),  # clocks go on at 02:00
        ("America/New_York", date(2027, 11, 7), datetime(2027, 11, 7, 4, tzinfo=UTC)),  # and back
        ("America/Havana", date(2027, 3, 14), datetime(2027, 3, 14, 5, tzinfo=UTC)),  # midnight is 01:00 there
        ("Pacific/Auckland", date(2027, 6, 12), datetime(2027, 6, 11, 12, tzinfo=UTC)),
    ],
)
def test_a_day_begins_in_the_yards_zone_also_where_clocks_change(zone, day, first):
    """Expected from the zones' own rules (tz database): EST is UTC-5, EDT UTC-4, CST -5 in Havana, NZST +12."""
    assert begins_at(day, zone) == first
    assert [is_due(day, zone, first + timedelta(seconds=step)) for step in (-1, 0)] == [False, True]


def test_the_worker_is_asked_for_the_first_minute_of_the_first_sale(wren, writer):
    agreed(wren, writer)
    waits = DBTaskResult.objects.filter(task_path=carry_out_sales.module_path)
    assert [row.run_after for row in waits] == [FIRST]
    YardSettings.objects.update(clock_frozen_at=FIRST)
    carry_out_sales.func()
    assert owner_of(wren) == "reed"


def test_whichever_page_is_asked_for_first_on_the_day_carries_it_out(wren, writer, cast):
    agreed(wren, writer)
    client = Client()
    client.force_login(cast.cy, "yard.web.access.RoleBackend")
    YardSettings.objects.update(clock_frozen_at=FIRST - timedelta(minutes=1))
    page = client.get(reverse("boat", args=[wren.pk])).content.decode()
    assert "Sold on Sat 12 Jun 2027 to Bo Reed" in page
    assert owner_of(wren) == "hale"
    YardSettings.objects.update(clock_frozen_at=FIRST)
    page = client.get(reverse("boat", args=[wren.pk])).content.decode()
    assert (owner_of(wren), "Sold on Sat" in page) == ("reed", False)


def test_the_form_keeps_it_and_her_page_calls_it_off(wren, writer, cast):
    YardSettings.objects.update(clock_frozen_at=NOW)
    client = Client()
    client.force_login(cast.cy, "yard.web.access.RoleBackend")
    sent = {
        "version": wren.version,
        "form_key": str(uuid4()),
        "sold_on": "2027-06-12",
        "sellers": [str(row.pk) for row in current_shares(wren)],
        "new_name": "Di Moss",
    }
    for _ in range(2):  # a double press keeps one
        answer = client.post(reverse("boat_sell", args=[wren.pk]), sent, follow=True)
    assert answer.redirect_chain[-1][0] == reverse("boat", args=[wren.pk])
    row = SaleToCome.objects.get()
    assert (row.buyer_name, row.made_by, owner_of(wren)) == ("Di Moss", cast.cy, "hale")
    page = client.get(reverse("owner", args=[BoatOwner.objects.get().owner_id])).content.decode()
    assert "is sold on Sat 12 Jun 2027 to Di Moss" in page
    client.post(reverse("sale_to_come", args=[row.pk]), {"act": "off"})
    assert waiting(wren) is None


def test_a_reader_of_the_sellers_calendar_is_shut_out_on_the_day(wren, writer):
    from yard.services.feeds.addresses import hash_of
    from yard.services.feeds.reading import Readable, find_feed

    CalendarAddress.objects.update(token_sha256=hash_of("secret"))
    agreed(wren, writer, calendars_end=frozenset(CalendarAddress.objects.values_list("pk", flat=True)))
    day_before = find_feed("secret", real_now=FIRST - timedelta(hours=1), user_agent="x")
    assert isinstance(day_before, Readable)
    assert not day_before.shut
    found = find_feed("secret", real_now=FIRST + timedelta(minutes=1), user_agent="x")
    assert owner_of(wren) == "reed"
    assert not isinstance(found, Readable) or found.address.withdrawn_at is not None


def test_accounts_stay_named(wren, writer):
    """Who agreed and who called off is kept with the row, also where the account is gone later."""
    row = agreed(wren, writer)
    call_off(row, writer=writer)
    User.objects.filter(pk=writer.by.pk).delete()
    row.refresh_from_db()
    assert (row.made_by, row.called_off_at) == (None, NOW)
