"""Which boats are hauled on which tide before a storm: as many as can be, those that lie most exposed first.

A set of boats that can all be hauled is independent in a transversal matroid, so taking boats in order of priority,
and moving those taken to other tides where that makes room, hauls the most boats and, of all such choices, the most
exposed ones (Edmonds and Fulkerson, Transversals and matroid partition, 1965).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Afloat:
    """A boat to haul. exposed: 0 most. draft_m: the deeper goes first among equals. tides: those that float her."""

    key: int
    exposed: int
    draft_m: float
    tides: frozenset[int]


def haul_order(boats: Sequence[Afloat], tides: int, per_tide: int) -> dict[int, int]:
    """The tide (0 to tides - 1) of each boat that can be hauled, by key; at most per_tide of them on one tide."""
    if per_tide < 1:
        raise ValueError(f"per_tide is {per_tide}; at least one boat is hauled on a tide")
    by_key = {boat.key: boat for boat in boats}
    taken: dict[int, list[int]] = {tide: [] for tide in range(tides)}
    for boat in sorted(boats, key=lambda one: (one.exposed, len(one.tides), -one.draft_m, one.key)):
        _make_room(boat, by_key, taken, per_tide, set())
    return {key: tide for tide, keys in taken.items() for key in keys}


def _make_room(
    boat: Afloat, by_key: dict[int, Afloat], taken: dict[int, list[int]], per_tide: int, tried: set[int]
) -> bool:
    """Put the boat on her earliest tide with room, else move another to make some."""
    hers = sorted(tide for tide in boat.tides if tide in taken and tide not in tried)
    for tide in hers:
        if len(taken[tide]) < per_tide:
            taken[tide].append(boat.key)
            return True
    for tide in hers:
        tried.add(tide)
        for other in list(taken[tide]):
            taken[tide].remove(other)
            if _make_room(by_key[other], by_key, taken, per_tide, tried):
                taken[tide].append(boat.key)
                return True
            taken[tide].append(other)
    return False
