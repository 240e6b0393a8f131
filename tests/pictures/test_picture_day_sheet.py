"""The day sheet: 06:00 to 16:00 here, 956 over 600 minutes from x = 100, so an hour is 95.6."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from itertools import pairwise

import picture_samples as samples
import pytest

from yard.pictures import day_sheet
from yard.pictures.day_sheet_input import (
    DayJob,
    DaySheetInput,
    Gust,
    GustLimit,
    LaunchParts,
    PersonDay,
    PlaceDay,
    WaterFor,
)
from yard.pictures.shapes import JobState, PictureValueError, Span, Stroke, TradeGroup

HOURS = Span(420, 900)  # 07:00 to 15:00


def job(start: int, end: int, **more) -> DayJob:
    values = {
        "number": 5,
        "boat": "Quillback",
        "job": "pattern dodger",
        "group": TradeGroup.LOFT,
        "span": Span(start, end),
    }
    return DayJob(**(values | more))


def sheet(*jobs: DayJob, **more) -> day_sheet.DaySheetPicture:
    person = PersonDay("Maud", "canvas", HOURS, Span(690, 720), jobs)
    values = {"day": date(2027, 5, 6), "axis": Span(360, 960), "people": (person,)}
    return day_sheet.lay_out(DaySheetInput(**(values | more)))


def bar(*jobs: DayJob):
    return sheet(*jobs).people[0].bars[0]


def test_a_job_stands_at_its_hours():
    """08:00 to 11:00: 100 + 2 x 95.6 = 291.2 and 578.0, less half a unit each side."""
    drawn = bar(job(480, 660))
    assert (drawn.rect.x, drawn.rect.right) == (291.7, 577.5)
    assert (drawn.css, drawn.ink, drawn.pattern) == ("g-loft", "t-loft", "p-loft")
    assert (drawn.strip.x, drawn.strip.width) == (291.7, 7.0)


def test_a_bar_names_boat_number_job_and_place_if_it_fits():
    wide = bar(job(480, 660, place="berth 3"))
    assert [(line.number, line.boat, line.rest) for line in wide.lines] == [
        ("", "Quillback", ""),
        ("5", "", "pattern dodger · berth 3"),
    ]
    narrow = bar(job(480, 540, place="the loft floor, north half"))
    assert narrow.lines[1].rest == "pattern…"
    assert narrow.title == "5 Quillback, pattern dodger, the loft floor, north half, 08:00 to 09:00"


def test_a_launch_is_one_number_with_three_parts():
    """Load 08:00-08:30, off 08:45-09:15, back 09:15-09:30: x 291.2-339.0, 362.9-410.7, 410.7-434.6."""
    parts = LaunchParts(Span(525, 555), Span(480, 510), Span(555, 570))
    drawn = bar(job(480, 570, group=TradeGroup.LAUNCH, launch=parts))
    assert [(p.rect.x, p.rect.right, p.rect.css) for p in drawn.parts] == [
        (291.7, 338.5, "g-yard"),
        (363.4, 410.2, "g-launch"),
        (411.2, 434.1, "g-yard"),
    ]
    assert [p.word.text if p.word else "arrow" for p in drawn.parts] == ["load", "float", "arrow"]
    assert (drawn.css, drawn.lines[0].number, drawn.lines[0].boat) == ("plain", "5", "Quillback")


def test_who_only_handles_lines_has_the_solid_part_alone():
    drawn = bar(job(525, 555, group=TradeGroup.LAUNCH, job="float", launch=LaunchParts(Span(525, 555))))
    assert (drawn.css, drawn.parts) == ("g-launch", ())
    assert [(line.number, line.rest) for line in drawn.lines] == [("5", ""), ("", "float")]


@pytest.mark.parametrize(
    ("state", "css", "ticked"),
    [
        (JobState.PLANNED, "g-loft", False),
        (JobState.DONE, "g-loft", True),
        (JobState.PROVISIONAL, "g-loft prov", False),
        (JobState.PROPOSED, "basted", False),
    ],
)
def test_states_of_a_bar(state, css, ticked):
    drawn = bar(job(480, 660, state=state))
    assert (drawn.css, drawn.tick is not None, drawn.box is not None) == (css, ticked, True)


def test_off_hours_are_shaded_and_who_is_away_is_shaded_all_day():
    """06:00-07:00 is 100 to 195.6, 15:00-16:00 is 960.4 to 1056."""
    row = sheet().people[0]
    assert [(band.x, band.right) for band in row.off_hours] == [(100.0, 195.6), (960.4, 1056.0)]
    away = sheet(people=(PersonDay("Yusuf", "canvas", None),)).people[0]
    assert [(band.x, band.right) for band in away.off_hours] == [(100.0, 1056.0)]
    assert (away.meal.text, away.meal.x) == ("away", 578.0)


def test_the_meal_is_named_unless_somebody_works_over_it():
    """11:30 to 12:00: its middle is 11:45, 100 + 5.75 x 95.6 = 649.7."""
    assert sheet().people[0].meal.x == 649.7
    assert sheet(job(600, 700)).people[0].meal is None


def test_what_lies_outside_the_axis_is_cut_or_left_out():
    """A drying line taken since yesterday fills the axis; a job of the evening is not drawn."""
    place = PlaceDay("Drying line 1", (job(-900, 3000), job(1200, 1300)))
    drawn = sheet(places=(place,)).places[0].bars
    assert [(b.rect.x, b.rect.right) for b in drawn] == [(100.5, 1055.5)]


def test_gusts_over_the_limit_are_boxed():
    drawn = sheet(gusts=(Gust(480, 14), Gust(540, 15), Gust(600, 15.4)), gust_limit=GustLimit(15, "the gin pole's"))
    assert [label.text for label in drawn.gusts if "bd" in label.css] == ["15"]
    assert [box.x for box in drawn.gust_boxes] == [470.4]  # 10:00 is 482.4, the box 24 wide
    assert drawn.limit_text == "over the gin pole's 15 kn"


def test_water_for_a_boat_has_its_name_beside_its_line():
    """10:00 to 13:00: 482.4 to 769.2; the third line of water would be at 164 + 2 x 13."""
    drawn = sheet(water_for=(WaterFor(8, "Sanderling", 15.4, Span(600, 780)),)).water_for[0]
    assert drawn.line.d == "M482.4 160V168M769.2 160V168M482.4 164H769.2"
    assert (drawn.number, drawn.boat, drawn.words.text, drawn.until.text) == (
        "8",
        "Sanderling",
        " 15.4 ft, 10:00",
        "13:00",
    )
    assert drawn.words.x == 476.4


def test_a_line_that_begins_at_the_edge_gives_way_to_its_words():
    """From 06:10 the words stand in the line, which begins after them."""
    drawn = sheet(water_for=(WaterFor(8, "Sanderling", 15.4, Span(370, 780)),)).water_for[0]
    shaft_from = float(drawn.line.d.rsplit("M", 1)[1].split(" ")[0])
    assert drawn.words.x == 121.9
    assert shaft_from > 121.9 + 100


def test_what_is_not_known_is_said():
    words = [label.text for label in sheet().left_labels]
    assert "no tide station: water not known" in words
    assert "no forecast for this day" in words
    assert "no boat floats off" in words


def test_one_page_by_construction():
    """Thirteen people and twelve places are lower rows, not a taller picture; eight and nine are of full height."""
    crowd = tuple(PersonDay(f"P{n}", "hand", HOURS) for n in range(13))
    many = sheet(people=crowd, places=tuple(PlaceDay(f"Place {n}") for n in range(12)))
    assert many.height <= day_sheet.PAGE_HEIGHT
    few = sheet(people=crowd[:8], places=tuple(PlaceDay(f"Place {n}") for n in range(9)))
    assert few.people[0].height == day_sheet.PERSON_HEIGHT
    assert few.height <= day_sheet.PAGE_HEIGHT


def test_a_full_day_is_taller_rather_than_unreadable():
    crowd = tuple(PersonDay(f"P{n}", "hand", HOURS) for n in range(40))
    assert sheet(people=crowd).people[0].height == day_sheet.LEAST_PERSON_HEIGHT


def test_low_rows_keep_number_and_boat_on_one_line():
    crowd = tuple(PersonDay(f"P{n}", "hand", HOURS, None, (job(480, 660),)) for n in range(24))
    lines = sheet(people=crowd).people[0].bars[0].lines
    assert [(line.number, line.boat, line.rest) for line in lines] == [("5", "Quillback", "pattern dodger")]


def test_bars_of_one_row_do_not_overlap_when_the_jobs_do_not():
    for row in day_sheet.lay_out(samples.day_sheet_input()).people:
        rects = [drawn.rect for drawn in row.bars]
        assert all(a.right < b.x for a, b in pairwise(rects)), row.name


def test_the_day_in_words():
    picture = day_sheet.lay_out(samples.day_sheet_input())
    assert picture.summary == (
        "Thu 6 May, 06:00 to 18:30: 11 jobs, 5 people, 5 places. High 11:38, 17.6 ft; low 17:51, 0.2 ft."
    )
    assert "nothing planned" in sheet().summary


def test_now_is_drawn_only_on_the_axis():
    """13:52 is 100 + 472 x 956 / 750. People begin at 164 + 3 x 13 - 1 = 202, places at 202 + 5 x 34.5 + 4 = 378.5,
    the sheet ends at 378.5 + 5 x 15 + 4 = 457.5, the line two before it."""
    values = samples.day_sheet_input()
    assert day_sheet.lay_out(values).now.line == Stroke("M701.6 20V455.5", "l-today")
    assert day_sheet.lay_out(replace(values, now_min=1200)).now is None


def test_an_axis_of_less_than_an_hour_is_refused():
    with pytest.raises(PictureValueError, match="at least an hour"):
        sheet(axis=Span(0, 59))
