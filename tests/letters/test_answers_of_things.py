"""What an owner brings, insures and wishes: answered on the page, and made so when a planner accepts it."""

from __future__ import annotations

from datetime import date, timedelta
from uuid import uuid4

import pytest
from told_yard import NOW, TODAY, make_order, make_owner, read, tell

from yard.models import Item, ItemWhereabouts, Order, Owner, OwnerAnswer, Plan, YardSettings
from yard.services.owner_pages.answers import AnswerRefused, Said, accept, take_answer

Kind = OwnerAnswer.Kind
IN_NINE_DAYS = NOW + timedelta(days=9)


def take(owner: Owner, kind: Kind, about: int, on: date | None = None) -> OwnerAnswer:
    return take_answer(owner, Said(kind=kind, about=about, on=on, form_key=uuid4()), today=TODAY, now=NOW)


def taken_over(answer: OwnerAnswer, by: object) -> str:
    return accept(answer, reply="", today=TODAY, by=by, now=NOW)


def with_owner(order: Order, name: str = "Cushions") -> Item:
    item = Item.objects.create(boat=order.boat, kind=Item.Kind.CUSHIONS, name=name)
    ItemWhereabouts.objects.create(item=item, kind=ItemWhereabouts.Kind.OWNER, since=NOW - timedelta(days=90))
    return item


@pytest.fixture
def pia(yard: YardSettings) -> Owner:
    return make_owner("Pia")


@pytest.fixture
def order(plan: Plan, pia: Owner) -> Order:
    return make_order(plan, pia, "Tern", IN_NINE_DAYS)


def test_cushions_are_aboard_once_a_planner_accepts_it(order: Order, pia: Owner, cast) -> None:
    item = with_owner(order)
    answer = take(pia, Kind.ABOARD, item.pk)
    assert item.whereabouts.count() == 1, "a proposal moves nothing"
    assert taken_over(answer, cast.ada) == "Cushions is aboard."
    last = item.whereabouts.order_by("-since").first()
    assert (last.kind, last.said_by, last.note) == ("aboard", cast.ada, "says her owner")


def test_what_was_put_into_the_yard_meanwhile_is_not_said_to_be_aboard(order: Order, pia: Owner, cast, places) -> None:
    item = with_owner(order)
    answer = take(pia, Kind.ABOARD, item.pk)
    ItemWhereabouts.objects.create(item=item, kind="place", place=places[0], since=NOW - timedelta(days=1))
    with pytest.raises(AnswerRefused, match="look where it is"):
        taken_over(answer, cast.ada)
    answer.refresh_from_db()
    assert answer.state == OwnerAnswer.State.WAITING


@pytest.fixture
def places(db: None) -> list:
    from yard.models import Place

    return [Place.objects.create(name="Loft", kind="loft")]


def test_the_day_on_which_she_brings_them_stands_in_the_letter(
    order: Order, pia: Owner, plan: Plan, yard: YardSettings, cast
) -> None:
    item = with_owner(order)
    tell(order, "week", date(2027, 5, 10), plan=plan)
    assert "bring the cushions" in read(pia, yard).written.as_text()
    taken_over(take(pia, Kind.BRINGS, item.pk, date(2027, 5, 12)), cast.ada)
    assert "bring the cushions by Wednesday 12 May" in read(pia, yard).written.as_text()


def test_insured_until_a_day_is_kept_with_its_reason(order: Order, pia: Owner, cast) -> None:
    owned = pia.ownerships.get()
    owned.insurance_expires_on = date(2027, 5, 1)
    owned.save()
    answer = take(pia, Kind.INSURED, order.boat_id, date(2028, 5, 1))
    owned.refresh_from_db()
    assert owned.insurance_expires_on == date(2027, 5, 1)
    assert taken_over(answer, cast.ada) == "Tern is insured until that day."
    owned.refresh_from_db()
    assert owned.insurance_expires_on == date(2028, 5, 1)
    past = owned.history.first()
    assert (past.history_change_reason, past.history_user) == ("the owner's certificate", cast.ada)


def test_a_wanted_day_is_asked_for_once(order: Order, pia: Owner, cast) -> None:
    taken_over(take(pia, Kind.WANTED, order.pk, date(2027, 5, 20)), cast.ada)
    order.refresh_from_db()
    assert order.wanted_date == date(2027, 5, 20)
    with pytest.raises(AnswerRefused, match="on file already"):
        take(pia, Kind.WANTED, order.pk, date(2027, 5, 21))


def test_a_week_that_does_not_suit_is_named_as_a_week(order: Order, pia: Owner) -> None:
    tell(order, "week", date(2027, 5, 10))
    answer = take(pia, Kind.SUITS_NOT, order.pk)
    assert (answer.about_date, answer.about_week) == (date(2027, 5, 10), True)


@pytest.mark.parametrize("kind", [Kind.ABOARD, Kind.BRINGS, Kind.INSURED, Kind.WANTED])
def test_nothing_of_another_owner_is_answered(order: Order, plan: Plan, kind: Kind) -> None:
    gus = make_owner("Gus")
    make_order(plan, gus, "Gull", IN_NINE_DAYS)
    about = {Kind.INSURED: order.boat_id, Kind.WANTED: order.pk}.get(kind) or with_owner(order).pk
    with pytest.raises(AnswerRefused):
        take(gus, kind, about, date(2027, 5, 20))
    assert not OwnerAnswer.objects.exists()


@pytest.mark.parametrize("kind", [Kind.BRINGS, Kind.INSURED, Kind.WANTED])
def test_a_day_is_asked_for(order: Order, pia: Owner, kind: Kind) -> None:
    with pytest.raises(AnswerRefused, match="Choose the day"):
        take(pia, kind, order.pk)
