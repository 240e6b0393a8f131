"""Outside checks: published instances are solved to their published optimum, and proved.

Data, optimum and source of each stand in tests/reference/scheduling_instances.json.
"""

from __future__ import annotations

import pytest

from tests.reference.scheduling_instances import INSTANCES, season_of
from yard.planning.check import check
from yard.planning.cpsat import prove
from yard.planning.plan import Infeasible, Planned
from yard.planning.solve import Seconds, solve

SOLVED = [name for name, row in INSTANCES.items() if row["optimum"] != "infeasible"]
IMPOSSIBLE = [name for name, row in INSTANCES.items() if row["optimum"] == "infeasible"]

# The front door spends a quarter of its time before it asks for a proof, and asks only where there are few jobs; here
# those that are proved in a blink, so that a busy machine does not decide.
AT_THE_FRONT_DOOR = [
    "ortools-jobshop",
    "ft06",
    "python-mip-rcpsp",
    "pinedo-total-tardiness",
    "pinedo-weighted-tardiness",
    "rcpspmax-j10-PSP1",
]


BEYOND_JOB_SHOPS = {"single machine", "resource project", "multi-skill project", "flexible job shop"}


def test_all_fifty_four_are_here() -> None:
    assert len(INSTANCES) == 54
    assert (len(SOLVED), len(IMPOSSIBLE)) == (52, 2)
    assert all(row["source"] for row in INSTANCES.values())
    assert sum(row["type"] in BEYOND_JOB_SHOPS for row in INSTANCES.values()) == 29


@pytest.mark.parametrize("name", SOLVED)
def test_solved_to_its_optimum(name: str) -> None:
    """No hint, and one worker, so that the same work is done each time: 30 s of CPU for all, 4.5 of them for ft10. Two
    workers took 54 s for all.
    """
    instance = INSTANCES[name]
    problem = season_of(instance)
    found = prove(problem, hint=None, seconds=120, workers=1, seed=1)
    assert isinstance(found, Planned)
    assert (found.score.cost, found.bound, found.proved, found.ended) == (
        instance["optimum"],
        instance["optimum"],
        True,
        "proved",
    )
    assert check(problem, found.plan) == ()


@pytest.mark.parametrize("name", IMPOSSIBLE)
def test_proved_to_be_impossible(name: str) -> None:
    assert isinstance(prove(season_of(INSTANCES[name]), hint=None, seconds=60, workers=1, seed=1), Infeasible)


@pytest.mark.parametrize("name", AT_THE_FRONT_DOOR)
def test_solved_through_the_front_door(name: str) -> None:
    found = solve(season_of(INSTANCES[name]), stop=Seconds(4), workers=2, backend="python")
    assert isinstance(found, Planned)
    assert (found.score.cost, found.proved) == (INSTANCES[name]["optimum"], True)
