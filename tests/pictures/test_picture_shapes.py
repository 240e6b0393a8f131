"""Scales, curves, words and their widths: the small things every picture stands on."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yard.pictures.labels import inside, keep_clear, label_box, touch
from yard.pictures.lettering import clock, cut, height_text, text_width, weekday_day_month
from yard.pictures.shapes import (
    CurvePoint,
    DayAxis,
    JobState,
    Label,
    PictureValueError,
    Rect,
    Scale,
    Span,
    TradeGroup,
    area_d,
    cut_curve,
    line_d,
    number_text,
    state_css,
    tenth,
)


def test_scale_is_a_straight_line():
    """06:00 to 18:30 over 100 to 1056: 10:10 is 250 of 750 minutes, so 100 + 956 / 3 = 418.7."""
    across = Scale(360, 1110, 100, 1056)
    assert across.at(610) == 418.7
    assert across.clamped(-500) == 100.0
    assert across.clamped(5000) == 1056.0


def test_scale_of_one_value_is_refused():
    with pytest.raises(PictureValueError, match="two different values"):
        Scale(3, 3, 0, 10)


def test_span_refuses_to_end_before_it_starts():
    with pytest.raises(PictureValueError, match="ends at minute 5, before it starts at 10"):
        Span(10, 5)


@pytest.mark.parametrize(
    ("one", "other", "expected"),
    [((0, 10), (10, 20), False), ((0, 11), (10, 20), True), ((12, 13), (10, 20), True), ((20, 30), (10, 20), False)],
)
def test_spans_are_half_open(one, other, expected):
    assert Span(*one).meets(Span(*other)) is expected


def test_days_stand_side_by_side():
    """3 May is the 8th day after 26 April counted from nought at 7: 7 x 18 = 126."""
    axis = DayAxis(date(2027, 4, 26), 56, 18.0)
    assert (axis.left(date(2027, 5, 3)), axis.middle(date(2027, 5, 3)), axis.width) == (126.0, 135.0, 1008.0)
    assert axis.holds(date(2027, 6, 20))
    assert not axis.holds(date(2027, 6, 21))
    assert axis.left(date(2028, 1, 1)) == 1008.0


def test_numbers_in_paths_never_depend_on_the_locale_or_on_minus_nought():
    assert [number_text(value) for value in (1.25, 2.0, -0.04, 10.06)] == ["1.2", "2", "0", "10.1"]
    assert str(tenth(-0.01)) == "0.0"


def test_paths():
    assert line_d([(0, 1), (2.5, 3)]) == "M0 1L2.5 3"
    assert line_d([(0, 1)]) == ""
    assert area_d([(0, 1), (2, 3)], 9) == "M0 9L0 1L2 3L2 9Z"
    assert area_d([(0, 1)], 9) == ""


def test_curve_is_cut_on_the_straight_line_between_its_points():
    """From (0, 0) to (100, 10): at 25 it stands at 2.5; the point at 100 is outside [25, 60)."""
    curve = (CurvePoint(0, 0.0), CurvePoint(50, 5.0), CurvePoint(100, 10.0))
    assert cut_curve(curve, Span(25, 60)) == (CurvePoint(25, 2.5), CurvePoint(50, 5.0), CurvePoint(60, 6.0))
    assert cut_curve(curve, Span(-50, -10)) == ()
    assert cut_curve(curve, Span(200, 300)) == ()
    assert cut_curve(curve[:1], Span(0, 10)) == ()


@given(
    st.lists(st.integers(-500, 500), min_size=2, max_size=12, unique=True), st.integers(-600, 600), st.integers(0, 700)
)
def test_a_cut_curve_lies_in_its_span_and_in_order(minutes, start, length):
    curve = tuple(CurvePoint(minute, minute / 7) for minute in sorted(minutes))
    kept = [point.minute for point in cut_curve(curve, Span(start, start + length))]
    assert kept == sorted(set(kept))
    assert all(start <= minute <= start + length for minute in kept)


# Liberation Sans Regular 2.x, advance widths of its hmtx table in thousandths of an em.
LIBERATION_SANS = {
    "Kittiwake": (667, 222, 278, 278, 222, 722, 556, 500, 556),
    "Loon's Errand": (556, 556, 556, 556, 191, 500, 278, 667, 333, 333, 556, 556, 556),
    "17.6 ft · 09:54": (556, 556, 278, 556, 278, 278, 278, 278, 278, 278, 556, 556, 278, 556, 556),
}


@pytest.mark.parametrize(("words", "widths"), LIBERATION_SANS.items())
def test_words_are_as_wide_as_the_font_says_and_eight_per_cent_to_spare(words, widths):
    assert text_width(words, 10) == pytest.approx(sum(widths) / 1000 * 10 * 1.08)


def test_long_words_are_cut_with_an_ellipsis():
    """Each m takes 0.833 x 10 x 1.08 = 9.0, the ellipsis 10.8: two m and the ellipsis are 28.8, three are 37.8."""
    assert cut("mmmmm", 10, 30) == "mm…"
    assert cut("mmmmm", 10, 45.1) == "mmmmm"
    assert cut("mmmmm", 10, 5) == ""


@given(st.text(max_size=60), st.floats(5, 20), st.floats(0, 400))
def test_what_is_cut_fits(words, size, room):
    kept = cut(words, size, room)
    assert kept == "" or text_width(kept, size) <= room


@pytest.mark.parametrize(
    ("minute", "words"), [(0, "00:00"), (834, "13:54"), (1440, "00:00"), (1477, "00:37"), (-30, "23:30")]
)
def test_clock_wraps_over_midnight(minute, words):
    assert clock(minute) == words


def test_words_for_days_and_heights():
    assert weekday_day_month(date(2027, 5, 14)) == "Fri 14 May"
    assert [height_text(h) for h in (17.64, -0.71, -0.01)] == ["17.6", "−0.7", "0.0"]


@pytest.mark.parametrize(
    ("group", "state", "css"),
    [
        (TradeGroup.RIG, JobState.PLANNED, "g-rig"),
        (TradeGroup.RIG, JobState.DONE, "done"),
        (TradeGroup.LOFT, JobState.PROVISIONAL, "g-loft prov"),
        (TradeGroup.YARD, JobState.PROPOSED, "basted"),
        (TradeGroup.MOORING, JobState.PLANNED, "g-launch"),
    ],
)
def test_marks_are_sewn_basted_or_outlined(group, state, css):
    assert state_css(group, state) == css


def test_labels_that_touch_are_left_out_in_the_order_given():
    first, over, beside = (
        Label(50, 20, "high", "x10 mid"),
        Label(52, 22, "low", "x10 mid"),
        Label(120, 20, "low", "x10 mid"),
    )
    assert keep_clear([first, over, beside]) == (first, beside)
    assert keep_clear([first], of=[Rect(45, 15, 4, 4)]) == ()


def test_label_box_follows_its_anchor():
    """ "iiii" is 4 x 0.222 x 10.5 x 1.08 = 10.07 wide."""
    boxes = [label_box(Label(100, 50, "iiii", css)) for css in ("x10", "x10 mid", "x10 end")]
    assert [(box.x, box.width) for box in boxes] == [(100.0, 10.1), (95.0, 10.1), (89.9, 10.1)]
    assert touch(boxes[0], Rect(109, 45, 5, 5))
    assert not touch(boxes[0], Rect(110.2, 45, 5, 5))


def test_a_label_is_moved_inside_its_edges():
    assert label_box(inside(Label(2, 10, "high water", "x10 mid"), 0, 300)).x >= 0
    assert label_box(inside(Label(299, 10, "high water", "x10 mid"), 0, 300)).right <= 300
