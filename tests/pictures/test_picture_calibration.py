"""The picture of how honest the odds were."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from picture_walk import outside

from yard.pictures.calibration import BOTTOM, LEFT, RIGHT, TOP, CalibrationPoint, lay_out
from yard.pictures.shapes import PictureValueError

shares = st.floats(0, 1)


@st.composite
def points(draw: st.DrawFn) -> CalibrationPoint:
    low, kept, high = sorted((draw(shares), draw(shares), draw(shares)))
    return CalibrationPoint(draw(shares), kept, low, high, draw(st.integers(1, 500)))


def test_an_honest_group_lies_on_the_line_and_a_bold_one_below() -> None:
    honest, bold = lay_out((CalibrationPoint(0.8, 0.8, 0.7, 0.9, 20), CalibrationPoint(0.8, 0.5, 0.4, 0.6, 5))).dots
    assert (honest.x - LEFT) / (RIGHT - LEFT) == (BOTTOM - honest.y) / (BOTTOM - TOP)
    assert bold.y > honest.y
    assert bold.radius < honest.radius


def test_it_says_in_words_what_it_shows() -> None:
    assert lay_out((CalibrationPoint(0.9, 0.85, 0.7, 0.95, 20),)).summary == (
        "Chances and what came of them: said 90 in 100, kept 85 of 100 (20)."
    )
    assert lay_out(()).summary == "No promised date with a chance has come yet."


def test_values_that_cannot_be_are_refused() -> None:
    for wrong in ((1.2, 0.5, 0.4, 0.6, 1), (0.5, 0.9, 0.4, 0.6, 1), (0.5, 0.5, 0.4, 0.6, 0)):
        with pytest.raises(PictureValueError):
            CalibrationPoint(*wrong)


@given(st.lists(points(), max_size=5))
def test_nothing_leaves_the_frame(found: list[CalibrationPoint]) -> None:
    picture = lay_out(tuple(found))
    for dot in picture.dots:
        assert dot.x - dot.radius >= 0
        assert dot.x + dot.radius <= picture.width
        assert dot.y - dot.radius >= 0
        assert dot.y + dot.radius <= picture.height
    assert outside(picture, picture.width, picture.height) == []
