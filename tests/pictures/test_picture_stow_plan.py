"""A store plan drawn: lengths and widths to one scale, nothing on anything else, every boat on it."""

from __future__ import annotations

import pytest
from django.template.loader import render_to_string
from hypothesis import given
from hypothesis import strategies as st

from yard.pictures.shapes import PictureValueError
from yard.pictures.stow_plan import LEAST_HIGH, NAME_WIDTH, WIDE, Stowed, StowInput, StowRow, lay_out

names = st.text("abcdefgh WM", min_size=1, max_size=20)
boats = st.builds(Stowed, names, st.floats(3, 12), st.floats(1, 4), names, names, st.booleans(), st.booleans())
rows = st.builds(
    StowRow, names, st.lists(boats, max_size=6).map(tuple), st.sampled_from([0.0, 40.0]), st.sampled_from([0.0, 0.6])
)
stores = st.builds(StowInput, st.lists(rows, max_size=5).map(tuple), st.booleans())

TEAL = Stowed("Teal", 8.0, 4.0, "1st, 1 May", "Teal leaves 1st")
SMEW = Stowed("Smew", 6.0, 2.0, "2nd, 9 May", "Smew leaves 2nd", in_the_way=True)
ROW = StowRow("row 1", (TEAL, SMEW), length_m=20.0, gap_m=1.0)


def test_it_is_to_scale() -> None:
    """A row of 20 m on 640 units, 32 a metre: Teal 256 by 128, a gap of 32, Smew 192 by 64, and 5 m less a gap left."""
    picture = lay_out(StowInput((ROW,)))
    teal, smew = picture.spots
    assert WIDE / 20 == 32
    assert (teal.x, teal.width, teal.height) == (NAME_WIDTH, 256, 128)
    assert (smew.x, smew.width, smew.height) == (NAME_WIDTH + 256 + 32, 192, 64)
    assert [(room.x, room.width) for room in picture.empty] == [(NAME_WIDTH + 256 + 32 + 192 + 32, 4 * 32)]
    assert (teal.css, smew.css) == ("plain", "g-launch")
    assert picture.summary == "2 boats in 1 row, to scale; 1 with another in the way."


def test_spars_lie_side_by_side() -> None:
    picture = lay_out(StowInput((StowRow("level 1", (TEAL, SMEW), length_m=10.0),), side_by_side=True))
    first, second = picture.spots
    assert first.x == second.x == NAME_WIDTH
    assert (first.width, second.width) == (512, 384)
    assert second.y > first.y


def test_the_ruler_reads_feet_where_the_yard_does() -> None:
    texts = [label.text for label in lay_out(StowInput((ROW,), unit_m=0.3048, unit="ft")).labels]
    assert {"0 ft", "10 ft", "50 ft"} <= set(texts)


@given(stores)
def test_every_boat_is_drawn_and_nothing_meets_or_leaves_the_picture(store: StowInput) -> None:
    picture = lay_out(store)
    assert len(picture.spots) == sum(len(row.boats) for row in store.rows)
    shapes = (*picture.spots, *picture.empty)
    for one in shapes:
        assert 0 <= one.x <= one.right <= picture.width + 0.2
        assert 0 <= one.y <= one.bottom <= picture.height + 0.2
    for number, one in enumerate(shapes):
        for two in shapes[number + 1 :]:
            apart = (
                one.right <= two.x + 0.2
                or two.right <= one.x + 0.2
                or one.bottom <= two.y + 0.2
                or two.bottom <= one.y + 0.2
            )
            assert apart, (one, two)
    if not store.side_by_side:
        assert all(box.height >= LEAST_HIGH for box in picture.spots)


def test_it_renders_without_a_style_of_its_own() -> None:
    html = render_to_string("pictures/stow_plan.html", {"stow": lay_out(StowInput((ROW,)))})
    assert html.count("<rect") == 3
    assert "style=" not in html


def test_a_boat_without_a_length_is_refused() -> None:
    with pytest.raises(PictureValueError):
        Stowed("Teal", 0.0, 1.0)
