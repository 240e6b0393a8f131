"""What no layout can beat: boats that are badly placed however the store is filled.

Call a boat badly placed that stands before one that leaves sooner; she is moved at least once (emptying.badly_placed
has the proof), so the extra moves of a layout are no fewer than its badly placed boats. The others of one row, from the
wall outward, leave ever sooner, and come in that order: each may be followed only by one that leaves before her and
whose last day to come is not before her first. So they make a path in the graph of these pairs, at most one for each
row, beginning with a boat that the row takes and that leaves before all that stand in it already. No more boats can be
well placed than so many disjoint paths cover; the most is a flow (minimum cost, one unit a row, one a boat). All that
is left away here, lengths, the days' limit, what the badly placed take of a row, only forbids more.
"""

from __future__ import annotations

import numpy as np

from yard.stowing.emptying import badly_placed, ranks_of
from yard.stowing.values import Store, launch_order


def least_extra_moves(store: Store) -> int:
    """No way of filling this store leaves spring fewer extra moves in the order in which boats are expected to go."""
    rank = ranks_of(launch_order(store.boats))
    return badly_placed(store.standing, rank) + len(store.coming) - _most_well_placed(store, rank)


def _most_well_placed(store: Store, rank: dict[int, int]) -> int:
    from ortools.graph.python import min_cost_flow  # type: ignore[import-untyped]  # heavy: the site starts without it

    coming = sorted(store.coming, key=lambda boat: -rank[boat])
    if not coming or not store.rows:
        return 0
    tails, heads, costs = _arcs(store, rank, coming)
    flow = min_cost_flow.SimpleMinCostFlow()
    ones = np.ones(len(tails), dtype=np.int64)
    flow.add_arcs_with_capacity_and_unit_cost(
        np.array(tails, dtype=np.int32), np.array(heads, dtype=np.int32), ones, np.array(costs, dtype=np.int64)
    )
    source, sink = 0, 1
    flow.set_node_supply(source, len(store.rows))
    flow.set_node_supply(sink, -len(store.rows))
    if flow.solve() != flow.OPTIMAL:
        raise RuntimeError("the flow of the lower bound was not solved")
    return -int(flow.optimal_cost())


def _arcs(store: Store, rank: dict[int, int], coming: list[int]) -> tuple[list[int], list[int], list[int]]:
    """Source 0, sink 1, a node for each row, and two for each boat with an arc that earns 1 between them."""
    rows = len(store.rows)
    enters = {boat: 2 + rows + 2 * number for number, boat in enumerate(coming)}
    arcs: list[tuple[int, int, int]] = []
    for number, row in enumerate(store.rows):
        first = min((rank[boat] for boat in store.standing[number]), default=len(store.boats))
        arcs.append((0, 2 + number, 0))
        arcs.append((2 + number, 1, 0))
        arcs += [
            (2 + number, enters[boat], 0)
            for boat in coming
            if rank[boat] < first and row.takes(store.boats[boat]) and len(store.standing[number]) < row.most
        ]
    for place, inner in enumerate(coming):
        arcs.append((enters[inner], enters[inner] + 1, -1))
        arcs.append((enters[inner] + 1, 1, 0))
        first_day = store.boats[inner].comes[0]
        arcs += [
            (enters[inner] + 1, enters[outer], 0)
            for outer in coming[place + 1 :]
            if first_day <= store.boats[outer].comes[1]
        ]
    tails, heads, costs = zip(*arcs, strict=True)
    return list(tails), list(heads), list(costs)
