"""Where a boat or a thing lies: rows are added, a word of before is refused, and a row of the store counts outward."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from django.contrib.auth.models import User
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from yard.models import Boat, Item, ItemWhereabouts, Mooring, Place
from yard.services.whereabouts import (
    BoatLies,
    SaidMeanwhile,
    ThingLies,
    WhereRefused,
    say_where_boat_lies,
    say_where_thing_lies,
)

pytestmark = pytest.mark.django_db
NOW = datetime(2027, 5, 6, 14, tzinfo=UTC)


def boat(name: str) -> Boat:
    return Boat.objects.create(ref=name.lower(), name=name, length_m=9, beam_m=3)


def place(name: str, kind: str, **more) -> Place:
    return Place.objects.create(ref=name.lower(), name=name, kind=kind, capacity=9, **more)


def lies(her: Boat, where: BoatLies, seen: int | None = None, by: User | None = None):
    return say_where_boat_lies(her, where, seen=seen, by=by, now=NOW)


def test_rows_are_added_and_said_again_is_none():
    teal, apron = boat("Teal"), place("Apron", "apron")
    first = lies(teal, BoatLies(place=apron))
    assert lies(teal, BoatLies(place=apron), seen=None) == first  # pressed twice, from the same page
    second = lies(teal, BoatLies(), seen=first.pk)
    assert [row.kind for row in teal.whereabouts.order_by("since")] == ["apron", "away"]
    assert second.since > first.since  # the clock stands still in this test, and both rows stay


def test_a_word_from_a_page_of_before_is_refused():
    teal, apron = boat("Teal"), place("Apron", "apron")
    lies(teal, BoatLies(place=apron))
    with pytest.raises(SaidMeanwhile):
        lies(teal, BoatLies(), seen=None)
    assert teal.whereabouts.count() == 1


def test_a_boat_lies_where_boats_lie():
    loft, gone = place("Loft", "loft_floor"), place("Old apron", "apron", archived=True)
    mooring = Mooring.objects.create(ref="17", latitude=40.1, longitude=-74.7)
    with pytest.raises(WhereRefused, match="No boat lies"):
        BoatLies(place=loft)
    with pytest.raises(WhereRefused):
        BoatLies(place=gone)
    with pytest.raises(WhereRefused, match="one"):
        BoatLies(place=place("Apron", "apron"), mooring=mooring)
    assert BoatLies(mooring=mooring).kind == "mooring"


def test_a_thing_lies_in_a_place_or_in_none():
    teal, rack = boat("Teal"), place("Rack", "spar_rack")
    mast = Item.objects.create(boat=teal, kind="mast", name="mast")
    in_place = ThingLies(ItemWhereabouts.Kind.PLACE, rack)
    first = say_where_thing_lies(mast, in_place, seen=None, by=None, now=NOW)
    assert say_where_thing_lies(mast, in_place, seen=None, by=None, now=NOW) == first
    with pytest.raises(SaidMeanwhile):
        say_where_thing_lies(mast, ThingLies(ItemWhereabouts.Kind.ABOARD), seen=None, by=None, now=NOW)
    for kind, where, condition in [
        (ItemWhereabouts.Kind.PLACE, None, ""),
        (ItemWhereabouts.Kind.ABOARD, rack, ""),
        (ItemWhereabouts.Kind.ABOARD, None, "soggy"),
    ]:
        with pytest.raises(WhereRefused):
            ThingLies(kind, where, condition)


class TestRowOfTheStore(TestCase):
    @settings(max_examples=25, deadline=None)
    @given(moves=st.lists(st.tuples(st.integers(0, 3), st.booleans()), max_size=12))
    def test_whoever_comes_last_stands_outermost(self, moves):
        """Against a plain list: who comes goes to its end, who leaves is taken out; the order is always the same."""
        row, boats = place("Row 1", "store_row"), [boat(f"B{number}") for number in range(4)]
        model: list[int] = []
        for number, comes in moves:
            her = boats[number]
            last = her.whereabouts.order_by("-since", "-id").first()
            lies(her, BoatLies(place=row) if comes else BoatLies(), seen=last.pk if last else None)
            if comes and number not in model:
                model.append(number)
            elif not comes and number in model:
                model.remove(number)
        latest = [(each.whereabouts.order_by("-since", "-id").first(), number) for number, each in enumerate(boats)]
        standing = sorted((here.position, number) for here, number in latest if here and here.kind == "store_row")
        assert [number for _, number in standing] == model
