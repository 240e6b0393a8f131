"""What the planner is worth beside simpler ones, measured one after another on this machine.

    python -m tests.benchmark                       XS and S, seed 1, 10 s each: a few minutes
    python -m tests.benchmark --full --out FOLDER   XS to L, seeds 1 to 3, harder M and L; 10, 60 and 120 s: hours

Runs the list in order of due date, one plain CP-SAT model of the whole season, and ours; prints a table, and writes
benchmark.json and a picture of cost over time for each season into the folder.  Every plan passes our check; those of
the generator's own seasons pass its verdict too.  A run is never repeated for a better figure.
"""

from __future__ import annotations

import argparse
import json
import resource
import time
from collections.abc import Iterable, Iterator
from dataclasses import asdict, dataclass, replace
from pathlib import Path

from tests import season_generator as generator
from tests.seasons import judge, problem_of
from yard.pictures.progress import ProgressInput, ProgressPoint, lay_out
from yard.planning.bound import lower_bound
from yard.planning.check import faults
from yard.planning.cpsat import prove
from yard.planning.listing import list_plan
from yard.planning.plan import Plan, Planned, score
from yard.planning.problem import Problem, WindowSet
from yard.planning.progress import Progress, Seconds
from yard.planning.solve import solve

HARDER_LOST = 3  # every third dry day of the harder season is lost: its load rises with it


@dataclass(frozen=True)
class Row:
    """One run. first_s: to the first plan, None where it is not told. points: [second, cost] as it fell.

    peak_mb: of the process up to then, so that only a rise belongs to the run.
    """

    season: str
    by: str
    seconds: float
    cost: int | None
    ratio_to_list: float | None
    late_orders: int | None
    left_out: int | None
    weighted_days_late: int | None
    days_of_flow: int | None
    bound: int
    gap: int | None
    first_s: float | None
    peak_mb: int
    note: str
    points: list[list[float]]


@dataclass(frozen=True)
class Season:
    name: str
    problem: Problem
    generated: dict[str, object] | None


def seasons(full: bool) -> Iterator[Season]:
    for size in ("XS", "S", "M", "L") if full else ("XS", "S"):
        for seed in (1, 2, 3) if full else (1,):
            made = generator.season(size, seed=seed)
            yield Season(f"{size} {seed}", problem_of(made), made)
            if size in ("M", "L"):
                yield Season(f"{size} {seed}, more days lost", with_more_days_lost(problem_of(made)), None)


def with_more_days_lost(problem: Problem) -> Problem:
    """The same season without every third of its dry days."""

    def fewer(row: WindowSet) -> WindowSet:
        if row.rule != "weather":
            return row
        return replace(row, intervals=tuple(s for n, s in enumerate(row.intervals) if n % HARDER_LOST))

    return replace(problem, window_sets=tuple(fewer(row) for row in problem.window_sets))


def runs(season: Season, budgets: Iterable[int], bound_s: float) -> Iterator[Row]:
    problem = season.problem
    began = time.monotonic()
    listed = list_plan(problem)
    yield _row(season, "list", listed, time.monotonic() - began, 0, None, [])
    least = score(problem, listed).cost
    bound = lower_bound(problem, stop=Seconds(bound_s), workers=2).cost
    for seconds in budgets:
        began = time.monotonic()
        found = prove(problem, hint=None, seconds=seconds, workers=2, seed=1)
        plan = found.plan if isinstance(found, Planned) else None
        note = "" if plan is not None else type(found).__name__
        yield _row(season, f"plain CP-SAT {seconds} s", plan, time.monotonic() - began, bound, None, [], note, least)
        yield _ours(season, seconds, bound, least)


def _ours(season: Season, seconds: int, bound: int, least: int) -> Row:
    points: list[list[float]] = []

    def tell(progress: Progress) -> None:
        if progress.cost is not None and (not points or progress.cost < points[-1][1]):
            points.append([round(progress.elapsed_s, 2), progress.cost])

    began = time.monotonic()
    found = solve(season.problem, stop=Seconds(seconds), workers=2, seed=1, on_progress=tell)
    assert isinstance(found, Planned)
    took = time.monotonic() - began
    first = points[0][0] if points else None
    return _row(season, f"ours {seconds} s", found.plan, took, max(bound, found.bound), first, points, "", least)


def _row(
    season: Season,
    by: str,
    plan: Plan | None,
    took: float,
    bound: int,
    first_s: float | None,
    points: list[list[float]],
    note: str = "",
    least: int | None = None,
) -> Row:
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    if plan is None:
        none = (None,) * 6
        return Row(season.name, by, round(took, 1), *none, bound, None, first_s, peak, note, points)
    found = score(season.problem, plan)
    if wrong := faults(season.problem, plan):
        raise AssertionError(f"{season.name}, {by}: {wrong[0].message}")
    if season.generated is not None:
        verdict = judge(season.generated, plan)
        if verdict["faults"]:
            raise AssertionError(f"{season.name}, {by}: the generator says {verdict['faults'][0]}")
    return Row(
        season.name,
        by,
        round(took, 1),
        found.cost,
        round(found.cost / least, 3) if least else None,
        found.late_orders,
        found.left_out,
        found.weighted_days_late,
        found.days_of_flow,
        bound,
        found.cost - bound if bound else None,
        first_s,
        peak,
        note,
        points,
    )


COLUMNS = ("season", "by", "seconds", "cost", "ratio_to_list", "late_orders", "left_out", "weighted_days_late")
COLUMNS += ("days_of_flow", "bound", "gap", "first_s", "peak_mb", "note")


def table(rows: Iterable[Row]) -> str:
    cells = [COLUMNS, *(tuple(_cell(getattr(row, name)) for name in COLUMNS) for row in rows)]
    widths = [max(len(line[n]) for line in cells) for n in range(len(COLUMNS))]
    return "\n".join("  ".join(text.ljust(width) for text, width in zip(line, widths, strict=True)) for line in cells)


def _cell(value: object) -> str:
    return "-" if value is None else str(value)


def picture(row: Row) -> str:
    """Cost over time, as the planner's page draws it."""
    points = tuple(ProgressPoint(second, cost) for second, cost in row.points)
    drawn = lay_out(ProgressInput(points, float(row.bound), row.seconds, 640, 200))
    line = "" if drawn.line is None else f'<path d="{drawn.line.d}" fill="none" stroke="black"/>'
    bound = "" if drawn.bound is None else f'<path d="{drawn.bound.d}" stroke="black" stroke-dasharray="4"/>'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="640" height="200"><title>{row.season}, {row.by}: '
        f"{drawn.summary}</title>{line}{bound}</svg>"
    )


def main(arguments: Iterable[str] | None = None) -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmark", description="The planner beside simpler ones.")
    parser.add_argument("--full", action="store_true", help="all sizes, three seeds, 10, 60 and 120 s: hours")
    parser.add_argument("--seconds", type=int, nargs="+", help="budgets of each run (default 10; --full 10 60 120)")
    parser.add_argument("--size", help="only the seasons whose name begins so, as XS")
    parser.add_argument("--out", type=Path, help="a folder for benchmark.json and the pictures")
    given = parser.parse_args(None if arguments is None else list(arguments))
    budgets = given.seconds or ([10, 60, 120] if given.full else [10])
    rows: list[Row] = []
    for season in seasons(given.full):
        if given.size and season.name.split()[0] != given.size:
            continue
        for row in runs(season, budgets, bound_s=min(30.0, float(max(budgets)))):
            rows.append(row)
            print(f"{row.season}: {row.by}, cost {_cell(row.cost)}", flush=True)
    print(table(rows))
    if given.out:
        given.out.mkdir(parents=True, exist_ok=True)
        (given.out / "benchmark.json").write_text(json.dumps([asdict(row) for row in rows], indent=1) + "\n")
        for number, row in enumerate(rows):
            if row.points:
                (given.out / f"cost-{number}.svg").write_text(picture(row) + "\n")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
