"""release: nothing starts before its date, after its date or in the past."""

from __future__ import annotations

import pytest

from tests.planning.rules.conftest import Planner
from tests.planning.tiny import at, broken_rules, job, moved, plan, put, yard
from yard.planning.check import faults
from yard.planning.problem import Pin, Problem, Waiver

RULE = "release"

# The cloth is here at 08:40, and the ferry leaves at 09:00: starts are 08:45 and 09:00 (positions 3 and 4).


def cut(not_before: str | None = "08:40", not_after: str | None = "09:00", **facts: object) -> Problem:
    first = None if not_before is None else at(0, not_before)
    last = None if not_after is None else at(0, not_after)
    return yard(job("cut", 2, not_before=first, not_after=last), **facts)


TRIVIAL = (cut(None, None), plan(put(0, 0, 2)))
KEPT = (cut(), plan(put(0, 3, 5)))
BREAKS = {
    "before the cloth is here": (cut(), moved(KEPT[1], 0, -1)),
    "after the ferry": (cut(), moved(KEPT[1], 0, 2)),
    "a day late": (cut(), moved(KEPT[1], 0, 8)),
    "in the past": (cut(now=4), KEPT[1]),
}


def test_trivial() -> None:
    """A job without dates."""
    assert broken_rules(*TRIVIAL) == set()


def test_kept() -> None:
    assert broken_rules(*KEPT) == set()


@pytest.mark.parametrize("name", BREAKS)
def test_broken(name: str) -> None:
    assert broken_rules(*BREAKS[name]) == {RULE}


def test_starts_when_the_cloth_is_here(planner: Planner) -> None:
    assert planner(cut(not_after="08:59")).by_job()[0].starts_at == 3


def test_starts_no_sooner_than_now(planner: Planner) -> None:
    assert planner(cut(None, "08:30", now=2)).by_job()[0].starts_at == 2


def test_a_started_job_started_when_it_did() -> None:
    problem = cut(now=6, pins=(Pin(job=0, way=0, starts_at=0, ends_at=2),))
    assert broken_rules(problem, plan(put(0, 0, 2))) == set()


def test_the_past_cannot_be_waived() -> None:
    waivers = (Waiver(rule="release", job=0, reason="cloth came early", by="Ada"),)
    assert faults(cut(waivers=waivers), moved(KEPT[1], 0, -1)) == ()
    assert [breach.rule for breach in faults(cut(now=4, waivers=waivers), KEPT[1])] == ["release"]
