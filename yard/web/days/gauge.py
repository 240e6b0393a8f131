"""The gauge as people read it: a typed reading, and the windows of the hours for which it holds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

import numpy as np
from django.utils.translation import gettext as _
from numpy.typing import NDArray

from yard.day_names import said
from yard.models import GaugeReading, YardSettings
from yard.pictures.lettering import height_text
from yard.queries.accounts import called
from yard.queries.gauge import latest_reading
from yard.tides.gauge import GOOD_FOR, ODD_SHIFT_M, GaugeShift, gauge_shift
from yard.tides.gauge import GaugeReading as Seen
from yard.tides.source import TideSource
from yard.web.days.water import instants_of
from yard.web.units import height, height_unit, local, metres_of


@dataclass(frozen=True)
class GaugeNow:
    """A reading that still holds, its shift, and the warning in the yard's unit and hours."""

    row: GaugeReading
    shift: GaugeShift
    warning: str
    who: str


def gauge_now(source: TideSource, yard: YardSettings, *, now: datetime) -> GaugeNow | None:
    """The last reading of the hours for which one holds; None where there is none. One query."""
    row = latest_reading(now - GOOD_FOR, now)
    if row is None:
        return None
    shift = gauge_shift(source, Seen(row.at, row.observed_m_above_datum))
    unit, until = height_unit(yard), local(shift.good_until)
    moved = height_text(abs(height(shift.shift_m, yard)))
    read = _("The gauge read {height} {unit} at {time}, {moved} {unit} above the prediction.")
    if shift.shift_m < 0:
        read = _("The gauge read {height} {unit} at {time}, {moved} {unit} below the prediction.")
    seen = height_text(height(row.observed_m_above_datum, yard))
    end = said(until, "H:i")
    if until.date() != local(now).date():
        end = f"{said(until, 'D j')} {end}"
    warning = [
        read.format(height=seen, unit=unit, time=said(local(row.at), "H:i"), moved=moved),
        _(
            "Until about {time} windows are moved by that; it may change sooner, so read the gauge again before she"
            " floats."
        ).format(time=end),
    ]
    if abs(shift.shift_m) > ODD_SHIFT_M:
        warning.append(_("That much is unusual: look at the reading and at the gauge's zero."))
    return GaugeNow(row, shift, " ".join(warning), called(row.read_by))


def moved_heights(
    heights: NDArray[np.float64], minutes: Sequence[int], day: date, gauge: GaugeNow
) -> NDArray[np.float64]:
    """Heights in metres with the shift in the minutes for which it holds. Shape (minutes,)."""
    at = instants_of(day, minutes)
    holds = (gauge.row.at.timestamp() <= at) & (at < gauge.shift.good_until.timestamp())
    return heights + np.where(holds, gauge.shift.shift_m, 0.0)


def typed_height(text: str, yard: YardSettings) -> float | str:
    """Metres from what was typed in the yard's unit, or the words that say what is wrong with it."""
    unit = height_unit(yard)
    typed = text.strip().replace(",", ".").replace("−", "-").removesuffix("ft").removesuffix("m").strip()
    try:
        shown = float(typed)
    except ValueError:
        return _("“{text}” is no height: write a number of {unit}, such as 7.5.").format(text=text[:20], unit=unit)
    if not -50 < shown < 100:
        return _("A gauge reads between -50 and 100 {unit}.").format(unit=unit)
    return metres_of(shown, yard)
