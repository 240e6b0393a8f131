"""crew: a job has the people it asks for, in order, each with the skill."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.planning.rules.conftest import Planner
from tests.planning.tiny import ANN, JO, broken_rules, changed, crew, job, person, plan, put, way, yard
from yard.planning.problem import Crew, Problem

RULE = "crew"

PEOPLE = (person("Jo", "rig"), person("Ann", "sew"))


def fit(needs: tuple[Crew, ...] = (*crew(1), *crew(1, skill="sew")), **facts: object) -> Problem:
    return yard(job("fit", way(2, crew=needs)), **{"people": PEOPLE, **facts})


TRIVIAL = (yard(job("dry", 2)), plan(put(0, 0, 2)))
KEPT = (fit(), plan(put(0, 0, 2, [JO, ANN])))
BREAKS = {
    "each in the other's stead": (fit(), changed(KEPT[1], 0, people=(ANN, JO))),
    "one too few": (fit(), changed(KEPT[1], 0, people=(JO,))),
    "one too many": (fit(), changed(KEPT[1], 0, people=(JO, ANN, JO))),
    "one for two": (fit(crew(2)), changed(KEPT[1], 0, people=(JO, JO))),
    "not good enough": (fit((Crew(skill="rig", level=2), *crew(1, skill="sew"))), KEPT[1]),
    "drying asks for nobody": (yard(job("dry", 2, pausing="elapsed")), plan(put(0, 0, 2, [JO]))),
}


def test_trivial() -> None:
    """A job that asks for nobody."""
    assert broken_rules(*TRIVIAL) == set()


def test_kept() -> None:
    assert broken_rules(*KEPT) == set()


@pytest.mark.parametrize("name", BREAKS)
def test_broken(name: str) -> None:
    assert broken_rules(*BREAKS[name]) == {RULE}


def test_each_in_the_stead_that_suits(planner: Planner) -> None:
    assert planner(fit()).by_job()[0].people == (JO, ANN)


def test_who_has_both_skills_fills_the_need_that_is_left(planner: Planner) -> None:
    """Only Ann rigs well enough, so Jo, who also sews, must sew."""
    people = (person("Jo", "rig", "sew"), person("Ann"))
    people = (people[0], replace(people[1], skills={"rig": 2, "sew": 1}))
    problem = fit((Crew(skill="rig", level=2), *crew(1, skill="sew")), people=people)
    assert planner(problem).by_job()[0].people == (ANN, JO)
