"""stays: a berth, mooring or rack holds one boat a night."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.planning.rules.conftest import Planner
from tests.planning.tiny import at, broken_rules, calendar, job, moved, place, plan, put, yard
from yard.planning.plan import StayAt
from yard.planning.problem import Problem, Stay

RULE = "stays"

# Three days, one berth.  Wren is launched on day 0 and delivered on day 1: night 0.  Teal on days 1 and 2: night 1.


def berth(capacity: int = 1, *, latest: tuple[int | None, ...] = (None, None, None, None)) -> Problem:
    jobs = [
        job(name, 2, boat=boat, order=boat, not_after=None if last is None else at(last, "10:00"))
        for (name, boat), last in zip(
            [("launch Wren", 0), ("deliver Wren", 0), ("launch Teal", 1), ("deliver Teal", 1)], latest, strict=True
        )
    ]
    stays = (
        Stay(boat=0, any_of=(0,), from_job=0, until_job=1),
        Stay(boat=1, any_of=(0,), from_job=2, until_job=3),
    )
    return yard(*jobs, stays=stays, calendar=calendar(3), places=(place("Berth", capacity), place("Mooring")))


AT_BERTH = [(0, 0, 0), (1, 0, 0)]
KEPT = (berth(), plan(put(0, 0, 2), put(1, 8, 10), put(2, 10, 12), put(3, 16, 18), stays=AT_BERTH))
TRIVIAL = (
    yard(job("launch", 2), stays=(Stay(boat=0, any_of=(0,), from_job=0),), places=(place("Berth"),)),
    plan(put(0, 0, 2), stays=[(0, 0, 0)]),
)
BREAKS = {
    "two boats that night": (berth(), moved(KEPT[1], 2, -8)),
    "a day longer": (berth(), moved(KEPT[1], 1, 8)),
    "one unit for two": (berth(2), moved(KEPT[1], 2, -8)),
    "no berth named": (berth(), replace(KEPT[1], stays=KEPT[1].stays[:1])),
    "at a mooring that is not hers": (
        berth(),
        replace(KEPT[1], stays=(KEPT[1].stays[0], StayAt(stay=1, place=1, unit=0))),
    ),
    "no such unit": (berth(), replace(KEPT[1], stays=(KEPT[1].stays[0], StayAt(stay=1, place=0, unit=1)))),
    "named twice": (berth(), replace(KEPT[1], stays=(*KEPT[1].stays, KEPT[1].stays[0]))),
    "no such stay": (berth(), replace(KEPT[1], stays=(*KEPT[1].stays, StayAt(stay=2, place=0, unit=0)))),
}


def test_trivial() -> None:
    """One boat, one berth."""
    assert broken_rules(*TRIVIAL) == set()


def test_kept() -> None:
    assert broken_rules(*KEPT) == set()


@pytest.mark.parametrize("name", BREAKS)
def test_broken(name: str) -> None:
    assert broken_rules(*BREAKS[name]) == {RULE}


def test_launched_and_gone_on_one_day_takes_no_night() -> None:
    """Teal comes and goes on day 0 while Wren lies there for the night."""
    same_day = plan(put(0, 0, 2), put(1, 8, 10), put(2, 2, 4), put(3, 4, 6), stays=AT_BERTH)
    assert broken_rules(berth(), same_day) == set()


def test_the_second_boat_waits_for_the_berth(planner: Planner) -> None:
    """Wren is launched on day 0 and not delivered before day 1; Teal's last delivery is day 2 and she wants a night."""
    problem = berth()
    early = at(1, "08:00")
    jobs = list(problem.jobs)
    jobs[0] = replace(jobs[0], not_after=at(0, "10:00"))
    jobs[1] = replace(jobs[1], not_before=early)
    jobs[3] = replace(jobs[3], not_before=at(2, "08:00"))
    found = planner(replace(problem, jobs=tuple(jobs)))
    assert found.by_job()[2].starts_at // 8 >= found.by_job()[1].starts_at // 8 >= 1
    assert [(row.stay, row.place, row.unit) for row in found.stays] == AT_BERTH


def test_from_the_start_to_the_end(planner: Planner) -> None:
    """Wren lies there when the season starts, Teal stays for good: she is launched when Wren has left, or later."""
    jobs = (job("collect Wren", 2, not_before=at(1, "08:00")), job("launch Teal", 2, boat=1, order=1))
    stays = (Stay(boat=0, any_of=(0,), until_job=0), Stay(boat=1, any_of=(0,), from_job=1))
    found = planner(yard(*jobs, stays=stays, places=(place("Berth"),)))
    assert found.by_job()[1].starts_at >= 8
