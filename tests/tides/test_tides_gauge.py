"""A reading of the gauge moves today's windows, and says so."""

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from yard.tides import TideError, open_source
from yard.tides.gauge import GaugeReading, gauge_shift, gauge_shift_m
from yard.tides.source import seconds_of

AT = datetime(2027, 5, 4, 13, 30, tzinfo=UTC)
PORTLAND = "8418150"


def predicted_m() -> float:
    return float(open_source(PORTLAND).heights_m(np.array([seconds_of(AT)]))[0])


def test_the_shift_is_observed_minus_predicted() -> None:
    reading = GaugeReading(AT, predicted_m() - 0.25)
    assert gauge_shift_m(open_source(PORTLAND), reading) == pytest.approx(-0.25)


def test_windows_and_heights_move_with_the_gauge() -> None:
    source = open_source(PORTLAND)
    shift = gauge_shift(source, GaugeReading(AT, predicted_m() + 0.2))
    moved = shift.apply(source)
    assert moved.heights_m(np.array([seconds_of(AT)]))[0] == pytest.approx(predicted_m() + 0.2)
    span = AT, AT + timedelta(hours=12)
    assert moved.windows(*span, [2.0]) == source.windows(*span, [2.0 - shift.shift_m])
    assert shift.good_until == AT + timedelta(hours=12)


def test_the_warning_names_size_direction_and_limit() -> None:
    low = gauge_shift(open_source(PORTLAND), GaugeReading(AT, predicted_m() - 0.31))
    assert "0.31 m below the prediction at 2027-05-04 13:30 UTC" in low.warning
    assert "read the gauge again" in low.warning
    assert "unusual" not in low.warning


def test_a_reading_that_is_far_off_is_questioned() -> None:
    odd = gauge_shift(open_source(PORTLAND), GaugeReading(AT, predicted_m() + 1.2))
    assert "unusual: check the reading and its datum" in odd.warning


def test_a_reading_needs_a_zone_and_a_number() -> None:
    with pytest.raises(TideError, match="no time zone"):
        GaugeReading(datetime(2027, 5, 4, 13, 30), 1.0)
    with pytest.raises(TideError, match="finite height"):
        GaugeReading(AT, float("nan"))
