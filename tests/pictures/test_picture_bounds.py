"""No picture leaves its frame, whatever odd values a yard may bring."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

import picture_samples as samples
from hypothesis import given, settings
from hypothesis import strategies as st
from picture_walk import outside, path_points

from yard.pictures import (
    board,
    boat_water,
    day_sheet,
    launch_list,
    load,
    progress,
    tide_curve,
    tide_month,
)
from yard.pictures.board_input import (
    BoardInput,
    BoardJob,
    BoardRow,
    DayNote,
    DayWater,
    NeedsLine,
    SkillLoad,
    Standing,
    WeekHours,
)
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
from yard.pictures.launch_list_input import LaunchListInput, Light, ListedBoat, ListedTide
from yard.pictures.shapes import CurvePoint, JobState, Label, Span, Stroke, TradeGroup
from yard.pictures.tide_curve_input import Extreme, Level, TideCurveInput
from yard.pictures.tide_month import Floats, MonthDay, MonthTide, TideMonthInput

FIRST = date(2027, 4, 26)
names = st.text("abcWMi '·", max_size=60)
days = st.integers(-40, 90).map(lambda n: FIRST + timedelta(days=n))
heights = st.floats(-5, 60, allow_nan=False).map(lambda h: round(h, 2))
spans = st.tuples(st.integers(-800, 2400), st.integers(0, 900)).map(lambda t: Span(t[0], t[0] + t[1]))
groups, states = st.sampled_from(TradeGroup), st.sampled_from(JobState)
few = settings(max_examples=60, deadline=None)


@st.composite
def jobs(draw: st.DrawFn) -> BoardJob:
    first = draw(days)
    return BoardJob(
        first,
        first + timedelta(days=draw(st.integers(0, 9))),
        draw(st.sampled_from(["W", "AB", "i"])),
        draw(names),
        draw(groups),
        draw(states),
    )


@st.composite
def rows(draw: st.DrawFn) -> BoardRow:
    optional = st.none() | days
    return BoardRow(
        key="",
        name=draw(names),
        standing=draw(st.sampled_from(Standing)),
        jobs=tuple(draw(st.lists(jobs(), max_size=8))),
        needs=draw(st.none() | heights),
        promised=draw(optional),
        on_mooring=draw(optional),
        in_hand=draw(st.none() | st.integers(-200, 90)),
        water_days=frozenset(draw(st.lists(days, max_size=9))),
        facts_needed_by=tuple(draw(st.lists(days, max_size=3))),
        reason=draw(names),
        url="x",
    )


@few
@given(
    st.lists(rows(), max_size=5),
    st.integers(1, 70),
    days,
    st.lists(st.tuples(days, st.none() | heights, heights), max_size=20),
    st.lists(st.tuples(days, names), max_size=4),
    heights,
    names,
)
def test_board_stays_inside(drawn, day_count, today, water, notes, needed, name):
    """Lanes, head and ground stay in their own frames, marks of one lane never overlap."""
    values = BoardInput(
        first_day=FIRST,
        day_count=day_count,
        today=today,
        rows=tuple(replace(row, key=str(n)) for n, row in enumerate(drawn)),
        closed=tuple(DayNote(*note) for note in notes),
        proposed_closed=tuple(DayNote(*note) for note in notes),
        water=tuple(DayWater(day, highest, (ring,)) for day, highest, ring in water),
        tide_notes=tuple(DayNote(*n) for n in notes),
        needs_line=NeedsLine(name, needed),
    )
    picture = board.lay_out(values)
    assert outside(picture.ground, picture.width, board.LANE_HEIGHT) == []
    assert outside(picture.head, picture.width, picture.head.height) == []
    for group in picture.groups:
        for lane in group.lanes:
            assert outside(lane, picture.width, board.LANE_HEIGHT) == []
            boxes = [mark.box for mark in lane.marks]
            assert all(a.right <= b.x for a, b in pairwise(boxes))


def test_board_of_three_hundred_boats_and_of_none():
    rows_300 = tuple(BoardRow(str(n), "W" * 60, Standing.ON_TIME, promised=FIRST) for n in range(300))
    picture = board.lay_out(BoardInput(FIRST, 56, FIRST, rows_300))
    assert sum(len(group.lanes) for group in picture.groups) == 300
    assert "300 rows: 300 on time" in picture.summary
    assert board.lay_out(BoardInput(FIRST, 56, FIRST)).groups == ()


@st.composite
def day_jobs(draw: st.DrawFn) -> DayJob:
    span = draw(spans)
    parts = LaunchParts(span, draw(st.none() | spans), draw(st.none() | spans)) if draw(st.booleans()) else None
    return DayJob(
        draw(st.integers(0, 1200)), draw(names), draw(names), draw(groups), span, draw(names), draw(states), parts
    )


@few
@given(
    st.tuples(st.integers(-300, 900), st.integers(60, 1500)),
    st.lists(st.lists(day_jobs(), max_size=3), max_size=16),
    st.lists(st.tuples(heights, spans, names), max_size=5),
    heights,
    st.lists(heights, max_size=12),
    st.integers(-100, 2000),
)
def test_day_sheet_stays_inside(axis, people, waters, level, gusts, minute):
    start, length = axis
    values = DaySheetInput(
        day=FIRST,
        axis=Span(start, start + length),
        sunrise_min=minute,
        sunset_min=minute + 400,
        curve=samples.curve(samples.TODAY, -400, 2400),
        extremes=(Extreme(minute, 17.0, True), Extreme(minute + 370, 0.5, False)),
        ramp=Level(level, "for a boat"),
        gusts=tuple(Gust(start + 60 * n, abs(kn)) for n, kn in enumerate(gusts)),
        gust_limit=GustLimit(15, "the gin pole's"),
        water_for=tuple(WaterFor(n, name, h, s) for n, (h, s, name) in enumerate(waters)),
        people=tuple(PersonDay("W" * 60, "i" * 60, Span(420, 1020), Span(700, 730), tuple(js)) for js in people),
        places=tuple(PlaceDay("W" * 60, tuple(js)) for js in people),
        now_min=minute,
    )
    picture = day_sheet.lay_out(values)
    assert outside(picture, picture.width, picture.height) == []


@few
@given(
    st.lists(
        st.tuples(st.integers(-20, 1439), heights, st.lists(st.tuples(names, spans, spans, spans), max_size=3)),
        max_size=8,
    )
)
def test_launch_list_stays_inside(drawn):
    """Tides over midnight and boats far from high water are cut at the edge, not drawn outside."""
    tides = tuple(
        ListedTide(
            FIRST,
            minute,
            height,
            Light.LIGHT,
            samples.curve(samples.TODAY, -300, 1800),
            boats=tuple(ListedBoat(1, name, 15.0, off, water, load_span, off) for name, off, water, load_span in boats),
        )
        for minute, height, boats in sorted(drawn, key=lambda tide: tide[0])
    )
    picture = launch_list.lay_out(LaunchListInput(tides, berths=10))
    assert outside(picture.picture_axis, picture.picture_width, 16) == []
    for tide in picture.tides:
        assert outside(tide.hill, tide.hill.width, tide.hill.height) == []
        for line in tide.boats:
            assert outside(line, picture.picture_width, line.height) == []


@few
@given(
    st.integers(-700, 700),
    st.integers(60, 2000),
    st.lists(heights, min_size=0, max_size=30),
    heights,
    st.integers(-99, 1600),
)
def test_tide_curve_stays_inside(start, length, curve, level, minute):
    points = tuple(CurvePoint(start - 60 + 40 * n, height) for n, height in enumerate(curve))
    extremes = tuple(Extreme(p.minute, p.height, n % 2 == 0) for n, p in enumerate(points))
    picture = tide_curve.lay_out(
        TideCurveInput(
            FIRST,
            Span(start, start + length),
            points,
            extremes,
            Level(level, "for a boat"),
            minute,
            minute + 600,
            minute,
        )
    )
    assert outside(picture, picture.width, picture.height) == []


@few
@given(
    st.integers(1, 12),
    st.sampled_from([0, 6]),
    heights,
    st.lists(
        st.tuples(
            st.integers(1, 28),
            st.lists(st.tuples(st.integers(0, 1439), heights, st.sampled_from(Floats)), max_size=3),
            names,
        )
    ),
)
def test_tide_month_stays_inside(month, first_weekday, needs, drawn):
    shown = tuple(
        MonthDay(date(2028, month, day), tuple(MonthTide(*tide) for tide in tides), 300, 1200, note)
        for day, tides, note in drawn
    )
    picture = tide_month.lay_out(TideMonthInput(2028, month, "Wagtail", needs, shown, first_weekday))
    assert outside(picture, picture.width, picture.height) == []


@few
@given(st.lists(st.tuples(st.none() | heights, st.integers(0, 900), st.booleans()), max_size=40), heights, names)
def test_boat_water_stays_inside(drawn, needs, reason):
    shown = tuple(
        boat_water.BoatWaterDay(FIRST + timedelta(days=n), highest, minutes, "Sun" if rest else "", reason)
        for n, (highest, minutes, rest) in enumerate(drawn)
    )
    picture = boat_water.lay_out(boat_water.BoatWaterInput("Kittiwake", shown, needs, first_tide=FIRST))
    assert outside(picture, picture.width, picture.height) == []


@few
@given(heights, heights, heights, heights)
def test_needs_bar_stays_inside(toe, trailer, draft, margin):
    picture = boat_water.lay_out_needs(boat_water.NeedsBarInput(toe, trailer, draft, margin))
    assert outside(picture, picture.width, picture.height) == []


@few
@given(st.lists(st.tuples(days, st.floats(0, 9999), st.floats(0, 9999)), max_size=12), st.integers(1, 90))
def test_load_stays_inside(weeks, day_count):
    values = BoardInput(
        FIRST, day_count, FIRST, load=(SkillLoad("Loft", TradeGroup.LOFT, tuple(WeekHours(*w) for w in weeks)),)
    )
    picture = board.lay_out(values)
    assert outside(picture.load, picture.width, load.ROW_HEIGHT) == []
    assert outside(picture.weeks, picture.width, 23) == []


@few
@given(
    st.lists(st.tuples(st.floats(0, 600), st.floats(0, 1e6)), max_size=20),
    st.none() | st.floats(0, 1e6),
    st.none() | st.floats(1, 600),
)
def test_progress_stays_inside(points, bound, limit):
    shown = tuple(progress.ProgressPoint(*point) for point in sorted(points))
    picture = progress.lay_out(progress.ProgressInput(shown, bound, limit))
    assert outside(picture, picture.width, picture.height) == []


def test_the_walk_itself_sees_what_is_outside():
    """The measure used above would notice: a point, and a label, past the edge."""
    assert list(path_points("M1 2H5V7l2 -1Z")) == [(1, 2), (5, 2), (5, 7), (7, 6), (7, 6)]
    assert outside(
        (Stroke("M1 2H50", "l"), Label(1, 10, "within", "x10"), Label(45, 10, "too long", "x10")), 48, 20
    ) == [
        Stroke("M1 2H50", "l"),
        Label(45, 10, "too long", "x10"),
    ]
