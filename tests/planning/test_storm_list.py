"""Hauling before a storm: never more on a tide than it takes, as many as can be, the most exposed before others."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from yard.planning.storm_list import Afloat, haul_order

afloat = st.lists(
    st.tuples(st.integers(0, 1), st.frozensets(st.integers(0, 2), max_size=3)), min_size=0, max_size=6
).map(lambda rows: [Afloat(n, exposed, 1.0, tides) for n, (exposed, tides) in enumerate(rows)])


def best(boats: list[Afloat], per_tide: int) -> tuple[int, int]:
    """(boats hauled, exposed boats among them) of the best of all ways, each tried."""
    found = (0, 0)
    for choice in product(*[[None, *sorted(boat.tides)] for boat in boats]):
        if all(choice.count(tide) <= per_tide for tide in range(3)):
            hauled = [boat for boat, tide in zip(boats, choice, strict=True) if tide is not None]
            found = max(found, (len(hauled), sum(boat.exposed == 0 for boat in hauled)))
    return found


@settings(deadline=None)  # the first call pays for what others loaded
@given(afloat, st.integers(1, 2))
def test_as_many_as_can_be_and_the_exposed_first(boats: list[Afloat], per_tide: int) -> None:
    given_tide = haul_order(boats, 3, per_tide)
    by_key = {boat.key: boat for boat in boats}
    assert all(tide in by_key[key].tides for key, tide in given_tide.items())
    assert all(list(given_tide.values()).count(tide) <= per_tide for tide in range(3))
    exposed = sum(by_key[key].exposed == 0 for key in given_tide)
    assert (len(given_tide), exposed) == best(boats, per_tide)


def test_one_that_has_another_tide_gives_hers_up() -> None:
    boats = [Afloat(1, 0, 1.0, frozenset({0, 1})), Afloat(2, 1, 2.0, frozenset({0}))]
    assert haul_order(boats, 2, 1) == {1: 1, 2: 0}


def test_no_tide_left_hauls_nobody() -> None:
    assert haul_order([Afloat(1, 0, 1.0, frozenset({0}))], 0, 4) == {}


def test_a_tide_takes_at_least_one() -> None:
    with pytest.raises(ValueError, match="at least one"):
        haul_order([], 1, 0)
