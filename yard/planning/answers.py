"""The answers of `bound`, `fit` and `back` as plain values for JSON."""

from __future__ import annotations

from typing import Any

from yard.planning.bound import lower_bound
from yard.planning.fit import Fit, Fitted, NewOrder, NoRoom, moving_others, without_moving
from yard.planning.plan import Plan, score
from yard.planning.problem import Problem
from yard.planning.progress import Stop
from yard.planning.ways_back import ways_back


def bound_answer(
    problem: Problem, *, stop: Stop, plan: Plan | None, seed: int, workers: int, backend: str | None
) -> dict[str, Any]:
    """bound: no plan costs less.  by, alone, prices, cpsat, rounds, seconds: see `bound.Bound`.

    With a plan also its cost, how many times the bound that is (`ratio`, null for a bound of 0), and `proved`.
    """
    known = None if plan is None else score(problem, plan).cost
    hint = None if plan is None or plan.left_out else plan
    found = lower_bound(problem, stop=stop, known=known, hint=hint, seed=seed, workers=workers, backend=backend)
    answer: dict[str, Any] = {
        "bound": found.cost,
        "by": found.by,
        "alone": found.alone,
        "prices": found.prices,
        "cpsat": found.cpsat,
        "rounds": found.rounds,
        "seconds": round(found.seconds, 2),
    }
    if known is not None:
        ratio = round(known / found.cost, 4) if found.cost else None
        answer |= {"cost": known, "ratio": ratio, "proved": found.proved}
    return answer


def fit_answer(
    problem: Problem, plan: Plan, new: NewOrder, *, stop: Stop, seed: int, backend: str | None
) -> dict[str, Any]:
    """Two answers, `nobody_moves` and `others_move`, each with

    fits; first_day, last_day (axis days) and, where the calendar names them, first_date, last_date; seconds;
    jobs: key, way, starts_at, ends_at (axis positions), people and places by key;
    moved: boat by key, jobs that have another day, days that her last day is later (0: as before; below: sooner).
    Where she does not fit: job, the one for which no room was found (null where it is not known).
    """
    with_others = moving_others(problem, plan, new, stop=stop, seed=seed, backend=backend)
    return {
        "nobody_moves": _fit(new, without_moving(problem, plan, new)),
        "others_move": _fit(new, with_others),
    }


def _fit(new: NewOrder, fit: Fit) -> dict[str, Any]:
    match fit:
        case NoRoom(job=job):
            return {"fits": False, "job": None if job is None else new.jobs[job].key, "seconds": round(fit.seconds, 3)}
        case Fitted():
            return _fitted(fit)


def _fitted(fit: Fitted) -> dict[str, Any]:
    problem, names = fit.problem, fit.problem.calendar.day_names
    order = len(problem.orders) - 1
    dates = {"first_date": names[fit.first_day], "last_date": names[fit.last_day]} if names else {}
    return {
        "fits": True,
        "first_day": fit.first_day,
        "last_day": fit.last_day,
        **dates,
        "jobs": [
            {
                "key": problem.jobs[row.job].key,
                "way": row.way,
                "starts_at": row.starts_at,
                "ends_at": row.ends_at,
                "people": [problem.people[person].key for person in row.people],
                "places": [problem.places[place].key for place, _unit in row.places],
            }
            for row in fit.plan.placements
            if problem.jobs[row.job].order == order
        ],
        "moved": [{"boat": problem.boats[row.boat].key, "jobs": row.jobs, "days": row.days} for row in fit.moved],
        "seconds": round(fit.seconds, 3),
    }


def back_answer(problem: Problem, plan: Plan, boat: int, *, seconds: float) -> dict[str, Any]:
    """ways: cheapest first; see `ways_back.WayBack`. People and boats by key."""
    return {
        "boat": problem.boats[boat].key,
        "ways": [
            {
                "kind": way.kind,
                "says": way.says,
                "gains_days": way.gains_days,
                "on_time": way.on_time,
                "days": list(way.days),
                "sooner_days": way.sooner_days,
                "minutes": way.minutes,
                "people": [problem.people[person].key for person in way.people],
                "boats": [
                    {"boat": problem.boats[other].key, "days_later": days, "on_time": kept}
                    for other, days, kept in way.boats
                ],
            }
            for way in ways_back(problem, plan, boat, within_s=seconds)
        ],
    }
