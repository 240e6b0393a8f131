"""What the planner says to people goes through gettext, names alone excepted: its sentences are English no more where
the yard's language is another."""

from __future__ import annotations

from collections.abc import Iterator
from importlib import import_module

import pytest

from tests.other_tongue import in_brackets, unsaid
from tests.planning.engine.test_solve import planned
from tests.planning.test_ways_back import two_boats
from tests.planning.tiny import at, crew, job, person, span, way, windows, yard
from yard.planning.check import check
from yard.planning.problem import Person, Problem, ProblemInvalid
from yard.planning.rules import RULES
from yard.planning.ways_back import ways_back


def names(problem: Problem) -> set[str]:
    rows = (*problem.people, *problem.places, *problem.boats, *problem.orders, *problem.jobs)
    skills = {skill for one in problem.people for skill in one.skills}
    skills |= {need.skill for one in problem.jobs for each in one.ways for need in each.crew}
    return {row.name for row in rows} | skills


@pytest.mark.parametrize("rule", RULES)
def test_every_breach(rule: str) -> None:
    for problem, broken in import_module(f"tests.planning.rules.test_{rule}").BREAKS.values():
        with in_brackets():
            said = [breach.message for breach in check(problem, broken)]
        assert said
        assert [text for text in said if unsaid(text, names(problem))] == []


def unplannable() -> Iterator[Problem]:
    """Of each kind of reason one: seen without trying, alone in an empty yard, and because of the others."""
    yield yard(job("weld", way(2, crew=crew(1, skill="weld"))))
    yield yard(job("launch", way(3, inside=(0,))), window_sets=(windows("water", span(0, "08:00", "08:30")),))
    yield yard(job("wash", 2, not_before=at(1, "09:45")))
    rows = [job(f"rig {n}", way(6, crew=crew(1)), boat=n, order=n) for n in range(3)]
    yield yard(*rows, people=(person("Jo"),))


@pytest.mark.parametrize("problem", unplannable(), ids=["no skill", "no water", "dates", "the others"])
def test_every_reason(problem: Problem) -> None:
    with in_brackets():
        said = [row.reason for row in planned(problem).plan.left_out]
    assert said
    assert [text for text in said if unsaid(text, names(problem))] == []


def test_every_way_back_and_its_day() -> None:
    problem, posted = two_boats()
    with in_brackets():
        said = [way_back.says for way_back in ways_back(problem, posted, 0, within_s=60.0)]
    assert len(said) == 2
    assert [text for text in said if unsaid(text, names(problem))] == []


def test_what_a_problem_is_refused_for() -> None:
    with in_brackets(), pytest.raises(ProblemInvalid) as wrong:
        Person(key="jo", name="Jo", skills={}, hours=((10, 5),))
    assert str(wrong.value) == "⟦⟦hours of Jo⟧: the interval 10 to 5 is empty or runs backwards⟧"
    with in_brackets(), pytest.raises(ProblemInvalid) as wrong:
        yard(job("wash", 2, allowance_quarters=10**9))
    assert str(wrong.value) == "⟦⟦the allowance of job 'wash'⟧ is 1000000000; at most 100000⟧"
