"""Several things in one cell, each with a word in front: licences of a person, the parts of a mooring's tackle.

    operator: MO-114, until 2028-03-01; driver, until 2027-12-31
    anchor or block: mushroom 300 lb, laid 2021-04-12; top chain: 3/8 in, 9.1 m, inspected 2026-05-11, worn

Entries are parted by ; or a new line, what is said of one by commas; a text that has one of these itself has a \\
before it. An entry is kept as it is written out, in one form, so that what went out comes in unchanged.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from yard.sheets import dates, measures
from yard.sheets.columns import CellRefused, Column, Kind
from yard.sheets.grid import tidy
from yard.speech import _

LICENCE = "operator: MO-114, until 2028-03-01"
PART = "top chain: 3/8 in, 9 m, laid 2024-04-20, inspected 2026-05-11, worn"
LONGEST = {"licence": 60, "size": 60, "note": 200}
LENGTH = Column(key="length_m", heading="length of a part", kind=Kind.LENGTH, least=0.01, most=200.0)
PARTS: Mapping[str, tuple[str, ...]] = {
    "anchor": ("anchor or block", "anchor", "block", "mushroom", "ground tackle"),
    "ground_chain": ("ground chain", "bottom chain", "heavy chain"),
    "top_chain": ("top chain", "chain", "light chain"),
    "rode": ("rode",),
    "swivel": ("swivel",),
    "shackle": ("shackle",),
    "buoy": ("buoy", "ball"),
    "winter_stick": ("winter stick", "stick", "spar"),
    "pendant": ("pendant", "pennant"),
    "chafe_gear": ("chafe gear", "chafe guard"),
    "other": ("other",),
}
CONDITIONS: Mapping[str, tuple[str, ...]] = {
    "good": ("good",),
    "worn": ("worn, will do this season", "worn"),
    "replace": ("to be replaced", "replace"),
}
SHORT_CONDITION = {"good": "good", "worn": "worn", "replace": "to be replaced"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Licence:
    """For a skill, by its key: what the licence is called, and its last day in ISO 8601, "" where none is known."""

    skill: str
    licence: str = ""
    until: str = ""

    def __str__(self) -> str:
        return _written(self.skill, self.licence, [f"until {self.until}" if self.until else ""])


@dataclass(frozen=True, slots=True, kw_only=True)
class Tackle:
    """One part of a mooring. length_m: metres. Days in ISO 8601, "" where none is known."""

    kind: str
    size: str = ""
    length_m: float | None = None
    laid_on: str = ""
    inspected_on: str = ""
    condition: str = ""
    note: str = ""

    def __str__(self) -> str:
        said = [
            "" if self.length_m is None else f"{self.length_m!r} m",
            f"laid {self.laid_on}" if self.laid_on else "",
            f"inspected {self.inspected_on}" if self.inspected_on else "",
            SHORT_CONDITION.get(self.condition, ""),
            f"note {_escaped(self.note)}" if self.note else "",
        ]
        return _written(PARTS[self.kind][0], self.size, said)


def one_line(text: str) -> str:
    """A text of an entry as it is kept: on one line, a space between words."""
    return " ".join(tidy(text).split())


def licences(text: str, skill: Callable[[str], str], order: str = "") -> tuple[str, ...]:
    """skill: the key for a name, or CellRefused. One licence for a skill, in their order. Raises CellRefused."""
    found: dict[str, str] = {}
    for name, own, said in _entries(text):
        key = skill(name)
        if key in found:
            raise CellRefused(_("“{name}” stands twice").format(name=name), _write(LICENCE))
        found[key] = str(_licence(key, own, said, order))
    return tuple(found[key] for key in sorted(found))


def _licence(key: str, own: str, said: Sequence[str], order: str) -> Licence:
    until = ""
    for field in said:
        day = re.fullmatch(r"(?:until|to|expires) (.+)", field, re.IGNORECASE)
        if day is None or until:
            raise CellRefused(_("“{field}” is no last day").format(field=field), _write(LICENCE))
        until = dates.day(day[1], order)
    if not own and not until:
        raise CellRefused(_("neither a licence nor its last day"), _write(LICENCE))
    return Licence(skill=key, licence=_short(own, "licence"), until=until)


def licence_said(entry: str) -> Licence:
    """An entry as it is kept."""
    [(key, own, said)] = list(_entries(entry))
    return _licence(key, own, said, "")


def tackle_said(entry: str) -> Tackle:
    """An entry as it is kept."""
    [(name, own, said)] = list(_entries(entry))
    return _part(name, own, said, "")


def tackle(text: str, order: str = "") -> tuple[str, ...]:
    """The parts as they were written. Raises CellRefused."""
    return tuple(str(_part(name, own, said, order)) for name, own, said in _entries(text))


def _part(name: str, own: str, said: Sequence[str], order: str) -> Tackle:
    fields: dict[str, str] = {}
    length: float | None = None
    for field in said:
        key, value = _field(field, order)
        if key in fields or (key == "length" and length is not None):
            raise CellRefused(_("“{field}”: that is said twice of one part").format(field=field), _write(PART))
        if key == "length":
            length = measures.measure(value, LENGTH, "m")
            if not 0 < length <= 200:
                raise CellRefused(_("no part of a mooring is {value} long").format(value=value), _write(PART))
        else:
            fields[key] = value
    if fields.get("laid_on") and fields.get("inspected_on") and fields["inspected_on"] < fields["laid_on"]:
        raise CellRefused(_("{name}: inspected before it was laid").format(name=name), _("correct one of the two days"))
    return Tackle(kind=_kind_of_part(name), size=_short(own, "size"), length_m=length, **fields)


def _field(field: str, order: str) -> tuple[str, str]:
    lower = field.casefold()
    if dated := re.fullmatch(r"(laid|inspected)(?: on)? (.+)", field, re.IGNORECASE):
        return f"{dated[1].casefold()}_on", dates.day(dated[2], order)
    if lower.startswith("note "):
        return "note", _short(field[5:], "note")
    for key, words in CONDITIONS.items():
        if lower in words:
            return "condition", key
    if field[:1].isdecimal() or field[:1] == ".":
        return "length", field
    raise CellRefused(_("“{field}” of a part is not understood").format(field=field), _write(PART))


def _kind_of_part(name: str) -> str:
    said = one_line(name).casefold()
    for key, words in PARTS.items():
        if said in words or said == key:
            return key
    known = ", ".join(words[0] for words in PARTS.values())
    raise CellRefused(
        _("“{name}” is no part of a mooring").format(name=name), _("write one of: {words}").format(words=known)
    )


def _short(text: str, what: str) -> str:
    """what: a key of LONGEST."""
    if len(text) <= LONGEST[what]:
        return text
    wrong = {
        "licence": _("a licence of {letters} letters"),
        "size": _("a size of {letters} letters"),
        "note": _("a note of {letters} letters"),
    }[what]
    raise CellRefused(wrong.format(letters=len(text)), _("at most {most}").format(most=LONGEST[what]))


def _write(example: str) -> str:
    """The remedy; what stands in a cell is written alike in every language."""
    return _("write {example}").format(example=example)


def _entries(text: str) -> Iterator[tuple[str, str, Sequence[str]]]:
    """(name, what stands after its colon, the other fields) of each entry, escapes taken off."""
    for entry in _parted(text, ";\n"):
        head, *said = list(_parted(entry, ",")) or [""]
        name, *own = list(_parted(head, ":", most=1)) or [""]
        if not _plain(name):
            raise CellRefused(
                _("“{entry}” names nothing").format(entry=entry),
                _("write what it is first, as buoy or operator: MO-114"),
            )
        yield _plain(name), _plain(own[0]) if own else "", tuple(_plain(each) for each in said)


def _parted(text: str, marks: str, most: int = 0) -> Iterator[str]:
    """Split at a mark that has no \\ before it, empty parts left out; most: at so many marks, 0 for all."""
    part, at, found = "", 0, 0
    while at < len(text):
        if text[at] == "\\" and at + 1 < len(text):
            part, at = part + text[at : at + 2], at + 2
            continue
        if text[at] in marks and (not most or found < most):
            found += 1
            if part.strip():
                yield part.strip()
            part = ""
        else:
            part += text[at]
        at += 1
    if part.strip():
        yield part.strip()


def _plain(text: str) -> str:
    return one_line(re.sub(r"\\(.)", r"\1", text))


def _escaped(text: str) -> str:
    return re.sub(r"([\\;,])", r"\\\1", one_line(text))


def _written(name: str, own: str, said: Iterable[str]) -> str:
    first = _escaped(name).replace(":", "\\:")
    head = f"{first}: {_escaped(own)}" if own else first
    return ", ".join([head, *(each for each in said if each)])
