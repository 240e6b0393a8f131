"""A boat sold on a day: whose she is, what is asked anew, what ends, and the sale taken back as a whole."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

import pytest
from django.contrib.auth.models import User

from tests.services.ordering import ordered
from yard.models import (
    Boat,
    BoatOwner,
    CalendarAddress,
    Fact,
    FactKind,
    Item,
    Job,
    Mooring,
    Order,
    Owner,
    StaleRow,
    Telling,
    WholeChange,
)
from yard.services.keeping import Refused, Writer
from yard.services.whole_change.sale import INSURANCE, Sale, Sold, current_shares, sell
from yard.services.whole_change.take_back import NotTakenBack, take_back

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("packages")]
NOW = datetime(2027, 5, 6, 14, tzinfo=UTC)
JANUARY, SOLD_ON, TODAY, JUNE = date(2027, 1, 1), date(2027, 5, 3), date(2027, 5, 6), date(2027, 6, 1)


@pytest.fixture
def writer() -> Writer:
    return Writer(User.objects.create(username="cy"), NOW, TODAY)


@pytest.fixture
def ann() -> Owner:
    return Owner.objects.create(name="Ann Hale", ref="hale")


@pytest.fixture
def bo() -> Owner:
    return Owner.objects.create(name="Bo Reed", ref="reed")


@pytest.fixture
def wren(ann) -> Boat:
    """Ann's Wren: insured, on her mooring by a permit, with a sail, and told of in calendars."""
    her = Boat.objects.create(ref="wren", name="Wren", length_m=7.0, beam_m=2.3, draft_m=1.1)
    BoatOwner.objects.create(
        boat=her, owner=ann, starts_on=JANUARY, told_first=True, insurance_expires_on=date(2027, 12, 1)
    )
    Mooring.objects.create(
        ref="M-12",
        permit_boat=her,
        permit_number="2027-114",
        permit_expires_on=date(2027, 12, 31),
        tackle_set_on=date(2027, 4, 20),
    )
    Item.objects.create(boat=her, kind="sail", name="Main")
    for kind, of in (("boat", {"boat": her}), ("owner", {"owner": ann})):
        CalendarAddress.objects.create(
            kind=kind, name=f"{kind} of hers", token_sha256=kind, made_at=NOW, changed_at=NOW, **of
        )
    return her


def share(boat: Boat) -> BoatOwner:
    return BoatOwner.objects.get(boat=boat, ends_on=None)


def sale(her: Boat, to: Any, **more: Any) -> Sale:
    sellers = frozenset(current_shares(her).values_list("pk", flat=True))
    return Sale(**{"sold_on": SOLD_ON, "sellers": sellers, "buyer": to} | more)


def sold(boat: Boat, buyer: Any, writer: Writer, **more: Any) -> Sold:
    boat.refresh_from_db()
    outcome = sell(boat, sale(boat, buyer, **more), seen_version=boat.version, writer=writer)
    assert isinstance(outcome, Sold), outcome
    return outcome


def state() -> list[Any]:
    models = (Owner, BoatOwner, Mooring, Item, Order, Job, Fact, CalendarAddress)
    rows = [[dict(row) for row in model.objects.order_by("pk").values()] for model in models]
    for row in (row for each in rows for row in each):
        for name in ("version", "tag", "written_for"):
            row.pop(name, None)
    return rows


def test_from_that_day_on_she_is_the_buyers_and_her_things_stay(wren, ann, bo, writer):
    sold(wren, bo, writer)
    old = BoatOwner.objects.get(owner=ann)
    assert (old.ends_on, old.insurance_expires_on) == (SOLD_ON, date(2027, 12, 1))
    new = share(wren)
    assert (new.owner, new.starts_on, new.told_first, new.insurance_expires_on) == (bo, SOLD_ON, True, None)
    assert wren.items.get().name == "Main"
    assert "sold on 2027-05-03" in old.history.first().history_change_reason


def test_the_permit_and_the_insurance_are_asked_anew(wren, bo, writer):
    """The permit was here (her mooring has one to December); now the jobs that wait on it wait on both."""
    spring = ordered(wren, "spring_commissioning")
    permit = Fact.objects.get(kind=FactKind.PERMIT)
    assert permit.state == Fact.State.HERE
    waiting = set(permit.jobs.all())
    sold(wren, bo, writer, papers_by=JUNE)
    permit.refresh_from_db()
    assert (permit.state, permit.expected_date, permit.guess, permit.here_since) == ("expected", JUNE, True, None)
    insurance = Fact.objects.get(name=INSURANCE)
    assert (insurance.state, insurance.expected_date) == ("expected", JUNE)
    assert set(insurance.jobs.all()) == waiting != set()
    mooring = Mooring.objects.get()
    assert (mooring.permit_boat, mooring.permit_number, mooring.permit_expires_on) == (wren, "", None)
    assert mooring.tackle_set_on == date(2027, 4, 20)
    spring.refresh_from_db()
    assert spring.state == Order.State.OPEN


def test_nobody_knows_when_the_papers_come(wren, bo, writer):
    ordered(wren, "spring_commissioning")
    sold(wren, bo, writer, insured_until=date(2028, 5, 1))
    assert Fact.objects.get(kind=FactKind.PERMIT).state == Fact.State.UNKNOWN
    assert not Fact.objects.filter(name=INSURANCE).exists()  # known already
    assert share(wren).insurance_expires_on == date(2028, 5, 1)


def test_a_mooring_that_stays_the_sellers_leaves_her_without_one(wren, bo, writer):
    mooring = Mooring.objects.get()
    order = ordered(wren, "spring_commissioning")
    Order.objects.filter(pk=order.pk).update(to_mooring=mooring)
    sold(wren, bo, writer, moorings_stay=frozenset({mooring.pk}))
    mooring.refresh_from_db()
    order.refresh_from_db()
    assert (mooring.permit_boat, mooring.permit_number, order.to_mooring) == (None, "2027-114", None)
    assert not Fact.objects.filter(kind=FactKind.TACKLE_SET).exclude(state=Fact.State.UNKNOWN).exists()


def test_open_orders_stay_or_are_withdrawn_as_chosen(wren, bo, writer):
    stays, goes = ordered(wren, "spring_commissioning"), ordered(wren, "halyard")
    sold(wren, bo, writer, withdrawn=frozenset({goes.pk}))
    assert {row.pk: row.state for row in Order.objects.all()} == {stays.pk: "open", goes.pk: "cancelled"}


def test_calendars_that_the_seller_reads_end_and_no_others(wren, bo, writer):
    hers, anns = CalendarAddress.objects.get(kind="boat"), CalendarAddress.objects.get(kind="owner")
    bos = CalendarAddress.objects.create(
        kind="owner", name="Bo's", owner=bo, token_sha256="bo", made_at=NOW, changed_at=NOW
    )
    sold(wren, bo, writer, calendars_end=frozenset({hers.pk, anns.pk, bos.pk}))
    assert {row.pk for row in CalendarAddress.objects.filter(withdrawn_at=NOW)} == {hers.pk, anns.pk}


def test_all_of_it_is_taken_back(wren, writer):
    ordered(wren, "spring_commissioning")
    goes, mooring = ordered(wren, "halyard"), Mooring.objects.get()
    before = state()
    outcome = sold(
        wren,
        {"name": "Dan Vale", "phone": "401 555 0177"},
        writer,
        withdrawn=frozenset({goes.pk}),
        moorings_stay=frozenset({mooring.pk}),
        calendars_end=frozenset(CalendarAddress.objects.values_list("pk", flat=True)),
        papers_by=JUNE,
    )
    assert share(wren).owner == outcome.buyer
    assert outcome.buyer.ref == "dan-vale"
    assert state() != before
    take_back(outcome.change, writer=writer)
    assert state() == before


def test_not_taken_back_once_the_papers_came_or_the_buyer_was_told(wren, writer):
    order = ordered(wren, "spring_commissioning")
    outcome = sold(wren, {"name": "Dan Vale"}, writer)
    after = state()
    telling = Telling.objects.create(
        order=order, boat=wren, owner=outcome.buyer, state="nothing", how="call", told_at=NOW
    )
    with pytest.raises(NotTakenBack, match="Dan Vale has tellings since"):
        take_back(outcome.change, writer=writer)
    telling.delete()
    assert state() == after
    permit = Fact.objects.get(kind=FactKind.PERMIT)
    permit.state, permit.here_since = Fact.State.HERE, TODAY
    permit.save()
    with pytest.raises(NotTakenBack, match="changed since"):
        take_back(outcome.change, writer=writer)


def test_a_share_sold_to_the_other_owner(wren, ann, bo, writer):
    other = BoatOwner.objects.create(boat=wren, owner=bo, starts_on=JANUARY)
    anns = BoatOwner.objects.get(owner=ann)
    sold(wren, bo, writer, sellers=frozenset({anns.pk}))
    other.refresh_from_db()
    assert (share(wren), other.told_first) == (other, True)


def test_the_other_owner_is_called_first_as_before(wren, ann, bo, writer):
    BoatOwner.objects.filter(owner=ann).update(told_first=False)
    BoatOwner.objects.create(boat=wren, owner=bo, starts_on=JANUARY, told_first=True)
    dan = Owner.objects.create(name="Dan Vale")
    sold(wren, dan, writer, sellers=frozenset({BoatOwner.objects.get(owner=ann).pk}))
    assert {row.owner.name: row.told_first for row in wren.ownerships.filter(ends_on=None)} == {
        "Bo Reed": True,
        "Dan Vale": False,
    }


def test_a_boat_without_an_owner_on_file_gets_one(writer, bo):
    her = Boat.objects.create(ref="smew", name="Smew", length_m=7.0, beam_m=2.3)
    sold(her, bo, writer)
    assert (share(her).owner, share(her).told_first) == (bo, True)


@pytest.mark.parametrize(
    ("more", "field", "words"),
    [
        ({"sold_on": date(2027, 5, 7)}, "sold_on", "still to come"),
        ({"sold_on": JANUARY}, "sold_on", "is on file as owner from 2027-01-01"),
        ({"sellers": frozenset()}, "sellers", "whose share"),
        ({"papers_by": date(2027, 5, 5)}, "papers_by", "has passed"),
        ({"buyer": {"name": "Dan", "phone": "0177"}}, "new_phone", "has 4 digits"),
        ({"buyer": {"name": " "}}, "new_name", "Give a name"),
    ],
)
def test_refused_with_the_remedy_and_nothing_saved(wren, bo, writer, more, field, words):
    before = state()
    outcome = sell(wren, sale(wren, bo, **more), seen_version=wren.version, writer=writer)
    assert isinstance(outcome, Refused)
    assert words in " ".join(outcome.words[field])
    assert state() == before
    assert not WholeChange.objects.exists()


def test_refused_while_work_that_would_be_withdrawn_is_under_way_or_she_is_archived(wren, bo, ann, writer):
    order = ordered(wren, "halyard")
    Job.objects.filter(order=order).update(state=Job.State.STARTED)
    started = sell(wren, sale(wren, bo, withdrawn=frozenset({order.pk})), seen_version=wren.version, writer=writer)
    assert isinstance(started, Refused)
    assert "under way" in started.words["withdrawn"][0]
    seller = sell(wren, sale(wren, ann), seen_version=wren.version, writer=writer)
    assert isinstance(seller, Refused)
    assert "is the one who sells" in seller.words["buyer"][0]
    Boat.objects.filter(pk=wren.pk).update(archived=True)
    assert isinstance(sell(wren, sale(wren, bo), seen_version=wren.version, writer=writer), Refused)


def test_pressed_twice_she_is_sold_once_and_a_stale_page_is_told(wren, bo, writer):
    agreed = sale(wren, bo, form_key="0d4ef2a6-6d0c-4a5c-8f0a-2a1f6f5f7a11")
    first = sell(wren, agreed, seen_version=wren.version, writer=writer)
    assert sell(wren, agreed, seen_version=wren.version, writer=writer) == first
    assert WholeChange.objects.count() == 1
    with pytest.raises(StaleRow):
        sell(wren, sale(wren, Owner.objects.create(name="Dan")), seen_version=1, writer=writer)
