"""How much water a boat needs over a place: predicted height above datum at which she may float there.

Depth over a place = charted depth + height of tide; over drying ground the charted depth is negative.
At a ramp: toe elevation + trailer height + draft + margin (common practice). No rule for the clearance
under a keel is universal; a yard's own figures are entered with the place. Where she was once seen to
float at a gauge reading, that reading replaces the formula for her.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite
from typing import Final

from yard.speech import _, gettext_noop
from yard.tides.source import TideError

FOOT_M: Final = 0.3048
RISING_CLEARANCE_M: Final = 1.0 * FOOT_M
"""A usual clearance under the keel on a rising tide (common practice); chop is added to it."""
FALLING_CLEARANCE_M: Final = 1.5 * FOOT_M
"""The same on a falling tide, where she who touches stays (common practice)."""


@dataclass(frozen=True, slots=True)
class RampWater:
    """A ramp. toe_elevation_m_above_datum: the lowest point the trailer stands on, negative below datum."""

    toe_elevation_m_above_datum: float
    trailer_height_m: float
    margin_m: float

    def __post_init__(self) -> None:
        _check_finite(gettext_noop("the toe elevation"), self.toe_elevation_m_above_datum)
        _check_length(gettext_noop("the trailer height"), self.trailer_height_m)
        _check_length(gettext_noop("the margin"), self.margin_m)

    def height_for(self, draft_m: float) -> float:
        """Height of tide, metres above datum, at which a draft floats off the trailer."""
        return self.toe_elevation_m_above_datum + self.trailer_height_m + draft_m + self.margin_m


@dataclass(frozen=True, slots=True)
class ChartedWater:
    """A route, sill, berth or mooring. charted_depth_m: below datum; a drying height is negative."""

    charted_depth_m: float
    clearance_m: float

    def __post_init__(self) -> None:
        _check_finite(gettext_noop("the charted depth"), self.charted_depth_m)
        _check_length(gettext_noop("the clearance"), self.clearance_m)

    def height_for(self, draft_m: float) -> float:
        """Height of tide, metres above datum, at which a draft has its clearance."""
        return draft_m + self.clearance_m - self.charted_depth_m


@dataclass(frozen=True, slots=True)
class MeasuredFloat:
    """The gauge when this boat really floated here, metres above datum, and a margin kept on it."""

    gauge_m_above_datum: float
    margin_m: float = 0.0

    def __post_init__(self) -> None:
        _check_finite(gettext_noop("the gauge reading"), self.gauge_m_above_datum)
        _check_length(gettext_noop("the margin"), self.margin_m)


def needed_height_m(place: RampWater | ChartedWater, *, draft_m: float, measured: MeasuredFloat | None = None) -> float:
    """Height of tide that a boat needs at a place, metres above datum.

    measured: where she floated before; it replaces the formula. Raises TideError for a draft below 0.
    """
    _check_length(gettext_noop("the draft"), draft_m)
    if measured is not None:
        return measured.gauge_m_above_datum + measured.margin_m
    return place.height_for(draft_m)


def under_keel_m(height_m: float, *, charted_depth_m: float, draft_m: float) -> float:
    """Water under the keel at a height of tide above datum; negative where she is aground by that much."""
    return charted_depth_m + height_m - draft_m


def _check_finite(what: str, value: float) -> None:
    if not isfinite(value):
        raise TideError(_("{what} must be a finite number of metres").format(what=_(what)))


def _check_length(what: str, value: float) -> None:
    _check_finite(what, value)
    if value < 0:
        raise TideError(_("{what} cannot be below 0, it is {value:g} m").format(what=_(what), value=value))
