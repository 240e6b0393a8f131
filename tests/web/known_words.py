"""Words on pages that no catalogue has: what stands in the database, names out of tables of data, and what is allowed.

What is allowed stands in unsaid_allowed.json with its reason: under the name of a page, or under "*" for all of them.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache, cached_property
from pathlib import Path
from typing import Any

ALLOWED = Path(__file__).with_name("unsaid_allowed.json")
UNITS = frozenset(
    {
        *("m", "m²", "km", "cm", "mm", "ft", "in", "nm", "kn", "yd", "sq"),
        *("h", "min", "s", "d", "utc"),
        *("kg", "lb", "t", "l", "ml", "kb", "mb", "hpa"),
    }
)
PLACEHOLDER = re.compile(r"\$[a-z_]+,?")  # of a yard's own letter: a name that a program reads
WORD = re.compile(r"[^\W\d_]{2,}")
TOKEN = re.compile(r"\S+")
LONGEST_VALUE = 14
"""In words: longer values are looked for as a whole."""
CUT = "…"
PAGES_ON_SHEETS = frozenset({"list_import"})


@cache
def allowed() -> Mapping[str, Mapping[str, str]]:
    """By the name of a page, or "*": each text with its reason."""
    found: dict[str, dict[str, str]] = json.loads(ALLOWED.read_text(encoding="utf-8"))
    return found


@dataclass(frozen=True)
class Known:
    """Values, as they were when they were read. of_files: what pages on sheets (PAGES_ON_SHEETS) show as it stands in
    a file, which is alike in every language. used: which allowed texts were met, by page, as `left_over` goes."""

    values: frozenset[str]
    of_files: frozenset[str] = frozenset()
    used: set[tuple[str, str]] = field(default_factory=set)

    @cached_property
    def long_values(self) -> tuple[str, ...]:
        """The longest first: one may hold another."""
        long = (text for text in self.values if text.count(" ") >= LONGEST_VALUE)
        return tuple(sorted(long, key=len, reverse=True))

    @cached_property
    def beginnings(self) -> frozenset[str]:
        """What a page may show of a value that it cuts, word by word."""
        parts = (text.split(" ") for text in self.values)
        return frozenset(" ".join(words[:end]) for words in parts for end in range(1, min(len(words), 40)))

    def left_over(self, text: str, page: str) -> str:
        """The words of a stretch that are neither known here, nor numbers, nor units; "" for none."""
        for where in (page, "*"):
            for each in allowed().get(where, {}):
                if each in text:
                    self.used.add((where, each))
                    text = text.replace(each, " ; ")
        if text in self.values or (page in PAGES_ON_SHEETS and text in self.of_files):
            return ""
        if len(text) > 60:
            for value in self.long_values:
                text = text.replace(value, " ; ")
        return self._strange(TOKEN.findall(text))

    def _strange(self, tokens: Sequence[str]) -> str:
        kept, at = [], 0
        while at < len(tokens):
            ends = range(min(len(tokens), at + LONGEST_VALUE), at, -1)
            end = next((end for end in ends if self._is_value(tokens[at:end])), None)
            if end is None:
                word = bare(tokens[at])
                if WORD.search(word) and word.lower() not in UNITS and not PLACEHOLDER.fullmatch(tokens[at]):
                    kept.append(tokens[at])
            at = end or at + 1
        return " ".join(kept)

    def _is_value(self, tokens: Sequence[str]) -> bool:
        said = " ".join(tokens)
        if said.endswith(CUT) and said.removesuffix(CUT).rstrip() in self.beginnings:
            return True
        return said in self.values or bare(said) in self.values


def bare(text: str) -> str:
    return text.strip(" .,:;()·–—…“”\"'?!/+-×%0123456789")


def known_words() -> Known:
    """What is in the database at this moment, and in the shipped tables that pages show."""
    values = {each for text in (*_stored(), *_of_tables()) for each in _as_shown(text)}
    return Known(frozenset(values), frozenset(_of_files()))


def _as_shown(text: str) -> Iterator[str]:
    """Whole and line by line, with and without what stands about it; names and sentences with either first letter. A
    single word with a small letter may be a code, which is shown to nobody: with a capital it stays strange."""
    for said in (" ".join(text.split()), bare(text), *(" ".join(line.split()) for line in text.splitlines())):
        yield said
        yield said[:1].lower() + said[1:]
        if " " in said:
            yield said[:1].upper() + said[1:]


def _stored() -> Iterator[str]:
    """What people and the tool have written into rows: texts, but none that is a choice, and no machine's words. Of
    rows as they were, why they were changed. A name also as a heading has it."""
    from django.apps import apps
    from django.db import models

    for model in apps.get_models():
        names = [
            column.attname
            for column in model._meta.concrete_fields
            if isinstance(column, models.CharField | models.TextField | models.JSONField) and not column.choices
        ]
        if model.__name__.startswith("Historical"):
            names = [name for name in names if name == "history_change_reason"]
        for row in model._default_manager.values_list(*names).iterator() if names else ():
            yield from _texts_in(row)
            if "name" in names and isinstance(name := row[names.index("name")], str):
                yield name[:1].upper() + name[1:]


def _of_tables() -> Iterator[str]:
    """Names of stations: of all tables of freezes, and of the tide's those that are near."""
    from yard.models import YardSettings
    from yard.services.stowing.freeze import published
    from yard.tides.stations import nearest

    for row in published().values():
        yield row.name
    for yard in YardSettings.objects.exclude(latitude=None):
        assert yard.latitude is not None
        assert yard.longitude is not None
        for near in nearest(yard.latitude, yard.longitude, 20):
            yield near.station.label


def _of_files() -> Iterator[str]:
    """Columns and the cells of their samples."""
    from yard.sheets.lists import LISTS

    for of in LISTS.values():
        for column in of.columns:
            yield from (column.heading, column.sample)
            for words in column.choices.values():
                yield from words


def _texts_in(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        yield from _texts_in(list(value.values()))
    elif isinstance(value, list | tuple):
        for each in value:
            yield from _texts_in(each)
