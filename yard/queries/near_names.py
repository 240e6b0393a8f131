"""Names, numbers and tags as people type them: with slips, other spacing, and or without the code of a country.

A name is compared word by word by edit distance with neighbours swapped counted once (optimal string alignment), as
rapidfuzz computes it; a number by its digits from the end, as telephones do.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from rapidfuzz.distance import OSA
from rapidfuzz.process import cdist

KEPT_TEXTS, KEPT_INDEXES = 50_000, 8
"""What is folded once is remembered: the same names come with each question, in one list for each role."""
LEAST_LIKE = 0.62
"""Words less alike are other words: of five letters two may be wrong, of four one."""
LEAST = 0.7
"""What is found is at least so like what was typed."""
FEWEST_DIGITS = 4
"""Fewer digits are a mooring or a sail number, not a telephone number."""
NATIONAL_DIGITS = 7
"""From so many digits on, a number may be told by its end: the code of the country may be there or not."""


@lru_cache(maxsize=KEPT_TEXTS)
def folded(text: str) -> str:
    """Small letters without accents, one space between words: Élan II is elan ii."""
    plain = unicodedata.normalize("NFKD", text.casefold())
    letters = "".join(each if each.isalnum() else "" if unicodedata.combining(each) else " " for each in plain)
    return " ".join(letters.split())


@lru_cache(maxsize=KEPT_TEXTS)
def tag_of(text: str) -> str:
    """A tag, sail number or ref without what separates its parts: S-012 is s012."""
    return folded(text).replace(" ", "")


def digits_of(text: str) -> str:
    """The digits of a telephone number as it is dialled at home: without + or 00 before it, or a 0 in brackets."""
    plain = text.replace("(0)", "")
    return "".join(each for each in plain if each.isascii() and each.isdigit()).lstrip("0")


def is_number(text: str) -> bool:
    """Whether this may be a telephone number: digits with what people write between them."""
    return len(digits_of(text)) >= FEWEST_DIGITS and not any(each.isalpha() for each in text)


def same_number(asked: str, stored: str) -> float:
    """How well a stored number answers what was typed, 0 to 1. Both are digits."""
    if len(stored) < FEWEST_DIGITS:
        return 0.0
    if asked == stored:
        return 1.0
    shorter, longer = sorted((asked, stored), key=len)
    if len(shorter) >= NATIONAL_DIGITS and longer.endswith(shorter):
        return 0.98
    if asked in stored:
        return 0.9
    if len(shorter) >= NATIONAL_DIGITS and OSA.distance(shorter, longer[-len(shorter) :], score_cutoff=1) <= 1:
        return 0.8  # one digit wrong, or two swapped
    return 0.0


def same_tag(asked: str, stored: str) -> float:
    """How well a stored tag, sail number or ref answers what was typed, 0 to 1. Both as `tag_of` gives them."""
    if not stored or not asked:
        return 0.0
    if asked == stored:
        return 1.0
    if len(asked) >= 2 and stored.startswith(asked):
        return 0.88
    if min(len(asked), len(stored)) < 4 or abs(len(asked) - len(stored)) > 1:
        return 0.0
    if OSA.distance(asked, stored, score_cutoff=1) <= 1:
        return 0.78
    return 0.0


@dataclass(frozen=True)
class NameIndex:
    """Names, folded, and where each of their words stands."""

    names: tuple[str, ...]
    words: tuple[str, ...]
    at: tuple[tuple[int, ...], ...]

    @classmethod
    def of(cls, names: Sequence[str]) -> NameIndex:
        """The index of these names; of the same names it is the same one."""
        return _index_of(tuple(names))

    @classmethod
    def made_of(cls, names: Sequence[str]) -> NameIndex:
        plain = tuple(folded(name) for name in names)
        places: dict[str, int] = {}
        at = tuple(tuple(places.setdefault(word, len(places)) for word in name.split()) for name in plain)
        return cls(plain, tuple(places), at)

    def like(self, asked: str) -> list[float]:
        """How like each name is to what was typed, 0 to 1; 0 where a word of it is like none of the name's.

        A word that is only begun counts a little less than one that is typed out.
        """
        typed = folded(asked)
        parts = typed.split()
        if not parts or not self.words:
            return [0.0] * len(self.names)
        table = cdist(parts, self.words, scorer=OSA.normalized_similarity, dtype=np.float32).tolist()
        for row, part in zip(table, parts, strict=True):
            for number, word in enumerate(self.words):
                if len(part) >= 2 and word != part and word.startswith(part):
                    row[number] = max(row[number], 0.93)
        joined = cdist([typed], self.names, scorer=OSA.normalized_similarity, dtype=np.float32)[0].tolist()
        return [_score(table, name, whole) for name, whole in zip(self.at, joined, strict=True)]


@lru_cache(maxsize=KEPT_INDEXES)
def _index_of(names: tuple[str, ...]) -> NameIndex:
    return NameIndex.made_of(names)


def _score(table: list[list[float]], name: tuple[int, ...], joined: float) -> float:
    """Each word that was typed by the word of the name that is most like it; the whole name where that is more."""
    if not name:
        return 0.0
    best = [max(row[word] for word in name) for row in table]
    words = sum(best) / len(best) if min(best) >= LEAST_LIKE else 0.0
    extra = 0.01 * min(5, max(0, len(name) - len(table)))  # of two that fit, the shorter name
    return max(joined, words - extra)
