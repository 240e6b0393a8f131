"""The store drawn: a spot a boat, room for the rest, and whoever has somebody in the way stands out."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yard.pictures.shapes import PictureValueError
from yard.pictures.store import MOST_STACKED, Stack, StoredBoat, StoreInput, StoreRow, lay_out

names = st.text("abcdefgh WM", min_size=1, max_size=30)
boats = st.builds(StoredBoat, names, st.sampled_from(["", "Thu 6 May"]), st.lists(names, max_size=2).map(tuple))
rows = st.builds(StoreRow, names, st.integers(0, 9), st.lists(boats, max_size=8).map(tuple))
stacks = st.builds(Stack, names, st.lists(names, max_size=12).map(tuple))
stores = st.builds(StoreInput, st.lists(rows, max_size=6).map(tuple), st.lists(stacks, max_size=9).map(tuple))


@given(stores)
def test_every_boat_has_a_spot_and_nothing_meets_or_leaves_the_picture(store):
    picture = lay_out(store)
    assert len(picture.spots) == sum(len(row.boats) for row in store.rows)
    assert len(picture.empty) == sum(max(0, row.capacity - len(row.boats)) for row in store.rows)
    assert len(picture.shelves) == sum(min(len(stack.things), MOST_STACKED) for stack in store.stacks)
    shapes = (*picture.spots, *picture.empty, *picture.shelves)
    for one in shapes:
        assert one.x >= 0
        assert one.y >= 0
        assert one.right <= picture.width
        assert one.bottom <= picture.height
    for number, one in enumerate(shapes):
        for two in shapes[number + 1 :]:
            apart = one.right <= two.x or two.right <= one.x or one.bottom <= two.y or two.bottom <= one.y
            assert apart, (one, two)
    assert all(0 <= label.y <= picture.height for label in (*picture.labels, *picture.shelf_labels))


def test_who_is_in_the_way_is_said_in_words_and_in_shade():
    teal, smew = StoredBoat("Teal", "Thu 6 May", ("Smew",)), StoredBoat("Smew")
    picture = lay_out(StoreInput((StoreRow("row 1", 3, (teal, smew)),)))
    first, second = picture.spots
    assert first.x < second.x  # the wall is to the left
    assert first.css != second.css
    assert first.title == "Teal, goes Thu 6 May; in her way: Smew"
    assert second.title == "Smew, no day is planned"
    assert "2 boats in 1 row, 1 with another in the way" in picture.summary


def test_a_row_holds_no_fewer_than_no_boats():
    with pytest.raises(PictureValueError):
        StoreRow("row 1", -1, ())
