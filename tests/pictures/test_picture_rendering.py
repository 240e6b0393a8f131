"""Pictures drawn by their templates: equal byte for byte, well formed, safe, and the same in every locale."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import picture_samples as samples
import pytest
from django.template.loader import render_to_string
from django.test import override_settings
from django.utils import translation

from yard.pictures import board, boat_water, day_sheet, launch_list, load, progress, tide_curve, tide_month
from yard.pictures.shapes import Disc, Label, Rect

STATIC = Path(__file__).resolve().parents[2] / "yard" / "static" / "yard"


def _progress() -> progress.ProgressPicture:
    points = ((0.2, 900.0), (1.5, 500.0), (7.0, 280.5))
    return progress.lay_out(progress.ProgressInput(tuple(progress.ProgressPoint(*p) for p in points), 250.0, 20.0))


PICTURES = {
    "board": lambda: {"board": board.lay_out(samples.board_input())},
    "day_sheet": lambda: {"sheet": day_sheet.lay_out(samples.day_sheet_input())},
    "launch_list": lambda: {"launches": launch_list.lay_out(samples.launch_list_input())},
    "tide_curve": lambda: {"tide": tide_curve.lay_out(samples.tide_curve_input())},
    "tide_month": lambda: {"month": tide_month.lay_out(samples.tide_month_input())},
    "boat_water": lambda: {"water": boat_water.lay_out(samples.boat_water_input())},
    "needs_bar": lambda: {"needs": boat_water.lay_out_needs(boat_water.NeedsBarInput(8.5, 2.2, 5.9, 1.0))},
    "load": lambda: {"load": load.lay_out(load.LoadInput(samples.MONDAY, 8, samples.loads()))},
    "progress": lambda: {"progress": _progress()},
}
every_picture = pytest.mark.parametrize("name", PICTURES)


def draw(name: str) -> str:
    return render_to_string(f"pictures/{name}.html", PICTURES[name]())


def tree(drawn: str) -> ElementTree.Element:
    """The picture as XML; void elements of HTML are closed first."""
    closed = re.sub(r"<(br|col)((?:\s[^>]*)?)>", r"<\1\2/>", drawn)
    return ElementTree.fromstring(f"<all>{closed}</all>")


@every_picture
def test_two_renders_are_equal_byte_for_byte(name):
    assert draw(name).encode() == draw(name).encode()


GEOMETRY = (
    *("x", "y", "width", "height", "cx", "cy", "r", "rx", "d", "points", "transform"),
    *("viewBox", "data-px-per-min", "colspan", "rowspan", "id", "class", "href"),
)
"""Attributes that no language may touch. Where words stand may move with their width: text and its cut are left out."""


def shapes_of(drawn: str) -> list[tuple[str, ...]]:
    """Every element but text, with what a browser draws of it."""
    return [
        (element.tag, *(element.get(name, "") for name in GEOMETRY))
        for element in tree(drawn).iter()
        if element.tag not in ("text", "tspan", "title", "span", "b")
    ]


@every_picture
def test_a_comma_locale_changes_words_and_no_number_that_a_browser_reads(name):
    plain = shapes_of(draw(name))
    with override_settings(USE_THOUSAND_SEPARATOR=True), translation.override("de"):
        drawn = draw(name)
    assert shapes_of(drawn) == plain
    for element in tree(drawn).iter("text"):
        assert float(element.attrib["x"]) is not None
        assert float(element.attrib["y"]) is not None


def test_words_of_a_picture_are_in_the_language_of_the_page():
    with translation.override("de"):
        drawn = draw("tide_curve")
    summary = tree(drawn).findtext(".//title")
    assert "Do 6 Mai" in summary
    assert "17,6 ft" in summary


@every_picture
def test_pictures_are_well_formed_and_their_numbers_are_numbers(name):
    numbers = {"x", "y", "width", "height", "cx", "cy", "r", "rx"}
    for element in tree(draw(name)).iter():
        for attribute in numbers & set(element.attrib):
            float(element.attrib[attribute])


@every_picture
def test_pictures_that_are_read_have_a_title(name):
    pictures = [svg for svg in tree(draw(name)).iter("svg") if svg.get("role") == "img"]
    for svg in pictures:
        assert svg[0].tag == "title"
        assert len(svg[0].text or "") > 10
    assert pictures or name == "launch_list"  # there the table says it all and its caption is the summary


@every_picture
def test_every_class_of_a_picture_is_in_the_stylesheet(name):
    sheet = "".join(path.read_text() for path in STATIC.glob("*.css"))
    known = set(re.findall(r"\.([a-zA-Z][\w-]*)", sheet))
    used = {css for element in tree(draw(name)).iter() for css in element.get("class", "").split()}
    hooks = {"row-late", "row-waiting-on", "row-no-day-in-hand", "row-on-time", "b", "progress", "now"}
    hooks |= {
        "waiting-on",
        "on-time",
        "waiting",
        "hatched",
        "cr",
        "af",
        "lane",
    }  # named for pages, not styled by themselves
    assert used - known <= hooks


@every_picture
def test_patterns_and_icons_are_defined(name):
    """What a picture refers to stands in the definitions at the top of the page, or in the picture."""
    drawn = draw(name)
    defined = set(re.findall(r'id="([\w-]+)"', render_to_string("pictures/_defs.html") + drawn))
    assert set(re.findall(r'(?:href="#|url\(#)([\w-]+)', drawn)) - {"why"} <= defined


@pytest.mark.parametrize(
    ("part", "shapes"),
    [
        ("_rects", {"rects": [Rect(1234.5, 2.5, 3.5, 4.5)]}),
        ("_labels", {"labels": [Label(1234.5, 2.5, "words")]}),
        ("_discs", {"discs": [Disc(1234.5, 2.5, 3.5, "ring")]}),
    ],
)
def test_a_comma_locale_changes_no_part_drawn_alone(part, shapes):
    with override_settings(USE_THOUSAND_SEPARATOR=True), translation.override("de"):
        drawn = render_to_string(f"pictures/{part}.html", shapes)
    assert '"1234.5"' in drawn


def test_names_are_escaped():
    nasty = '<script>alert(1)</script> & "Sons"'
    values = samples.board_input()
    shown = replace(
        values,
        rows=tuple(
            replace(row, name=nasty, reason=nasty, jobs=tuple(replace(job, name=nasty) for job in row.jobs))
            for row in values.rows
        ),
    )
    drawn = render_to_string("pictures/board.html", {"board": board.lay_out(shown)})
    assert "<script" not in drawn
    tree(drawn)


def test_a_lane_is_light():
    """Every row shares one ground: the longest lane of the sample is under 3.5 kB before it is packed."""
    picture = board.lay_out(samples.board_input())
    lanes = [lane for group in picture.groups for lane in group.lanes]
    sizes = [len(render_to_string("pictures/board_lane.html", {"lane": lane, "board": picture})) for lane in lanes]
    assert max(sizes) < 3500


def test_empty_pictures_say_so():
    nothing = board.lay_out(replace(samples.board_input(), rows=(), load=()))
    assert "No boats to show here." in render_to_string("pictures/board.html", {"board": nothing})
    assert "No tides to show." in render_to_string(
        "pictures/launch_list.html", {"launches": launch_list.lay_out(launch_list.LaunchListInput())}
    )
    unknown = tide_curve.lay_out(replace(samples.tide_curve_input(), curve=(), extremes=()))
    assert "The water is not known" in render_to_string("pictures/tide_curve.html", {"tide": unknown})
