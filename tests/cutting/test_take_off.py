"""Finished panels into pieces: seams, hems, grain, cloths of a panel wider than the roll, and how much to order."""

import pytest

from yard.cutting.check import piece_faults, roll_faults
from yard.cutting.nest import nest
from yard.cutting.stopping import Rounds
from yard.cutting.take_off import cloth_pieces, foam_pieces, order_mm
from yard.cutting.values import CuttingRefused, Edging, Grain, Panel, Piece, Roll, Sheet

HEM, SEAM = Edging(40, 40), Edging(15, 15)
ROLL = Roll(width_mm=1500, selvage_mm=10, join_mm=15)


def test_seams_and_hems_are_added_on_both_ways():
    """1000 + 2 x 40 = 1080 along, 600 + 2 x 15 = 630 across."""
    (piece,) = cloth_pieces([Panel("top", 1000, 600, ends=HEM, sides=SEAM)], ROLL)
    assert piece == Piece("top", 1080, 630)


def test_as_many_pieces_as_panels_each_with_a_name_of_its_own():
    assert [piece.name for piece in cloth_pieces([Panel("side", 900, 300, count=3)], ROLL)] == [
        "side 1",
        "side 2",
        "side 3",
    ]


def test_grain_across_lays_the_length_across_the_roll():
    (piece,) = cloth_pieces([Panel("window", 1000, 400, ends=HEM, grain=Grain.ACROSS)], ROLL)
    assert (piece.along_mm, piece.across_mm, piece.may_turn) == (400, 1080, False)


def test_a_panel_wider_than_the_roll_is_joined_of_equal_cloths():
    """2000 finished + hems of 40 at both sides; usable 1480. Two cloths: 1000 + hem 40 + seam 15 = 1055 each."""
    pieces = cloth_pieces([Panel("deck", 3000, 2000, ends=HEM, sides=HEM)], ROLL)
    assert [(piece.along_mm, piece.across_mm) for piece in pieces] == [(3080, 1055), (3080, 1055)]
    assert [piece.name for piece in pieces] == ["deck, cloth 1 of 2", "deck, cloth 2 of 2"]


def test_a_panel_longer_than_the_roll_is_wide_is_turned_where_it_may_be():
    (piece,) = cloth_pieces([Panel("liner", 1400, 2000, grain=Grain.ANY)], ROLL)
    assert piece.may_turn
    plan = nest([piece], ROLL)
    assert plan.placed[0].turned
    assert plan.length_mm == 1400 + 600  # 2000 along the roll, 1400 across: it fits no other way


def test_cloths_of_one_panel_are_matched_on_a_patterned_roll_even_if_nobody_said_so():
    roll = Roll(1500, repeat_mm=320, join_mm=15)
    pieces = cloth_pieces([Panel("spread", 2000, 2500, ends=HEM)], roll)
    assert [piece.match_mm for piece in pieces] == [40, 40]


def test_a_repeat_costs_nothing_where_nothing_is_matched():
    (piece,) = cloth_pieces([Panel("back", 900, 500)], Roll(1500, repeat_mm=320))
    assert piece.match_mm == -1


@pytest.mark.parametrize(
    ("panel", "words"),
    [
        (lambda: Panel("", 100, 100), "no name"),
        (lambda: Panel("x", 0, 100), "Length of “x” is 0 mm"),
        (lambda: Panel("x", 100, 100_001), "Width of “x”"),
        (lambda: Panel("x", 100, 100, count=0), "Number of “x” is 0"),
        (lambda: Panel("x", 100, 100, grain=Grain.ANY, matched=True), "cannot be turned"),
        (lambda: Roll(100, selvage_mm=50), "leave nothing"),
        (lambda: cloth_pieces([], ROLL), "add a panel"),
        (lambda: cloth_pieces([Panel("a", 9, 9), Panel("a", 8, 8)], ROLL), "Two pieces are called “a”"),
        (lambda: cloth_pieces([Panel("a", 9, 9, count=300), Panel("b", 9, 9, count=300)], ROLL), "600 pieces"),
        (lambda: cloth_pieces([Panel("w", 9, 500, sides=Edging(40, 40))], Roll(55, join_mm=15)), "cannot be joined"),
        (lambda: foam_pieces([Panel("bunk", 2100, 700)], Sheet(2000, 1200, 100)), "larger than a sheet"),
    ],
)
def test_what_cannot_be_cut_is_refused_with_its_name_and_a_remedy(panel, words):
    with pytest.raises(CuttingRefused, match=words):
        panel()


def test_foam_that_may_turn_fits_a_sheet_the_other_way():
    (piece,) = foam_pieces([Panel("bunk", 700, 1900, grain=Grain.ANY)], Sheet(2000, 1200, 100))
    assert piece.may_turn


def test_how_much_to_order_is_rounded_up_to_how_it_is_sold():
    """2350 mm with 5 % spare is 2467.5, so 2500 in steps of 100 mm, and 2743.2 by the yard (3 x 914.4 -> 914)."""
    plan = nest([Piece("a", 2350, 700)], Roll(1500))
    assert order_mm(plan, spare_pct=5) == 2500
    assert order_mm(plan, spare_pct=5, sold_by_mm=914) == 3 * 914
    assert order_mm(plan) == 2400


def test_matched_cloth_is_ordered_with_one_repeat_more():
    """Nobody knows where in the pattern the cloth that comes begins: 2350 + 640 = 2990."""
    plan = nest([Piece("a", 2350, 700, match_mm=0)], Roll(1500, repeat_mm=640))
    assert order_mm(plan) == 3000


@pytest.mark.parametrize(("spare", "step", "words"), [(-1, 100, "Spare"), (101, 100, "Spare"), (0, 0, "steps")])
def test_an_order_that_cannot_be_is_refused(spare, step, words):
    with pytest.raises(CuttingRefused, match=words):
        order_mm(nest([Piece("a", 10, 10)], ROLL), spare_pct=spare, sold_by_mm=step)


def test_a_whole_cover_holds_from_panels_to_plan():
    panels = [
        Panel("top", 2400, 1900, ends=HEM, sides=HEM),
        Panel("side", 2400, 650, count=2, ends=HEM, sides=SEAM),
        Panel("end", 1900, 700, count=2, ends=SEAM, sides=HEM),
        Panel("strap", 600, 90, count=8, grain=Grain.ANY),
    ]
    pieces = cloth_pieces(panels, ROLL)
    plan = nest(pieces, ROLL, stop=Rounds(60))
    assert piece_faults(panels, ROLL, pieces) == []
    assert roll_faults(plan) == []
