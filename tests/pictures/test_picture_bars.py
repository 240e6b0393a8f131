"""A boat's water, what she needs, the load of the weeks and a running plan."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from yard.pictures import boat_water, load, progress
from yard.pictures.board_input import SkillLoad, WeekHours
from yard.pictures.boat_water import BoatWaterDay, BoatWaterInput, NeedsBarInput
from yard.pictures.shapes import DayAxis, PictureValueError, Stroke, TradeGroup

MONDAY = date(2027, 4, 26)
MAY_6 = date(2027, 5, 6)


def water(*days: tuple[float | None, int], needs: float = 17.0, **more) -> boat_water.BoatWaterPicture:
    shown = tuple(BoatWaterDay(MAY_6 + timedelta(days=n), highest, above) for n, (highest, above) in enumerate(days))
    return boat_water.lay_out(BoatWaterInput("Kittiwake", shown, needs, **more))


def test_bars_of_water_are_filled_where_she_has_her_minutes():
    """Heights 15.5 (17 - 1.5) to 18.1 (18 + 0.1) over y 150 to 46: 40 a foot. 18 is y 50, 17 is 90; a day is 31."""
    picture = water((18.0, 45), (17.0, 29), (17.5, 30))
    assert [(bar.x, bar.y, bar.css) for bar in picture.bars] == [
        (42.0, 50.0, "f-wat"),
        (73.0, 90.0, "f-none"),
        (104.0, 70.0, "f-wat"),
    ]
    assert [label.text for label in picture.minutes] == ["45", "29", "30"]
    assert picture.needs.d.startswith("M36 90H")
    assert picture.needs_label.text == "17.0 ft"


def test_days_without_work_or_not_ready_are_shaded_together():
    days = (
        BoatWaterDay(MAY_6, 18.0, 40, not_ready="paint"),
        BoatWaterDay(date(2027, 5, 7), None, rest_label="Sun"),
        BoatWaterDay(date(2027, 5, 8), 18.0, 40),
    )
    picture = boat_water.lay_out(BoatWaterInput("Kittiwake", days, 17.0, first_tide=date(2027, 5, 8)))
    assert [(band.x, band.width) for band in picture.bands] == [(36.0, 62.0)]
    assert [label.text for label in picture.days] == ["6", "Sun", "8"]
    assert picture.first_tide == Stroke("M113.5 27V39", "l-ink")  # 36 + 2.5 x 31
    assert "first tide" in [label.text for label in picture.labels]


def test_a_boats_water_in_words():
    picture = water((18.0, 45), (17.0, 29), first_tide=MAY_6)
    assert picture.summary == (
        "Water for Kittiwake, Thu 6 May to Fri 7 May: 1 day of 2 with 30 minutes above 17.0 ft in working hours."
        " Her first tide is Thu 6 May."
    )
    assert water().summary == "No days to show for Kittiwake."


def test_negative_minutes_are_refused():
    with pytest.raises(PictureValueError, match="minutes_above on 2027-05-06 is -1"):
        BoatWaterDay(MAY_6, 18.0, -1)


def test_her_need_is_a_sum_drawn_to_scale():
    """17.6 ft over 566: the toe of 8.5 ends at 0.5 + 8.5 x 566 / 17.6 = 273.9, the trailer's 2.2 at 344.6."""
    picture = boat_water.lay_out_needs(NeedsBarInput(8.5, 2.2, 5.9, 1.0))
    assert [(part.rect.x, part.rect.right) for part in picture.parts][:2] == [(0.5, 273.9), (273.9, 344.6)]
    assert picture.total_text == "17.6 ft"
    assert picture.summary == "ramp toe 8.5, trailer 2.2, her draft 5.9, margin 1.0: 17.6 ft at the ramp."
    assert [part.figure.text for part in picture.parts] == ["8.5", "2.2", "5.9", "1.0"]


def test_a_part_too_thin_for_its_figure_keeps_it_in_its_title():
    thin = boat_water.lay_out_needs(NeedsBarInput(8.5, 2.2, 5.9, 0.1)).parts[3]
    assert (thin.figure.text, thin.rect.title) == ("", "margin 0.1")


def week(planned: float, there: float) -> WeekHours:
    return WeekHours(MONDAY, planned, there)


@pytest.mark.parametrize(
    ("hours", "words", "full", "width"),
    [
        (week(0, 80), "0/80", False, 0.0),
        (week(40, 80), "40/80", False, 21.5),
        (week(75.9, 80), "76/80", False, 40.8),
        (week(76, 80), "76/80 full", True, 40.9),
        (week(80, 80), "80/80 full", True, 43.0),
        (week(90, 80), "90/80 over", True, 43.0),
        (week(5, 0), "5/0 over", True, 43.0),
        (week(0, 0), "0/0", False, 0.0),
    ],
)
def test_a_week_is_full_from_95_per_cent(hours, words, full, width):
    """The ground is 44 wide, the bar inside it at most 43."""
    axis = DayAxis(MONDAY, 7, 18.0)
    row = load.lay_out_load_row(SkillLoad("Riggers", TradeGroup.RIG, (hours,)), axis)
    assert [(bar.figures.text, bar.is_full, bar.planned.width) for bar in row.bars] == [(words, full, width)]


def test_load_stands_under_its_week():
    """The second Monday is 7 x 18 = 126 from the first; the ISO week of 26 April 2027 is 17."""
    weeks = (week(1, 2), WeekHours(MONDAY + timedelta(days=7), 1, 2))
    picture = load.lay_out(load.LoadInput(MONDAY, 2, (SkillLoad("Loft", TradeGroup.LOFT, weeks),)))
    assert [bar.ground.x for bar in picture.rows[0].bars] == [3.0, 129.0]
    assert [(w.x, w.label.text) for w in picture.weeks] == [(0.0, "week 17"), (126.0, "week 18")]


def test_load_in_words():
    row = load.lay_out_load_row(SkillLoad("Riggers", TradeGroup.RIG, (week(80, 80),)), DayAxis(MONDAY, 7, 18.0))
    assert row.summary == "Riggers: full in week 17."


def test_load_must_begin_on_a_monday():
    with pytest.raises(PictureValueError, match="2027-05-06, which is not a Monday"):
        load.LoadInput(MAY_6, 2, ())


def lay_out_progress(*points: tuple[float, float], **more) -> progress.ProgressPicture:
    shown = tuple(progress.ProgressPoint(*point) for point in points)
    return progress.lay_out(progress.ProgressInput(shown, width=208, height=48, **more))


def test_cost_falls_in_steps():
    """0 to 20 s over 4 to 204, cost 100 to 300 over y 44 to 4: at 10 s it falls from 300 to 200."""
    picture = lay_out_progress((0, 300), (10, 200), bound=100, limit_s=20)
    assert picture.line.d == "M4 4H104V24"
    assert picture.bound.d == "M0 44H208"
    assert (picture.last.cx, picture.last.cy) == (104.0, 24.0)
    assert picture.summary == "Cost fell from 300 to 200 in 10 seconds; no plan can cost less than 100."


def test_before_the_first_plan_nothing_is_drawn():
    assert lay_out_progress().line is None
    assert lay_out_progress().summary == "No plan found yet."


def test_points_out_of_order_are_refused():
    with pytest.raises(PictureValueError, match="order of time"):
        lay_out_progress((10, 1), (0, 2))
