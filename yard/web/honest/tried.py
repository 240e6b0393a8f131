"""The calibration table that stands beside the promise, in the words of the page."""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from django.utils.translation import gettext_lazy

import yard.promise

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

FILE = Path(yard.promise.__file__).with_name("calibration.json")
COLUMNS = (
    (gettext_lazy("Kept"), "mean"),
    (gettext_lazy("Worst season"), "lowest season"),
    (gettext_lazy("Early work"), "early, lowest"),
    (gettext_lazy("Late work"), "late, lowest"),
    (gettext_lazy("Deep boats"), "deep, lowest"),
    (gettext_lazy("Canvas"), "canvas, lowest"),
)
WORLDS = {
    "as believed": gettext_lazy("as believed"),
    "hours +15 %": gettext_lazy("hours +15 %"),
    "lost half days x1.2": gettext_lazy("lost half days x1.2"),
    "both": gettext_lazy("both"),
}


@dataclass(frozen=True)
class TriedRow:
    world: StrOrPromise
    shares: tuple[tuple[StrOrPromise, str], ...]


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
    return Tried(read["of"], tuple(TriedRow(WORLDS.get(name, name), _shares(row)) for name, row in worlds.items()))


def _shares(row: dict[str, float]) -> tuple[tuple[StrOrPromise, str], ...]:
    return tuple((label, f"{100 * row[key]:.0f} %" if key in row else "–") for label, key in COLUMNS)
