"""Emptying the store in the order of launching with few extra moves: the block relocation problem.

Only boats in the way of the next one are moved (the restricted problem). `empty` goes by a rule of thumb, that of
Caserta, Schwarze and Voss, A mathematical formulation and complexity considerations for the blocks relocation problem,
EJOR 219 (2012): a boat goes where the first to leave goes just after her, or, where every row has one that goes before
her, where that one goes last. `fewest` searches for a sequence that is proved best, as far as `nodes` reach.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from yard.stowing.values import Emptied, Fits, Layout, Step, Store, Stuck

State = tuple[tuple[int, ...], ...]
LAST = 1 << 60


def ranks_of(order: Sequence[int]) -> dict[int, int]:
    return {boat: rank for rank, boat in enumerate(order)}


def badly_placed(layout: Layout, rank: dict[int, int]) -> int:
    """Boats that stand before one that leaves sooner: each must be moved at least once, whoever empties the store.

    She stands between that one and the door, so she is taken out before that one goes, and she has not left by then.
    """
    count = 0
    for row in layout:
        first = LAST
        for boat in row:
            count += rank[boat] > first
            first = min(first, rank[boat])
    return count


def empty(store: Store, layout: Layout, order: Sequence[int], fits: Fits | None = None) -> Emptied | Stuck:
    """By the rule of thumb. order: every boat of the layout, as they leave. fits: of this store, if it is at hand."""
    rank = ranks_of(order)
    rows = _Rows(store, layout, rank, fits or Fits(store))
    for target in order:
        apron = rows.clear_the_way(target)
        if apron is None:
            return Stuck(target)
        rows.take(target, "leave")
        for boat in sorted(apron, key=lambda each: -rank[each]):
            if not rows.put(boat):
                return Stuck(target)
    extra = sum(step.do == "out" for step in rows.steps)
    return Emptied(tuple(rows.steps), extra, extra == badly_placed(layout, rank))


class _Rows:
    """The rows while they are emptied, and the steps so far. first: for each row, the least rank in it."""

    def __init__(self, store: Store, layout: Layout, rank: dict[int, int], fits: Fits) -> None:
        self.fits, self.rank, self.aside = fits, rank, store.aside
        self.rows = [list(row) for row in layout]
        self.where = {boat: number for number, row in enumerate(self.rows) for boat in row}
        self.taken_m = [fits.taken_m(row) for row in self.rows]
        self.first = [self._first(row) for row in self.rows]
        self.steps: list[Step] = []

    def _first(self, row: Sequence[int]) -> int:
        return min((self.rank[boat] for boat in row), default=LAST)

    def take(self, boat: int, do: str) -> None:
        home = self.where[boat]
        self.rows[home].pop()
        self.taken_m[home] -= self.fits.each_m[boat]
        if self.first[home] == self.rank[boat]:
            self.first[home] = self._first(self.rows[home])
        self.steps.append(Step(do, boat, home))

    def put(self, boat: int, without: int = -1) -> bool:
        """Into the best row but one; False where none has room."""
        mine = self.rank[boat]
        best: tuple[bool, int, int] | None = None
        for number, row in enumerate(self.rows):
            if number != without and self.fits.one_more(number, len(row), self.taken_m[number], boat):
                first = self.first[number]
                key = (first < mine, first if first > mine else -first, number)
                best = key if best is None or key < best else best
        if best is None:
            return False
        into = best[2]
        self.rows[into].append(boat)
        self.taken_m[into] += self.fits.each_m[boat]
        self.first[into] = min(self.first[into], mine)
        self.where[boat] = into
        self.steps.append(Step("in", boat, into))
        return True

    def clear_the_way(self, target: int) -> list[int] | None:
        """Who waits on the apron when all that stood before the target are out; None where one has no room.

        The apron sorts them anew, so they wait there if they can; of more than it holds, the outermost go elsewhere.
        """
        home = self.where[target]
        too_many = len(self.rows[home]) - 1 - self.rows[home].index(target) - self.aside
        apron: list[int] = []
        while self.rows[home][-1] != target:
            boat = self.rows[home][-1]
            self.take(boat, "out")
            elsewhere = too_many > 0 or len(apron) >= self.aside
            too_many -= 1
            if elsewhere and self.put(boat, without=home):
                continue
            if len(apron) >= self.aside:
                return None
            apron.append(boat)
        return apron


def fewest(store: Store, layout: Layout, order: Sequence[int], *, nodes: int = 20_000) -> Emptied | Stuck:
    """As `empty`, then a search by rising limits for a sequence with fewer moves; the better of both.

    nodes: how many ways are looked at before it is left at what was found.
    """
    found = empty(store, layout, order)
    if isinstance(found, Emptied) and found.proved:
        return found
    search = _Search(store, order, nodes)
    most = found.extra if isinstance(found, Emptied) else sum(len(row) for row in layout) ** 2
    for limit in range(badly_placed(layout, search.rank), most + 1):
        search.seen.clear()
        search.cut = False
        steps = search.within(layout, 0, limit)
        if steps is not None:
            return Emptied(tuple(steps), sum(step.do == "out" for step in steps), True)
        if search.left <= 0 or not search.cut:
            return found
    return found


class _Search:
    """Depth first with a limit on moves; a state that failed with as many moves left is not tried again."""

    def __init__(self, store: Store, order: Sequence[int], nodes: int) -> None:
        self.store, self.order, self.left = store, order, nodes
        self.rank = ranks_of(order)
        self.fits = Fits(store)
        self.seen: dict[tuple[State, int], int] = {}
        self.cut = False
        """Whether the limit was felt: where not, a higher one finds no more."""

    def within(self, state: State, at: int, moves: int) -> list[Step] | None:
        """The steps from here to an empty store with so many moves, None where there are none (or nodes run out)."""
        gone: list[Step] = []
        while at < len(self.order):
            target = self.order[at]
            home = next(number for number, row in enumerate(state) if target in row)
            if state[home][-1] != target:
                break
            gone.append(Step("leave", target, home))
            state, at = _without_last(state, home), at + 1
        if at == len(self.order):
            return gone
        if badly_placed(state, self.rank) > moves:
            self.cut = True
            return None
        if self.seen.get((state, at), -1) >= moves:
            return None
        for after, taken in self._ways(state, home, target):
            used = sum(step.do == "out" for step in taken)
            self.cut = self.cut or used > moves
            if used <= moves and (rest := self.within(after, at + 1, moves - used)) is not None:
                return [*gone, *taken, *rest]
        if self.left > 0:
            self.seen[state, at] = moves
        return None

    def _room(self, number: int, row: Sequence[int], boat: int) -> bool:
        return self.fits.one_more(number, len(row), self.fits.taken_m(row), boat)

    def _ways(self, state: State, home: int, target: int) -> Iterator[tuple[State, list[Step]]]:
        """Every store that is left when the target has gone and everybody stands in a row again."""
        told: set[State] = set()
        for after, taken in self._clear(state, home, target, (), []):
            self.left -= 1
            if self.left <= 0:
                return
            if after not in told:
                told.add(after)
                yield after, taken

    def _clear(
        self, state: State, home: int, target: int, apron: tuple[int, ...], taken: list[Step]
    ) -> Iterator[tuple[State, list[Step]]]:
        if state[home][-1] == target:
            yield from self._put_back(_without_last(state, home), apron, [*taken, Step("leave", target, home)])
            return
        boat = state[home][-1]
        out, opened = [*taken, Step("out", boat, home)], _without_last(state, home)
        if len(apron) < self.store.aside:
            yield from self._clear(opened, home, target, (*apron, boat), out)
        for number, row in enumerate(opened):
            if number != home and self._room(number, row, boat):
                into = [*out, Step("in", boat, number)]
                yield from self._clear(_with_last(opened, number, boat), home, target, apron, into)

    def _put_back(self, state: State, apron: tuple[int, ...], taken: list[Step]) -> Iterator[tuple[State, list[Step]]]:
        if not apron:
            yield state, taken
            return
        for boat in sorted(apron, key=lambda each: -self.rank[each]):
            rest = tuple(each for each in apron if each != boat)
            for number, row in enumerate(state):
                if self._room(number, row, boat):
                    into = [*taken, Step("in", boat, number)]
                    yield from self._put_back(_with_last(state, number, boat), rest, into)


def _without_last(state: State, row: int) -> State:
    return (*state[:row], state[row][:-1], *state[row + 1 :])


def _with_last(state: State, row: int, boat: int) -> State:
    return (*state[:row], (*state[row], boat), *state[row + 1 :])
