"""The network of a package: the critical path reckoned by hand and another way, layers, and what never overlaps."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from yard.pictures.package_network import lay_out
from yard.pictures.package_network_input import NetworkJob, NetworkLink, PackageNetworkInput
from yard.pictures.package_network_paths import critical_path, layers, links_to_draw
from yard.pictures.shapes import PictureValueError, Rect, TradeGroup


def job(key: str, minutes: int) -> NetworkJob:
    return NetworkJob(key, key.title(), TradeGroup.YARD, minutes, f"{minutes} min")


SMALL = PackageNetworkInput(
    jobs=(job("wash", 120), job("paint", 180), job("rig", 90), job("launch", 60)),
    links=(
        NetworkLink("wash", "paint"),
        NetworkLink("paint", "launch", 960, "at least 16 h"),
        NetworkLink("rig", "launch"),
        NetworkLink("wash", "launch"),
    ),
)


def test_the_critical_path_by_hand():
    """Wash 0 to 120, paint 120 to 300, 960 of drying: launch 1260 to 1320. The rig may begin at 1260 - 90 = 1170."""
    path = critical_path(SMALL)
    assert (path.length_min, path.jobs) == (1320, ("wash", "paint", "launch"))
    assert path.starts_min == {"wash": 0, "paint": 120, "rig": 0, "launch": 1260}
    assert path.float_min == {"wash": 0, "paint": 0, "rig": 1170, "launch": 0}
    assert path.links == {("wash", "paint"), ("paint", "launch")}


def test_layers_and_what_the_picture_leaves_out():
    assert layers(SMALL) == {"wash": 0, "paint": 1, "rig": 0, "launch": 2}
    drawn = {(link.before, link.after) for link in links_to_draw(SMALL, critical_path(SMALL).links)}
    assert drawn == {("wash", "paint"), ("paint", "launch"), ("rig", "launch")}  # wash before launch says nothing new


def test_critical_is_a_form_not_a_colour():
    picture = lay_out(SMALL)
    assert [box.edge is not None for box in picture.boxes] == [True, True, False, True]
    assert [stroke.css for stroke in picture.links] == ["net critical", "net critical", "net"]
    assert "critical" in picture.boxes[0].title
    assert picture.summary.endswith("take 22 h: Wash, Paint, Launch.")
    assert [label.text for label in picture.waits] == ["at least 16 h"]


def test_an_empty_package_is_an_empty_picture():
    picture = lay_out(PackageNetworkInput(jobs=()))
    assert (picture.boxes, picture.links, picture.summary) == ((), (), "No jobs.")


@pytest.mark.parametrize(
    ("jobs", "links", "says"),
    [
        ((job("a", 15), job("a", 15)), (), "'a' stands twice"),
        ((job("a", 15),), (NetworkLink("a", "b"),), "not there"),
        ((job("a", 15), job("b", 15)), (NetworkLink("a", "b"), NetworkLink("b", "a")), "in a circle"),
        ((job("a", 15), job("b", 15)), (NetworkLink("a", "b", -1),), "less than nothing"),
    ],
)
def test_what_cannot_be_drawn_is_refused(jobs, links, says):
    with pytest.raises(PictureValueError, match=says):
        PackageNetworkInput(jobs=jobs, links=links)


@st.composite
def networks(draw) -> PackageNetworkInput:
    count = draw(st.integers(1, 12))
    pairs = draw(st.lists(st.sampled_from(list(combinations(range(count + 1), 2))), unique=True, max_size=20))
    jobs = tuple(job(f"j{number}", draw(st.integers(1, 20)) * 15) for number in range(count + 1))
    links = tuple(NetworkLink(f"j{one}", f"j{two}", draw(st.integers(0, 3)) * 60) for one, two in pairs)
    return PackageNetworkInput(jobs=jobs, links=links)


@settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])  # a busy machine is no fault of the picture
@given(networks())
def test_whatever_the_package(values: PackageNetworkInput):
    """Longest path by relaxing until nothing moves; links go down; no two boxes touch; all lies in the picture."""
    path, picture, layer = critical_path(values), lay_out(values), layers(values)
    minutes = {each.key: each.minutes for each in values.jobs}
    starts = dict.fromkeys(minutes, 0)
    for _ in minutes:
        for link in values.links:
            starts[link.after] = max(starts[link.after], starts[link.before] + minutes[link.before] + link.wait_min)
    assert path.starts_min == starts
    assert path.length_min == max(starts[key] + minutes[key] for key in minutes)
    assert min(path.float_min.values()) == 0
    assert all(layer[link.before] < layer[link.after] for link in values.links)
    boxes = [box.box for box in picture.boxes]
    assert not any(_touch(one, other) for one, other in combinations(boxes, 2))
    assert all(box.x >= 0 and box.right <= picture.width and box.bottom <= picture.height for box in boxes)
    assert lay_out(values) == picture


def _touch(one: Rect, other: Rect) -> bool:
    return one.x < other.right and other.x < one.right and one.y < other.bottom and other.y < one.bottom


def test_a_long_link_passes_boxes_by():
    """a to d spans two layers, each with a box between: its line goes through room of its own, not through them."""
    values = PackageNetworkInput(
        jobs=tuple(job(key, 60) for key in "abcd"),
        links=(
            NetworkLink("a", "b"),
            NetworkLink("b", "c"),
            NetworkLink("c", "d"),
            NetworkLink("a", "d", 30, "30 min"),
        ),
    )
    picture = lay_out(values)
    straight = [
        float(number) for number in picture.links[3].d.replace("C", " ").replace("V", " ").split("M")[1].split()[:1]
    ]
    middle = picture.boxes[1].box
    through = picture.links[3].d.split("C")[1].split()
    assert straight[0] != float(through[4])
    assert not middle.x <= float(through[4]) <= middle.right
