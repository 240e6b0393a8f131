"""The places of a planned job in words: each unit, and of a drying line how much of it is taken."""

from __future__ import annotations

from collections.abc import Iterable

from django.utils.translation import gettext as _

from yard.models import Place, PlannedPlace, YardSettings
from yard.services.read_problem.drying import STRETCH_M
from yard.web.boats.words import figure
from yard.web.units import feet, in_feet


def units_words(rows: Iterable[PlannedPlace], yard: YardSettings | None = None, *, short: bool = False) -> list[str]:
    """ "berth 2", "trailer", "drying lines, 10 m of line" (without a yard: no length); in the order of the rows."""
    held = list(rows)
    lines: dict[int, int] = {}
    for row in held:
        if row.place.line_m:
            lines[row.place_id] = lines.get(row.place_id, 0) + 1
    found: dict[str, None] = {}
    for row in held:
        if row.place_id in lines:
            words = _name(row.place, short)
            if yard is not None:
                length = _length(lines[row.place_id] * STRETCH_M, yard)
                words = _("{place}, {length} of line").format(place=words, length=length)
            found[words] = None
        else:
            found[unit_name(row, short=short)] = None
    return list(found)


def unit_name(row: PlannedPlace, *, short: bool) -> str:
    name = _name(row.place, short)
    return f"{name} {row.unit}" if row.place.capacity > 1 and not row.place.line_m else name


def _name(place: Place, short: bool) -> str:
    return place.short_name or place.name if short else place.name


def _length(length_m: float, yard: YardSettings) -> str:
    return f"{feet(length_m):.0f} ft" if in_feet(yard) else f"{figure(length_m)} m"
