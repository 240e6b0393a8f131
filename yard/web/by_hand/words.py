"""What a placement breaks and by how much, on the yard's clock and in its own unit."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

from yard.models import YardSettings
from yard.pictures.lettering import height_text
from yard.planning.check import Breach
from yard.planning.plan import Placement, Plan
from yard.planning.problem import QUARTER_MIN, Minutes
from yard.services.check_water import WaterFault
from yard.services.read_problem import ReadProblem
from yard.web.units import height, height_unit, local


def breach_words(breach: Breach, read: ReadProblem, plan: Plan) -> str:
    """ "Launch (Tern): starts before it may; not before Fri 7 May 08:00, 3 h too soon" """
    more = _amount(breach, read, plan)
    return f"{breach.message}; {more}" if more else breach.message


def water_words(fault: WaterFault, yard: YardSettings) -> str:
    """ "Tern needs 7.4 ft at 10:15; the tide is predicted at 6.9 ft: 0.5 ft short" """
    unit, at = height_unit(yard), local(fault.at)
    needed, there = height(fault.needed_m, yard), height(fault.height_m, yard)
    by = height_text(abs(needed - there))
    if fault.rule == "under":
        most = f"at most {height_text(needed)} {unit} at {at:%a %H:%M}"
        return f"{fault.boat} passes under with {most}; {by} {unit} too high"
    return (
        f"{fault.boat} needs {height_text(needed)} {unit} at {at:%a %H:%M}; the tide is predicted at"
        f" {height_text(there)} {unit}: {by} {unit} short"
    )


def length_words(minutes: int) -> str:
    """ "45 min", "3 h", "1 h 15", "2 days" """
    if minutes >= 2 * 1440:
        return f"{minutes / 1440:.0f} days"
    hours, rest = divmod(minutes, 60)
    if not hours:
        return f"{rest} min"
    return f"{hours} h {rest:02}" if rest else f"{hours} h"


def at_words(minute: int, read: ReadProblem) -> str:
    at = local(read.axis.timeline.instant_of(minute))
    return f"{at:%a} {at.day} {at:%b} {at:%H:%M}"


def _amount(breach: Breach, read: ReadProblem, plan: Plan) -> str:
    numbers = {name: value for name, value in breach.numbers.items() if isinstance(value, int)}
    starts = numbers.get("starts_minute", 0)
    match breach.rule:
        case "release" if "not_before_minute" in numbers:
            first = numbers["not_before_minute"]
            return f"not before {at_words(first, read)}, {length_words(first - starts)} too soon"
        case "release" if "not_after_minute" in numbers:
            last = numbers["not_after_minute"]
            return f"not after {at_words(last, read)}, {length_words(starts - last)} too late"
        case "waits" if "earliest_minute" in numbers:
            first = numbers["earliest_minute"]
            return f"not before {at_words(first, read)}, {length_words(first - starts)} too soon"
        case "waits" if "latest_minute" in numbers:
            last = numbers["latest_minute"]
            return f"not after {at_words(last, read)}, {length_words(starts - last)} too late"
        case "hours":
            return _outside(read.problem.people[numbers["person"]].hours, starts, numbers["ends_minute"])
        case "slides" if "booked_min" in numbers:
            return f"{length_words(numbers['booked_min'] - numbers['allowed_min'])} too long"
        case "slides":
            off = numbers.get("too_early_min", 0) or numbers.get("too_late_min", 0)
            return f"{length_words(off)} beyond the slide allowed" if off else ""
        case "windows" if breach.job is not None:
            return _off_window(breach, read, plan.by_job().get(breach.job))
        case "closed":
            return _closed_until(numbers["place"], numbers["closed_minute"], read)
        case "double_booking" | "places" | "boat" if "other_job" in numbers:
            other = plan.by_job().get(numbers["other_job"])
            return "" if other is None else f"until {_end_words(other, read)}"
    return ""


def _end_words(row: Placement, read: ReadProblem) -> str:
    at = local(read.axis.timeline.ends_at(row.ends_at))
    return f"{at:%a} {at.day} {at:%b} {at:%H:%M}"


def _outside(hours: Sequence[Minutes], starts: int, ends: int) -> str:
    """How many minutes of the job lie outside of a person's hours."""
    inside = sum(max(0, min(ends, b) - max(starts, a)) for a, b in hours)
    return f"{length_words(ends - starts - inside)} of it outside" if inside < ends - starts else ""


def _off_window(breach: Breach, read: ReadProblem, placed: Placement | None) -> str:
    """How far the job would have to move to lie inside, by the nearest stretch that is long enough."""
    starts, ends = int(breach.numbers["starts_minute"]), int(breach.numbers["ends_minute"])
    if placed is None or breach.job is None:
        return ""
    sets = [read.problem.window_sets[one.window_set] for one in read.problem.jobs[breach.job].ways[placed.way].inside]
    shifts = [
        (abs(shift), shift)
        for one in sets
        if one.rule == breach.numbers.get("window")
        for a, b in one.intervals
        if b - a >= ends - starts and (shift := (a - starts if starts < a else min(0, b - ends)))
    ]
    if not shifts:
        return "no stretch is long enough"
    least, shift = min(shifts)
    quarters = -(-least // QUARTER_MIN) * QUARTER_MIN
    return f"{length_words(quarters)} {'later' if shift > 0 else 'earlier'} it would"


def _closed_until(place: int, minute: int, read: ReadProblem) -> str:
    shut = next((b for a, b in read.problem.places[place].closed if a <= minute < b), None)
    return f"until {at_words(shut, read)}" if shut is not None else ""


def span_words(row: Placement, read: ReadProblem) -> str:
    """ "Fri 7 May 08:00 to 10:30" """
    starts = local(read.axis.timeline.starts_at(row.starts_at))
    ends = local(read.axis.timeline.ends_at(row.ends_at))
    end = (
        f"{ends:%H:%M}"
        if ends - starts < timedelta(hours=24) and ends.date() == starts.date()
        else f"{ends:%a} {ends.day} {ends:%b} {ends:%H:%M}"
    )
    return f"{starts:%a} {starts.day} {starts:%b} {starts:%H:%M} to {end}"
