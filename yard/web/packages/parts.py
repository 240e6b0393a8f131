"""Parts of one booking, as the launch has them: a line each, as “float off, 30 min, water”."""

from __future__ import annotations

from collections.abc import Iterable

from django import forms

from yard.services.package_files import Part
from yard.web.packages.hours import minutes_typed


def parts_typed(text: str) -> tuple[Part, ...]:
    """Raises ValidationError with the remedy, naming the line."""
    return tuple(_part(line) for line in text.splitlines() if line.strip())


def parts_shown(parts: Iterable[Part]) -> str:
    return "\n".join(f"{part.name}, {part.minutes} min" + (", water" if part.water else "") for part in parts)


def _part(line: str) -> Part:
    name, _, rest = line.partition(",")
    time, _, water = rest.partition(",")
    try:
        minutes = minutes_typed(time)
    except ValueError as wrong:
        raise forms.ValidationError(str(wrong)) from wrong
    if not name.strip() or not minutes or water.strip().lower() not in ("", "water"):
        raise forms.ValidationError(
            f"“{line.strip()}”: write a part as “float off, 30 min, water”, without water where it needs none."
        )
    return Part(name=name.strip(), minutes=minutes, water=bool(water.strip()))
