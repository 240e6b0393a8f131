"""A reading of the yard's gauge moves today's windows.

Wind, pressure and river flow lift or lower the water for hours; what the gauge shows beyond the
prediction now is the best guess for the tides just before and after it, and for no others.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from math import isfinite
from typing import Final

import numpy as np

from yard.speech import _, number
from yard.tides.source import Offsets, TideError, TideSource, seconds_of, utc

GOOD_FOR: Final = timedelta(hours=12)
"""One tide onward (common practice): surges last for hours, not days."""
ODD_SHIFT_M: Final = 1.0
"""A difference this large is more often a misread gauge than weather (common practice)."""


@dataclass(frozen=True, slots=True)
class GaugeReading:
    """The water as a person read it: when, and metres above the datum of the tide source."""

    at: datetime
    height_m: float

    def __post_init__(self) -> None:
        utc(self.at)
        if not isfinite(self.height_m):
            raise TideError(_("a gauge reading is a finite height in metres"))


@dataclass(frozen=True, slots=True)
class GaugeShift:
    """How much higher the water stood than predicted, until when that is used, and what to tell people."""

    shift_m: float
    good_until: datetime
    warning: str

    def apply(self, source: TideSource) -> TideSource:
        """The source with all heights moved by the shift; ask it only for times up to good_until."""
        return source.shifted(Offsets(height_m=self.shift_m))


def gauge_shift_m(source: TideSource, reading: GaugeReading) -> float:
    """Observed minus predicted, metres; positive where the water stands higher than predicted."""
    predicted = source.heights_m(np.array([seconds_of(reading.at)]))[0]
    return float(reading.height_m - predicted)


def gauge_shift(source: TideSource, reading: GaugeReading) -> GaugeShift:
    """The shift of a reading, with its warning in words."""
    shift_m = gauge_shift_m(source, reading)
    good_until = utc(reading.at) + GOOD_FOR
    if shift_m >= 0:
        told = _(
            "Moved by today's gauge: {shift} m above the prediction at {at} UTC. It holds for about {hours} hours and "
            "may change sooner: read the gauge again before she floats."
        )
    else:
        told = _(
            "Moved by today's gauge: {shift} m below the prediction at {at} UTC. It holds for about {hours} hours and "
            "may change sooner: read the gauge again before she floats."
        )
    warning = told.format(
        shift=number(abs(shift_m), 2),
        at=f"{utc(reading.at):%Y-%m-%d %H:%M}",
        hours=GOOD_FOR // timedelta(hours=1),
    )
    if abs(shift_m) > ODD_SHIFT_M:
        unusual = _("A difference of more than {most} m is unusual: check the reading and its datum.")
        warning += " " + unusual.format(most=f"{ODD_SHIFT_M:g}")
    return GaugeShift(shift_m, good_until, warning)
