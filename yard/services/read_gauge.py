"""What somebody read off the yard's own gauge: kept with who and when, and taken back if it was a slip."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.contrib.auth.models import User
from django.utils.translation import gettext as _

from yard.models import GaugeReading
from yard.speech import number

FARTHEST_M = 3.0
"""A reading farther from the prediction is a slip of the pen or of the unit (common practice)."""
MAY_TAKE_BACK = timedelta(hours=24)


class GaugeRefused(Exception):
    """The reading was not kept; the text says why and what to do."""


def keep_reading(observed_m: float, *, predicted_m: float, at: datetime, by: User, note: str = "") -> GaugeReading:
    """Keep the water as read, metres above the station's datum. Raises GaugeRefused."""
    if abs(observed_m - predicted_m) > FARTHEST_M:
        raise GaugeRefused(
            _(
                "The reading is {difference} m from the prediction: read the gauge again, and look "
                "at the unit and at the gauge's zero."
            ).format(difference=number(abs(observed_m - predicted_m), 1))
        )
    return GaugeReading.objects.create(
        at=at, observed_m_above_datum=observed_m, predicted_m_above_datum=predicted_m, read_by=by, note=note
    )


def take_back(reading: GaugeReading, *, now: datetime) -> None:
    """Remove a reading of the last day that no boat's floating rests on. Raises GaugeRefused."""
    if reading.boat_id is not None:
        raise GaugeRefused(_("A boat really floated at this reading: it stays as her own level."))
    if now - reading.at > MAY_TAKE_BACK:
        raise GaugeRefused(_("This reading is more than a day old: it moves nothing any more and stays in the record."))
    reading.delete()
