"""Seasons harder than the generator's own, from the same boats, jobs and people.

fuller       loaded to 0.97 of the tightest skills instead of 0.90 (the generator judges these too)
wetter       every third of the dry days is lost as well
evening      springs at 05:00 and 17:30 and a yard awake from 05:00 to 20:30: people work 8 of these hours and slide
             two days a week for a tide; a launched boat lies at one of a few berths until she is delivered; one
             trailer takes her to the ramp
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from tests import season_generator as generator
from tests.seasons import EPOCH, Season, problem_of
from yard.planning.problem import Calendar, Job, Minutes, Person, Place, PlaceNeed, Problem, Slide, Stay
from yard.planning.problem import WindowSet as Windows

HARDER_LOST = 3  # every third dry day
FULLER_LOAD = 0.97
EVENING_LOAD = 0.95  # with tides at the ends of the day, and berths, even this leaves boats late
SPRINGS_AT_H = 5.25  # where the sun's tide peaks: springs are high water at 05:15 and 17:30, a lunar half-day later
WAKES_MIN, QUARTERS = 5 * 60, 62  # 05:00 to 20:30
WORKS_FROM_MIN, WORKS_UNTIL_MIN = 8 * 60, 16 * 60
SLIDE = Slide(early_min=180, late_min=240, days_per_week=2, span_min=8 * 60)
TRAILER_BACK_QUARTERS = 2  # from the ramp to the yard


def fuller(size: str, seed: int) -> Season:
    return generator.season(size, seed=seed, load=FULLER_LOAD)


def wetter(problem: Problem) -> Problem:
    """The same season without every third of its dry days."""

    def fewer(row: Windows) -> Windows:
        if row.rule != "weather":
            return row
        return replace(row, intervals=tuple(s for n, s in enumerate(row.intervals) if n % HARDER_LOST))

    return replace(problem, window_sets=tuple(fewer(row) for row in problem.window_sets))


def evening(size: str, seed: int, *, berths: int, load: float = EVENING_LOAD) -> Problem:
    """The season with its springs at the ends of the day, berths by night and one trailer."""
    season = generator.season(size, seed=seed, load=load)
    phases = list(season["tide_phases"])
    phases[1] = math.radians(30 * SPRINGS_AT_H) % (2 * math.pi)
    plain = problem_of(season)
    starts = tuple(day * 1440 + WAKES_MIN for day in season["calendar"])
    hours = np.array([[(start + 15 * quarter) / 60 for quarter in range(QUARTERS + 1)] for start in starts])
    heights = generator.tide(hours, phases)
    ramp = next(n for n, place in enumerate(plain.places) if place.name == "ramp")
    trailer, berth = len(plain.places), len(plain.places) + 1
    jobs = tuple(_job(job, ramp, trailer) for job in plain.jobs)
    return replace(
        plain,
        calendar=Calendar(
            epoch=EPOCH,
            quarters_per_day=QUARTERS,
            day_starts=starts,
            weeks=tuple(day // 7 for day in season["calendar"]),
            opens_quarter=(WORKS_FROM_MIN - WAKES_MIN) // 15,
            closes_quarter=(WORKS_UNTIL_MIN - WAKES_MIN) // 15,
        ),
        people=tuple(_person(person, season["calendar"]) for person in plain.people),
        places=(
            *plain.places,
            Place(key="trailer", name="trailer", capacity=1),
            Place(key="berth", name="berth", capacity=berths),
        ),
        window_sets=tuple(_windows(row, season, starts, heights) for row in plain.window_sets),
        jobs=jobs,
        stays=_stays(jobs, berth),
    )


def _job(job: Job, ramp: int, trailer: int) -> Job:
    way = job.ways[0]
    if not any(need.any_of == (ramp,) for need in way.places) and job.name != "deliver":
        return replace(job, pausing="elapsed") if job.name == "dry" else job
    places = way.places
    if job.name == "launch":
        places = (*places, PlaceNeed(any_of=(trailer,)))
    way = replace(way, places=places, slides=True, place_extra_quarters=TRAILER_BACK_QUARTERS)
    return replace(job, ways=(way,), needs_boat=True)


def _person(person: Person, calendar: list[int]) -> Person:
    """Eight hours each day; leave stays as it is (whole days, and the afternoons of whoever has only mornings)."""
    hours = tuple((day * 1440 + WORKS_FROM_MIN, day * 1440 + WORKS_UNTIL_MIN) for day in calendar)
    away = tuple(
        (start // 1440 * 1440 + WAKES_MIN, start // 1440 * 1440 + WAKES_MIN + QUARTERS * 15)
        if end - start == 8 * 60
        else (start, start // 1440 * 1440 + WAKES_MIN + QUARTERS * 15)
        for start, end in person.away
    )
    return replace(person, hours=hours, away=away, slide=SLIDE)


def _windows(row: Windows, season: Season, starts: tuple[int, ...], heights: np.ndarray) -> Windows:
    match row.rule:
        case "weather":
            dry = {start // 1440 for start, _end in row.intervals}
            kept = (start for start in starts if start // 1440 in dry)
            return replace(row, intervals=tuple((start, start + QUARTERS * 15) for start in kept))
        case "light":
            return replace(row, intervals=tuple(_light(season, start) for start in starts))
        case _:
            return replace(row, intervals=_water(starts, heights, float(row.key.split()[1])))


def _light(season: Season, start: int) -> Minutes:
    """Sunrise to sunset at 41.5 N in solar time, as the generator has it, without its ends at 8 h and 16 h."""
    day = season["start_day_of_year"] + start // 1440
    declination = math.radians(-23.44) * math.cos(2 * math.pi * (day + 10) / 365)
    half_h = math.degrees(math.acos(-math.tan(math.radians(41.5)) * math.tan(declination))) / 15
    first = max(WAKES_MIN, math.ceil((12 - half_h) * 4) * 15)
    last = min(WAKES_MIN + QUARTERS * 15, math.floor((12 + half_h) * 4) * 15)
    midnight = start - WAKES_MIN
    return midnight + first, midnight + last


def _water(starts: tuple[int, ...], heights: np.ndarray, height_m: float) -> tuple[Minutes, ...]:
    """Quarters with water at both edges, joined."""
    enough = (heights[:, :-1] >= height_m) & (heights[:, 1:] >= height_m)
    edges = np.diff(np.pad(enough.astype(int), ((0, 0), (1, 1))), axis=1)
    firsts, lasts = np.argwhere(edges == 1), np.argwhere(edges == -1)
    return tuple(
        (starts[day] + 15 * int(first), starts[day] + 15 * int(last))
        for (day, first), (_day, last) in zip(firsts.tolist(), lasts.tolist(), strict=True)
    )


def _stays(jobs: tuple[Job, ...], berth: int) -> tuple[Stay, ...]:
    launched = {job.boat: number for number, job in enumerate(jobs) if job.name == "launch"}
    return tuple(
        Stay(boat=job.boat, any_of=(berth,), from_job=launched[job.boat], until_job=number)
        for number, job in enumerate(jobs)
        if job.name == "deliver"
    )
