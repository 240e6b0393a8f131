"""The launch list: 330 minutes over 320, high water at 160, so a minute is 32/33 wide."""

from __future__ import annotations

from datetime import date

import picture_samples as samples
import pytest

from yard.pictures import launch_list
from yard.pictures.launch_list_input import LaunchListInput, Light, ListedBoat, ListedTide
from yard.pictures.shapes import CurvePoint, PictureValueError, Span

DAY = date(2027, 5, 6)
HIGH = 698  # 11:38


def boat(**more) -> ListedBoat:
    values = {"number": 1, "name": "Sanderling", "needs": 15.4, "float_off": Span(615, 645), "water": Span(610, 791)}
    values |= {"load": Span(570, 600), "trailer_back": Span(645, 660)}
    return ListedBoat(**(values | more))


def tide(*boats: ListedBoat, **more) -> ListedTide:
    values = {"day": DAY, "high_water_min": HIGH, "height": 18.1, "light": Light.LIGHT, "boats": boats}
    return ListedTide(**(values | more))


def lay_out(*tides: ListedTide) -> launch_list.LaunchListPicture:
    return launch_list.lay_out(LaunchListInput(tides, berths=10))


def line_of(one: ListedBoat) -> launch_list.BoatLine:
    return lay_out(tide(one)).tides[0].boats[0]


def test_every_tide_hangs_on_its_high_water():
    """10:10 is 88 minutes before 11:38: 160 - 88 x 320/330 = 74.7; 13:11 is 93 after: 250.2."""
    line = line_of(boat())
    assert (line.band.x, line.band.right) == (74.7, 250.2)
    assert line.edges.d == "M74.7 0V24M250.2 0V24"
    assert line.high_water.d == "M160 0V24"


def test_a_launch_has_three_parts():
    """Load is 128 to 98 before: 35.9 to 65.0. Floating off 83 to 53 before: 79.5 to 108.6. Back at 11:00: 123.2."""
    line = line_of(boat())
    assert [(box.x, box.right) for box in line.boxes] == [(35.9, 65.0), (108.6, 123.2)]
    assert line.hull.d == "M79.5 4.5H108.6V15L94 20.5L79.5 15Z"
    assert (line.floats_off_text, line.trailer_text, line.window_text) == ("10:15", "09:30–11:00", "10:10–13:11")


def test_what_lies_beyond_the_picture_is_cut_or_left_out():
    """At most 300 minutes each way are shown: water from 400 before to 350 after fills the lane, no edge inside."""
    line = line_of(boat(water=Span(HIGH - 400, HIGH + 350), load=Span(HIGH - 400, HIGH - 370), trailer_back=None))
    assert (line.band.x, line.band.right) == (0.0, 320.0)
    assert line.edges is None
    assert line.boxes == ()
    assert line.trailer_text == "04:58–05:28"  # 698 - 400 = 298 minutes


def test_the_picture_reaches_as_far_as_its_boats():
    """Floats off 200 to 230 minutes after high water: a reach of 240, so the hull is at 160 + 200 / 240 * 160."""
    late = boat(float_off=Span(HIGH + 200, HIGH + 230), load=None, trailer_back=None)
    line = line_of(late)
    assert line.hull.d.startswith("M293.3 4.5H313.3")
    assert line.beyond is None
    hours = [label.text for label in lay_out(tide(late)).picture_axis]
    assert hours == ["−2 h", "high water", "+2 h"]  # 40 wide an hour: every second one


@pytest.mark.parametrize(("starts", "text", "x"), [(310, "16:48 →", 316.0), (-340, "← 05:58", 4.0)])
def test_a_hull_beyond_the_edge_is_an_arrow_with_its_hour(starts, text, x):
    """High water at 11:38, which is minute 698: 310 later is 16:48, 340 sooner 05:58."""
    line = line_of(boat(float_off=Span(HIGH + starts, HIGH + starts + 30), load=None, trailer_back=None))
    assert line.hull is None
    assert (line.beyond.text, line.beyond.x) == (text, x)


def test_a_tide_just_after_midnight_keeps_its_boat_of_the_evening_before():
    """High water 00:37; loaded from 23:30 of the day before: minute -30, 67 before high water: 95.0."""
    line = lay_out(
        tide(boat(load=Span(-30, 0), float_off=Span(15, 45), trailer_back=None, water=None), high_water_min=37)
    )
    drawn = line.tides[0].boats[0]
    assert drawn.boxes[0].x == 95.0
    assert (drawn.trailer_text, drawn.floats_off_text) == ("23:30–00:00", "00:15")


def test_a_boat_the_tide_does_not_float_is_shown_without_a_band():
    line = line_of(boat(water=None))
    assert (line.band, line.edges, line.window_text) == (None, None, "no water")


def test_a_boat_that_waits_is_basted_and_one_afloat_is_done():
    assert line_of(boat(waits_on="needs permit by 20 May")).hull.css == "g-launch prov"
    done = line_of(boat(afloat_text="afloat 10:35"))
    assert (done.is_done, done.css) == (True, "b done-boat")


def test_hills_share_one_scale_so_springs_stand_above_neaps():
    """Heights 10 to 20 over y 27 to 5.6: the neap of 15 is at 16.3, half way."""
    springs = tide(
        boat(), curve=(CurvePoint(HIGH - 165, 10.0), CurvePoint(HIGH, 20.0), CurvePoint(HIGH + 165, 10.0)), height=20
    )
    neaps = tide(
        boat(load=None, float_off=Span(1000, 1030), trailer_back=None),
        high_water_min=1000,
        height=15,
        curve=(CurvePoint(835, 10.0), CurvePoint(1000, 15.0), CurvePoint(1165, 10.0)),
    )
    hills = [line.hill.outline.d for line in lay_out(springs, neaps).tides]
    assert hills == ["M0 27L160 5.6L320 27", "M0 27L160 16.3L320 27"]


@pytest.mark.parametrize(
    ("values", "css"),
    [
        ({}, "free nd"),
        ({"closed_reason": "Sunday, closed"}, "shut nd"),
        ({"light": Light.DARK}, "dark nd"),
        ({"light": Light.DARK, "closed_reason": "Sunday, closed"}, "dark nd"),
        ({"boats": (boat(),), "light": Light.DARK}, "used nd"),
    ],
)
def test_each_tide_gets_the_line_of_its_kind(values, css):
    assert lay_out(tide(**values)).tides[0].css == css


def test_a_free_tide_says_what_it_floats():
    free = lay_out(tide(floats_up_to=17.4, add_url="/put")).tides[0]
    assert free.free_text == "floats up to 17.4 ft"
    assert lay_out(tide()).tides[0].free_text == "floats nobody long enough"
    assert lay_out(tide(boat(), floats_up_to=17.4)).tides[0].free_text == ""


def test_the_day_is_named_once_and_again_after_a_dark_tide():
    day_names = [
        line.names_day
        for line in lay_out(
            tide(high_water_min=10, light=Light.DARK),
            tide(high_water_min=740),
            tide(high_water_min=1200),
            tide(day=date(2027, 5, 7), high_water_min=780),
            tide(day=date(2027, 5, 7), high_water_min=1430, light=Light.DARK),
        ).tides
    ]
    assert day_names == [True, True, False, True, False]


def test_the_list_in_words():
    picture = launch_list.lay_out(samples.launch_list_input())
    boats = sum(len(line.boats) for line in picture.tides)
    free = sum("free" in line.css for line in picture.tides)
    used = sum("used" in line.css for line in picture.tides)
    assert picture.summary == f"{boats} boats on {used} tides, Thu 6 May to Wed 19 May. {free} tides in light free."
    assert lay_out().summary == "No tides to show."


def test_tides_out_of_order_are_refused():
    with pytest.raises(PictureValueError, match="order of time"):
        lay_out(tide(high_water_min=700), tide(high_water_min=10))
