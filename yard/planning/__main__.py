"""python -m yard.planning solve | check | bound | fit | back | schema | example: the planner without a database."""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from yard.planning.plan import Infeasible, OutOfTime, Plan, PlanInvalid, Planned, plan_schema, read_plan_json, score
from yard.planning.plan import write_plan_json as plan_bytes
from yard.planning.problem import Problem, ProblemInvalid, problem_schema, read_problem_json, write_problem_json
from yard.planning.progress import PHASES, Progress
from yard.speech import _, ngettext, number


class _BadInput(Exception):
    """One clear line for whoever typed the command."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Exit codes: 0 done, 1 the plan has faults or there is none, 2 bad input."""
    given = _parser().parse_args(arguments)
    run: Callable[[argparse.Namespace], int] = given.run
    try:
        return run(given)
    except _BadInput as error:
        print(f"yard.planning: {error}", file=sys.stderr)
        return 2


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m yard.planning", description="Plan a season given as JSON.")
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    solving = commands.add_parser("solve", help="make a plan")
    solving.add_argument("problem", type=Path)
    limits = solving.add_mutually_exclusive_group()
    limits.add_argument("--seconds", type=float, default=20.0, help="wall clock (default 20)")
    limits.add_argument("--rounds", type=int, help="rounds of each worker instead: repeatable")
    solving.add_argument("--workers", type=int, default=2)
    solving.add_argument("--seed", type=int, default=1)
    solving.add_argument("--backend", choices=("numba", "python"))
    solving.add_argument("--start", type=Path, help="a plan to begin from")
    solving.add_argument("--out", type=Path, help="where to write the plan")
    solving.add_argument("--json", action="store_true", help="figures as JSON, nothing else on standard output")
    solving.set_defaults(run=_solve)
    checking = commands.add_parser("check", help="list every broken rule of a plan")
    checking.add_argument("problem", type=Path)
    checking.add_argument("plan", type=Path)
    checking.add_argument("--json", action="store_true")
    checking.set_defaults(run=_check)
    _add_questions(commands)
    schemas = commands.add_parser("schema", help="the JSON schemas of a problem and a plan")
    schemas.set_defaults(run=_schema)
    compiling = commands.add_parser("compile", help="turn the engine into machine code, once after an installation")
    compiling.set_defaults(run=_compile)
    example = commands.add_parser("example", help="a season of the invented example yard")
    example.add_argument("--size", choices=("S", "M", "L"), default="S")
    example.add_argument("--seed", type=int, default=1)
    example.add_argument("--out", type=Path)
    example.set_defaults(run=_example)
    return parser


def _add_questions(commands: Any) -> None:
    """How good is this plan, when could it be, what would bring her back."""
    bounding = commands.add_parser("bound", help="what no plan can cost less than; with --plan, how good that one is")
    bounding.add_argument("problem", type=Path)
    limits = bounding.add_mutually_exclusive_group()
    limits.add_argument("--seconds", type=float, default=20.0, help="wall clock (default 20)")
    limits.add_argument("--rounds", type=int, help="rounds of prices instead: repeatable")
    bounding.add_argument("--plan", type=Path)
    bounding.add_argument("--workers", type=int, default=2)
    bounding.add_argument("--seed", type=int, default=1)
    bounding.add_argument("--backend", choices=("numba", "python"))
    bounding.add_argument("--json", action="store_true")
    bounding.set_defaults(run=_bound)
    fitting = commands.add_parser("fit", help="the earliest days for a new order")
    fitting.add_argument("problem", type=Path)
    fitting.add_argument("plan", type=Path)
    fitting.add_argument("new", type=Path, help="boat, jobs, links of the new order; see yard.planning.fit.NewOrder")
    limits = fitting.add_mutually_exclusive_group()
    limits.add_argument("--seconds", type=float, default=5.0, help="of the search that moves others (default 5)")
    limits.add_argument("--rounds", type=int, help="rounds of that search instead: repeatable")
    fitting.add_argument("--seed", type=int, default=1)
    fitting.add_argument("--backend", choices=("numba", "python"))
    fitting.add_argument("--json", action="store_true")
    fitting.set_defaults(run=_fit)
    backing = commands.add_parser("back", help="single changes that would bring a late boat back")
    backing.add_argument("problem", type=Path)
    backing.add_argument("plan", type=Path)
    backing.add_argument("boat", help="her key")
    backing.add_argument("--seconds", type=float, default=3.0)
    backing.add_argument("--json", action="store_true")
    backing.set_defaults(run=_back)


def _stop(given: argparse.Namespace) -> Any:
    from yard.planning.progress import Rounds, Seconds

    try:
        return Seconds(given.seconds) if given.rounds is None else Rounds(given.rounds)
    except ValueError as error:
        raise _BadInput(str(error)) from error


def _bound(given: argparse.Namespace) -> int:
    from yard.planning.answers import bound_answer
    from yard.planning.backend import BackendMissing

    problem = _problem(given.problem)
    plan = None if given.plan is None else _plan_of(problem, given.plan)
    effort = {"seed": given.seed, "workers": given.workers, "backend": given.backend}
    try:
        answer = bound_answer(problem, stop=_stop(given), plan=plan, **effort)
    except BackendMissing as error:
        raise _BadInput(str(error)) from error
    _print(answer, as_json=given.json)
    return 0


def _fit(given: argparse.Namespace) -> int:
    from yard.planning.answers import fit_answer
    from yard.planning.fit import CannotExpress, NewOrderInvalid, read_new_order

    problem = _problem(given.problem)
    plan = _plan_of(problem, given.plan)
    try:
        new = read_new_order(_read(given.new))
        answer = fit_answer(problem, plan, new, stop=_stop(given), seed=given.seed, backend=given.backend)
    except (NewOrderInvalid, ProblemInvalid, CannotExpress) as error:
        raise _BadInput(f"{given.new}: {error}") from error
    _print(answer, as_json=given.json)
    return 0 if answer["others_move"]["fits"] else 1


def _back(given: argparse.Namespace) -> int:
    from yard.planning.answers import back_answer

    problem = _problem(given.problem)
    plan = _plan_of(problem, given.plan)
    keys = [boat.key for boat in problem.boats]
    if given.boat not in keys:
        raise _BadInput(_("no boat has the key '{boat}'").format(boat=given.boat))
    answer = back_answer(problem, plan, keys.index(given.boat), seconds=given.seconds)
    if given.json:
        print(json.dumps(answer))
        return 0
    for way in answer["ways"]:
        gains = _("on time") if way["on_time"] else _days_sooner(way["gains_days"])
        print(f"{way['says']}: {gains}")
    if not answer["ways"]:
        print(_("on time, or no single change was found that helps"))
    return 0


def _days_sooner(count: int) -> str:
    return ngettext("{n} working days sooner", "{n} working days sooner", count).format(n=count)


def _plan_of(problem: Problem, path: Path) -> Plan:
    plan = _plan(path)
    _demand_named(problem, plan)
    return plan


def _solve(given: argparse.Namespace) -> int:
    from yard.planning.progress import Rounds, Seconds
    from yard.planning.solve import BackendMissing, solve

    problem = _problem(given.problem)
    start = None if given.start is None else _plan(given.start)
    if start is not None:
        _demand_named(problem, start)
    began = time.monotonic()
    try:
        stop = Seconds(given.seconds) if given.rounds is None else Rounds(given.rounds)
        result = solve(
            problem,
            stop=stop,
            seed=given.seed,
            workers=given.workers,
            backend=given.backend,
            start=start,
            on_progress=None if given.json or not sys.stderr.isatty() else _show,
        )
    except (ValueError, BackendMissing) as error:
        raise _BadInput(str(error)) from error
    seconds = round(time.monotonic() - began, 2)
    match result:
        case Planned() as planned:
            if given.out is not None:
                _write(given.out, plan_bytes(planned.plan))
            _print_planned(problem, planned, seconds, as_json=given.json)
            return 0
        case Infeasible(reasons=reasons):
            _print({"infeasible": list(reasons), "seconds": seconds}, as_json=given.json)
        case OutOfTime():
            _print({"out_of_time": True, "seconds": seconds}, as_json=given.json)
    return 1


def _print_planned(problem: Problem, planned: Planned, seconds: float, *, as_json: bool) -> None:
    found = planned.score
    _print(
        {
            "cost": found.cost,
            "late": found.late_orders,
            "unplaced": found.left_out,
            "seconds": seconds,
            "weighted_days_late": found.weighted_days_late,
            "days_of_flow": found.days_of_flow,
            "bound": planned.bound,
            "proved": planned.proved,
            "ended": planned.ended,
            "left_out": [
                {"boat": problem.boats[row.boat].key, "rule": row.rule, "reason": row.reason}
                for row in planned.plan.left_out
            ],
        },
        as_json=as_json,
    )


def _show(progress: Progress) -> None:
    cost = "-" if progress.cost is None else progress.cost
    told = _("{phase} cost {cost}").format(phase=f"{_(PHASES[progress.phase]):<12}", cost=cost)
    print(f"\r{progress.elapsed_s:7.1f} s  {told}      ", end="", file=sys.stderr, flush=True)


def _check(given: argparse.Namespace) -> int:
    from yard.planning.check import check

    problem = _problem(given.problem)
    plan = _plan(given.plan)
    try:
        cost: int | None = score(problem, plan).cost
    except IndexError:
        cost = None  # it names a job that the problem does not have; the check says so
    breaches = check(problem, plan)
    keys = [_key(problem, breach.job) for breach in breaches]
    if given.json:
        rows = [
            {"rule": breach.rule, "job": key, "message": breach.message, "numbers": breach.numbers}
            for breach, key in zip(breaches, keys, strict=True)
        ]
        print(json.dumps({"cost": cost, "faults": rows}))
    else:
        for breach, key in zip(breaches, keys, strict=True):
            numbers = ", ".join(f"{name} {value}" for name, value in breach.numbers.items())
            print(f"{breach.rule}: {key or '-'}: {breach.message}" + (f" ({numbers})" if numbers else ""))
        print(_("{n} faults, cost {cost}").format(n=len(breaches), cost=cost))
    return 1 if breaches else 0


def _key(problem: Problem, job: int | None) -> str | None:
    return None if job is None or not 0 <= job < len(problem.jobs) else problem.jobs[job].key


def _schema(given: argparse.Namespace) -> int:
    del given
    print(json.dumps({"problem": problem_schema(), "plan": plan_schema()}, indent=2))
    return 0


def _compile(given: argparse.Namespace) -> int:
    del given
    from yard.planning.bound import compile_program
    from yard.planning.improve import compiled

    began = time.monotonic()
    engine = compiled()
    engine.ready.wait()
    if engine.fault is not None:
        raise _BadInput(_("the engine cannot be compiled: {fault}").format(fault=engine.fault))
    compile_program()
    print(_("ready after {seconds} s").format(seconds=number(time.monotonic() - began, 1)))
    return 0


def _example(given: argparse.Namespace) -> int:
    try:
        from yard.planning.example import example_problem
    except ModuleNotFoundError as error:
        if error.name != "yard.planning.example":
            raise
        raise _BadInput(
            _("the example yard is not part of this installation (yard.planning.example is missing)")
        ) from error
    _write(given.out, write_problem_json(example_problem(given.size, given.seed)))
    return 0


# --- reading and writing ---


def _read(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise _BadInput(f"{path}: {error.strerror}") from error


def _problem(path: Path) -> Problem:
    try:
        return read_problem_json(_read(path))
    except (ProblemInvalid, UnicodeDecodeError) as error:
        raise _BadInput(_("{path} is not a problem: {error}").format(path=path, error=error)) from error


def _plan(path: Path) -> Plan:
    try:
        return read_plan_json(_read(path))
    except (PlanInvalid, UnicodeDecodeError) as error:
        raise _BadInput(_("{path} is not a plan: {error}").format(path=path, error=error)) from error


def _demand_named(problem: Problem, plan: Plan) -> None:
    for placement in plan.placements:
        if not 0 <= placement.job < len(problem.jobs) or not 0 <= placement.way < len(problem.jobs[placement.job].ways):
            raise _BadInput(
                _("the plan names job {job}, way {way}, not in the problem").format(
                    job=placement.job, way=placement.way
                )
            )


def _write(path: Path | None, data: bytes) -> None:
    if path is None:
        sys.stdout.buffer.write(data + b"\n")
        return
    try:
        path.write_bytes(data)
    except OSError as error:
        raise _BadInput(f"{path}: {error.strerror}") from error


def _print(figures: dict[str, Any], *, as_json: bool) -> None:
    if as_json:
        print(json.dumps(figures))
        return
    for name, value in figures.items():
        print(f"{name.replace('_', ' '):<20} {value}")


if __name__ == "__main__":
    raise SystemExit(main())
