"""Published rectangle packings, in their own units: (width, height) of each item.

Strip packing, items not turned: the least height of a strip of that width. `known`: the optimum. The sets C (Hopper and
Turton, European Journal of Operational Research 128, 2001) and BKW (Burke, Kendall and Whitwell, Operations Research
52, 2004) were cut from a full rectangle, so their optimum is its height; those of NGCUT, GCUT (Beasley 1985) and BENG
(Bengtsson 1982) as strips are in Martello, Monaci and Vigo, INFORMS Journal on Computing 15 (2003), and Alvarez-Valdes,
Parreno and Tamarit, Computers & Operations Research 35 (2008); these figures are from memory.

Bins: the least number of sheets of that size, items not turned, from Lodi, Martello and Vigo, Discrete Applied
Mathematics 123 (2002), and Martello and Vigo, Management Science 44 (1998); from memory.

Items as stored in public repositories: C, NGCUT, GCUT, BENG in github.com/R-Besson/strip-packing-cpp-rewritten at
828a53a5 (instances_no_rotation), BKW in github.com/fontanf/packingsolver at a5cef6bf (data/rectangle/burke2004),
NGCUT12 in github.com/Oscar-Oliveira/OR-Datasets at 8de428a8. As stored, the items of C3P2 and C5P1 do not fill their
rectangle (1,695 of 1,800 and 5,340 of 5,400), so the two are left out. NGCUT and GCUT2, 3 and 5 are stored with the
width second. For NGCUT12 and GCUT3 the exact search proves the published figure that way round, and another one the
other way; of the rest it is taken from these two.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True)
class Instance:
    """items: (width, height). known: the published optimum."""

    name: str
    width: int
    known: int
    items: tuple[tuple[int, int], ...]


def _items(text: str) -> tuple[tuple[int, int], ...]:
    pairs = [pair.split("x") for pair in text.split()]
    return tuple((int(across), int(along)) for across, along in pairs)


_STORED = json.loads(Path(__file__).with_suffix(".json").read_text(encoding="utf-8"))
STRIPS = tuple(Instance(name, row["width"], row["known"], _items(row["items"])) for name, row in _STORED.items())

_BINS = {
    "NGCUT1": (10, 3),
    "NGCUT5": (15, 3),
    "NGCUT6": (15, 3),
    "NGCUT9": (20, 3),
    "NGCUT10": (30, 3),
    "NGCUT11": (30, 2),
    "NGCUT12": (30, 3),
    "GCUT1": (250, 5),
    "GCUT2": (250, 6),
    "GCUT3": (250, 8),
    "BENG1": (10, 4),
    "BENG6": (25, 2),
}


@dataclass(frozen=True)
class Bins:
    """The same items on sheets of width x height; known: the fewest sheets."""

    name: str
    width: int
    height: int
    known: int
    items: tuple[tuple[int, int], ...]


BINS = tuple(Bins(one.name, one.width, *_BINS[one.name], one.items) for one in STRIPS if one.name in _BINS)
