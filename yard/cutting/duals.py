"""Dual feasible functions: widths rounded so that whatever fits side by side still does. They prove lower bounds.

For each function f here: if widths w1, w2, ... lie side by side within `whole`, then f(w1) + f(w2) + ... <= 1.
Source: Fekete and Schepers, New classes of fast lower bounds for bin packing problems, Mathematical Programming 91
(2001), functions u(k), U(epsilon) and phi(epsilon); written from memory, and the tests try each on random fillings.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

MOST_STEPS = 40
"""Values of epsilon tried; more gave no better bound on the published instances."""


@dataclass(frozen=True, slots=True)
class Dual:
    """value[w] is f(w) times `one`, in whole numbers."""

    value: dict[int, int]
    one: int


def duals(sizes: Iterable[int], whole: int) -> Iterator[Dual]:
    """Every function of the three families that can differ on these sizes, each at most `whole`; first f(w) = w."""
    distinct = sorted(set(sizes))
    yield Dual({size: size for size in distinct}, whole)
    for k in range(1, 12):
        yield Dual({size: _stairs(size, whole, k) for size in distinct}, k * whole)
    steps = sorted({size for each in distinct for size in (each, whole - each + 1) if 0 < size <= whole // 2})
    for epsilon in _some(steps):
        yield Dual({size: _cut(size, whole, epsilon) for size in distinct}, whole)
        yield Dual({size: _halves(size, whole, epsilon) for size in distinct}, 2 * (whole // epsilon))


def _some(steps: list[int]) -> list[int]:
    return steps if len(steps) <= MOST_STEPS else steps[:: -(-len(steps) // MOST_STEPS)]


def _stairs(size: int, whole: int, k: int) -> int:
    """u(k): in steps of 1/k, but unchanged where (k + 1) of it are whole numbers."""
    return k * size if (k + 1) * size % whole == 0 else (k + 1) * size // whole * whole


def _cut(size: int, whole: int, epsilon: int) -> int:
    """U(epsilon): what leaves less than epsilon beside it takes all, and what is less than epsilon nothing."""
    return whole if size > whole - epsilon else 0 if size < epsilon else size


def _halves(size: int, whole: int, epsilon: int) -> int:
    """phi(epsilon): how many times epsilon, counted from the far side for more than half."""
    if 2 * size > whole:
        return 2 * (whole // epsilon - (whole - size) // epsilon)
    if 2 * size == whole:
        return whole // epsilon
    return 2 * (size // epsilon)
