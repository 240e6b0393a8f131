"""slides: a person's day slides for a tide only so far, so long and so often a week.

How far is in the person's hours (`hours.PersonHours.with_slides`); here stand how long and how often.
"""

from __future__ import annotations

from dataclasses import dataclass

from ortools.sat.python import cp_model

from yard.planning.cpsat.axis import positions
from yard.planning.cpsat.hours import PersonHours, all_hours
from yard.planning.cpsat.season import JobVars, Mode, Season
from yard.planning.problem import QUARTER_MIN, Pin, Slide


@dataclass
class _Day:
    """One person's day: booked within [first, stop), slid or not."""

    first: cp_model.IntVar
    stop: cp_model.IntVar
    slid: cp_model.IntVar


def post(season: Season) -> None:
    for person, hours in enumerate(all_hours(season)):
        slide = hours.person.slide
        jobs = [
            (row, mode, mode.booked[person]) for row in season.unpinned for mode in row.modes if person in mode.booked
        ]
        pins = [pin for pin in season.problem.pins if person in pin.people]
        if slide is None or not jobs or not (any(mode.way.slides for _, mode, _ in jobs) or pins):
            continue
        days = _days(season, person, hours, slide, pins)
        for row, mode, booked in jobs:
            if row.job.pausing == "paused":
                _paused_inside(season, days, row, mode, booked)
            else:
                _fitted_inside(season, hours, days, row, mode, booked)


def _days(season: Season, person: int, hours: PersonHours, slide: Slide, pins: list[Pin]) -> list[_Day]:
    model, per_day = season.model, season.axis.per_day
    booked = 0
    for pin in pins:
        booked |= _booked_by_pin(season, pin)
    days = []
    weeks: dict[int, list[_Day]] = {}
    pinned_slides: dict[int, int] = {}
    for number in range(season.axis.days):
        begins, ends = number * per_day, (number + 1) * per_day
        first = model.new_int_var(begins, ends, f"person {person} begins day {number}")
        stop = model.new_int_var(begins, ends, f"person {person} ends day {number}")
        day = _Day(first, stop, model.new_bool_var(f"person {person} slides day {number}"))
        span = hours.day_minutes(number)
        allowed = (slide.span_min if span is None else span[1] - span[0]) // QUARTER_MIN
        today = positions(booked & season.axis.day(number)) if booked & season.axis.day(number) else []
        if today:
            model.add(first <= today[0])
            model.add(stop >= today[-1] + 1)
            allowed = max(allowed, today[-1] + 1 - today[0])
        model.add(stop - first <= allowed)
        week = season.problem.calendar.weeks[number] if season.problem.calendar.weeks else 0
        weeks.setdefault(week, []).append(day)
        if booked & season.axis.day(number) & ~hours.normal:
            model.add_bool_or([day.slid])
            pinned_slides[week] = pinned_slides.get(week, 0) + 1
        days.append(day)
    for week, rows in weeks.items():
        most = max(slide.days_per_week, pinned_slides.get(week, 0))
        model.add(cp_model.LinearExpr.sum([day.slid for day in rows]) <= most)
    return days


def _booked_by_pin(season: Season, pin: Pin) -> int:
    span = ((1 << (pin.ends_at - pin.starts_at)) - 1) << pin.starts_at
    pausing = season.problem.jobs[pin.job].pausing
    if pausing == "elapsed":
        return 0
    if pausing == "paused":
        for person in pin.people:
            span &= season.axis.inside(season.problem.people[person].hours)
    return span


def _fitted_inside(
    season: Season, hours: PersonHours, days: list[_Day], row: JobVars, mode: Mode, booked: cp_model.IntVar
) -> None:
    model = season.model
    in_hours = season.clear_of(mode, season.axis.full & ~hours.normal)
    for number, on_day in season.on_day(row, "start").items():
        day = days[number]
        season.when(model.add(day.first <= row.start), booked, on_day)
        season.when(model.add(day.stop >= mode.end), booked, on_day)
        today = season.axis.day(number)
        if mode.way.slides and mode.starts & today & ~in_hours:
            season.within(row.start, in_hours & today, booked, on_day, ~day.slid)


def _paused_inside(season: Season, days: list[_Day], row: JobVars, mode: Mode, booked: cp_model.IntVar) -> None:
    """A paused job's quarters lie in normal hours; on its first and last day they count into the day's length."""
    model = season.model
    last_days = season.on_day(row, "end")
    for number, on_day in season.on_day(row, "start").items():
        season.when(model.add(days[number].first <= row.start), booked, on_day)
        today = mode.counted & season.axis.day(number)
        ends_today = last_days.get(number)
        if today and ends_today is not None:
            goes_on = (booked, on_day, ~ends_today, mode.literal)
            season.when(model.add(days[number].stop >= positions(today)[-1] + 1), *goes_on)
        elif today:
            season.when(model.add(days[number].stop >= positions(today)[-1] + 1), booked, on_day)
    first_days = season.on_day(row, "start")
    for number, on_day in last_days.items():
        season.when(model.add(days[number].stop >= mode.end), booked, on_day)
        today = mode.counted & season.axis.day(number)
        began_today = first_days.get(number)
        if today:
            went_on = [booked, on_day] + ([] if began_today is None else [~began_today])
            season.when(model.add(days[number].first <= positions(today)[0]), *went_on)
