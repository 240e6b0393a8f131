"""Answers of owners are proposals until a planner accepts them, and speak only of their own boats."""

from __future__ import annotations

from datetime import date, timedelta
from uuid import uuid4

import pytest
from told_yard import NOW, TODAY, fact_of, make_order, make_owner, tell

from yard.models import Fact, OwnerAnswer, Plan, StaleRow, YardSettings
from yard.services.owner_pages.answers import AnswerRefused, Said, accept, decline, take_answer

Kind = OwnerAnswer.Kind
IN_NINE_DAYS = NOW + timedelta(days=9)


def said(kind: Kind, about: int = 0, **more: object) -> Said:
    return Said(kind=kind, about=about, **({"form_key": uuid4()} | more))


def take(owner, kind: Kind, about: int = 0, **more: object) -> OwnerAnswer:
    return take_answer(owner, said(kind, about, **more), today=TODAY, now=NOW)


def test_an_answer_is_no_fact_before_it_is_accepted(yard: YardSettings, plan: Plan, cast) -> None:
    pia = make_owner("Pia")
    order = make_order(plan, pia, "Tern", IN_NINE_DAYS)
    fact = fact_of(order, "permit", "mooring permit")
    answer = take(pia, Kind.HERE, fact.pk)
    fact.refresh_from_db()
    assert fact.state == Fact.State.UNKNOWN
    words = accept(answer, reply="Thank you", today=TODAY, by=cast.ada, now=NOW)
    fact.refresh_from_db()
    assert (fact.state, fact.here_since, fact.set_by) == (Fact.State.HERE, TODAY, cast.ada)
    assert "is here" in words
    answer.refresh_from_db()
    assert (answer.state, answer.reply, answer.decided_by) == ("accepted", "Thank you", cast.ada)
    with pytest.raises(StaleRow):
        decline(answer, reply="", by=cast.cy, now=NOW)


def test_by_a_date_is_expected_as_the_owner_says(yard: YardSettings, plan: Plan, cast) -> None:
    pia = make_owner("Pia")
    fact = fact_of(make_order(plan, pia, "Tern", IN_NINE_DAYS), "deposit", "deposit")
    answer = take(pia, Kind.ON, fact.pk, on=date(2027, 5, 12))
    accept(answer, reply="", today=TODAY, by=cast.ada, now=NOW)
    fact.refresh_from_db()
    assert (fact.state, fact.expected_date, fact.told_by) == (Fact.State.EXPECTED, date(2027, 5, 12), "Pia")


def test_not_approved_leaves_the_fact(yard: YardSettings, plan: Plan, cast) -> None:
    pia = make_owner("Pia")
    fact = fact_of(make_order(plan, pia, "Tern", IN_NINE_DAYS), "approval", "approval of cloth and price")
    accept(take(pia, Kind.REFUSED, fact.pk, words="Too dear"), reply="", today=TODAY, by=cast.ada, now=NOW)
    fact.refresh_from_db()
    assert fact.state == Fact.State.UNKNOWN
    accept(take(pia, Kind.APPROVED, fact.pk), reply="", today=TODAY, by=cast.ada, now=NOW)
    fact.refresh_from_db()
    assert fact.state == Fact.State.HERE


def test_a_day_that_does_not_suit_moves_the_earliest_day(yard: YardSettings, plan: Plan, cast) -> None:
    pia = make_owner("Pia")
    order = make_order(plan, pia, "Tern", IN_NINE_DAYS)
    order.wanted_date = date(2027, 5, 10)
    order.save()
    tell(order, "day", date(2027, 5, 15))
    answer = take(pia, Kind.SUITS_NOT, order.pk, on=date(2027, 5, 20))
    assert answer.about_date == date(2027, 5, 15)
    accept(answer, reply="", today=TODAY, by=cast.ada, now=NOW)
    order.refresh_from_db()
    assert (order.earliest_date, order.wanted_date) == (date(2027, 5, 20), date(2027, 5, 20))


def test_declined_changes_nothing_and_says_why(yard: YardSettings, plan: Plan, cast) -> None:
    pia = make_owner("Pia")
    fact = fact_of(make_order(plan, pia, "Tern", IN_NINE_DAYS), "permit", "mooring permit")
    answer = take(pia, Kind.HERE, fact.pk)
    decline(answer, reply="It has not come yet.", by=cast.ada, now=NOW)
    fact.refresh_from_db()
    answer.refresh_from_db()
    assert fact.state == Fact.State.UNKNOWN
    assert (answer.state, answer.reply) == ("declined", "It has not come yet.")


def test_the_same_form_sent_twice_is_one_answer(yard: YardSettings, plan: Plan) -> None:
    pia, key = make_owner("Pia"), uuid4()
    one = take(pia, Kind.WORDS, words="Hello", form_key=key)
    assert take(pia, Kind.WORDS, words="Hello", form_key=key) == one
    assert OwnerAnswer.objects.count() == 1


def test_nobody_answers_for_another_owner(yard: YardSettings, plan: Plan) -> None:
    pia, gus = make_owner("Pia"), make_owner("Gus")
    make_order(plan, pia, "Tern", IN_NINE_DAYS)
    his = make_order(plan, gus, "Gull", IN_NINE_DAYS)
    tell(his, "day", date(2027, 5, 15))
    fact = fact_of(his, "permit", "mooring permit")
    for kind, about in ((Kind.SUITS, his.pk), (Kind.HERE, fact.pk), (Kind.SAME, 1), (Kind.HERE, 10**9)):
        with pytest.raises(AnswerRefused, match="any more"):
            take(pia, kind, about)
    assert not OwnerAnswer.objects.exists()


def test_a_former_owner_answers_nothing(yard: YardSettings, plan: Plan) -> None:
    pia = make_owner("Pia")
    order = make_order(plan, pia, "Tern", IN_NINE_DAYS)
    fact = fact_of(order, "permit", "mooring permit")
    pia.ownerships.update(ends_on=date(2027, 1, 1))
    with pytest.raises(AnswerRefused):
        take(pia, Kind.HERE, fact.pk)


@pytest.mark.parametrize(
    ("kind", "more", "says"),
    [
        (Kind.ON, {"on": date(2027, 5, 5)}, "from today on"),
        (Kind.ON, {"on": date(2030, 5, 5)}, "within a year and a half"),
        (Kind.ON, {}, "Choose the day"),
        (Kind.WORDS, {"words": "  "}, "Write a few words"),
        (Kind.WORDS, {"words": "x" * 2001}, "shorten it"),
    ],
)
def test_what_cannot_be_says_the_remedy(
    yard: YardSettings, plan: Plan, kind: Kind, more: dict[str, object], says: str
) -> None:
    pia = make_owner("Pia")
    fact = fact_of(make_order(plan, pia, "Tern", IN_NINE_DAYS), "permit", "mooring permit")
    with pytest.raises(AnswerRefused, match=says):
        take(pia, kind, fact.pk, **more)


def test_nobody_fills_the_list(yard: YardSettings, plan: Plan) -> None:
    pia = make_owner("Pia")
    for number in range(30):
        take(pia, Kind.WORDS, words=f"{number}")
    with pytest.raises(AnswerRefused, match="please call us"):
        take(pia, Kind.WORDS, words="one more")
