"""python -m yard.promise odds | bench: the promise without a database, for a problem and a plan given as JSON.

`compile` turns it into machine code, which the first promise else waits for.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import cast

from yard.planning.plan import PlanInvalid, read_plan_json
from yard.planning.problem import Problem, ProblemInvalid, read_problem_json
from yard.promise import backend as backends
from yard.promise.bench import report
from yard.promise.guess import guessed_about
from yard.promise.odds import DEFAULT_SCENARIOS, SHARES, MilestoneOdds, odds
from yard.promise.of_plan import planned_season
from yard.promise.season import PlannedSeason, SeasonInvalid
from yard.speech import _, gettext_noop
from yard.weather.climate import ClimateNotRead, read_half_day_climate

CLIMATE = Path(__file__).parents[2] / "fixtures" / "climate" / "half_day.json"
GUESSED = gettext_noop(
    "kinds, hours and weather of the jobs are guessed from their names and windows (yard.promise.guess)"
)


class _BadInput(Exception):
    """One clear line for whoever typed the command."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Exit codes: 0 done, 2 bad input."""
    given = _parser().parse_args(arguments)
    run: Callable[[argparse.Namespace], int] = given.run
    try:
        return run(given)
    except _BadInput as error:
        print(f"yard.promise: {error}", file=sys.stderr)
        return 2


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m yard.promise", description="How sure is a plan, day by day?")
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    telling = commands.add_parser("odds", help="the day of each order and launch at 50, 80, 90 and 95 in 100")
    telling.set_defaults(run=_odds)
    measuring = commands.add_parser("bench", help="CPU seconds, and how often days given at 90 in 100 are kept")
    measuring.add_argument("--repeat", type=int, default=5)
    measuring.add_argument("--calibrate", action="store_true")
    measuring.set_defaults(run=_bench)
    compiling = commands.add_parser("compile", help="turn it into machine code, once after an installation")
    compiling.set_defaults(run=_compile)
    for command in (telling, measuring):
        command.add_argument("problem", type=Path)
        command.add_argument("plan", type=Path)
        command.add_argument("--scenarios", type=int, default=DEFAULT_SCENARIOS)
        command.add_argument("--seed", type=int, default=1)
        command.add_argument("--climate", type=Path, default=CLIMATE, help="half-day chains as JSON")
        command.add_argument("--backend", choices=("numba", "python"))
        command.add_argument("--json", action="store_true")
    return parser


def _compile(given: argparse.Namespace) -> int:
    del given
    try:
        backends.compile_dispatch()
    except backends.BackendMissing as error:
        raise _BadInput(str(error)) from error
    return 0


def _odds(given: argparse.Namespace) -> int:
    problem, season = _read(given)
    try:
        found = odds(season, scenarios=given.scenarios, seed=given.seed, backend=given.backend)
    except (ValueError, backends.BackendMissing) as error:
        raise _BadInput(str(error)) from error
    names = problem.calendar.day_names or tuple(str(day) for day in range(problem.calendar.days))
    rows = [_row(names, each) for each in found.milestones]
    if given.json:
        print(json.dumps({"scenarios": found.scenarios, "seed": found.seed, "note": GUESSED, "milestones": rows}))
        return 0
    shares = [_("{n} in 100").format(n=round(100 * share)) for share in SHARES]
    print(f"{'':<34}" + "".join(each.rjust(12) for each in (_("planned"), *shares)))
    for row in rows:
        days = "".join(str(day or _("beyond")).rjust(12) for day in cast(list[object], row["days"]))
        print(f"{row['key']:<34.34}{row['planned']!s:>12}{days}")
    told = _("{n} scenarios, seed {seed}; {guessed}")
    print(told.format(n=found.scenarios, seed=found.seed, guessed=_(GUESSED)))
    return 0


def _row(names: Sequence[str], each: MilestoneOdds) -> dict[str, object]:
    """Days as dates (or numbers, where the calendar has no names); null: beyond the calendar."""
    return {
        "key": each.key,
        "planned": names[each.planned_day],
        "days": [names[day] if day < len(names) else None for day in each.days],
        "chance_kept": each.chance_kept,
        "drivers": [{"cause": row.cause, "name": row.name, "share": row.share} for row in each.drivers],
    }


def _bench(given: argparse.Namespace) -> int:
    season = _read(given)[1]
    try:
        backend = given.backend or backends.default()
        figures = report(
            season,
            scenarios=given.scenarios,
            seed=given.seed,
            backend=backend,
            repeat=max(1, given.repeat),
            calibrate=given.calibrate,
        )
    except (ValueError, backends.BackendMissing) as error:
        raise _BadInput(str(error)) from error
    if given.json:
        print(json.dumps(figures))
    else:
        for name, value in figures.items():
            print(f"{name.replace('_', ' '):<38} {value}")
    return 0


def _read(given: argparse.Namespace) -> tuple[Problem, PlannedSeason]:
    try:
        problem = read_problem_json(given.problem.read_bytes())
        plan = read_plan_json(given.plan.read_bytes())
        climate = read_half_day_climate(given.climate.read_bytes())
        for placement in plan.placements:
            if not 0 <= placement.job < len(problem.jobs):
                raise _BadInput(_("the plan names job {job}, which is not in the problem").format(job=placement.job))
            if not 0 <= placement.way < len(problem.jobs[placement.job].ways):
                raise _BadInput(
                    _("the plan names way {way} of job {job}, which it does not have").format(
                        way=placement.way, job=placement.job
                    )
                )
        return problem, planned_season(problem, plan, guessed_about(problem, plan, climate)).season
    except OSError as error:
        raise _BadInput(f"{error.filename}: {error.strerror}") from error
    except (ProblemInvalid, PlanInvalid, ClimateNotRead, SeasonInvalid, UnicodeDecodeError) as error:
        raise _BadInput(str(error)) from error


if __name__ == "__main__":
    raise SystemExit(main())
