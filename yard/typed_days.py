"""Months and days of the week as people type them: in the yard's language, in English, or shortened.

A name that could be two is told as two, and never guessed: “mar” is March in English and November in Finnish.
"""

from __future__ import annotations

from collections.abc import Sequence

from yard.day_names import MONTHS, WEEKDAYS
from yard.speech import _, pgettext

LETTER = r"[^\W\d_]"
"""In a regular expression: a letter of any alphabet, ä as one sign (NFC), as the words below are given."""
_CLEAR = 3
"""Letters by which a month is known however its word ends or is misspelt."""


def months_typed(word: str) -> frozenset[int]:
    """The months that `word` may mean, January is 1: one, several, or none."""
    ours = [{_(name), _(name[:3].lower()), pgettext("alt. month", name)} for name in MONTHS]
    names = [_alike({*said, name, name[:3]}) for said, name in zip(ours, MONTHS, strict=True)]
    typed = _as_typed(word)
    return frozenset(number + 1 for number in _named(typed, names) or _named(typed[:_CLEAR], names, whole=False))


def weekdays_typed(word: str) -> frozenset[int]:
    """The days of the week that `word` may mean, Monday is 0: one, several, or none."""
    names = [_alike({_(name), _(name[:3]), name}) for name in WEEKDAYS]
    return frozenset(_named(_as_typed(word), names))


def _named(typed: str, names: Sequence[set[str]], *, whole: bool = True) -> set[int]:
    """Those whose name it is, else those whose name begins so."""
    exactly = {number for number, said in enumerate(names) if whole and typed in said}
    return exactly or {number for number, said in enumerate(names) if any(name.startswith(typed) for name in said)}


def _alike(names: set[str]) -> set[str]:
    return {_as_typed(name) for name in names}


def _as_typed(word: str) -> str:
    """Neither capitals nor the point of a shortened word count."""
    return word.lower().rstrip(".")
