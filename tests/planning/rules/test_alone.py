"""alone: nobody does alone what must not be done alone."""

from __future__ import annotations

import pytest

from tests.planning.rules.conftest import Planner
from tests.planning.tiny import ANN, JO, broken_rules, changed, crew, job, plan, put, way, yard
from yard.planning.problem import Pin

RULE = "alone"

ALOFT = yard(job("aloft", way(2, crew=crew(2)), not_alone=True))
PIN = Pin(job=0, way=0, starts_at=0, ends_at=2, people=(JO,))

TRIVIAL = (yard(job("sew", way(2, crew=crew(1)))), plan(put(0, 0, 2, [JO])))
KEPT = (ALOFT, plan(put(0, 0, 2, [JO, ANN])))
BREAKS = {
    "one": (ALOFT, changed(KEPT[1], 0, people=(JO,))),
    "one, named twice": (ALOFT, changed(KEPT[1], 0, people=(JO, JO))),
    "nobody": (ALOFT, changed(KEPT[1], 0, people=())),
    "pinned alone": (yard(*ALOFT.jobs, pins=(PIN,)), changed(KEPT[1], 0, people=(JO,))),
}


def test_trivial() -> None:
    """One person may do what asks for one."""
    assert broken_rules(*TRIVIAL) == set()


def test_kept() -> None:
    assert broken_rules(*KEPT) == set()


@pytest.mark.parametrize("name", BREAKS)
def test_broken(name: str) -> None:
    """A crew too small breaks `crew` too; only a pin, which tells who it was, breaks this rule by itself."""
    assert broken_rules(*BREAKS[name]) == ({RULE} if name == "pinned alone" else {RULE, "crew"})


def test_two_go_aloft(planner: Planner) -> None:
    assert set(planner(ALOFT).by_job()[0].people) == {JO, ANN}
