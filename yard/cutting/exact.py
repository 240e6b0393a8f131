"""Small cuttings settled by CP-SAT: the shortest strip, the fewest sheets, and what it proved about them.

ortools is imported when it is used: the pages do without.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from yard.cutting.bound import ways_of
from yard.cutting.skyline import Kind, Spot

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

WORKERS = 2


@dataclass(frozen=True, slots=True)
class Found:
    """spots: empty where nothing better than the hint was found. bound: proved, never less than what was known."""

    spots: list[Spot]
    bound: int


@dataclass(slots=True)
class Laid:
    """The variables of one piece: x, y and, where it may turn, whether it is turned."""

    kind: int
    x: cp_model.IntVar
    y: cp_model.IntVar
    turned: cp_model.IntVar | None
    top: cp_model.IntVar


def shortest_strip(
    kinds: Sequence[Kind], hint: Sequence[Spot], width: int, repeat: int, *, least: int, most: int, seconds: float
) -> Found:
    """A strip shorter than `most`, or a better bound than `least`; hint: a plan that is `most` long."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    laid = _laid(model, kinds, hint, width, most)
    _match(model, kinds, laid, repeat, most)
    length = model.new_int_var(least, most, "length")
    model.add_max_equality(length, [piece.top for piece in laid])
    model.minimize(length)
    solver = _solver(seconds)
    status = solver.solve(model)
    bound = max(least, round(solver.best_objective_bound))  # whole by nature, told as a float
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Found([], bound)
    return Found(_spots(solver, laid) if round(solver.objective_value) < most else [], bound)


def on_sheets(
    kinds: Sequence[Kind], hint: Sequence[Spot], width: int, length: int, sheets: int, *, seconds: float
) -> list[Spot] | None:
    """All on this many sheets, one above another in y; [] where that is proved impossible, None where time ran out."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    laid = _laid(model, kinds, hint, width, sheets * length, sheet=length)
    for piece in laid:
        on, within = model.new_int_var(0, sheets - 1, ""), model.new_int_var(0, length - 1, "")
        model.add(piece.y == length * on + within)
        model.add(piece.top <= length * on + length)
    solver = _solver(seconds)
    match solver.solve(model):
        case cp_model.OPTIMAL | cp_model.FEASIBLE:
            return _spots(solver, laid)
        case cp_model.INFEASIBLE:
            return []
        case _:
            return None


def _laid(
    model: cp_model.CpModel,
    kinds: Sequence[Kind],
    hint: Sequence[Spot],
    width: int,
    most: int,
    *,
    sheet: int | None = None,
) -> list[Laid]:
    """Variables of every piece, none over another; pieces alike in the order in which they lie."""
    laid: list[Laid] = []
    across_all, along_all, widths = [], [], []
    for spot in sorted(hint, key=lambda each: (each.kind, each.y, each.x)):
        kind = kinds[spot.kind]
        ways = ways_of(kind, width, sheet)
        both = len(ways) == 2 and kind.across != kind.along
        turned = model.new_bool_var("") if both else None
        w, h = ways[0]
        x = model.new_int_var(0, width - min(each for each, _ in ways), "")
        y = model.new_int_var(0, most - min(each for _, each in ways), "")
        right, top = model.new_int_var(0, width, ""), model.new_int_var(0, most, "")
        size_w = w if turned is None else w + (kind.along - kind.across) * turned
        size_h = h if turned is None else h + (kind.across - kind.along) * turned
        across_all.append(model.new_interval_var(x, size_w, right, ""))
        along_all.append(model.new_interval_var(y, size_h, top, ""))
        widths.append(size_w)
        if laid and laid[-1].kind == spot.kind:
            model.add(laid[-1].y <= y)
        model.add_hint(x, spot.x)
        model.add_hint(y, spot.y)
        if turned is not None:
            model.add_hint(turned, spot.turned)
        laid.append(Laid(spot.kind, x, y, turned, top))
    model.add_no_overlap_2d(across_all, along_all)
    model.add_cumulative(along_all, widths, width)
    return laid


def _match(model: cp_model.CpModel, kinds: Sequence[Kind], laid: Sequence[Laid], repeat: int, most: int) -> None:
    """Matched pieces lie on the pattern."""
    for piece in laid:
        match = kinds[piece.kind].match
        if match >= 0 and repeat:
            lines = model.new_int_var(0, (most + match) // repeat + 1, "")
            model.add(piece.y + match == repeat * lines)


def _solver(seconds: float) -> cp_model.CpSolver:
    from ortools.sat.python import cp_model

    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = WORKERS
    solver.parameters.random_seed = 1
    return solver


def _spots(solver: cp_model.CpSolver, laid: Sequence[Laid]) -> list[Spot]:
    return [
        Spot(
            piece.kind,
            solver.value(piece.x),
            solver.value(piece.y),
            piece.turned is not None and bool(solver.value(piece.turned)),
        )
        for piece in laid
    ]
