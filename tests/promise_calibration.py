"""python -m tests.promise_calibration PROBLEM PLAN [PROBLEM PLAN ...] --out yard/promise/calibration.json

The calibration table of the promise: of dates given at 90 in 100, how many are kept in fresh seasons drawn from the
promise's own doubt and in plainly wrong worlds, by group; and how far the day at 90 of each date of the first season
lies from that of exact dispatch, every job tried in every quarter by a second program.  Plans of season M come from
`python -m tests.seasons`; some ten seconds of one core for each, and three minutes for the second program.
"""

from __future__ import annotations

import argparse
import json
from pathlib import Path

import numpy as np

from tests.promise.naive_dispatch import naive_life
from yard.planning.plan import read_plan_json
from yard.planning.problem import read_problem_json
from yard.promise.bench import WRONG_WORLDS, kept_at_90
from yard.promise.draws import BELIEVED, Chance, Doubt
from yard.promise.guess import guessed_about
from yard.promise.odds import Simulator, day_at
from yard.promise.of_plan import planned_season
from yard.promise.season import PlannedSeason
from yard.weather.climate import read_half_day_climate

EXACT_SCENARIOS = 100
CLIMATE = Path("fixtures/climate/half_day.json")


def season_of(problem: Path, plan: Path) -> PlannedSeason:
    read, laid = read_problem_json(problem.read_bytes()), read_plan_json(plan.read_bytes())
    return planned_season(read, laid, guessed_about(read, laid, read_half_day_climate(CLIMATE.read_bytes()))).season


def table(seasons: list[PlannedSeason], scenarios: int) -> dict[str, dict[str, float]]:
    """Shares kept by world, each the mean over the seasons; least: of one milestone of any season."""
    found: dict[str, dict[str, float]] = {}
    for name, world in {"as believed": BELIEVED, **WRONG_WORLDS}.items():
        kept = [kept_at_90(each, scenarios=scenarios, seed=1, backend="numba", world=world) for each in seasons]
        groups = {group for each in kept for group in each.groups}
        found[name] = {
            "mean": round(float(np.mean([each.mean for each in kept])), 3),
            "lowest season": round(min(each.mean for each in kept), 3),
            "highest season": round(max(each.mean for each in kept), 3),
            "least of one date": round(min(each.least for each in kept), 3),
            **{
                f"{group}, lowest": round(min(each.groups[group] for each in kept if group in each.groups), 3)
                for group in sorted(groups)
            },
        }
    return found


def against_exact(season: PlannedSeason, scenarios: int) -> dict[str, float]:
    """Days by which the day at 90 of each milestone differs from that of exact job-by-job dispatch."""
    drawn = Chance(season, Doubt()).block(1, 0, scenarios)
    ours, _ = Simulator(season, doubt=Doubt(), backend="numba").run(seed=1, scenarios=scenarios)
    days = []
    for number in range(scenarios):
        lengths = drawn.lengths[number].tolist()
        starts, ends = naive_life(season, lengths, drawn.weather[number].tolist())
        days.append([_day(season, mark.at_start, starts[mark.job], ends[mark.job]) for mark in season.milestones])
    exact = np.array(days)
    differ = [abs(day_at(exact[:, n], 0.9) - day_at(ours[:, n], 0.9)) for n in range(len(season.milestones))]
    return {
        "jobs": len(season.jobs),
        "scenarios": scenarios,
        "dates": len(differ),
        "mean days": float(np.mean(differ)),
        "most": max(differ),
        "days of one scenario that differ": int((exact != ours).sum()),
    }


def _day(season: PlannedSeason, at_start: bool, start: int | None, end: int) -> int:
    """The axis day of a milestone; `days` for one beyond the axis."""
    at = season.axis.size if start is None else start if at_start else end - 1
    return min(at // season.axis.quarters_per_day, season.axis.days)


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("files", nargs="+", type=Path)
    parser.add_argument("--scenarios", type=int, default=1000)
    parser.add_argument("--out", type=Path, required=True)
    given = parser.parse_args()
    pairs = list(zip(given.files[::2], given.files[1::2], strict=True))
    seasons = [season_of(problem, plan) for problem, plan in pairs]
    figures = {
        "of": f"{len(seasons)} generated seasons, {given.scenarios} scenarios to give the dates and as many fresh ones",
        "jobs": [len(each.jobs) for each in seasons],
        "dates": [len(each.milestones) for each in seasons],
        "kept of dates given at 90 in 100": table(seasons, given.scenarios),
        "day at 90 against exact dispatch": against_exact(seasons[0], EXACT_SCENARIOS),
    }
    given.out.write_text(json.dumps(figures, indent=1) + "\n")
    print(json.dumps(figures, indent=1))


if __name__ == "__main__":
    main()
