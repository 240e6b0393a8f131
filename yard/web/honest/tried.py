"""The calibration table that stands beside the promise, in the words of the page."""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import yard.promise

FILE = Path(yard.promise.__file__).with_name("calibration.json")
COLUMNS = (
    ("Kept", "mean"),
    ("Worst season", "lowest season"),
    ("Early work", "early, lowest"),
    ("Late work", "late, lowest"),
    ("Deep boats", "deep, lowest"),
    ("Canvas", "canvas, lowest"),
)


@dataclass(frozen=True)
class TriedRow:
    world: str
    shares: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Tried:
    """of: how many seasons and scenarios, in words."""

    of: str
    worlds: tuple[TriedRow, ...]


@cache
def read_tried() -> Tried | None:
    """None where the table was not measured."""
    if not FILE.exists():
        return None
    read: dict[str, Any] = json.loads(FILE.read_text())
    worlds = read["kept of dates given at 90 in 100"]
    return Tried(read["of"], tuple(TriedRow(name, _shares(row)) for name, row in worlds.items()))


def _shares(row: dict[str, float]) -> tuple[tuple[str, str], ...]:
    return tuple((label, f"{100 * row[key]:.0f} %" if key in row else "–") for label, key in COLUMNS)
