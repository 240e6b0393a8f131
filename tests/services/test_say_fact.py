"""What is said of a fact and of a draft: kept, refused with the entry named, and never over a newer word."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest
from django.contrib.auth.models import User

from yard.models import Boat, Fact, FactsRevision, Mooring, Order, StaleRow
from yard.services.say_fact import Expected, FactRefused, Here, NotKnown, say_draft, say_fact

pytestmark = pytest.mark.django_db
NOW = datetime(2027, 5, 6, 14, tzinfo=UTC)
TODAY = date(2027, 5, 6)


@pytest.fixture
def ada() -> User:
    return User.objects.create(username="ada")


@pytest.fixture
def order() -> Order:
    boat = Boat.objects.create(ref="teal", name="Teal", length_m=9, beam_m=3)
    return Order.objects.create(ref="O-1", boat=boat, name="Spring", made_at=NOW)


def fact_of(order: Order, kind: str = "cloth") -> Fact:
    return Fact.objects.create(kind=kind, name=kind, order=order, boat=None, set_at=NOW)


def say(fact: Fact, said, by: User | None = None, seen: int | None = None) -> Fact:
    return say_fact(fact, said, seen_version=seen or fact.version, today=TODAY, by=by, now=NOW)


def test_said_here_with_its_day_and_who_said_so(order, ada):
    fact = fact_of(order)
    count = FactsRevision.objects.filter(pk=1).values_list("count", flat=True).first() or 0
    say(fact, Here(TODAY), ada)
    fact.refresh_from_db()
    assert (fact.state, fact.here_since, fact.set_by, fact.set_at) == ("here", TODAY, ada, NOW)
    assert FactsRevision.objects.get(pk=1).count == count + 1  # plans of before are known as older


def test_an_expected_day_is_said_by_somebody_or_is_a_guess(order):
    fact = fact_of(order)
    say(fact, Expected(TODAY + timedelta(3), "the mill", False))
    fact.refresh_from_db()
    assert (fact.state, fact.told_by, fact.guess) == ("expected", "the mill", False)
    with pytest.raises(FactRefused, match="who named this day"):
        Expected(TODAY + timedelta(3), " ", False)


@pytest.mark.parametrize(
    ("said", "field"),
    [
        (Here(TODAY + timedelta(1)), "since"),
        (Expected(TODAY - timedelta(1), "the mill", False), "on"),
    ],
)
def test_what_cannot_be_is_refused_with_its_entry(order, said, field):
    fact = fact_of(order)
    with pytest.raises(FactRefused) as refused:
        say(fact, said)
    assert refused.value.field == field
    fact.refresh_from_db()
    assert (fact.state, fact.version) == ("unknown", 1)


def test_a_stale_page_overwrites_nothing_and_counts_nothing(order):
    fact = fact_of(order)
    seen = fact.version
    say(Fact.objects.get(pk=fact.pk), Here(TODAY))
    count = FactsRevision.objects.get(pk=1).count
    with pytest.raises(StaleRow):
        say(fact, NotKnown(), seen=seen)
    fact.refresh_from_db()
    assert fact.state == "here"
    assert FactsRevision.objects.get(pk=1).count == count


def test_tackle_that_is_set_is_written_on_her_mooring(order):
    mooring = Mooring.objects.create(ref="17", latitude=40.1, longitude=-74.7, permit_boat=order.boat)
    say(fact_of(order, "tackle_set"), Here(TODAY - timedelta(2)))
    mooring.refresh_from_db()
    assert mooring.tackle_set_on == TODAY - timedelta(2)


def test_a_draft_written_answers_the_facts_that_waited_for_it(order, ada):
    fact, boat = fact_of(order, "draft"), order.boat
    say_draft(boat, 1.4, seen_version=boat.version, today=TODAY, by=ada, now=NOW)
    fact.refresh_from_db()
    boat.refresh_from_db()
    assert (boat.draft_m, fact.state, fact.here_since, fact.set_by) == (1.4, "here", TODAY, ada)


def test_a_draft_that_cannot_be_or_comes_late_changes_nothing(order, ada):
    boat = order.boat
    fact, stale = fact_of(order, "draft"), Boat.objects.get(pk=boat.pk)
    with pytest.raises(FactRefused, match="does not float here"):
        say_draft(Boat.objects.get(pk=boat.pk), 18.0, seen_version=boat.version, today=TODAY, by=ada, now=NOW)
    say_draft(boat, 1.4, seen_version=boat.version, today=TODAY, by=ada, now=NOW)
    with pytest.raises(StaleRow):
        say_draft(stale, 1.2, seen_version=1, today=TODAY, by=ada, now=NOW)
    boat.refresh_from_db()
    fact.refresh_from_db()
    assert (boat.draft_m, fact.state) == (1.4, "here")
