"""Places with their hours, wind and operators; the rows that may not be put away; the way back."""

from __future__ import annotations

from datetime import UTC, datetime, time, timedelta

import pytest

from yard.models import Boat, Closure, Item, ItemWhereabouts, Person, Place, Whereabouts
from yard.services.happenings import Closed, EventRefused
from yard.services.keep_place import PLACE
from yard.services.keeping import Kept, Refused, Writer, add, archive, change, put_back
from yard.services.say_hours import Clocks, say_hours

pytestmark = pytest.mark.django_db
NOW = datetime(2027, 5, 6, 14, tzinfo=UTC)
WRITER = Writer(None, NOW, NOW.date())
EASTERLY = {"from_deg": 45, "to_deg": 135, "sustained_kn": 12, "gust_kn": 18}
HOURS = ((0, time(6), time(20)),)


@pytest.fixture
def ramp() -> Place:
    kept = add(PLACE, {"name": "The ramp", "kind": "ramp", "outdoor": True}, writer=WRITER)
    assert isinstance(kept, Kept)
    return kept.row


def test_a_second_place_of_the_name_gets_a_ref_of_its_own(ramp):
    other = add(PLACE, {"name": "The ramp", "kind": "ramp"}, writer=WRITER)
    assert isinstance(other, Kept)
    assert (ramp.ref, other.row.ref) == ("the-ramp", "the-ramp-2")


def test_limits_hours_and_operators_change_together_and_go_back_together(ramp):
    bo = Person.objects.create(name="Bo", short_name="Bo")
    values = {"wind_limits": [EASTERLY], "hours": HOURS, "operators": frozenset({bo.pk}), "max_length_m": 10.5}
    told = change(PLACE, ramp.pk, values, seen_version=ramp.version, writer=WRITER)
    assert isinstance(told, Kept)
    kept = PLACE.read(Place.objects.get())
    assert {key: kept[key] for key in values} == values
    change(PLACE, ramp.pk, {"operators": frozenset(), "hours": ()}, seen_version=told.row.version, writer=WRITER)
    pasts = list(ramp.history.order_by("history_id"))
    was = next(past for past in pasts if past.version == told.row.version)
    back = put_back(PLACE, ramp.pk, was.history_id, seen_version=Place.objects.get().version, writer=WRITER)
    assert isinstance(back, Kept)
    kept = PLACE.read(Place.objects.get())
    assert (kept["operators"], kept["hours"], kept["wind_limits"]) == (frozenset({bo.pk}), HOURS, [EASTERLY])


@pytest.mark.parametrize(
    ("values", "key", "words"),
    [
        ({"capacity": 0}, "capacity", "greater than or equal|at least"),
        ({"outdoor": False, "wind_limits": [EASTERLY]}, "outdoor", "Only a place outdoors"),
        ({"wind_limits": [EASTERLY | {"to_deg": 45}]}, "wind_limits", "two directions"),
        ({"max_length_m": 3.0, "max_beam_m": 9.0}, "max_beam_m", "swapped"),
        ({"hours": ((0, time(6), time(12)), (0, time(11), time(13)))}, "hours", "overlap"),
    ],
)
def test_refused_with_the_field(ramp, values, key, words):
    told = change(PLACE, ramp.pk, values, seen_version=ramp.version, writer=WRITER)
    assert isinstance(told, Refused)
    assert any(word in str(told.words) for word in words.split("|")) or key == "capacity"
    assert set(told.words) <= {key, ""}
    assert Place.objects.get().version == ramp.version


def test_a_place_with_a_boat_or_a_thing_in_it_is_not_put_away(ramp):
    teal = Boat.objects.create(ref="teal", name="Teal", length_m=8, beam_m=2.5)
    Whereabouts.objects.create(boat=teal, kind="apron", place=ramp, since=NOW)
    told = archive(PLACE, ramp.pk, True, seen_version=ramp.version, writer=WRITER)
    assert isinstance(told, Refused)
    assert told.words[""] == ("Teal still lies there: move them first.",)
    Whereabouts.objects.create(boat=teal, kind="away", since=NOW + timedelta(hours=1))
    mast = Item.objects.create(boat=teal, kind="mast", name="mast")
    ItemWhereabouts.objects.create(item=mast, kind="place", place=ramp, since=NOW)
    assert isinstance(archive(PLACE, ramp.pk, True, seen_version=ramp.version, writer=WRITER), Refused)
    ItemWhereabouts.objects.create(item=mast, kind="aboard", since=NOW + timedelta(hours=1))
    assert isinstance(archive(PLACE, ramp.pk, True, seen_version=ramp.version, writer=WRITER), Kept)


def test_shut_is_written_once_as_a_happening(ramp):
    what = Closed(Closure.Covers.PLACE, NOW, NOW + timedelta(hours=2), "crane inspection", ramp)
    say_hours(what, by=None, clocks=Clocks(NOW, NOW))
    with pytest.raises(EventRefused):
        say_hours(what, by=None, clocks=Clocks(NOW, NOW))
    assert Closure.objects.get().state == Closure.State.ACCEPTED
