"""Closures on the generator's seasons: how well, and how fast, the planner mends a plan.

    python -m tests.reshuffles freeze                              write the frozen closures again (a test compares)
    python -m tests.reshuffles run M --plans DIR --seconds 3       the table; plans are made (60 s each) where missing
    python -m tests.reshuffles run M --plans DIR --events 3 --long 300    also the best that a long search finds

`--cpu` counts the CPU seconds of each search's own thread for the clock, and half of those of the whole process for
the fresh re-plan's two: what two idle cores would give, on a machine that others use as well.

Beside the proposal stand a fresh re-plan of the same length and plain right-shift: every job that has not begun is
put back in the order of the posted plan, no earlier than it was, by whoever is free.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import statistics
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass, replace
from functools import cache
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import yard.planning.improve
import yard.planning.reshuffle
import yard.planning.reshuffle.trade
import yard.planning.solve
from tests import season_generator, seasons
from yard.planning import backend as backends
from yard.planning import engine as e
from yard.planning.freed import pin_of
from yard.planning.improve import compiled
from yard.planning.layout import compile_problem
from yard.planning.plan import Plan, Planned, read_plan_json, score, write_plan_json
from yard.planning.problem import Minutes, Pin, Problem
from yard.planning.progress import Seconds, Stop
from yard.planning.reshuffle import Choice, Reshuffled, reshuffle
from yard.planning.reshuffle.differences import disturbance
from yard.planning.reshuffle.homes import MovePrice, with_homes
from yard.planning.reshuffle.mending import repair
from yard.planning.reshuffle.trade import Asked, search_at
from yard.planning.solve import solve
from yard.planning.state import empty_state, read_plan

FROZEN = Path(__file__).parent / "planning" / "closures.json"
COUNTS = {"M": {1: 17, 2: 17, 3: 16}, "L": {1: 10, 2: 10}}  # events by size and seed of the season
PLANNED_S = 60.0
TIMED: tuple[Any, ...] = (
    yard.planning.improve,
    yard.planning.reshuffle,
    yard.planning.reshuffle.trade,
    yard.planning.solve,
)


@dataclass(frozen=True, slots=True)
class Closure:
    """No outdoor work in [from_quarter, to_quarter) of an axis day; known at a quarter of an axis day."""

    size: str
    seed: int
    day: int
    from_quarter: int
    to_quarter: int
    known_day: int
    known_quarter: int


def make_closures(sizes: Iterable[str] = COUNTS) -> list[Closure]:
    """Whole days, mornings and afternoons; told the evening before or on the morning itself."""
    found = []
    for size in sizes:
        for seed, count in COUNTS[size].items():
            chance = random.Random(f"closures {size} {seed}")
            season = season_of(size, seed)
            days = len(season["calendar"])
            open_days = [day for day in range(2, days * 9 // 10) if day not in set(season["lost_days"])]
            for day in sorted(chance.sample(open_days, count)):
                first, last = chance.choice([(0, seasons.PER_DAY)] * 2 + [(0, 16), (16, seasons.PER_DAY)])
                known = chance.choice([(day - 1, 28), (day, 0)])
                found.append(Closure(size, seed, day, first, last, *known))
    return found


def frozen(size: str) -> list[Closure]:
    return [row for row in (Closure(**row) for row in json.loads(FROZEN.read_text())) if row.size == size]


@cache
def season_of(size: str, seed: int) -> seasons.Season:
    return season_generator.season(size, seed=seed)


@cache
def problem_of(size: str, seed: int) -> Problem:
    return seasons.problem_of(season_of(size, seed))


def posted_plan(size: str, seed: int, folder: Path, *, stop: Stop) -> Plan:
    """The plan of the season, from the folder; made and kept there where it is missing."""
    path = folder / f"{size}{seed}.plan.json"
    if not path.exists():
        made = solve(problem_of(size, seed), stop=stop)
        assert isinstance(made, Planned)
        path.write_bytes(write_plan_json(made.plan))
    return read_plan_json(path.read_bytes())


def after(problem: Problem, posted: Plan, closure: Closure) -> Problem:
    """The season as it stands when the closure is known: what has begun is pinned, nothing starts before now."""
    now = closure.known_day * seasons.PER_DAY + closure.known_quarter
    start = problem.calendar.day_starts[closure.day]
    shut = (start + closure.from_quarter * 15, start + closure.to_quarter * 15)
    dry = replace(
        problem.window_sets[seasons.DRY], intervals=tuple(without(problem.window_sets[seasons.DRY].intervals, shut))
    )
    windows = tuple(dry if number == seasons.DRY else row for number, row in enumerate(problem.window_sets))
    return replace(problem, window_sets=windows, now=now, pins=tuple(begun(posted, now)))


def begun(posted: Plan, now: int) -> Iterator[Pin]:
    """A pin for each job that started before now."""
    for row in posted.placements:
        if row.starts_at < now:
            yield pin_of(row)


def without(intervals: Iterable[Minutes], shut: Minutes) -> Iterator[Minutes]:
    """The intervals less one."""
    for starts, ends in intervals:
        for a, b in ((starts, min(ends, shut[0])), (max(starts, shut[1]), ends)):
            if a < b:
                yield a, b


def right_shift(problem: Problem, posted: Plan) -> Plan:
    """Each job that has not begun, in the order of the posted plan, at its old start or the first one after it."""
    layout = with_homes(compile_problem(problem), posted, frozenset(), MovePrice(0, 0))
    g, state = layout.g, empty_state(layout)
    state[e.PLAIN] = 1
    pinned = {pin.job for pin in problem.pins}
    waiting = [row for row in sorted(posted.placements, key=lambda p: (p.starts_at, p.job)) if row.job not in pinned]
    for row in waiting:
        state[g[e.PENDING] + row.job] = 1
    for row in waiting:
        home = g[g[e.HOMES] + row.job * e.HOME_STRIDE]
        job = g[e.JOB] + row.job * e.JOB_STRIDE
        for number in range(g[job + e.J_MODE_COUNT]):
            mode = g[job + e.J_MODES] + number * e.MODE_STRIDE
            if not e.bounds(g, state, row.job, mode) or home > state[e.HI]:
                continue
            start = e.find_first(g, state, mode, max(home, state[e.LO]), state[e.HI])
            if start >= 0 and e.place(g, state, row.job, mode, start):
                break
        state[g[e.PENDING] + row.job] = 0
    return read_plan(layout, state, best=False)


@dataclass(frozen=True, slots=True)
class Row:
    """One event's figures."""

    event: str
    must: int
    first_s: float
    first_cpu_s: float
    curve_s: float
    curve_cpu_s: float
    plans: int
    few_boats: int
    few_cost: int
    few_late: int
    end_boats: int
    end_cost: int
    end_late: int
    fresh_boats: int
    fresh_cost: int
    shift_boats: int
    shift_cost: int
    shift_unplaced: int
    posted_cost: int
    long_cost: int | None = None


@contextmanager
def clock_of(seconds: Callable[[], float] | None) -> Iterator[None]:
    """The planner reads this clock instead of the wall's."""
    clocks = [module.time for module in TIMED]
    if seconds is not None:
        for module in TIMED:
            module.time = SimpleNamespace(monotonic=seconds)
    try:
        yield
    finally:
        for module, clock in zip(TIMED, clocks, strict=True):
            module.time = clock


def half_of_the_process() -> float:
    return time.process_time() / 2


def measure(closure: Closure, posted: Plan, seconds: float, long_s: float | None, *, by_cpu: bool = False) -> Row:
    before = problem_of(closure.size, closure.seed)
    problem = after(before, posted, closure)
    firsts: list[tuple[float, float]] = []
    began, cpu = time.perf_counter(), time.process_time()

    def note(_first: Choice) -> None:
        firsts.append((time.perf_counter() - began, time.process_time() - cpu))

    alone = time.thread_time()
    with clock_of(time.thread_time if by_cpu else None):
        found: Reshuffled = reshuffle(problem, posted, stop=Seconds(seconds), on_first=note)
    curve_cpu_s, alone = time.process_time() - cpu, time.thread_time() - alone
    with clock_of(half_of_the_process if by_cpu else None):
        fresh = solve(problem, stop=Seconds(seconds))
    assert isinstance(fresh, Planned)
    shifted = right_shift(problem, posted)
    few, end = found.curve[0], found.curve[-1]

    def boats(plan: Plan) -> int:
        return disturbance(problem, posted, plan, frozenset()).boats

    return Row(
        event=f"{closure.size} {closure.seed} day {closure.day} {closure.from_quarter}-{closure.to_quarter}",
        must=len(found.must_move),
        first_s=firsts[0][0],
        first_cpu_s=firsts[0][1],
        curve_s=alone + (curve_cpu_s - alone) / 2 if by_cpu else found.seconds,
        curve_cpu_s=curve_cpu_s,
        plans=len(found.curve),
        few_boats=few.disturbance.boats,
        few_cost=few.score.cost,
        few_late=few.score.weighted_days_late,
        end_boats=end.disturbance.boats,
        end_cost=end.score.cost,
        end_late=end.score.weighted_days_late,
        fresh_boats=boats(fresh.plan),
        fresh_cost=fresh.score.cost,
        shift_boats=boats(shifted),
        shift_cost=score(problem, shifted).cost,
        shift_unplaced=len(problem.jobs) - len(shifted.placements),
        posted_cost=score(before, posted).cost,
        long_cost=None if long_s is None else best_under_cap(problem, posted, few.disturbance.boats, long_s),
    )


def best_under_cap(problem: Problem, posted: Plan, cap: int, seconds: float) -> int | None:
    """The least cost that one long search finds while moving no more boats than `cap`."""
    layout = compile_problem(problem)
    price = MovePrice(8000, 1)
    state = empty_state(layout)
    repair(with_homes(layout, posted, frozenset(), price), state, posted, frozenset())
    asked = Asked(layout, posted, frozenset(), Seconds(seconds), 7, 1, backends.default(), lambda: False)
    found = search_at(asked, state, price, 0, Seconds(seconds))
    boats = disturbance(problem, posted, found, frozenset()).boats
    return score(problem, found).cost if boats <= cap and len(found.placements) == len(problem.jobs) else None


def show(rows: list[Row]) -> None:
    print("boats that must / proposal / fresh / right-shift; cost of fewest moves, other end (boats), fresh,")
    print("right-shift (jobs unplaced), posted; first proposal in s (CPU s)")
    for row in rows:
        print(
            f"{row.event:22} {row.must:4}{row.few_boats:5}{row.fresh_boats:6}{row.shift_boats:6}  {row.few_cost:8}"
            f"{row.end_cost:8} ({row.end_boats:2}){row.fresh_cost:8}{row.shift_cost:8} ({row.shift_unplaced:3})"
            f"{row.posted_cost:8}  {row.first_s:.2f} ({row.first_cpu_s:.2f})"
            + ("" if row.long_cost is None else f"  long {row.long_cost}")
        )
    over = [row.few_boats - row.must for row in rows]
    worse = [row.end_cost / row.fresh_cost for row in rows if row.fresh_cost]
    print(f"{len(rows)} events, load {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
    for name in ("first_s", "first_cpu_s", "curve_s", "curve_cpu_s"):
        values = sorted(getattr(row, name) for row in rows)
        print(f"{name}: median {statistics.median(values):.2f}, worst {values[-1]:.2f}")
    print(f"boats above must-move: at most 2 in {sum(x <= 2 for x in over)} of {len(rows)}, worst {max(over)}")
    print(f"other end at most 1.1 of fresh in {sum(x <= 1.1 for x in worse)} of {len(worse)}")
    print(f"other end against fresh: median {statistics.median(worse):.2f}, worst {max(worse):.2f}")
    print(f"plans on the curve: {statistics.mean(row.plans for row in rows):.1f} on average")
    long = [row.few_cost / row.long_cost for row in rows if row.long_cost]
    if long:
        print(f"fewest moves against the long search: median {statistics.median(long):.2f}, worst {max(long):.2f}")


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.reshuffles", description=__doc__)
    commands = parser.add_subparsers(dest="command", required=True)
    commands.add_parser("freeze")
    run = commands.add_parser("run")
    run.add_argument("size", choices=sorted(COUNTS))
    run.add_argument("--plans", type=Path, required=True, help="folder for the posted plans")
    run.add_argument("--seconds", type=float, default=3.0)
    run.add_argument("--seed", type=int, help="events of this season only")
    run.add_argument("--events", type=int, help="only so many, spread over the file")
    run.add_argument("--long", type=float, help="seconds of the long search beside each")
    run.add_argument("--cpu", action="store_true", help="clocks count CPU seconds, as on two idle cores")
    run.add_argument("--json", type=Path)
    given = parser.parse_args()
    if given.command == "freeze":
        FROZEN.write_text("[\n" + ",\n".join(json.dumps(asdict(row)) for row in make_closures()) + "\n]\n")
        return
    compiled().ready.wait()
    events = [row for row in frozen(given.size) if given.seed in (None, row.seed)]
    if given.events:
        events = events[:: max(1, len(events) // given.events)][: given.events]
    rows = []
    for closure in events:
        posted = posted_plan(closure.size, closure.seed, given.plans, stop=Seconds(PLANNED_S))
        rows.append(measure(closure, posted, given.seconds, given.long, by_cpu=given.cpu))
        print(rows[-1].event, flush=True)
    if given.json:
        given.json.write_text(json.dumps([asdict(row) for row in rows]))
    show(rows)


if __name__ == "__main__":
    main()
