"""What holds for any panels: a plan has no fault, lies between its bound and the pieces one after another."""

import random

from hypothesis import given, settings
from hypothesis import strategies as st

from yard.cutting.bound import sheet_bound, strip_bound
from yard.cutting.check import piece_faults, roll_faults, sheet_faults
from yard.cutting.duals import duals
from yard.cutting.nest import nest, nest_on_sheets, nest_on_shelves
from yard.cutting.skyline import Kind
from yard.cutting.stopping import Rounds
from yard.cutting.take_off import cloth_pieces, foam_pieces
from yard.cutting.values import Edging, Grain, Panel, Roll, Sheet

MEASURES = st.integers(30, 1900)
EDGES = st.builds(Edging, st.integers(0, 60), st.integers(0, 60))


@st.composite
def panels(draw: st.DrawFn) -> list[Panel]:
    found = []
    for number in range(draw(st.integers(1, 5))):
        grain = draw(st.sampled_from(list(Grain)))
        found.append(
            Panel(
                f"panel {chr(97 + number)}",
                draw(MEASURES),
                draw(MEASURES),
                count=draw(st.integers(1, 4)),
                ends=draw(EDGES),
                sides=draw(EDGES),
                grain=grain,
                matched=grain is not Grain.ANY and draw(st.booleans()),
                match_at_mm=draw(st.integers(0, 500)),
            )
        )
    return found


ROLLS = st.builds(
    Roll,
    width_mm=st.integers(900, 2100),
    selvage_mm=st.integers(0, 20),
    repeat_mm=st.sampled_from([0, 0, 64, 320, 700]),
    gap_mm=st.integers(0, 6),
    join_mm=st.integers(0, 20),
)


@settings(max_examples=35, deadline=None)
@given(panels=panels(), roll=ROLLS)
def test_any_cutting_plan_holds_and_lies_above_its_bound(panels, roll):
    pieces = cloth_pieces(panels, roll)
    assert piece_faults(panels, roll, pieces) == []
    nested, rows = nest(pieces, roll, stop=Rounds(0)), nest_on_shelves(pieces, roll)
    assert nested.length_mm <= rows.length_mm
    for plan in (nest(pieces, roll, stop=Rounds(3)), rows):
        assert roll_faults(plan) == []
        assert max(piece.area_mm2 for piece in pieces) // roll.usable_mm <= plan.bound_mm <= plan.length_mm
        longest = sum(max(piece.along_mm, piece.across_mm) + roll.gap_mm + roll.repeat_mm for piece in pieces)
        assert plan.length_mm <= longest
        assert 0 <= plan.waste_share < 1


@settings(max_examples=25, deadline=None)
@given(panels=panels(), gap=st.integers(0, 6))
def test_any_foam_plan_holds(panels, gap):
    sheet = Sheet(2100, 2100, 100, gap)
    pieces = foam_pieces(panels, sheet)
    plan = nest_on_sheets(pieces, sheet, stop=Rounds(3))
    assert sheet_faults(plan) == []
    assert 1 <= plan.bound <= plan.sheets <= len(pieces)


@settings(max_examples=40, deadline=None)
@given(whole=st.integers(5, 400), seed=st.integers(0, 10_000))
def test_a_dual_never_says_that_what_fits_side_by_side_does_not(whole, seed):
    """Fill the width at random; every function of the filling is at most one."""
    chance, left, sizes = random.Random(seed), whole, []
    while left and len(sizes) < 12:
        sizes.append(chance.randint(1, left))
        left -= sizes[-1]
    for dual in duals(sizes + [chance.randint(1, whole) for _ in range(5)], whole):
        assert sum(dual.value[size] for size in sizes) <= dual.one


@settings(max_examples=40, deadline=None)
@given(width=st.integers(6, 60), length=st.integers(6, 60), seed=st.integers(0, 10_000))
def test_a_rectangle_cut_apart_at_random_bounds_at_most_itself(width, length, seed):
    """Guillotine cuts of one sheet: strip and sheet bounds may not say that it takes more than that sheet."""
    chance = random.Random(seed)
    parts = [(width, length)]
    for _ in range(chance.randint(0, 9)):
        across, along = parts.pop(chance.randrange(len(parts)))
        if across > 1 and (along == 1 or chance.random() < 0.5):
            at = chance.randint(1, across - 1)
            parts += [(at, along), (across - at, along)]
        elif along > 1:
            at = chance.randint(1, along - 1)
            parts += [(across, at), (across, along - at)]
        else:
            parts.append((across, along))
    kinds = [Kind(across, along, chance.random() < 0.3, -1) for across, along in parts]
    counts = [1] * len(kinds)
    assert strip_bound(kinds, counts, width, 0) <= length
    assert sheet_bound(kinds, counts, width, length) == 1
