"""What is said beside each setting: where its default comes from, and what it changes."""

from __future__ import annotations

from dataclasses import dataclass

NO_SOURCE = "the yard's own"


@dataclass(frozen=True)
class About:
    """default: in words, empty where there is none. unit: "height" is read in the yard's unit."""

    label: str
    effect: str
    default: str = ""
    source: str = NO_SOURCE
    unit: str = ""


GROUPS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("The yard", ("name", "phone", "email", "address", "time_zone", "latitude", "longitude", "units")),
    (
        "Tide and water",
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
    ("Light and hours", ("light_rule", "light_margin_min", "duration_factor")),
    (
        "Telling owners",
        (
            "final_call_time",
            "day_told_days_before",
            "firm_told_hours_before",
            "answers_chased_after_days",
            "tells_odds",
        ),
    ),
)

OFFSET = "Compare with a typed table below the form before you trust it."
HEIGHT = "height"
CP = "common practice"
CLUBS = "launch rules of clubs"
MARGIN = "common practice; under-keel clearance has no universal rule (careful tidal work gives about 1 ft)"

ABOUT: dict[str, About] = {
    "name": About("Name", "Stands at the head of every page, letter and calendar."),
    "phone": About("Phone", "Owners and crews read it where something is doubtful."),
    "email": About("E-mail", "Stands in letters and calendars."),
    "address": About("Address", "Stands in letters."),
    "time_zone": About("Time zone", "Every clock time that people read and type.", "UTC", "IANA time zone names"),
    "latitude": About("Latitude", "Sunrise and sunset, and which tide stations are near; north is positive."),
    "longitude": About("Longitude", "As latitude; west is negative."),
    "units": About("Units", "Heights, drafts and lengths on pages and in what is typed.", "feet"),
    "tide_station": About(
        "Tide station",
        "All predicted water. A station's number, or a file of constants or of an official table.",
        source="NOAA CO-OPS harmonic constants, shipped with the program",
    ),
    "ramp_time_min": About("Ramp: later by", f"Carries the station's tide to the ramp. {OFFSET}", "0", unit="min"),
    "ramp_height_m": About("Ramp: higher by", "Added after the ratio.", "0", unit="height"),
    "ramp_ratio": About("Ramp: ratio of heights", "Multiplies the station's heights.", "1"),
    "mooring_field_time_min": About("Moorings: later by", "Carries the tide to the mooring field.", "0", unit="min"),
    "mooring_field_height_m": About("Moorings: higher by", "Added after the ratio.", "0", unit="height"),
    "mooring_field_ratio": About("Moorings: ratio of heights", "Multiplies the station's heights.", "1"),
    "ramp_toe_m_above_datum": About(
        "Toe of the ramp, above datum",
        "Toe + trailer + draft + margin is the water that floats her off. Empty: nothing is launched by plan.",
        unit="height",
    ),
    "trailer_height_m": About("Trailer height", "As the toe: from the ramp to the keel.", "0", unit="height"),
    "margin_rising_m": About(
        "Margin, rising tide", "Water asked for under her on a rising tide.", "1.0 ft", MARGIN, "height"
    ),
    "margin_falling_m": About("Margin, falling tide", "The same on a falling tide.", "1.5 ft", MARGIN, HEIGHT),
    "light_rule": About(
        "Working light", "Outdoor jobs that need light lie inside it.", "sunrise to sunset", "common practice"
    ),
    "light_margin_min": About("Light: longer by", "Minutes at both ends; negative shortens the day.", "0", unit="min"),
    "duration_factor": About(
        "Hours booked per median hour",
        "Every fitted and bench job is booked so much longer; launches and drying keep their times.",
        "1.1",
        "about the 60th percentile of a lognormal scatter of 0.35, computed for this project",
    ),
    "final_call_time": About(
        "Final call at", "In the last yard hour before the day in question.", "16:00", "common practice"
    ),
    "day_told_days_before": About(
        "A day is told", "Days before it, with tide and reserve day.", "14", "common practice", "days"
    ),
    "firm_told_hours_before": About(
        "Firm is told", "Hours before it, or a weather hold.", "48", "club launch rules", "h"
    ),
    "answers_chased_after_days": About(
        "An answer is asked for again", "Days without an answer to a letter that asks for one.", "14", CP, "days"
    ),
    "tells_odds": About("Owners read odds", "Their page says “about 9 in 10” beside the day.", "off"),
}
