"""The season board's positions, worked out by hand: a day is 18 wide, 26 April begins at 0."""

from __future__ import annotations

from datetime import date, timedelta

import picture_samples as samples
import pytest

from yard.pictures import board
from yard.pictures.board_input import BoardInput, BoardJob, BoardRow, DayNote, DayWater, NeedsLine, Standing
from yard.pictures.board_lane import lay_out_lane, place_jobs
from yard.pictures.labels import label_box, touch
from yard.pictures.shapes import DayAxis, JobState, PictureValueError, Stroke, TradeGroup

MONDAY = date(2027, 4, 26)
AXIS = DayAxis(MONDAY, 56, 18.0)


def april_26_plus(days: int) -> date:
    return MONDAY + timedelta(days=days)


def job(
    first: int, last: int | None = None, group: TradeGroup = TradeGroup.YARD, letter: str = "P", **more
) -> BoardJob:
    return BoardJob(
        april_26_plus(first), april_26_plus(first if last is None else last), letter, f"Job {letter}", group, **more
    )


def lane(**more):
    values = {"key": "k", "name": "Kittiwake", "standing": Standing.ON_TIME} | more
    return lay_out_lane(BoardRow(**values), AXIS)


def boxes(*jobs: BoardJob) -> list[tuple[float, float]]:
    placed, _ = place_jobs(tuple(jobs), AXIS)
    return [(place.left, place.right) for place in placed]


def test_a_job_fills_its_days_less_half_a_unit_each_side():
    """Days 2 and 3: from 36 to 72."""
    assert boxes(job(2, 3)) == [(36.5, 71.5)]


def test_two_jobs_of_a_day_share_its_cell():
    """Day 2 is 36 to 54; its middle is 45."""
    assert boxes(job(2, letter="C"), job(2, letter="W")) == [(36.5, 44.5), (45.5, 53.5)]


def test_a_job_that_ends_on_the_day_another_begins_shares_that_day():
    """Days 2 to 4 with a job of day 4: the cell of day 4 is 72 to 90, its middle 81."""
    assert boxes(job(2, 4), job(4, letter="D")) == [(36.5, 80.5), (81.5, 89.5)]


def test_a_third_job_of_a_day_is_counted_not_drawn():
    drawn = lane(jobs=(job(2, letter="A"), job(2, letter="B"), job(2, letter="C")))
    assert len(drawn.marks) == 2
    assert drawn.not_drawn == 1
    assert drawn.reason.text == "and 1 more in the table"


def test_the_launch_is_drawn_before_all_others():
    crowd = tuple(job(2, letter=letter) for letter in "ABC")
    drawn = lane(jobs=(*crowd, job(2, group=TradeGroup.LAUNCH, letter="L")))
    assert "hull" in [mark.shape for mark in drawn.marks]


def test_jobs_beyond_the_board_are_cut_at_its_edge_or_left_out():
    assert boxes(job(-3, 1), job(54, 60), job(70)) == [(0.5, 35.5), (972.5, 1007.5)]


def test_a_thread_ties_one_job_to_the_next():
    """From the right edge of day 0 (17.5) to the left edge of day 2 (36.5), at the middle of the marks: 4 + 7."""
    drawn = lane(jobs=(job(0), job(2)))
    assert drawn.threads == (Stroke("M17.5 11L36.5 11", "thread"),)
    assert lane(jobs=(job(0), job(1))).threads == ()


def test_a_job_that_goes_on_beyond_the_board_shares_no_day_at_its_edge():
    """It fills day 0, or the last one, from edge to edge: the launch of that day is what is drawn."""
    assert boxes(job(0, group=TradeGroup.LAUNCH), job(-1, 1)) == [(0.5, 17.5)]
    assert boxes(job(55, group=TradeGroup.LAUNCH), job(54, 56)) == [(990.5, 1007.5)]
    assert boxes(job(0, group=TradeGroup.LAUNCH), job(-1, 0)) == [(0.5, 8.5), (9.5, 17.5)]


def test_marks_have_the_shape_and_class_of_their_group_and_state():
    drawn = lane(
        jobs=(
            job(0, group=TradeGroup.RIG, letter="R", state=JobState.DONE),
            job(1, group=TradeGroup.LOFT, letter="F", state=JobState.PROVISIONAL),
            job(2, group=TradeGroup.LAUNCH, letter="L"),
            job(3, group=TradeGroup.MOORING, letter="O"),
        )
    )
    assert [(m.shape, m.css) for m in drawn.marks] == [
        ("box", "done"),
        ("box", "g-loft prov"),
        ("hull", "g-launch"),
        ("buoy", "g-launch"),
    ]
    assert drawn.marks[2].outline == "M36.5 4H53.5V12.5L45 20L36.5 12.5Z"
    assert (drawn.marks[3].buoy.cx, drawn.marks[3].buoy.cy, drawn.marks[3].buoy.r) == (63.0, 11.0, 7.0)
    assert drawn.marks[0].title == "Job R, Mon 26 Apr, done"


def test_the_pole_stands_at_the_end_of_the_promised_day():
    """14 May is day 18: it ends at 19 x 18 = 342."""
    drawn = lane(promised=date(2027, 5, 14), on_mooring=date(2027, 5, 13), in_hand=1)
    assert drawn.pole.d == "M342 0V20"
    assert drawn.pennant == Stroke("M342 1L351 4.5L342 8Z", "f-sheet l-ink")
    assert drawn.lateness is None


def test_lateness_is_marked_twice_from_the_pole_to_the_day_she_comes():
    """Promised day 18 (ends at 342), comes on day 26, Sat 22 May (ends at 486)."""
    drawn = lane(promised=date(2027, 5, 14), on_mooring=date(2027, 5, 22), in_hand=-7, reason="no tide")
    assert drawn.lateness == Stroke("M342 20.5H486", "l-late")
    assert drawn.pennant.css == "f-late"
    assert (drawn.late_text, drawn.reason.text, drawn.in_hand_text) == ("7 d late", "no tide", "7 late")


def test_at_the_right_edge_the_pennant_flies_to_the_left():
    drawn = lane(promised=april_26_plus(55))
    assert drawn.pole.d == "M1007 0V20"
    assert drawn.pennant.d == "M1007 1L998 4.5L1007 8Z"


def test_her_water_joins_neighbouring_days():
    """Days 1, 2 and 4: from 18 for 36, and from 72 for 18."""
    drawn = lane(water_days=frozenset({april_26_plus(1), april_26_plus(2), april_26_plus(4), april_26_plus(80)}))
    assert [(run.x, run.width) for run in drawn.water] == [(18.0, 36.0), (72.0, 18.0)]


def test_what_is_not_known_is_said():
    drawn = lane(facts_needed_by=(april_26_plus(3),))
    assert (drawn.needs_text, drawn.promised_text, drawn.on_mooring_text, drawn.in_hand_text) == (
        "?",
        "",
        "not planned",
        "–",
    )
    assert drawn.facts[0].title == "needed by Thu 29 Apr"


def test_places_and_people_have_no_draft_mooring_or_promise():
    drawn = lane(standing=Standing.PLACE, name="Gin pole")
    assert (drawn.needs_text, drawn.on_mooring_text, drawn.in_hand_text) == ("", "", "")


def test_a_reason_stands_right_of_the_marks_if_it_fits():
    """The last mark, day 2, ends at 53.5; the words begin 8 after it."""
    drawn = lane(jobs=(job(2),), reason="no tide floats her")
    assert (drawn.reason.x, drawn.reason.css, drawn.reason.title) == (61.5, "x11", "")


def test_a_reason_without_room_to_the_right_stands_left_of_the_marks():
    """The first mark, day 50, begins at 900.5; the words end 8 before it."""
    drawn = lane(jobs=(job(50), job(55)), reason="slings taken to 25 May, then neaps")
    assert (drawn.reason.x, drawn.reason.css) == (892.5, "x11 end")
    assert drawn.reason.text == "slings taken to 25 May, then neaps"


def test_a_reason_with_room_on_neither_side_is_cut_and_kept_whole_in_its_title():
    full = "a long reason " * 20
    drawn = lane(jobs=(job(20, 40),), reason=full)
    assert drawn.reason.text.endswith("…")
    assert drawn.reason.title == full
    assert lane(jobs=(job(1, 54),), reason=full).reason is None


def test_reasons_never_lie_on_marks():
    """The reason stands right of the last mark, or left of the first, in every row of the sample."""
    picture = board.lay_out(samples.board_input())
    for group in picture.groups:
        for drawn in group.lanes:
            if drawn.reason is not None:
                box = label_box(drawn.reason)
                assert not any(touch(box, mark.box) for mark in drawn.marks), drawn.name


def test_a_long_name_is_cut_and_kept_whole_in_the_row():
    drawn = lane(name="The Extraordinarily Long Name of a Very Small Boat Indeed")
    assert drawn.name_cut.endswith("…")
    assert drawn.name.endswith("Indeed")


def test_rows_stand_in_the_order_of_the_groups():
    picture = board.lay_out(samples.board_input())
    assert [(group.heading, len(group.lanes)) for group in picture.groups] == [
        ("Late", 2),
        ("Waiting on", 2),
        ("No day in hand", 1),
        ("On time", 1),
    ]
    assert picture.summary == (
        "Season board, Mon 26 Apr to Sun 20 Jun, 6 rows: 2 late, 2 waiting on, 1 no day in hand, 1 on time."
    )


def test_the_ground_shades_sundays_hatches_closed_days_and_rules_mondays():
    """Two weeks: Sundays are days 6 and 13, a closed Saturday day 5, the inner Monday at 126, today (day 3) at 54."""
    values = BoardInput(MONDAY, 14, april_26_plus(3), closed=(DayNote(april_26_plus(5), "holiday"),))
    ground = board.lay_out(values).ground
    assert [(band.x, band.css, band.pattern, band.title) for band in ground.bands] == [
        (90.0, "hatched", "hatch", "holiday"),
        (108.0, "f-rest", "", ""),
        (234.0, "f-rest", "", ""),
    ]
    assert [rule.d for rule in ground.rules] == ["M126 0V25", "M54 0V25"]


def test_a_day_proposed_to_close_is_basted_on_both_sides():
    values = BoardInput(MONDAY, 7, april_26_plus(-9), proposed_closed=(DayNote(april_26_plus(2), "gale?"),))
    assert board.lay_out(values).ground.rules == (Stroke("M36.5 0V25M53.5 0V25", "l-prop basting", "gale?"),)


def test_water_bars_stand_on_the_strip():
    """Heights 16 and 18 ft: the scale runs from 15 at y 88 to 18.5 at y 50, so 16 is 88 - 38/3.5 = 77.1."""
    values = BoardInput(
        MONDAY, 7, MONDAY, water=(DayWater(MONDAY, 16.0, usable=False), DayWater(april_26_plus(1), 18.0, (17.0,)))
    )
    head = board.lay_out(values).head
    assert [(bar.x, bar.y, bar.bottom, bar.css) for bar in head.bars] == [
        (2.5, 77.1, 88.0, "f-none"),
        (20.5, 55.4, 88.0, "f-wat"),
    ]
    assert [(ring.cx, ring.cy) for ring in head.rings] == [(27.0, 66.3)]
    assert head.summary.endswith("16.0 to 18.0 ft above datum; the ramp is unusable on 1 of 2 days.")


def test_without_a_tide_station_the_head_says_so():
    head = board.lay_out(BoardInput(MONDAY, 7, MONDAY, needs_line=NeedsLine("Kittiwake", 17.6))).head
    assert (head.bars, head.needs, head.needs_label) == ((), None, None)
    assert head.summary == "No tide station: the water at the ramp is not known."


def test_words_over_the_days_do_not_touch():
    """neaps on three neighbouring days: the first and the third are too near, so every second is kept."""
    notes = tuple(DayNote(april_26_plus(n), "neaps") for n in range(10, 14))
    head = board.lay_out(BoardInput(MONDAY, 56, MONDAY, tide_notes=notes)).head
    drawn = [label_box(label) for label in head.notes]
    assert 1 < len(drawn) < 4
    assert not any(touch(a, b) for n, a in enumerate(drawn) for b in drawn[n + 1 :])


def test_two_rows_with_one_key_are_refused():
    row = BoardRow("k", "Kittiwake", Standing.LATE)
    with pytest.raises(PictureValueError, match="same key"):
        BoardInput(MONDAY, 7, MONDAY, (row, row))


def test_a_job_that_ends_before_it_starts_is_refused():
    with pytest.raises(PictureValueError, match="'Job P' ends on 2027-04-27, before it starts on 2027-04-28"):
        job(2, 1)
