"""What a placement breaks and by how much, on the yard's clock and in its own unit."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

from django.utils.translation import gettext as _

from yard.day_names import said
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
        words = _("{boat} passes under with at most {needed} {unit} at {time}; {by} {unit} too high")
    else:
        words = _("{boat} needs {needed} {unit} at {time}; the tide is predicted at {there} {unit}: {by} {unit} short")
    return words.format(
        boat=fault.boat,
        needed=height_text(needed),
        there=height_text(there),
        unit=unit,
        time=said(at, "D H:i"),
        by=by,
    )


def length_words(minutes: int) -> str:
    """ "45 min", "3 h", "1 h 15", "2 days" """
    if minutes >= 2 * 1440:
        return _("{n} days").format(n=f"{minutes / 1440:.0f}")
    hours, rest = divmod(minutes, 60)
    if not hours:
        return f"{rest} min"
    return f"{hours} h {rest:02}" if rest else f"{hours} h"


def at_words(minute: int, read: ReadProblem) -> str:
    return said(local(read.axis.timeline.instant_of(minute)), "D j M H:i")


def _amount(breach: Breach, read: ReadProblem, plan: Plan) -> str:
    numbers = {name: value for name, value in breach.numbers.items() if isinstance(value, int)}
    starts = numbers.get("starts_minute", 0)
    match breach.rule:
        case "release" if "not_before_minute" in numbers:
            first = numbers["not_before_minute"]
            return _not_before(first, starts, read)
        case "release" if "not_after_minute" in numbers:
            last = numbers["not_after_minute"]
            return _not_after(last, starts, read)
        case "waits" if "earliest_minute" in numbers:
            first = numbers["earliest_minute"]
            return _not_before(first, starts, read)
        case "waits" if "latest_minute" in numbers:
            last = numbers["latest_minute"]
            return _not_after(last, starts, read)
        case "hours":
            return _outside(read.problem.people[numbers["person"]].hours, starts, numbers["ends_minute"])
        case "slides" if "booked_min" in numbers:
            return _("{length} too long").format(length=length_words(numbers["booked_min"] - numbers["allowed_min"]))
        case "slides":
            off = numbers.get("too_early_min", 0) or numbers.get("too_late_min", 0)
            return _("{length} beyond the slide allowed").format(length=length_words(off)) if off else ""
        case "windows" if breach.job is not None:
            return _off_window(breach, read, plan.by_job().get(breach.job))
        case "closed":
            return _closed_until(numbers["place"], numbers["closed_minute"], read)
        case "double_booking" | "places" | "boat" if "other_job" in numbers:
            other = plan.by_job().get(numbers["other_job"])
            return "" if other is None else _("until {time}").format(time=_end_words(other, read))
    return ""


def _not_before(first: int, starts: int, read: ReadProblem) -> str:
    words = _("not before {time}, {length} too soon")
    return words.format(time=at_words(first, read), length=length_words(first - starts))


def _not_after(last: int, starts: int, read: ReadProblem) -> str:
    words = _("not after {time}, {length} too late")
    return words.format(time=at_words(last, read), length=length_words(starts - last))


def _end_words(row: Placement, read: ReadProblem) -> str:
    return said(local(read.axis.timeline.ends_at(row.ends_at)), "D j M H:i")


def _outside(hours: Sequence[Minutes], starts: int, ends: int) -> str:
    """How many minutes of the job lie outside of a person's hours."""
    inside = sum(max(0, min(ends, b) - max(starts, a)) for a, b in hours)
    if inside >= ends - starts:
        return ""
    return _("{length} of it outside").format(length=length_words(ends - starts - inside))


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
        return _("no stretch is long enough")
    least, shift = min(shifts)
    quarters = -(-least // QUARTER_MIN) * QUARTER_MIN
    words = _("{length} later it would") if shift > 0 else _("{length} earlier it would")
    return words.format(length=length_words(quarters))


def _closed_until(place: int, minute: int, read: ReadProblem) -> str:
    shut = next((b for a, b in read.problem.places[place].closed if a <= minute < b), None)
    return _("until {time}").format(time=at_words(shut, read)) if shut is not None else ""


def span_words(row: Placement, read: ReadProblem) -> str:
    """ "Fri 7 May 08:00 to 10:30" """
    starts = local(read.axis.timeline.starts_at(row.starts_at))
    ends = local(read.axis.timeline.ends_at(row.ends_at))
    same_day = ends - starts < timedelta(hours=24) and ends.date() == starts.date()
    end = said(ends, "H:i" if same_day else "D j M H:i")
    return _("{first} to {last}").format(first=said(starts, "D j M H:i"), last=end)
