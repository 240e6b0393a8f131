"""What an owner was told: one row for one word, refused where it cannot be, taken back on file."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from django.contrib.auth.models import User

from yard.models import Boat, BoatOwner, Fact, Job, JobKind, Order, Owner, Telling
from yard.services.tellings import TellingRefused, Told, note_telling, take_back

pytestmark = pytest.mark.django_db
NOW = datetime(2027, 5, 6, 14, tzinfo=UTC)


@pytest.fixture
def ada() -> User:
    return User.objects.create(username="ada")


@pytest.fixture
def order() -> Order:
    boat = Boat.objects.create(ref="teal", name="Teal", length_m=9, beam_m=3)
    owner = Owner.objects.create(name="Ida Fenn")
    BoatOwner.objects.create(boat=boat, owner=owner, starts_on=date(2020, 1, 1))
    order = Order.objects.create(ref="O-1", boat=boat, name="Spring", made_at=NOW)
    kind = JobKind.objects.create(key="sew", name="Sew", short_name="sew", letter="S", trade="loft")
    Job.objects.create(order=order, kind=kind, key="sew", name="Sew the cover")
    return order


def told(order: Order, **more) -> Told:
    values = {"owner": order.boat.owners.get(), "state": Telling.State.PROVISIONAL_DAY, "how": Telling.How.CALL}
    return Told(**values | {"at": NOW, "day": date(2027, 5, 13)} | more)


def note(order: Order, what: Told, by: User) -> Telling:
    return note_telling(order, what, by=by, plan=None, now=NOW)


def test_the_same_word_noted_twice_is_one_row_and_another_is_two(order, ada):
    first = note(order, told(order, said=" soon "), ada)
    again = note(order, told(order, said="soon", at=NOW - timedelta(minutes=1)), ada)
    other = note(order, told(order, said="later"), ada)
    assert first == again
    assert {first, other} == set(Telling.objects.all())
    assert (first.said, first.told_by, first.boat) == ("soon", ada, order.boat)


def test_a_week_is_kept_by_its_monday(order, ada):
    row = note(order, told(order, state=Telling.State.PROVISIONAL_WEEK, day=date(2027, 5, 16)), ada)
    assert row.told_date == date(2027, 5, 10)


def test_firm_only_when_every_fact_is_here(order, ada):
    fact = Fact.objects.create(kind="cloth", name="cloth", order=order, set_at=NOW)
    fact.jobs.add(order.jobs.get())
    firm = told(order, state=Telling.State.FIRM)
    with pytest.raises(TellingRefused, match="Waiting on cloth"):
        note(order, firm, ada)
    fact.state = Fact.State.HERE
    fact.save()
    assert note(order, firm, ada).state == Telling.State.FIRM


def test_what_cannot_have_been_told_is_refused_with_its_entry(order, ada):
    stranger = Owner.objects.create(name="Noel Pike")
    what, day = told(order), date(2027, 5, 13)
    for wrong, field in [
        (replace(what, at=NOW + timedelta(minutes=1)), "at"),
        (replace(what, day=None), "day"),
        (replace(what, reserve=day), "reserve"),
        (replace(what, state=Telling.State.NOTHING, day=None, reserve=day), "reserve"),
        (replace(what, owner=stranger), "owner"),
    ]:
        with pytest.raises(TellingRefused) as refused:
            note(order, wrong, ada)
        assert refused.value.field == field
    assert not Telling.objects.exists()


def test_a_walk_in_is_not_told_here(ada):
    walk_in = Order.objects.create(ref="O-2", walk_in_name="Noel Pike", name="Sail repair", made_at=NOW)
    what = Told(owner=None, state=Telling.State.PROVISIONAL_DAY, how=Telling.How.CALL, at=NOW, day=date(2027, 5, 13))
    with pytest.raises(TellingRefused, match="walk-in"):
        note(walk_in, what, ada)


def test_taken_back_once_and_noted_anew(order, ada):
    row = note(order, told(order), ada)
    assert take_back(row, by=ada, now=NOW)
    assert not take_back(row, by=ada, now=NOW + timedelta(minutes=1))
    row.refresh_from_db()
    assert (row.taken_back_at, row.taken_back_by) == (NOW, ada)
    assert note(order, told(order), ada) != row  # the mistake does not stand for the new word
