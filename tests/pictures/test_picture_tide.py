"""The tide curve and the month of tides, worked out by hand on straight-sided tides."""

from __future__ import annotations

from datetime import date

import picture_samples as samples
import pytest

from yard.pictures import tide_curve, tide_month
from yard.pictures.labels import label_box, touch
from yard.pictures.shapes import CurvePoint, PictureValueError, Span, Stroke
from yard.pictures.tide_band import spans_above
from yard.pictures.tide_curve_input import Extreme, Level, TideCurveInput
from yard.pictures.tide_month import Floats, MonthDay, MonthTide, TideMonthInput

DAY = date(2027, 5, 6)
TENT = (CurvePoint(0, 0.0), CurvePoint(360, 12.0), CurvePoint(720, 0.0))  # up and down 1 ft in 30 minutes


def curve_of(points=TENT, **more) -> tide_curve.TideCurvePicture:
    values = {"day": DAY, "axis": Span(0, 720), "curve": points, "width": 768, "height": 150} | more
    return tide_curve.lay_out(TideCurveInput(**values))


def test_minutes_above_a_level():
    """1 ft in 30 minutes: at 9 ft from minute 270 to 450."""
    assert spans_above(TENT, 9.0) == (Span(270, 450),)


def test_a_window_never_claims_a_minute_too_much():
    """At 9.01 ft the crossings are 270.3 and 449.7: rounded inward to 271 and 449."""
    assert spans_above(TENT, 9.01) == (Span(271, 449),)


def test_a_curve_that_begins_or_ends_above_the_level():
    """Inside the curve's own ends; never above and always above are the two limits."""
    falling = (CurvePoint(0, 12.0), CurvePoint(360, 0.0), CurvePoint(720, 12.0))
    assert spans_above(falling, 6.0) == (Span(0, 180), Span(540, 720))
    assert spans_above(TENT, 13.0) == ()
    assert spans_above(TENT, -1.0) == (Span(0, 720),)
    assert spans_above((), 3.0) == ()


def test_the_curve_is_where_the_hand_puts_it():
    """0 to 720 minutes over 46 to 766 is 1 a minute; 0 to 12 ft over y 133 (148 - 15) to 38 (20 + 18)."""
    picture = curve_of()
    assert picture.band.line == Stroke("M46 133L406 38L766 133", "l-water")
    assert picture.band.water == Stroke("M46 148L46 133L406 38L766 133L766 148Z", "f-water")


def test_the_usable_part_is_filled_above_its_level():
    """9 ft is y 133 - 9 x 95 / 12 = 61.8; minutes 270 and 450 are x 316 and 496."""
    picture = curve_of(level=Level(9.0, "for a boat needing 9.0 ft"))
    assert picture.band.windows == (Span(270, 450),)
    assert picture.band.usable == (Stroke("M316 61.8L316 61.8L406 38L496 61.8L496 61.8Z", "f-use"),)
    assert picture.band.level_lines == (Stroke("M316 61.8H496", "l-need"),)
    assert [label.text for label in picture.band.labels] == ["water 04:30 to 07:30", "for a boat needing 9.0 ft"]


def test_highs_and_lows_are_named_without_touching():
    picture = tide_curve.lay_out(samples.tide_curve_input())
    drawn = [label_box(label) for label in picture.band.labels]
    assert picture.band.labels[0].text == "High 11:38 · 17.6"
    assert not any(touch(a, b) for n, a in enumerate(drawn) for b in drawn[n + 1 :])


def test_dark_hours_are_shaded():
    """Sunrise at minute 120, sunset at 600: 46 to 166 and 646 to 766."""
    dark = curve_of(sunrise_min=120, sunset_min=600).band.dark
    assert [(band.x, band.width, band.css) for band in dark] == [(46.0, 120.0, "f-rest"), (646.0, 120.0, "f-rest")]


def test_hours_are_thinned_when_there_is_no_room_for_each():
    """720 wide: half a day gives 60 an hour, 26 are needed; four days (7.5 an hour) are marked every 6 hours."""
    assert [label.text for label in curve_of().band.hour_labels] == [f"{hour:02d}" for hour in range(13)]
    thin = curve_of(axis=Span(0, 5760), curve=()).band
    assert [label.text for label in thin.hour_labels][:5] == ["00", "06", "12", "18", "00"]


def test_now_is_a_line_with_its_time_and_leaves_its_hour_to_the_paper():
    picture = curve_of(now_min=361)
    assert picture.now.line.d == "M407 20V148"
    assert picture.now.label.text == "06:01"
    assert [label.text for label in picture.band.hour_labels if "paper" in label.css] == ["06"]
    assert curve_of(now_min=720).now is None


def test_the_curve_in_words():
    picture = curve_of(
        extremes=(Extreme(360, 12.0, True), Extreme(720, -0.7, False)), level=Level(9.0, "for a boat needing 9.0 ft")
    )
    assert picture.summary == (
        "Tide on Thu 6 May. High 06:00, 12.0 ft; low 12:00, −0.7 ft. Water 04:30 to 07:30 for a boat needing 9.0 ft."
    )


def test_without_a_station_only_hours_and_light_are_drawn():
    picture = curve_of((), level=Level(9.0, "for a boat"))
    assert (picture.band.water, picture.band.line, picture.band.labels, picture.band.windows) == (None, None, (), ())
    assert picture.summary == "Tide on Thu 6 May. The water is not known: no tide station. No water for a boat."


def test_a_curve_out_of_order_is_refused():
    with pytest.raises(PictureValueError, match="order of time"):
        curve_of(TENT[::-1])


def month(*days: MonthDay, **more) -> tide_month.TideMonthPicture:
    return tide_month.lay_out(TideMonthInput(2027, 5, "Wagtail", 16.7, days, **more))


def cell(picture: tide_month.TideMonthPicture, day: int) -> tide_month.MonthCell:
    return next(c for c in picture.cells if c.day.day == day)


def test_may_2027_begins_on_a_saturday():
    """Cells are 58 x 50 under a head of 18: Sat 1 is column 5 of row 0; Mon 31 column 0 of row 5; six rows are 318."""
    picture = month()
    assert (cell(picture, 1).cell.x, cell(picture, 1).cell.y) == (290.5, 18.5)
    assert (cell(picture, 31).cell.x, cell(picture, 31).cell.y) == (0.5, 268.5)
    assert (picture.width, picture.height) == (406.0, 318.0)


def test_weeks_may_begin_on_sunday():
    """Sat 1 May is then the last column; Mon 31 the second of row 5."""
    picture = month(first_weekday=6)
    assert picture.weekdays[0].text == "Sun"
    assert (cell(picture, 1).cell.x, cell(picture, 31).cell.x) == (348.5, 58.5)


def test_a_leap_february_of_four_weeks_and_a_day():
    picture = tide_month.lay_out(TideMonthInput(2028, 2, "Wagtail", 16.7, ()))
    assert len(picture.cells) == 29


def test_what_each_tide_does_has_its_own_mark():
    """A day at column 3, row 1 (6 May): its hours 04 to 21 run from 180 to 226 (174 + 6 and + 52), its line at y 103.

    12:30 is in the middle: 203. Highest of all, its bar is 17 high. 02:00 stands at the near end, 23:00 at the far end.
    """
    tides = (
        MonthTide(120, 17.0, Floats.IN_DARK),
        MonthTide(750, 18.2, Floats.IN_LIGHT),
        MonthTide(1380, 15.0, Floats.TOO_LOW),
    )
    drawn = cell(month(MonthDay(DAY, tides, 311, 1177, "springs")), 6)
    assert [(bar.x, bar.y, bar.width, bar.height) for bar in drawn.bars] == [(199.5, 86.0, 7.0, 17.0)]
    assert [(disc.cx, disc.cy) for disc in drawn.discs] == [(180.0, 99.0)]
    assert [stroke.d for stroke in drawn.too_low] == ["M222 99H230"]
    assert drawn.cell.css == "cell f-water"
    assert (drawn.time.text, drawn.note.text) == ("12:30", "springs")
    assert drawn.title == (
        "Thu 6 May: 02:00 17.0 ft, floats her in the dark; 12:30 18.2 ft, floats her in light; 23:00 15.0 ft, too low"
    )


def test_the_month_in_words():
    picture = month(
        MonthDay(DAY, (MonthTide(700, 18.0, Floats.IN_LIGHT),)),
        MonthDay(date(2027, 5, 7), (MonthTide(60, 18, Floats.IN_DARK),)),
    )
    assert picture.summary == "May 2027: Wagtail floats in light on 1 of 2 days."


def test_a_day_of_another_month_is_refused():
    with pytest.raises(PictureValueError, match="2027-06-01 is not in 2027-05"):
        month(MonthDay(date(2027, 6, 1)))
