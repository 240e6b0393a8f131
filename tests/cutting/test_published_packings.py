"""Strips and sheets of published instances: never below the published optimum, and near it."""

from collections import defaultdict

import pytest

from tests.reference.packing_instances import BINS, STRIPS, Bins, Instance
from yard.cutting.check import roll_faults, sheet_faults
from yard.cutting.nest import nest, nest_on_sheets, nest_on_shelves
from yard.cutting.stopping import Rounds
from yard.cutting.values import Piece, Roll, Sheet

ROUNDS = Rounds(150)
WORST = {"C": 0.10, "BKW": 0.10, "NGCUT": 0.065, "GCUT": 0.03, "BENG": 0.07}
"""How far from the published optimum each set may lie after so few rounds, at its worst; measured, then rounded up."""


def pieces_of(items: tuple[tuple[int, int], ...]) -> list[Piece]:
    return [Piece(f"{number}", along, across) for number, (across, along) in enumerate(items)]


def family(name: str) -> str:
    return name.rstrip("0123456789").removesuffix("P").rstrip("0123456789")


@pytest.mark.parametrize("case", STRIPS, ids=lambda case: case.name)
def test_a_published_strip_is_laid_near_its_optimum_and_never_below(case: Instance):
    plan = nest(pieces_of(case.items), Roll(case.width), stop=ROUNDS)
    assert roll_faults(plan) == []
    assert plan.bound_mm <= case.known <= plan.length_mm
    assert plan.length_mm <= case.known * (1 + WORST[family(case.name)])


def test_the_sets_are_those_that_the_table_of_worst_gaps_names():
    assert {family(case.name) for case in STRIPS} == set(WORST)
    sizes: dict[str, int] = defaultdict(int)
    for case in STRIPS:
        sizes[family(case.name)] += 1
    assert sizes == {"C": 9, "BKW": 3, "NGCUT": 7, "GCUT": 4, "BENG": 2}


@pytest.mark.parametrize("case", BINS, ids=lambda case: case.name)
def test_published_bins_take_as_few_sheets_as_published(case: Bins):
    plan = nest_on_sheets(pieces_of(case.items), Sheet(case.height, case.width, 1), stop=ROUNDS)
    assert sheet_faults(plan) == []
    assert plan.bound <= case.known == plan.sheets


@pytest.mark.parametrize("name", ["GCUT1", "NGCUT5"])
def test_the_exact_search_ends_at_the_published_optimum(name: str):
    """What the first search leaves open is settled: its bound meets the plan."""
    case = next(case for case in STRIPS if case.name == name)
    plan = nest(pieces_of(case.items), Roll(case.width), stop=ROUNDS, exact_seconds=60)
    assert roll_faults(plan) == []
    assert (plan.length_mm, plan.bound_mm) == (case.known, case.known)


def test_the_exact_search_proves_that_a_sheet_cannot_be_spared():
    """GCUT1 takes five sheets; the bound of duals alone says four."""
    case = next(case for case in BINS if case.name == "GCUT1")
    sheet = Sheet(case.height, case.width, 1)
    plan = nest_on_sheets(pieces_of(case.items), sheet, stop=ROUNDS, exact_seconds=60)
    assert nest_on_sheets(pieces_of(case.items), sheet, stop=ROUNDS).bound == 4
    assert (plan.sheets, plan.bound, plan.proved) == (5, 5, True)


@pytest.mark.parametrize("name", ["C1P1", "BENG6", "GCUT3"])
def test_shelves_hold_and_stay_within_the_proved_worst_of_their_method(name: str):
    """First fit by falling length needs at most 1.7 of the optimum and one longest piece (Coffman and others)."""
    case = next(case for case in STRIPS if case.name == name)
    plan = nest_on_shelves(pieces_of(case.items), Roll(case.width))
    assert roll_faults(plan) == []
    assert case.known <= plan.length_mm <= 1.7 * case.known + max(along for _, along in case.items)


def test_one_seed_gives_one_plan():
    case = next(case for case in STRIPS if case.name == "C4P1")
    first, again = (nest(pieces_of(case.items), Roll(case.width), stop=Rounds(60), seed=3) for _ in range(2))
    assert first == again


def test_more_rounds_are_never_worse():
    case = next(case for case in STRIPS if case.name == "C3P1")
    lengths = [nest(pieces_of(case.items), Roll(case.width), stop=Rounds(n)).length_mm for n in (0, 50, 400)]
    assert lengths == sorted(lengths, reverse=True)
