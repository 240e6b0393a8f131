"""What the planner is worth beside simpler ones, measured one after another on this machine.

    python -m tests.benchmark                       XS, S and M, seed 1, a harder S, an autumn S, an example: 15 minutes
    python -m tests.benchmark --full --out FOLDER   XS to XL, seeds 1 to 3, harder M and L, autumns, examples: hours

Runs the list in order of due date, one plain CP-SAT model of the whole season, PyJobShop (a general scheduling library;
`tests/general_library.py` says what it can and cannot express) and ours; prints a table as it goes, and writes
benchmark.json and a picture of cost over time for each season into the folder.  Every plan passes our check, and those
of the generator's own seasons its verdict too; a plan of PyJobShop that does not is told and not compared.  A run is
never repeated for a better figure.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
import time
from collections.abc import Callable, Iterable, Iterator
from dataclasses import asdict, dataclass, replace
from functools import partial
from pathlib import Path
from typing import Literal

from tests import season_generator as generator
from tests.autumn_seasons import autumn
from tests.harder_seasons import evening, fuller, wetter
from tests.seasons import judge, problem_of
from yard.pictures.progress import ProgressInput, ProgressPoint, lay_out
from yard.planning.bound import lower_bound
from yard.planning.check import faults
from yard.planning.cpsat import prove
from yard.planning.example import example_problem
from yard.planning.listing import list_plan
from yard.planning.plan import Plan, Planned, score
from yard.planning.problem import Problem
from yard.planning.progress import Progress, Seconds
from yard.planning.solve import solve

Size = Literal["XS", "S", "M", "L", "XL"]
BERTHS = (4, 8)
BUDGETS_S = (10, 60, 120)
XL_S = 300
BOUND_S = 30.0
WORKERS = 2
MOST_JOBS_OF_GENERAL_MODELS = 3_000  # XL: the plain model and PyJobShop build for minutes and find no plan


@dataclass(frozen=True)
class Row:
    """One run, in a process of its own.

    ratio_to_list: its cost over the list's, which is the generator's frozen yardstick for the generator's own seasons.
    first_s: to the first plan, None where it is not told.  rounds_per_s: of the search, all threads together, while it
    ran.  peak_mb: of the process.  points: [second, cost] as it fell.
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
    rounds_per_s: int | None
    peak_mb: int
    note: str
    points: list[list[float]]


@dataclass(frozen=True)
class Season:
    """generated: the generator's own form, if its verdict counts."""

    name: str
    problem: Problem
    generated: dict[str, object] | None


@dataclass(frozen=True)
class Run:
    """What one planner made of a season. rounds: of our search."""

    plan: Plan | None
    took_s: float
    bound: int = 0
    first_s: float | None = None
    rounds_per_s: int | None = None
    note: str = ""
    points: tuple[tuple[float, int], ...] = ()


def seasons(full: bool) -> Iterator[tuple[str, Callable[[], Season]]]:
    """Names, and how each is made (an L takes a quarter of a minute)."""
    seeds = (1, 2, 3) if full else (1,)
    sizes: tuple[Size, ...] = ("XS", "S", "M", "L") if full else ("XS", "S", "M")
    for size in sizes:
        for seed in seeds:
            yield f"{size} {seed}", partial(_generated, f"{size} {seed}", size, seed)
    for size in ("M", "L") if full else ("S",):
        for seed in seeds:
            for name, make in _harder(size, seed, full):
                yield name, partial(make, name)
    for size in ("S", "M", "L") if full else ("S",):
        yield f"example {size}", partial(_example, f"example {size}", size)
    for size in ("S", "M", "L") if full else ("S",):
        for seed in seeds:
            yield f"autumn {size} {seed}", partial(_autumn, f"autumn {size} {seed}", size, seed)
    if full:
        yield "XL 1", partial(_generated, "XL 1", "XL", 1)


def _harder(size: str, seed: int, full: bool) -> Iterator[tuple[str, Callable[[str], Season]]]:
    yield f"{size} {seed}, fuller", lambda name: _of(name, fuller(size, seed))
    yield (
        f"{size} {seed}, wetter",
        lambda name: Season(name, wetter(problem_of(generator.season(size, seed=seed))), None),
    )
    for berths in BERTHS if full else BERTHS[:1]:
        yield (
            f"{size} {seed}, evening, {berths} berths",
            lambda name, berths=berths: Season(name, evening(size, seed, berths=berths), None),
        )


def _autumn(name: str, size: str, seed: int) -> Season:
    return Season(name, autumn(size, seed).problem, None)


def _of(name: str, made: dict[str, object]) -> Season:
    return Season(name, problem_of(made), made)


def _generated(name: str, size: Size, seed: int) -> Season:
    return _of(name, generator.season(size, seed=seed))


def _example(name: str, size: Literal["S", "M", "L"]) -> Season:
    return Season(name, example_problem(size, 1), None)


def runs(season: Season, budgets: Iterable[int], bound_s: float) -> Iterator[Row]:
    """The list first; then, at each budget, whoever can."""
    listed = _apart(_list, season, 0.0)
    yield _row(season, "list", listed, 0)
    plan = listed[0].plan
    least = 0 if plan is None else score(season.problem, plan).cost
    bound = lower_bound(season.problem, stop=Seconds(bound_s), workers=2).cost
    general = len(season.problem.jobs) <= MOST_JOBS_OF_GENERAL_MODELS
    for seconds in budgets:
        if general:
            yield _row(season, f"plain CP-SAT {seconds} s", _apart(_plain, season, seconds), bound, least)
            yield _row(season, f"PyJobShop {seconds} s", _apart(_library, season, seconds), bound, least, others=True)
        yield _row(season, f"ours {seconds} s", _apart(_ours, season, seconds), bound, least)


def _apart(run: Callable[[Problem, float], Run], season: Season, seconds: float) -> tuple[Run, int]:
    """In a process of its own, so that the memory is the run's; with its peak in MB."""
    with multiprocessing.get_context("spawn").Pool(1) as pool:
        return pool.apply(_measured, (run, season.problem, seconds))


def _measured(run: Callable[[Problem, float], Run], problem: Problem, seconds: float) -> tuple[Run, int]:
    found = run(problem, seconds)
    return found, _peak_mb()


def _peak_mb() -> int:
    """Of this process alone: what getrusage says begins with the peak of whoever started it."""
    status = Path("/proc/self/status").read_text()
    return int(status.split("VmHWM:")[1].split()[0]) // 1024


def _list(problem: Problem, seconds: float) -> Run:
    began = time.monotonic()
    plan = list_plan(problem)
    return Run(plan, time.monotonic() - began)


def _plain(problem: Problem, seconds: float) -> Run:
    began = time.monotonic()
    found = prove(problem, hint=None, seconds=seconds, workers=2, seed=1, may_leave_out=True)
    took = time.monotonic() - began
    if isinstance(found, Planned):
        return Run(found.plan, took, found.bound)
    return Run(None, took, note=type(found).__name__)


def _library(problem: Problem, seconds: float) -> Run:
    from tests.general_library import Season as Model
    from tests.general_library import TooLarge

    began = time.monotonic()
    try:
        model = Model(problem)
    except TooLarge as error:
        return Run(None, time.monotonic() - began, note=f"not expressed: {error}")
    plan = model.solve(max(1.0, seconds - (time.monotonic() - began)), workers=2, seed=1)
    said = f"without {', '.join(sorted(model.cannot))}" if model.cannot else ""
    return Run(plan, time.monotonic() - began, note=said or ("" if plan else "no plan"))


def _ours(problem: Problem, seconds: float) -> Run:
    points: list[tuple[float, int]] = []
    rounds: list[tuple[float, int]] = []

    def tell(progress: Progress) -> None:
        if progress.cost is not None and (not points or progress.cost < points[-1][1]):
            points.append((round(progress.elapsed_s, 2), progress.cost))
        rounds.append((progress.elapsed_s, progress.rounds))

    began = time.monotonic()
    found = solve(problem, stop=Seconds(seconds), workers=WORKERS, seed=1, on_progress=tell)
    assert isinstance(found, Planned)
    took = time.monotonic() - began
    rate = None
    if len(rounds) > 2 and rounds[-1][0] > rounds[len(rounds) // 2][0]:  # the second half: compiled by then
        half = rounds[len(rounds) // 2]
        rate = int(WORKERS * (rounds[-1][1] - half[1]) / (rounds[-1][0] - half[0]))
    return Run(found.plan, took, found.bound, points[0][0] if points else None, rate, "", tuple(points))


def _row(
    season: Season,
    by: str,
    measured: tuple[Run, int],
    bound: int,
    least: int = 0,
    *,
    others: bool = False,
) -> Row:
    """others: a plan made with less than all rules; where our check refuses it, it is a note and no figure."""
    run, peak = measured
    bound = max(bound, run.bound)
    if run.plan is not None and (wrong := _wrong(season, run.plan)):
        if not others:
            raise AssertionError(f"{season.name}, {by}: {wrong}")
        run = replace(
            run, plan=None, note=f"{run.note + '; ' if run.note else ''}not compared, its plan breaks: {wrong}"
        )
    found = None if run.plan is None else score(season.problem, run.plan)
    return Row(
        season=season.name,
        by=by,
        seconds=round(run.took_s, 1),
        cost=found and found.cost,
        ratio_to_list=round(found.cost / least, 3) if found and least else None,
        late_orders=found and found.late_orders,
        left_out=found and found.left_out,
        weighted_days_late=found and found.weighted_days_late,
        days_of_flow=found and found.days_of_flow,
        bound=bound,
        gap=found.cost - bound if found and bound else None,
        first_s=run.first_s,
        rounds_per_s=run.rounds_per_s,
        peak_mb=peak,
        note=run.note,
        points=[list(point) for point in run.points],
    )


def _wrong(season: Season, plan: Plan) -> str:
    """What our check says against a plan, else what the generator's own says; nothing where both are content."""
    if found := faults(season.problem, plan):
        return found[0].message
    if season.generated is not None and (said := judge(season.generated, plan)["faults"]):
        return f"the generator says {said[0]}"
    return ""


COLUMNS = ("season", "by", "seconds", "cost", "ratio_to_list", "late_orders", "left_out", "weighted_days_late")
COLUMNS += ("days_of_flow", "bound", "gap", "first_s", "rounds_per_s", "peak_mb", "note")


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
    parser.add_argument("--full", action="store_true", help="all sizes and variants, three seeds; hours")
    parser.add_argument("--seconds", type=int, nargs="+", help="budgets of each run (default 10 60; --full 10 60 120)")
    parser.add_argument("--only", help="only the seasons whose name begins so, as 'M 1'")
    parser.add_argument("--out", type=Path, help="a folder for benchmark.json and the pictures")
    given = parser.parse_args(None if arguments is None else list(arguments))
    rows: list[Row] = []
    for name, make in seasons(given.full):
        if given.only and not name.startswith(given.only):
            continue
        budgets = given.seconds or _budgets(name, given.full)
        for row in runs(make(), budgets, bound_s=min(BOUND_S, float(max(budgets)))):
            rows.append(row)
            print(table([row]).splitlines()[-1], flush=True)
            _keep(given.out, rows)
    print(table(rows))
    return 0


def _budgets(name: str, full: bool) -> tuple[int, ...]:
    if not full:
        return (10, 60) if name.startswith("M") else (10,)
    return (XL_S,) if name.startswith("XL") else BUDGETS_S


def _keep(folder: Path | None, rows: list[Row]) -> None:
    """After each run, so that a long one that is stopped has told what it measured."""
    if folder is None:
        return
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "benchmark.json").write_text(json.dumps([asdict(row) for row in rows], indent=1) + "\n")
    if rows[-1].points:
        (folder / f"cost-{len(rows) - 1}.svg").write_text(picture(rows[-1]) + "\n")


if __name__ == "__main__":
    raise SystemExit(main())
