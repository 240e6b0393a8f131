"""Small seasons for the promise."""

from __future__ import annotations

from typing import Any

import numpy as np

from yard.promise.backend import Backend
from yard.promise.draws import Block, Doubt
from yard.promise.hours import prior
from yard.promise.odds import Simulator
from yard.promise.season import Axis, HalfDays, Milestone, PlannedSeason, SeasonJob, Wait

CERTAIN = Doubt(season_log_sd=0.0, weather_sd=0.0, unknown_kind=prior(1e-7))
NEVER_LOST = ((0.0, 0.0), (0.0, 0.0))


def axis(days: int, per_day: int, *, midday: int = 0, month: int = 5) -> Axis:
    """Consecutive calendar days, or (one quarter a day) quarters that follow one another."""
    apart = 15 if per_day == 1 else 1440
    return Axis(
        quarters_per_day=per_day,
        day_starts=tuple(day * apart for day in range(days)),
        calendar_days=tuple(range(days)),
        months=(month,) * days,
        midday_quarter=(midday or per_day // 2,) * days,
        open_words=((1 << per_day) - 1,) * days,
        weeks=(0,) * days,
    )


def bench_job(name: str, booked: int = 1, **more: Any) -> SeasonJob:
    """Work that pauses, needs nobody and is planned at the beginning: it starts when what it waits for is done."""
    return SeasonJob(
        name=name, kind=name, planned=0, booked=booked, median_quarters=float(booked), pausing="paused", **more
    )


def network(predecessors: dict[str, str], days: int) -> PlannedSeason:
    """An activity network on an axis of one quarter a day, so that a day number is a length of time."""
    names = list(predecessors)
    ends = [name for name in names if not any(name in before for before in predecessors.values())]
    return PlannedSeason(
        axis=axis(days, 1),
        now=0,
        people=(),
        spots=(),
        boats=0,
        jobs=(*(bench_job(name) for name in names), bench_job("end")),
        waits=(
            *(
                Wait(before=names.index(before), after=number)
                for number, name in enumerate(names)
                for before in predecessors[name]
            ),
            *(Wait(before=names.index(name), after=len(names)) for name in ends),
        ),
        milestones=(Milestone(key="end", name="end", job=len(names), at_start=True),),
    )


def live(season: PlannedSeason, lengths: np.ndarray, backend: Backend = "numba") -> np.ndarray:
    """Days of the milestones with these lengths, (scenarios, jobs) in quarters: the dispatch alone, no chance."""
    simulator = Simulator(season, doubt=CERTAIN, backend=backend)
    words = np.full((len(lengths), len(season.weather), season.axis.days), (1 << season.axis.quarters_per_day) - 1)
    facts = np.zeros((len(lengths), len(season.facts)), dtype=np.int64)
    return simulator.live_through(Block(lengths=lengths, weather=words, facts=facts))[0]


def days_of_weather(workable_days: int, after_ok: float, after_lost: float, days: int) -> PlannedSeason:
    """Whole days of outdoor work one after another from tomorrow on; today is fair. A day is lost as a whole."""
    whole = ((after_ok, after_lost), (0.0, 1.0))  # the afternoon is as the morning was
    sky = HalfDays(name="sky", group=0, lost=(whole,) * 12, forecast=(0.0, 0.0))
    jobs = tuple(
        SeasonJob(name=f"day {n}", kind="day", planned=2, booked=2, median_quarters=2.0, weather=0)
        for n in range(workable_days)
    )
    return PlannedSeason(
        axis=axis(days, 2, midday=1),
        now=0,
        people=(),
        spots=(),
        boats=0,
        jobs=jobs,
        waits=tuple(Wait(before=n, after=n + 1) for n in range(workable_days - 1)),
        weather=(sky,),
        milestones=(Milestone(key="last", name="last", job=workable_days - 1, at_start=True),),
    )
