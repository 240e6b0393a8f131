"""The check itself: that it has every rule, sees every break, never raises, counts the cost, and is quick."""

from __future__ import annotations

import time
from dataclasses import dataclass
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from types import ModuleType

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests import season_generator
from tests.planning.small import problems
from tests.planning.tiny import broken_rules, changed, job, plan, put, yard
from tests.seasons import problem_of
from yard.planning.check import CHECKS, WAIVABLE, Breach, check
from yard.planning.plan import LeftOut, Placement, Plan, StayAt, score
from yard.planning.problem import CostRates, Order, Problem
from yard.planning.rules import MEANINGS, RULES


def rule_tests(rule: str) -> ModuleType:
    return import_module(f"tests.planning.rules.test_{rule}")


@pytest.mark.parametrize("rule", RULES)
def test_a_rule_stands_everywhere(rule: str) -> None:
    """Its check, its file in the constraint model, its tests, and one sentence that says what it is."""
    assert rule in CHECKS
    model = import_module(f"yard.planning.cpsat.{rule}")
    table = import_module("yard.planning.cpsat.table")
    used = {table.NARROWING.get(rule), table.POSTED.get(rule)} - {None}
    assert used
    assert all(part.__module__ == model.__name__ for part in used)
    assert find_spec(f"tests.planning.rules.test_{rule}") is not None
    assert MEANINGS[rule].endswith(".")


def test_nothing_stands_for_no_rule() -> None:
    table = import_module("yard.planning.cpsat.table")
    assert set(CHECKS) == set(RULES)
    assert {*table.NARROWING, *table.POSTED} == set(RULES)
    assert set(RULES) >= WAIVABLE
    files = {path.stem.removeprefix("test_") for path in Path(__file__).parent.glob("rules/test_*.py")}
    assert files == set(RULES)


def test_the_check_shares_nothing_with_the_planner() -> None:
    """Of the planner it imports the problem and the plan alone, and to say what it finds, speech."""
    package = Path(import_module("yard.planning.check").__file__ or "").parent
    lines = [line for path in package.glob("*.py") for line in path.read_text().splitlines() if "import" in line]
    ours = {line.split()[1] for line in lines if line.startswith(("from yard", "import yard"))}
    allowed = {"yard.planning.plan", "yard.planning.problem", "yard.speech"}
    assert {name for name in ours if not name.startswith("yard.planning.check")} == allowed


@pytest.mark.parametrize("rule", RULES)
def test_three_ways_to_break_it(rule: str) -> None:
    tests = rule_tests(rule)
    assert len(tests.BREAKS) >= 3
    for problem, broken in tests.BREAKS.values():
        assert rule in broken_rules(problem, broken)


@pytest.mark.parametrize("rule", RULES)
def test_without_its_check_no_break_is_seen(rule: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """So the tests of each rule fail when its check is emptied, and no other check does its work."""
    monkeypatch.setitem(CHECKS, rule, lambda case: iter(()))
    for problem, broken in rule_tests(rule).BREAKS.values():
        assert rule not in broken_rules(problem, broken)


def test_every_breach_is_told() -> None:
    """Two jobs late for their dates and one of them too short: three breaches, each with its job and boat."""
    problem = yard(job("wash", 2, not_after=480), job("paint", 2, boat=1, not_after=480))
    breaches = check(problem, plan(put(0, 1, 3), put(1, 2, 3)))
    assert [(breach.rule, breach.job, breach.boat) for breach in breaches] == [
        ("release", 0, 0),
        ("release", 1, 1),
        ("span", 1, 1),
    ]
    assert breaches[0].message == "wash (Wren): starts later than it may"
    assert breaches[0].numbers == {"starts_minute": 495, "not_after_minute": 480}


def test_a_breach_is_a_value() -> None:
    assert Breach(rule="span", job=0, boat=0, message="m") == Breach(rule="span", job=0, boat=0, message="m")


wild = st.integers(-3, 60)
wild_placements = st.builds(
    Placement,
    job=wild,
    way=st.integers(-1, 2),
    starts_at=wild,
    ends_at=wild,
    people=st.lists(st.integers(-1, 3), max_size=3).map(tuple),
    places=st.lists(st.tuples(st.integers(-1, 3), st.integers(-1, 3)), max_size=3).map(tuple),
)
wild_plans = st.builds(
    Plan,
    placements=st.lists(wild_placements, max_size=6).map(tuple),
    stays=st.lists(st.builds(StayAt, stay=wild, place=st.integers(-1, 3), unit=st.integers(-1, 3)), max_size=2).map(
        tuple
    ),
    left_out=st.lists(
        st.builds(LeftOut, boat=st.integers(-1, 3), rule=st.just("hours"), job=st.none(), reason=st.just("")),
        max_size=2,
    ).map(tuple),
)


@settings(max_examples=200, deadline=None)
@given(problem=problems(), wild_plan=wild_plans)
def test_never_raises(problem: Problem, wild_plan: Plan) -> None:
    for breach in check(problem, wild_plan):
        assert breach.rule in RULES
        assert breach.message


def cost_by_hand(problem: Problem, found: Plan) -> int:
    """The cost from the words of `Score`, order by order and day by day, for plans that place every job."""
    per_day = problem.calendar.quarters_per_day
    total = 0
    for index, order in enumerate(problem.orders):
        days = [
            day
            for row in found.placements
            if problem.jobs[row.job].order == index
            for day in range(row.starts_at // per_day, -(-row.ends_at // per_day))
        ]
        if days:
            begins = min(days) if order.began_day is None else min(min(days), order.began_day)
            late = len([day for day in range(problem.calendar.days) if order.due_day < day <= max(days)])
            late += max(0, -1 - order.due_day)  # days before the calendar, if due before it
            total += problem.rates.late_day * order.goes_first * late
            total += problem.rates.flow_day * (max(days) - begins)
    return total


def test_cost_of_two_orders() -> None:
    """Order 0, due on day 0, runs from day 0 to day 1: one day late at 100 x 3 and one day of flow. Order 1 is on
    time and began four days before the calendar: five days of flow to day 1. 300 + 1 + 5."""
    orders = (
        Order(key="a", name="A", due_day=0, goes_first=3),
        Order(key="b", name="B", due_day=1, began_day=-4),
    )
    problem = yard(job("one", 2), job("two", 2), job("three", 2, order=1), orders=orders)
    found = plan(put(0, 6, 8), put(1, 8, 10), put(2, 14, 16))
    assert score(problem, found).cost == cost_by_hand(problem, found) == 306


def test_cost_of_an_order_left_out() -> None:
    """As if done on the last day, day 1, with flow from the first day on which it could begin: 100 + 1."""
    problem = yard(job("one", 2), rates=CostRates(late_day=100, flow_day=1))
    left = (LeftOut(boat=0, rule="hours", job=0, reason=""),)
    found = score(problem, Plan(placements=(), left_out=left))
    assert (found.cost, found.late_orders, found.days_of_flow, found.left_out) == (101, 1, 1, 1)


@settings(max_examples=100, deadline=None)
@given(problem=problems(), data=st.data())
def test_cost_counted_twice(problem: Problem, data: st.DataObject) -> None:
    """Any placements, kept or broken, cost the same by both counts."""
    size = problem.calendar.size
    rows = []
    for index in range(len(problem.jobs)):
        starts = data.draw(st.integers(0, size - 1))
        rows.append(put(index, starts, data.draw(st.integers(starts + 1, size))))
    assert score(problem, plan(*rows)).cost == cost_by_hand(problem, plan(*rows))


@pytest.fixture(scope="module")
def large() -> Large:
    """The generator's L season with the generator's own earliest-due list: 300 boats, about 2,200 jobs, 110 days."""
    season = season_generator.season("L", 1)
    starts, who, unit, cost, _unplaced = season_generator.earliest_due_list(season)
    problem = problem_of(season)
    rows: list[Placement] = []
    left: list[LeftOut] = []
    first = 0
    for boat, row in enumerate(season["jobs"]):
        steps = row["steps"]
        if starts[boat] is None:
            left.append(LeftOut(boat=boat, rule="windows", job=None, reason="the list found no room"))
        else:
            for number, step in enumerate(steps):
                begins = int(starts[boat][number])
                need = problem.jobs[first + number].ways[0].places
                places = [(need[0].any_of[0], unit[boat][number])] if need else []
                rows.append(put(first + number, begins, begins + step["dur"], who[boat][number], places))
        first += len(steps)
    return Large(problem, Plan(placements=tuple(rows), left_out=tuple(left)), int(cost))


@dataclass(frozen=True)
class Large:
    problem: Problem
    plan: Plan
    cost: int


def test_a_large_season_in_half_a_second(large: Large) -> None:
    """CPU seconds of this thread, the best of three; the list is kept, and costs what the generator says."""
    taken = []
    for _try in range(3):
        began = time.thread_time()
        breaches = check(large.problem, large.plan)
        taken.append(time.thread_time() - began)
    assert len(large.plan.placements) > 2000
    assert breaches == ()
    assert score(large.problem, large.plan).cost == large.cost
    assert min(taken) < 0.5


def test_one_edit_of_a_large_season_is_seen(large: Large) -> None:
    longest = max(large.plan.placements, key=lambda row: row.ends_at - row.starts_at)
    edited = changed(large.plan, longest.job, ends_at=longest.ends_at + 1)
    assert longest.job in {breach.job for breach in check(large.problem, edited)}
