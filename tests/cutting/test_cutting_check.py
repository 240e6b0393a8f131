"""The check of a cutting plan, tested by breaking one that holds: each edit is told by its own rule."""

from dataclasses import replace

import pytest

from yard.cutting.check import piece_faults, roll_faults, sheet_faults
from yard.cutting.nest import nest, nest_on_sheets
from yard.cutting.stopping import Rounds
from yard.cutting.take_off import cloth_pieces, foam_pieces
from yard.cutting.values import CuttingPlan, Edging, Grain, Panel, Placed, Roll, Sheet, SheetPlan

ROLL = Roll(1400, selvage_mm=10, repeat_mm=300, gap_mm=5, join_mm=15)
PANELS = [
    Panel("back", 1000, 600, count=2, ends=Edging(20, 20), matched=True),
    Panel("seat", 700, 650, sides=Edging(15, 15), matched=True, match_at_mm=100),
    Panel("strap", 400, 80, count=3, grain=Grain.ANY),
]
KEPT = nest(cloth_pieces(PANELS, ROLL), ROLL, stop=Rounds(40))
FOAM = nest_on_sheets(foam_pieces(PANELS, Sheet(1500, 1000, 80, 3)), Sheet(1500, 1000, 80, 3), stop=Rounds(40))


def moved(plan, piece: int, **to: int | bool):
    placed = tuple(replace(spot, **to) if spot.piece == piece else spot for spot in plan.placed)
    return replace(plan, placed=placed)


def rules(faults) -> set[str]:
    return {fault.rule for fault in faults}


def spot(plan: CuttingPlan | SheetPlan, piece: int) -> Placed:
    return next(each for each in plan.placed if each.piece == piece)


def test_the_kept_plans_hold():
    assert roll_faults(KEPT) == []
    assert sheet_faults(FOAM) == []
    assert piece_faults(PANELS, ROLL, KEPT.pieces) == []


def test_two_pieces_over_one_another():
    first = spot(KEPT, 0)
    assert "overlap" in rules(roll_faults(moved(KEPT, 1, x_mm=first.x_mm, y_mm=first.y_mm)))


def test_less_than_the_gap_between_two_pieces():
    """A strap laid 4 mm beside another, where 5 are left for the knife; 5 is enough."""
    strap = spot(KEPT, 3)
    across, along = (400, 80) if strap.turned else (80, 400)
    alone = replace(KEPT, pieces=KEPT.pieces[3:5], placed=(), bound_mm=1, length_mm=along)
    beside = [
        replace(alone, placed=(Placed(0, 20, 0, strap.turned), Placed(1, 20 + across + n, 0, strap.turned)))
        for n in (4, 5)
    ]
    assert [rules(roll_faults(plan)) for plan in beside] == [{"overlap"}, set()]


@pytest.mark.parametrize("x", [9, -1, 1380])
def test_a_piece_in_the_selvage_or_beyond(x: int):
    assert "edge" in rules(roll_faults(moved(KEPT, 0, x_mm=x)))


def test_a_piece_turned_against_its_grain():
    assert "grain" in rules(roll_faults(moved(KEPT, 0, turned=True)))


def test_a_piece_off_the_pattern():
    later = spot(KEPT, 0).y_mm + 1
    assert "match" in rules(roll_faults(moved(KEPT, 0, y_mm=later)))


def test_a_length_that_is_not_the_plans():
    assert rules(roll_faults(replace(KEPT, length_mm=KEPT.length_mm - 1, bound_mm=1))) == {"length"}


def test_a_bound_above_the_plan():
    assert rules(roll_faults(replace(KEPT, bound_mm=KEPT.length_mm + 1))) == {"length"}


def test_a_piece_without_a_place_or_with_two():
    assert rules(roll_faults(replace(KEPT, placed=KEPT.placed[1:]))) == {"places"}
    assert rules(roll_faults(replace(KEPT, placed=(*KEPT.placed, KEPT.placed[0])))) == {"places"}
    assert rules(sheet_faults(replace(FOAM, placed=()))) == {"places"}


def test_foam_over_its_edge_or_on_a_sheet_that_is_not_counted():
    assert "edge" in rules(sheet_faults(moved(FOAM, 0, x_mm=900)))
    assert "sheets" in rules(sheet_faults(moved(FOAM, 0, sheet=7)))
    assert "sheets" in rules(sheet_faults(replace(FOAM, bound=9)))
    assert "grain" in rules(sheet_faults(moved(FOAM, 0, turned=True)))


@pytest.mark.parametrize(
    "edit",
    [
        lambda pieces: pieces[1:],
        lambda pieces: (replace(pieces[0], along_mm=1000), *pieces[1:]),
        lambda pieces: (replace(pieces[0], may_turn=True), *pieces[1:]),
        lambda pieces: (replace(pieces[0], match_mm=-1), *pieces[1:]),
        lambda pieces: (*pieces, replace(pieces[0], name="nobody's")),
    ],
    ids=["one missing", "without its hems", "may turn", "not matched", "one too many"],
)
def test_pieces_that_do_not_make_the_panels(edit):
    assert rules(piece_faults(PANELS, ROLL, edit(KEPT.pieces))) == {"pieces"}
