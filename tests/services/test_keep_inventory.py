"""Things of boats: added, moved to another boat with what was said of them, tags that are taken, the way back."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from yard.models import Boat, Item, ItemWhereabouts
from yard.services.keep_thing import THING
from yard.services.keeping import Kept, Refused, Writer, add, archive, change, put_back

pytestmark = pytest.mark.django_db
NOW = datetime(2027, 5, 6, 14, tzinfo=UTC)
WRITER = Writer(None, NOW, NOW.date())


def boat(name: str, **more) -> Boat:
    return Boat.objects.create(ref=name.lower(), name=name, length_m=9, beam_m=3, **more)


def sail(her: Boat, **more) -> Item:
    kept = add(THING, {"boat": her, "kind": "sail", "name": "mainsail"} | more, writer=WRITER)
    assert isinstance(kept, Kept)
    return kept.row


def test_moved_to_another_boat_it_stays_where_it_is(db):
    teal, wren = boat("Teal"), boat("Wren")
    main = sail(teal, bag_tag="S-012", washed_on=date(2026, 11, 4))
    ItemWhereabouts.objects.create(item=main, kind="owner", since=WRITER.now)
    told = change(THING, main.pk, {"boat": wren}, seen_version=1, writer=WRITER)
    assert isinstance(told, Kept)
    assert told.changed == ("boat",)
    row = Item.objects.get()
    assert (row.boat, row.bag_tag, row.whereabouts.count()) == (wren, "S-012", 1)
    first = row.history.order_by("history_id").first()
    assert isinstance(put_back(THING, row.pk, first.history_id, seen_version=2, writer=WRITER), Kept)
    assert Item.objects.get().boat == teal


@pytest.mark.parametrize(
    ("values", "key", "words"),
    [
        ({"boat": None}, "boat", "Name the boat"),
        ({"kind": "cover", "sail_number": "114"}, "sail_number", "Only a sail"),
        ({"bag_tag": "s-001"}, "bag_tag", "jib of Teal has the bag tag S-001 already"),
        ({"name": ""}, "name", "blank"),
        ({"area_m2": -1.0}, "", "area"),
    ],
)
def test_refused_with_the_field(db, values, key, words):
    teal = boat("Teal")
    sail(teal, name="jib", bag_tag="S-001")
    main = sail(teal)
    told = change(THING, main.pk, values, seen_version=1, writer=WRITER)
    assert isinstance(told, Refused)
    assert words in " ".join(told.words[key])
    assert Item.objects.get(pk=main.pk).version == 1


def test_not_moved_to_an_archived_boat(db):
    main = sail(boat("Teal"))
    told = change(THING, main.pk, {"boat": boat("Old", archived=True)}, seen_version=1, writer=WRITER)
    assert isinstance(told, Refused)
    assert "bring her back first" in str(told.words)


def test_archived_and_back(db):
    main = sail(boat("Teal"), bag_tag="S-1")
    assert isinstance(archive(THING, main.pk, True, seen_version=1, writer=WRITER), Kept)
    sail(boat("Wren"), bag_tag="S-1")  # the tag is free while it is away
    assert isinstance(archive(THING, main.pk, False, seen_version=2, writer=WRITER), Kept)
