"""Cells that hold words: texts, refs, yes and no, one of a few words, several names in one cell."""

from __future__ import annotations

import re
import unicodedata

from yard.sheets.columns import CellRefused, Column
from yard.speech import _

YES = frozenset({"yes", "y", "true", "x", "✓", "✔", "1", "on", "ja", "oui", "si", "sí"})
NO = frozenset({"no", "n", "false", "0", "off", "nein", "non"})
NOTHING_SAID = frozenset(
    {"-", "--", "–", "—", "?", "??", "n/a", "na", "n.a.", "none", "nil", "unknown", "tbc", "tbd", "not known"}
)
"""What people write where they know nothing yet: such a cell counts as empty, but never in a column of text."""

_REF = re.compile(r"[A-Za-z0-9_-]{1,30}")
LONGEST_REF = 30


def ref(text: str) -> str:
    """A ref as it may be kept. Raises CellRefused."""
    if not _REF.fullmatch(text):
        raise CellRefused(
            _("a ref has letters, figures, - and _ only, at most 30"),
            _("write {ref}, or leave it empty and one is made from the name").format(ref=ref_from(text) or "B-12"),
        )
    return text


def ref_from(name: str) -> str:
    """A ref made from a name: Sea Breeze II becomes sea-breeze-ii."""
    plain = name.casefold().replace("ß", "ss").replace("ø", "o").replace("æ", "ae")
    folded = "".join(char for char in unicodedata.normalize("NFKD", plain) if not unicodedata.combining(char))
    return re.sub(r"[^a-z0-9]+", "-", folded).strip("-")[:LONGEST_REF].strip("-")


def yes_no(text: str) -> bool:
    """Raises CellRefused for anything that is neither."""
    word = text.strip().casefold()
    if word in YES:
        return True
    if word in NO:
        return False
    raise CellRefused(_("this is neither yes nor no"), _("write {first} or {last}").format(first="yes", last="no"))


def choice(text: str, column: Column) -> str:
    """The value that a word stands for, upper or lower case alike. Raises CellRefused with the words to choose from."""
    word = re.sub(r"\s+", " ", text.strip().casefold())
    for value, words in column.choices.items():
        if word == value or word in words:
            return value
    shown = [words[0] for words in column.choices.values()]
    raise CellRefused(
        _("this word is not one of them"),
        _("write {first} or {last}").format(first=", ".join(shown[:-1]), last=shown[-1]),
    )


def names(text: str) -> tuple[str, ...]:
    """Several names in one cell, parted by ; or a new line, each once."""
    return tuple(dict.fromkeys(name for part in re.split(r"[;\n]", text) if (name := part.strip())))


def whole(text: str) -> int:
    """A whole number. Raises CellRefused."""
    if not re.fullmatch(r"[+-]?\d{1,9}(\.0*)?", text.strip()):
        raise CellRefused(_("this is not a whole number"), _("write it in figures, as 3"))
    return int(text.strip().split(".")[0])


LEVELS = {"helps": 1, "does it": 2, "leads it": 3, "1": 1, "2": 2, "3": 3}


def skill(text: str) -> tuple[str, int]:
    """“rigger (leads it)” or “rigger 3” or “rigger”, which does it. The name as typed, and the level from 1 to 3."""
    found = re.fullmatch(r"(?P<name>.+?)\s*(?:[(:]?\s*(?P<level>helps|does it|leads it|[123])\)?)?", text.strip(), re.I)
    if found is None:
        raise CellRefused(
            _("this is not a skill"), _("write {example}").format(example="rigger (leads it); sailmaker (helps)")
        )
    return found["name"].strip(), LEVELS[(found["level"] or "does it").casefold()]


SPOTS = {"aboard": "aboard", "owner": "with the owner", "sent_out": "sent out"}
"""Where a thing is that lies in no place of the yard, and the words for it."""
