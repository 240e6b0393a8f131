"""The cosine method, secondary ports and depths against worked examples from handbooks and courses."""

from datetime import UTC, datetime, timedelta
from math import cos, pi

import numpy as np
import pytest

from tests.reference import tides_worked_examples as examples
from yard.tides.cosine import CosineCurve
from yard.tides.differences import VaryingDifference, VaryingDifferences
from yard.tides.needed import ChartedWater, MeasuredFloat, RampWater, needed_height_m, under_keel_m
from yard.tides.roots import Extremes
from yard.tides.source import TideError
from yard.tides.sources import TableSource

DAY = datetime(2027, 5, 4, tzinfo=UTC)


def minute_of(clock: str) -> int:
    hours, minutes = clock.split(":")
    return int(hours) * 60 + int(minutes)


def curve(*waters: tuple[float, float]) -> CosineCurve:
    """A curve through (minute, height) pairs that rises first."""
    minutes, heights = zip(*waters, strict=True)
    highs = np.arange(len(waters)) % 2 == 1
    return CosineCurve(Extremes(60.0 * np.array(minutes), np.array(heights), highs))


def height_at(on: CosineCurve, minute: float) -> float:
    return float(on.heights_m(np.array([60.0 * minute]))[0])


def test_1_half_way_between_low_and_high() -> None:
    tide = curve((0, examples.TWELFTHS["low_m"]), (360, examples.TWELFTHS["high_m"]))
    assert height_at(tide, 360 * examples.TWELFTHS["share"]) == pytest.approx(examples.TWELFTHS["height_m"])


def test_1_twelfths_differ_by_at_most_2_6_per_cent_of_the_range() -> None:
    """The rule of twelfths at each hour, straight between; CALC: 2.6 % at most."""
    twelfths = np.cumsum([0, 1, 2, 3, 3, 2, 1]) / 12
    hours = np.linspace(0, 6, 6001)
    cosine = curve((0, 0.0), (360, 1.0)).heights_m(3600 * hours)
    worst = np.abs(cosine - np.interp(hours, range(7), twelfths)).max()
    assert 0.025 < worst <= 0.026


@pytest.mark.parametrize("example", [examples.TABLE_3, examples.CANADIAN])
def test_2_and_3_height_between_printed_waters(example: dict) -> None:
    (low_at, low), (high_at, high) = example["low"], example["high"]
    found = height_at(curve((minute_of(low_at), low), (minute_of(high_at), high)), minute_of(example["at"]))
    assert found == pytest.approx(example["calc_ft"], abs=0.005)
    assert found == pytest.approx(example["ft"], abs=0.05)  # the source's last digit


def test_4_secondary_port_with_varying_differences() -> None:
    high = VaryingDifference(examples.SECONDARY["by_minute"], examples.SECONDARY["by_height"])
    at, height_m = examples.SECONDARY["high"]
    water = Extremes(np.array([60.0 * minute_of(at)]), np.array([height_m]), np.array([True]))
    found = VaryingDifferences(high=high, low=high).apply(water)
    expected_at, expected_m = examples.SECONDARY["answer"]
    assert round(found.times[0] / 60) == minute_of(expected_at)
    assert found.heights_m[0] == pytest.approx(expected_m)


def test_4_neaps_take_the_neap_difference() -> None:
    high = VaryingDifference(examples.SECONDARY["by_minute"], examples.SECONDARY["by_height"])
    assert high.metres(np.array([3.4, 3.8, 4.2])).tolist() == pytest.approx([0.8, 0.95, 1.1])
    # 21:00 lies between 18:00 (+23) and 24:00, which is 00:00 (+35).
    assert high.minutes(np.array([21 * 60.0])).tolist() == pytest.approx([29.0])


def test_5_window_over_a_bar() -> None:
    bar = ChartedWater(examples.BAR["charted_m"], examples.BAR["clearance_m"])
    needed_m = needed_height_m(bar, draft_m=examples.BAR["draft_m"])
    assert needed_m == pytest.approx(examples.BAR["needed_m"])
    waters = [(DAY.timestamp() / 60 + minute, height_m) for minute, height_m in examples.BAR["waters"]]
    table = TableSource("bar", "chart datum", "UTC", curve(*waters).extremes)
    starts_at, ends_at = (DAY + timedelta(minutes=examples.BAR["waters"][at][0]) for at in (0, -1))
    [[window]] = table.windows(starts_at, ends_at, [needed_m])
    found = [(at - DAY) / timedelta(minutes=1) for at in (window.starts_at, window.ends_at)]
    assert found == pytest.approx(examples.BAR["calc"], abs=0.5)
    assert found == pytest.approx(examples.BAR["source"], abs=4)  # the source reads a drawn curve
    assert not window.opens_before
    assert not window.closes_after


def test_6_water_under_the_keel() -> None:
    anchored = examples.ANCHORED
    charted_m = anchored["depth_m"] - anchored["height_m"]
    found = under_keel_m(anchored["low_m"], charted_depth_m=charted_m, draft_m=anchored["draft_m"])
    assert found == pytest.approx(anchored["under_keel_m"])


def test_7_drying_ground() -> None:
    ground = ChartedWater(charted_depth_m=-examples.DRYING["drying_m"], clearance_m=0.0)
    found = needed_height_m(ground, draft_m=examples.DRYING["draft_m"])
    assert found == pytest.approx(examples.DRYING["refloats_m"])
    assert under_keel_m(found, charted_depth_m=-examples.DRYING["drying_m"], draft_m=1.0) == pytest.approx(0.0)


def test_ramp_adds_toe_trailer_draft_and_margin() -> None:
    """By hand: toe 0.6 m below datum, trailer 0.5, draft 1.2, margin 0.3: 1.4 m of tide."""
    ramp = RampWater(toe_elevation_m_above_datum=-0.6, trailer_height_m=0.5, margin_m=0.3)
    assert needed_height_m(ramp, draft_m=1.2) == pytest.approx(1.4)


def test_where_she_really_floated_replaces_the_formula() -> None:
    ramp = RampWater(toe_elevation_m_above_datum=-0.6, trailer_height_m=0.5, margin_m=0.3)
    assert needed_height_m(ramp, draft_m=1.2, measured=MeasuredFloat(1.25, margin_m=0.1)) == pytest.approx(1.35)


def test_impossible_lengths_are_refused() -> None:
    with pytest.raises(TideError, match="draft cannot be below 0"):
        needed_height_m(ChartedWater(2.0, 0.3), draft_m=-1.0)
    with pytest.raises(TideError, match="clearance cannot be below 0"):
        ChartedWater(2.0, -0.3)
    with pytest.raises(TideError, match="toe elevation must be a finite"):
        RampWater(float("nan"), 0.5, 0.3)


def test_cosine_is_the_formula() -> None:
    """h = h1 + (h2 - h1)(1 - cos(pi f)) / 2 at a third of the way."""
    assert height_at(curve((0, 1.0), (300, 4.0)), 100) == pytest.approx(1 + 3 * (1 - cos(pi / 3)) / 2)
