"""A list of 300 boats as a yard types it, from a fixed seed: two systems of units, titles, merged cells, blank lines,
boats of one name. All invented. `python -m tests.sheets.typed_list OUT.xlsx` writes it.
"""

from __future__ import annotations

import io
import random
import sys
from dataclasses import dataclass
from pathlib import Path

from openpyxl import Workbook

SEED = 1907
MANY = 300
FIRST = [
    "Wren",
    "Teal",
    "Knot",
    "Dunlin",
    "Gull",
    "Tern",
    "Plover",
    "Curlew",
    "Heron",
    "Rail",
    "Scoter",
    "Merlin",
    "Osprey",
    "Willet",
    "Grebe",
]
SECOND = [
    "",
    "II",
    "of Tallow",
    "Grey",
    "Little",
    "Blue",
    "Old",
    "May",
    "North",
    "Harbour",
    "Early",
    "Late",
    "Far",
    "Quiet",
    "Windy",
    "Salt",
    "Fair",
    "Long",
    "Red",
    "West",
]
GROUPS = {"Sailing boats": "sail", "Motor boats": "power", "Open boats": "dinghy"}
TWICE = ("Wren", "Gull")


@dataclass(frozen=True)
class Typed:
    """A boat of the list. length_in: inches, what she really measures; ref: only where two share a name."""

    name: str
    ref: str
    kind: str
    length_in: int
    beam_in: int
    draft_in: int | None


def boats() -> list[Typed]:
    """The boats, two pairs of them of one name."""
    rng = random.Random(SEED)
    names = [
        f"{first} {second}".strip() if second == "II" or " " in second else f"{second} {first}".strip()
        for second in SECOND
        for first in FIRST
    ][: MANY - len(TWICE)] + list(TWICE)
    kinds = list(GROUPS.values())
    made = []
    for at, name in enumerate(names):
        length = rng.randint(16 * 12, 44 * 12)
        ref = f"{name.lower()}-{'b' if at >= MANY - len(TWICE) else 'a'}" if name in TWICE else ""
        draft = None if rng.random() < 0.15 else max(12, round(length / rng.uniform(6.0, 9.0)))
        made.append(Typed(name, ref, kinds[at * len(kinds) // MANY], length, round(length / 3.1), draft))
    return made


def as_typed(inches: int | None, rng: random.Random, *, bare: bool = False) -> object:
    """A measure as somebody types it that day; bare: a number alone is feet, as the heading says."""
    if inches is None:
        return rng.choice([None, "?", "n/a"])
    feet, over = divmod(inches, 12)
    ways: list[object] = [
        f"{feet}'{over}\"",
        f"{feet}' {over}\"",
        f"{feet} ft {over} in",
        f"{feet}′{over}″",
        f"{inches * 0.0254:.4f} m",
        f"{inches / 12:.4f} ft",
        f"{inches * 2.54:.2f}cm",
        f"{inches * 0.0254:.4f}".replace(".", ",") + " m",
    ]
    return round(inches / 12, 4) if bare and rng.random() < 0.4 else rng.choice(ways)


def workbook(*, refs: bool) -> bytes:
    """The sheet as XLSX. refs: with the refs that tell boats of one name apart, as after the first try."""
    rng = random.Random(SEED + 1)
    book = Workbook()
    sheet = book.active
    sheet.append(["Boats in our care, winter 2026/27"])
    sheet.merge_cells("A1:G1")
    sheet.append([])
    sheet.append(["Boat", "No.", "Type", "LOA (ft)", "Width", "Draught", "Remarks"])
    groups = {kind: title for title, kind in GROUPS.items()}
    said = ""
    for boat in boats():
        if boat.kind != said:
            said = boat.kind
            sheet.append([])
            sheet.append([groups[said]])
            sheet.merge_cells(start_row=sheet.max_row, end_row=sheet.max_row, start_column=1, end_column=7)
            first = sheet.max_row + 1
            sheet.append(_line(boat, rng, refs=refs, kind=True))
        else:
            sheet.append(_line(boat, rng, refs=refs, kind=False))
            if sheet.max_row == first + 2:
                sheet.merge_cells(start_row=first, end_row=first + 2, start_column=3, end_column=3)
            elif sheet.max_row > first + 2:
                sheet.cell(sheet.max_row, 3, boat.kind)
        if rng.random() < 0.08:
            sheet.append([])
            sheet.cell(sheet.max_row + 1, 1, None)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _line(boat: Typed, rng: random.Random, *, refs: bool, kind: bool) -> list[object]:
    name = f"{boat.name} " if rng.random() < 0.1 else boat.name
    return [
        name,
        boat.ref if refs else None,
        boat.kind if kind else None,
        as_typed(boat.length_in, rng, bare=True),
        as_typed(boat.beam_in, rng),
        as_typed(boat.draft_in, rng),
        rng.choice([None, None, "on the hard", "see book", "new owner?"]),
    ]


if __name__ == "__main__":
    Path(sys.argv[1]).write_bytes(workbook(refs=False))
