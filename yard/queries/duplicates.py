"""Boats, and owners, on file twice as it seems, each pair with the reason why it seems so."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Generic, TypeVar

from rapidfuzz import fuzz

from yard.models import Boat, Owner, ToldApart

ALIKE = 90.0
"""Names at least so alike (of 100, the words sorted) are shown as one: one letter in ten is a slip."""
LAST_DIGITS = 7
"""A number with and without its area or country ends in the same seven digits (common practice)."""
SAME_LENGTH = 0.05
"""Two entries of one boat differ in length by what people round (common practice)."""

R = TypeVar("R", Boat, Owner)


@dataclass(frozen=True, slots=True)
class Pair(Generic[R]):
    """Two rows, the one that was entered first before the other; why: what they have in common."""

    one: R
    other: R
    why: str


def boats_twice(boat: Boat | None = None) -> list[Pair[Boat]]:
    """Of all boats that are not archived, or those that look like this one. Two queries."""
    rows = list(Boat.objects.filter(archived=False).order_by("id"))
    return _pairs(rows, ToldApart.Of.BOATS, _boats_alike, boat)


def owners_twice(owner: Owner | None = None) -> list[Pair[Owner]]:
    """Of all owners that are not archived, or those that look like this one. Two queries."""
    rows = list(Owner.objects.filter(archived=False).order_by("id"))
    return _pairs(rows, ToldApart.Of.OWNERS, _owners_alike, owner)


def _pairs(rows: Sequence[R], of: str, alike: Callable[[R, R], str], only: R | None) -> list[Pair[R]]:
    apart = set(ToldApart.objects.filter(of=of).values_list("one", "other"))
    both = (pair for pair in _twos(rows, only) if (pair[0].pk, pair[1].pk) not in apart)
    pairs = (Pair(one, other, alike(one, other)) for one, other in both)
    return [pair for pair in pairs if pair.why]


def _twos(rows: Sequence[R], only: R | None) -> Iterable[tuple[R, R]]:
    """Every two rows, or this one with each other; the one entered first before the other."""
    if only is None:
        return ((one, other) for one, other in combinations(rows, 2))
    return ((row, only) if row.pk < only.pk else (only, row) for row in rows if row.pk != only.pk)


def _boats_alike(one: Boat, other: Boat) -> str:
    if one.sail_number and _plain(one.sail_number) == _plain(other.sail_number) and one.design == other.design:
        return f"the same sail number, {one.sail_number}"
    named = _names_alike(one.name, other.name)
    longer = max(one.length_m, other.length_m)
    return f"{named}, and as long" if named and abs(one.length_m - other.length_m) <= longer * SAME_LENGTH else ""


def _owners_alike(one: Owner, other: Owner) -> str:
    if one.email and one.email.casefold() == other.email.casefold():
        return f"the same e-mail address, {one.email}"
    if named := _names_alike(one.name, other.name):
        return named
    same = _tails(one) & _tails(other)
    return "the same telephone number" if same else ""


def _names_alike(one: str, other: str) -> str:
    plain, second = _plain(one), _plain(other)
    if sorted(plain.split()) == sorted(second.split()):
        return "the same name"
    return "nearly the same name" if fuzz.token_sort_ratio(plain, second, score_cutoff=ALIKE) else ""


def _plain(text: str) -> str:
    """Without capitals, accents and signs: "Hale, Ann-Marie" is "hale ann marie"."""
    bare = "".join(each for each in unicodedata.normalize("NFKD", text) if not unicodedata.combining(each))
    return " ".join("".join(each if each.isalnum() else " " for each in bare.casefold()).split())


def _tails(owner: Owner) -> frozenset[str]:
    """The last digits of each of the owner's numbers. Lines of other numbers end in words: their digits alone count."""
    lines = [owner.phone, *owner.other_phones.splitlines()]
    digits = ("".join(each for each in line if each.isascii() and each.isdigit()) for line in lines)
    return frozenset(each[-LAST_DIGITS:] for each in digits if len(each) >= LAST_DIGITS)
