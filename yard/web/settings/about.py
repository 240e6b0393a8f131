"""What is said beside each setting: where its default comes from, and what it changes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.utils.translation import gettext_lazy as _

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

NO_SOURCE = _("the yard's own")


@dataclass(frozen=True)
class About:
    """default: in words, empty where there is none. unit: in letters, or HEIGHT or DAYS, which `unit_said` says."""

    label: StrOrPromise
    effect: StrOrPromise
    default: StrOrPromise = ""
    source: StrOrPromise = NO_SOURCE
    unit: str = ""


GROUPS: tuple[tuple[StrOrPromise, tuple[str, ...]], ...] = (
    (_("The yard"), ("name", "phone", "email", "address", "time_zone", "latitude", "longitude", "units")),
    (
        _("Tide and water"),
        (
            "tide_station",
            "ramp_time_min",
            "ramp_height_m",
            "ramp_ratio",
            "mooring_field_time_min",
            "mooring_field_height_m",
            "mooring_field_ratio",
            "ramp_toe_m_above_datum",
            "trailer_height_m",
            "margin_rising_m",
            "margin_falling_m",
        ),
    ),
    (_("Light and hours"), ("light_rule", "light_margin_min", "duration_factor")),
    (
        _("Telling owners"),
        (
            "final_call_time",
            "day_told_days_before",
            "firm_told_hours_before",
            "answers_chased_after_days",
            "tells_odds",
        ),
    ),
)

HEIGHT, DAYS = "height", "days"
CP = _("common practice")
MARGIN = _("common practice; under-keel clearance has no universal rule (careful tidal work gives about 1 ft)")

ABOUT: dict[str, About] = {
    "name": About(_("Name"), _("Stands at the head of every page, letter and calendar.")),
    "phone": About(_("Phone"), _("Owners and crews read it where something is doubtful.")),
    "email": About(_("E-mail"), _("Stands in letters and calendars.")),
    "address": About(_("Address"), _("Stands in letters.")),
    "time_zone": About(
        _("Time zone"), _("Every clock time that people read and type."), "UTC", _("IANA time zone names")
    ),
    "latitude": About(_("Latitude"), _("Sunrise and sunset, and which tide stations are near; north is positive.")),
    "longitude": About(_("Longitude"), _("As latitude; west is negative.")),
    "units": About(_("Units"), _("Heights, drafts and lengths on pages and in what is typed."), _("feet")),
    "tide_station": About(
        _("Tide station"),
        _("All predicted water. A station's number, or a file of constants or of an official table."),
        source=_("NOAA CO-OPS harmonic constants, shipped with the program"),
    ),
    "ramp_time_min": About(
        _("Ramp: later by"),
        _("Carries the station's tide to the ramp. Compare with a typed table below the form before you trust it."),
        "0",
        unit="min",
    ),
    "ramp_height_m": About(_("Ramp: higher by"), _("Added after the ratio."), "0", unit=HEIGHT),
    "ramp_ratio": About(_("Ramp: ratio of heights"), _("Multiplies the station's heights."), "1"),
    "mooring_field_time_min": About(
        _("Moorings: later by"), _("Carries the tide to the mooring field."), "0", unit="min"
    ),
    "mooring_field_height_m": About(_("Moorings: higher by"), _("Added after the ratio."), "0", unit=HEIGHT),
    "mooring_field_ratio": About(_("Moorings: ratio of heights"), _("Multiplies the station's heights."), "1"),
    "ramp_toe_m_above_datum": About(
        _("Toe of the ramp, above datum"),
        _("Toe + trailer + draft + margin is the water that floats her off. Empty: nothing is launched by plan."),
        unit=HEIGHT,
    ),
    "trailer_height_m": About(_("Trailer height"), _("As the toe: from the ramp to the keel."), "0", unit=HEIGHT),
    "margin_rising_m": About(
        _("Margin, rising tide"), _("Water asked for under her on a rising tide."), _("1.0 ft"), MARGIN, HEIGHT
    ),
    "margin_falling_m": About(_("Margin, falling tide"), _("The same on a falling tide."), _("1.5 ft"), MARGIN, HEIGHT),
    "light_rule": About(
        _("Working light"),
        _("Outdoor jobs that need light lie inside it."),
        _("sunrise to sunset"),
        CP,
    ),
    "light_margin_min": About(
        _("Light: longer by"), _("Minutes at both ends; negative shortens the day."), "0", unit="min"
    ),
    "duration_factor": About(
        _("Hours booked per median hour"),
        _("Every fitted and bench job is booked so much longer; launches and drying keep their times."),
        "1.1",
        _("about the 60th percentile of a lognormal scatter of 0.35, computed for this project"),
    ),
    "final_call_time": About(_("Final call at"), _("In the last yard hour before the day in question."), "16:00", CP),
    "day_told_days_before": About(_("A day is told"), _("Days before it, with tide and reserve day."), "14", CP, DAYS),
    "firm_told_hours_before": About(
        _("Firm is told"), _("Hours before it, or a weather hold."), "48", _("club launch rules"), "h"
    ),
    "answers_chased_after_days": About(
        _("An answer is asked for again"),
        _("Days without an answer to a letter that asks for one."),
        "14",
        CP,
        DAYS,
    ),
    "tells_odds": About(_("Owners read odds"), _("Their page says “about 9 in 10” beside the day."), _("off")),
}


def unit_said(about: About, height_unit: str) -> str:
    """What stands behind the figure; of a height the yard's own unit."""
    return {HEIGHT: height_unit, DAYS: str(_("days"))}.get(about.unit, about.unit)
