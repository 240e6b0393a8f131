"""Every way of filling a small store, looked at as far as it may still be the best: for a dozen boats at the most."""

from __future__ import annotations

from collections.abc import Iterator

from yard.stowing.bound import least_extra_moves
from yard.stowing.days import days_of
from yard.stowing.emptying import badly_placed, fewest, ranks_of
from yard.stowing.values import Emptied, Layout, NoRoom, Store, StowPlan, launch_order


def best_filling(store: Store, *, nodes: int = 200_000) -> tuple[StowPlan, Emptied] | NoRoom | None:
    """The filling with the fewest extra moves in the expected order, and how it is emptied.

    NoRoom: proved, there is none. None: `nodes` ran out, a sequence of moves was not proved best, or the apron is too
    small for every filling.
    """
    return _Search(store, nodes).run()


class _Search:
    """Boat after boat put into every place of every row: each layout comes up once.

    A boat that is put in only adds to those badly placed, so a part with as many of them as the best has moves is left.
    """

    def __init__(self, store: Store, nodes: int) -> None:
        self.store, self.left = store, nodes
        self.order = launch_order(store.boats)
        self.rank = ranks_of(self.order)
        self.coming = sorted(store.coming, key=lambda boat: -self.rank[boat])
        self.fixed = [len(row) for row in store.standing]
        self.best: tuple[StowPlan, Emptied] | None = None
        self.somewhere = self.unsure = False

    def run(self) -> tuple[StowPlan, Emptied] | NoRoom | None:
        floor = least_extra_moves(self.store)
        stack: list[tuple[Layout, int]] = [(self.store.standing, 0)]
        while stack and not self.unsure and (self.best is None or self.best[1].extra > floor):
            layout, at = stack.pop()
            self.left -= 1
            if self.left < 0:
                return None
            if self.best is not None and badly_placed(layout, self.rank) >= self.best[1].extra:
                continue
            if at == len(self.coming):
                self._look_at(layout)
            else:
                stack += [(way, at + 1) for way in self._ways(layout, self.coming[at])]
        if self.unsure:
            return None
        if self.best is None:
            return None if self.somewhere else NoRoom(self.store.coming)
        return self.best

    def _look_at(self, layout: Layout) -> None:
        days = days_of(self.store, layout)
        if days is None:
            return
        self.somewhere = True
        emptied = fewest(self.store, layout, self.order)
        if isinstance(emptied, Emptied) and (self.best is None or emptied.extra < self.best[1].extra):
            self.unsure = not emptied.proved
            self.best = StowPlan(layout, days), emptied

    def _ways(self, layout: Layout, boat: int) -> Iterator[Layout]:
        for number, row in enumerate(layout):
            if not self.store.rows[number].takes(self.store.boats[boat]) or not self.store.holds(number, [*row, boat]):
                continue
            for place in range(self.fixed[number], len(row) + 1):
                with_her = (*row[:place], boat, *row[place:])
                if self._in_time(with_her[self.fixed[number] :]):
                    yield (*layout[:number], with_her, *layout[number + 1 :])

    def _in_time(self, row: tuple[int, ...]) -> bool:
        day = -(1 << 60)
        for boat in row:
            first, last = self.store.boats[boat].comes
            day = max(day, first)
            if day > last:
                return False
        return True
