"""A cutting plan drawn: to one scale on every length, every piece on it, nothing over another or beyond the page."""

import pytest
from django.template.loader import render_to_string
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.pictures.picture_walk import outside
from yard.pictures.cutting import LEFT, TOP, WIDE, Cut, CuttingInput, Mark, lay_out
from yard.pictures.shapes import PictureValueError

TWO = (Cut(1, "back", 0, 10, 1000, 600, "1000 × 600 mm"), Cut(2, "seat", 1000, 10, 1500, 700, "1500 × 700 mm"))
ROLL = CuttingInput("navy", 1500, 2500, 2000, TWO, (Mark(0, "0"), Mark(1000, "1 m"), Mark(2000, "2 m")), selvage_mm=10)


def test_it_is_drawn_to_scale_in_lengths_below_one_another():
    """2000 mm on 700 units: 0.35 a millimetre; the seat, from 1000 to 2500, is cut by the end of the first length."""
    first, second = lay_out(ROLL)
    assert [(box.x, box.y, box.width, box.height) for box in first.pieces] == [
        (LEFT, TOP + 3.5, 350, 210),
        (LEFT + 350, TOP + 3.5, 350, 245),
    ]
    assert [(box.x, box.width, box.height) for box in second.pieces] == [(LEFT, 175, 245)]
    assert (first.cloth.width, second.cloth.width) == (WIDE, 175)


def test_every_piece_is_named_and_sized_where_there_is_room():
    first, _ = lay_out(ROLL)
    assert [label.text for label in first.labels] == ["0", "1 m", "1 back", "1000 × 600 mm", "2 seat", "1500 × 700 mm"]
    assert first.pieces[1].title == "2 seat, 1500 × 700 mm"
    assert first.summary == "navy, 0 to 2000 mm: 2 pieces, 1 back; 2 seat"


def test_a_small_piece_has_its_number_and_the_title_its_name():
    row = lay_out(CuttingInput("navy", 1500, 2000, 2000, (Cut(12, "corner patch", 0, 0, 80, 60),)))[0]
    assert [(label.text, label.title) for label in row.labels] == [("12", "12 corner patch")]


def test_the_pattern_is_drawn_where_it_comes_again():
    patterned = CuttingInput("stripe", 1500, 2000, 2000, TWO, repeat_mm=500, repeat_from_mm=100)
    assert [line.d.partition(" ")[0] for line in lay_out(patterned)[0].lines] == ["M43", "M218", "M393", "M568"]


@pytest.mark.parametrize("wrong", [lambda: CuttingInput("x", 0, 1, 1, ()), lambda: Cut(1, "x", 0, 0, 0, 1)])
def test_what_cannot_be_drawn_is_refused(wrong):
    with pytest.raises(PictureValueError):
        wrong()


@settings(max_examples=30)
@given(
    rows=st.lists(st.tuples(st.integers(1, 3000), st.integers(1, 700), st.integers(1, 700)), min_size=1, max_size=20),
    row_mm=st.integers(1500, 4000),
)
def test_nothing_leaves_the_picture_and_every_millimetre_is_drawn(rows, row_mm):
    """Pieces two across, one after another: drawn lengths add up to theirs, whichever lengths they fall on."""
    cuts, y = [], 0
    for number, (length, one, other) in enumerate(rows):
        cuts += [Cut(2 * number + 1, "left", y, 0, length, one), Cut(2 * number + 2, "right", y, 700, length, other)]
        y += length
    pictures = lay_out(
        CuttingInput("roll", 1400, y, row_mm, tuple(cuts), tuple(Mark(n, f"{n}") for n in range(0, y, 500)))
    )
    drawn = sum(box.width for picture in pictures for box in picture.pieces)
    assert drawn == pytest.approx(2 * y * WIDE / row_mm, abs=0.2 * len(cuts) + 0.2 * len(pictures))
    for picture in pictures:
        assert outside(picture, picture.width, picture.height) == []


def test_the_template_draws_every_piece_and_escapes_names():
    rows = lay_out(CuttingInput("navy", 1500, 900, 2000, (Cut(1, "<b>", 0, 0, 900, 600),)))
    html = render_to_string("pictures/cutting.html", {"row": rows[0]})
    assert "1 &lt;b&gt;" in html
    assert html == render_to_string("pictures/cutting.html", {"row": rows[0]})
