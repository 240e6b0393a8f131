"""Filling a store: a published example, every small one beside all its fillings, and what must hold of any."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import HealthCheck, assume, given, settings

from tests.stowing.small_stores import all_fillings, some_days, stores
from yard.stowing.bound import least_extra_moves
from yard.stowing.check import plan_faults
from yard.stowing.days import days_of
from yard.stowing.draws import live_through
from yard.stowing.emptying import badly_placed, fewest, ranks_of
from yard.stowing.exact import best_filling
from yard.stowing.filling import fill
from yard.stowing.first_come import first_come
from yard.stowing.planning import stow
from yard.stowing.stopping import Rounds
from yard.stowing.values import (
    NO_LIMIT,
    Boat,
    Emptied,
    NoRoom,
    Row,
    Store,
    StoreInvalid,
    StowPlan,
    launch_order,
)

SLOW = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.filter_too_much])

# The parallel stack loading problem of ElWakil, Eltawil and Gheith, Computers and Operations Research 138 (2022)
# 105609, as its authors explain it in the public repository alkobtan-OR/pslp (README.md, CC BY 4.0): twelve items come
# in this order, are named by the turn in which they leave, and go into 3 stacks of 4. The stacks given there for each
# item have 7 blocking items; they are an example of the form, not said to be the best.
COME = (7, 11, 8, 3, 10, 1, 2, 9, 6, 12, 4, 5)
GIVEN_STACKS = (1, 1, 2, 3, 3, 1, 2, 3, 3, 1, 2, 2)
GIVEN_BLOCKINGS = 7
# The same page: six items in two stacks of 3, the first of its two ways. By its definition 2 blocks 1, and 5 blocks 3.
SIX_COME = (4, 1, 6, 2, 3, 5)
SIX_STACKS = (((4, 1, 2), (6, 3, 5)), 2)


def published(come: tuple[int, ...], stacks: int, tiers: int) -> Store:
    """A day for each, so that they come in this order and no other."""
    boats = tuple(
        Boat(name=f"item {turn}", length_m=1.0, comes=(day, day), wanted=day, leaves=float(turn))
        for day, turn in enumerate(come)
    )
    return Store(rows=tuple(Row(name=f"stack {n}", most=tiers) for n in range(stacks)), boats=boats, aside=0)


def test_the_published_stacks_have_as_many_badly_placed_as_is_said() -> None:
    store = published(COME, 3, 4)
    layout = tuple(tuple(boat for boat, at in enumerate(GIVEN_STACKS) if at == stack) for stack in (1, 2, 3))
    assert badly_placed(layout, ranks_of(launch_order(store.boats))) == GIVEN_BLOCKINGS
    six = published(SIX_COME, 2, 3)
    stacks, count = SIX_STACKS
    six_layout = tuple(tuple(SIX_COME.index(turn) for turn in row) for row in stacks)
    assert badly_placed(six_layout, ranks_of(launch_order(six.boats))) == count


def test_a_better_way_than_the_published_example() -> None:
    """The order of coming is given and every place is taken: 2 block, and no filling has fewer."""
    store = published(COME, 3, 4)
    plan = fill(store, stop=Rounds(3_000))
    assert isinstance(plan, StowPlan)
    assert plan_faults(store, plan) == []
    blocking = badly_placed(plan.layout, ranks_of(launch_order(store.boats)))
    assert blocking == least_extra_moves(store) == 2 < GIVEN_BLOCKINGS


def best_of_all(store: Store) -> tuple[int, int] | None:
    """(fewest badly placed, fewest extra moves) over every filling with any days that keep everything."""
    order, best = launch_order(store.boats), None
    for layout in all_fillings(store):
        if not any(not plan_faults(store, plan) for plan in some_days(store, layout)):
            continue
        found = fewest(store, layout, order)
        extra = found.extra if isinstance(found, Emptied) else 1 << 30
        now = badly_placed(layout, ranks_of(order)), extra
        best = now if best is None else (min(best[0], now[0]), min(best[1], now[1]))
    return best


@SLOW
@given(stores())
def test_bound_and_exact_beside_every_filling(store: Store) -> None:
    best = best_of_all(store)
    exact = best_filling(store)
    if best is None:
        assert isinstance(exact, NoRoom)
        assert isinstance(stow(store, rounds=50, runs=2), NoRoom)
        return
    assert least_extra_moves(store) <= best[0] <= best[1]
    assume(best[1] < 1 << 30)  # the apron is too small for every filling: nothing to compare
    assert not isinstance(exact, NoRoom)
    assert exact is not None
    plan, emptied = exact
    assert plan_faults(store, plan) == []
    assert emptied.extra == best[1]


@SLOW
@given(stores(most_boats=9, most_rows=4))
def test_a_filling_keeps_everything(store: Store) -> None:
    plan = fill(store, stop=Rounds(150))
    if isinstance(plan, StowPlan):
        assert plan_faults(store, plan) == []
        assert badly_placed(plan.layout, ranks_of(launch_order(store.boats))) >= least_extra_moves(store)


@SLOW
@given(stores(most_boats=5, most_rows=3))
def test_days_are_found_whenever_there_are_any(store: Store) -> None:
    for layout in all_fillings(store)[:20]:
        found = days_of(store, layout)
        kept = [plan for plan in some_days(store, layout) if not _days_wrong(store, plan)]
        assert (found is None) == (not kept)
        if found is not None:
            assert not _days_wrong(store, StowPlan(layout, found))


def _days_wrong(store: Store, plan: StowPlan) -> list[str]:
    return [fault for fault in plan_faults(store, plan) if "come" in fault]


def test_the_same_store_gives_the_same_plan() -> None:
    store = published(COME, 3, 4)
    assert stow(store, rounds=200, runs=20) == stow(store, rounds=200, runs=20)


def test_first_come_fills_row_after_row() -> None:
    store = published((2, 1, 3), 2, 2)
    plan = first_come(store)
    assert plan == StowPlan(((0, 1), (2,)), {0: 0, 1: 1, 2: 2})
    assert isinstance(first_come(published((1, 2, 3), 1, 2)), NoRoom)


def test_drawn_springs_without_scatter_are_the_expected_one() -> None:
    store = published(COME, 3, 4)
    stowed = stow(store, rounds=200, runs=5)
    assert not isinstance(stowed, NoRoom)
    springs = live_through(store, stowed.plan.layout, runs=5)
    assert len(set(springs.extra)) <= 1
    assert springs.in_so_many_of_ten(9) == (springs.extra[-1] if springs.extra else None)


def test_a_boat_that_stands_already_stays_and_counts() -> None:
    """She leaves first and stands innermost: everybody in her row is in her way, so they go into the other."""
    first = Boat(name="first", length_m=5.0, leaves=1.0)
    others = tuple(Boat(name=f"boat {n}", length_m=5.0, leaves=10.0 + n) for n in range(2))
    rows = (Row(name="a", most=3), Row(name="b", most=3))
    store = Store(rows=rows, boats=(first, *others), standing=((0,), ()), aside=3)
    stowed = stow(store, rounds=100, runs=5)
    assert not isinstance(stowed, NoRoom)
    assert stowed.plan.layout == ((0,), (2, 1))
    assert stowed.proved
    assert stowed.at_least == 0


def test_size_decides_the_row() -> None:
    wide = Boat(name="wide", length_m=6.0, width_m=3.4, leaves=1.0)
    high = Boat(name="high", length_m=6.0, width_m=2.0, height_m=4.0, leaves=2.0)
    rows = (Row(name="narrow", most=4, width_m=3.0), Row(name="low", most=4, height_m=3.5, width_m=4.0))
    stowed = stow(Store(rows=rows, boats=(wide, high), aside=1), rounds=50, runs=2)
    assert not isinstance(stowed, NoRoom)
    assert stowed.plan.layout == ((1,), (0,))
    low = (Row(name="low", most=4, height_m=3.5),)
    assert isinstance(stow(Store(rows=low, boats=(high,)), rounds=50, runs=2), NoRoom)


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: Boat(name="b", length_m=0.0),
        lambda: Boat(name="b", length_m=5.0, comes=(3, 2)),
        lambda: Boat(name="b", length_m=5.0, leaves=float("nan")),
        lambda: Boat(name="b", length_m=5.0, spread_days=-1.0),
        lambda: Row(name="r", most=0),
        lambda: Row(name="r", most=1, length_m=-1.0),
        lambda: Store(rows=(Row(name="r", most=1),), boats=(), standing=((0,),)),
        lambda: Store(rows=(), boats=(), most_a_day=0),
    ],
)
def test_what_cannot_be_is_refused_at_birth(wrong: Callable[[], object]) -> None:
    with pytest.raises(StoreInvalid):
        wrong()


LONG = Boat(name="long", length_m=6.0, width_m=NO_LIMIT, comes=(0, 1), leaves=1.0)
SHORT = Boat(name="short", length_m=4.0, width_m=2.0, height_m=2.0, comes=(1, 2), leaves=2.0)
TWO = Store(
    rows=(Row(name="a", most=2, length_m=10.5, width_m=3.0, height_m=3.0), Row(name="b", most=1, longest_m=5.0)),
    boats=(LONG, SHORT),
    most_a_day=1,
    gap_m=0.5,
)
KEPT = StowPlan(((0, 1), ()), {0: 0, 1: 1})


def test_the_check_finds_nothing_where_all_is_kept() -> None:
    assert plan_faults(TWO, KEPT) == []
    assert plan_faults(Store(rows=(), boats=()), StowPlan((), {})) == []


@pytest.mark.parametrize(
    ("plan", "says"),
    [
        (StowPlan(((0,), ()), {0: 0, 1: 1}), "short stands in 0 places"),
        (StowPlan(((0, 1), (1,)), {0: 0, 1: 1}), "short stands in 2 places"),
        (StowPlan(((1,), (0,)), {0: 0, 1: 1}), "too long for b"),
        (StowPlan(((0, 1), ()), {0: 1, 1: 1}), "2 boats come on day 1"),
        (StowPlan(((0, 1), ()), {0: 2, 1: 2}), "she may come from 0 to 1"),
        (StowPlan(((1, 0), ()), {0: 0, 1: 1}), "who comes after her"),
        (StowPlan(((0, 1), ()), {0: 0}), "short has no day"),
        (StowPlan(((0, 1),), {0: 0, 1: 1}), "the plan has 1 rows"),
    ],
)
def test_the_check_says_what_is_broken(plan: StowPlan, says: str) -> None:
    assert any(says in fault for fault in plan_faults(TWO, plan))


@pytest.mark.parametrize(
    ("row", "says"),
    [
        (Row(name="a", most=1), "holds 1"),
        (Row(name="a", most=2, length_m=10.4), "is 10.40 m long, its boats take 10.50 m"),
        (Row(name="a", most=2, width_m=1.9), "too wide"),
        (Row(name="a", most=2, height_m=1.9), "too high"),
    ],
)
def test_the_check_knows_each_limit(row: Row, says: str) -> None:
    store = Store(rows=(row, TWO.rows[1]), boats=TWO.boats, most_a_day=1, gap_m=0.5)
    assert any(says in fault for fault in plan_faults(store, KEPT))


def test_spars_lie_side_by_side() -> None:
    """The length of a level is that of its longest spar, not the sum."""
    spars = tuple(Boat(name=f"spar {n}", length_m=9.0, leaves=float(n)) for n in range(3))
    rows = (Row(name="level", most=3, length_m=10.0),)
    assert isinstance(fill(Store(rows=rows, boats=spars, end_to_end=False)), StowPlan)
    assert isinstance(fill(Store(rows=rows, boats=spars), stop=Rounds(10)), NoRoom)
