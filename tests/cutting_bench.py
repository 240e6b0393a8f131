"""Gaps to published optima by set of instances: `python -m tests.cutting_bench [--rounds N] [--exact SECONDS]`."""

from __future__ import annotations

import argparse
from collections import defaultdict
from time import process_time

from tests.reference.packing_instances import BINS, STRIPS
from yard.cutting.check import roll_faults, sheet_faults
from yard.cutting.nest import nest, nest_on_sheets
from yard.cutting.stopping import Rounds
from yard.cutting.values import Piece, Roll, Sheet


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=1500)
    parser.add_argument("--exact", type=float, default=0.0)
    asked = parser.parse_args()
    rows: dict[str, list[tuple[float, float, float]]] = defaultdict(list)
    for case in STRIPS:
        pieces = [Piece(str(number), along, across) for number, (across, along) in enumerate(case.items)]
        began = process_time()
        plan = nest(pieces, Roll(case.width), stop=Rounds(asked.rounds), exact_seconds=asked.exact)
        took = process_time() - began
        if faults := roll_faults(plan):
            raise SystemExit(f"{case.name}: {faults}")
        over, under = plan.length_mm / case.known - 1, 1 - plan.bound_mm / case.known
        found = f"known {case.known:5} plan {plan.length_mm:5} bound {plan.bound_mm:5}"
        print(f"{case.name:8} {len(pieces):3} {found} {took:6.2f} s")
        rows[case.name.rstrip("0123456789").removesuffix("P").rstrip("0123456789")].append((over, under, took))
    for name, row in rows.items():
        over, under, took = (sum(each) / len(row) for each in zip(*row, strict=True))
        print(
            f"{name:8} {len(row):3} strips: {over:6.2%} above the optimum, bound {under:6.2%} below, {took:.2f} s each"
        )
    met = 0
    for bins in BINS:
        pieces = [Piece(str(number), along, across) for number, (across, along) in enumerate(bins.items)]
        sheets = nest_on_sheets(pieces, Sheet(bins.height, bins.width, 1), stop=Rounds(300))
        if faults := sheet_faults(sheets):
            raise SystemExit(f"{bins.name}: {faults}")
        met += sheets.sheets == bins.known
    print(f"sheets: {met} of {len(BINS)} sets of pieces on as few as published")


if __name__ == "__main__":
    main()
