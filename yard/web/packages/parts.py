"""Parts of one booking, as the launch has them: a line each, as “float off, 30 min, water”."""

from __future__ import annotations

from collections.abc import Iterable

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import pgettext

from yard.services.package_files import Part
from yard.web.packages.hours import minutes_typed


def parts_typed(text: str) -> tuple[Part, ...]:
    """Raises ValidationError with the remedy, naming the line."""
    return tuple(_part(line) for line in text.splitlines() if line.strip())


def parts_shown(parts: Iterable[Part]) -> str:
    return "\n".join(f"{part.name}, {part.minutes} min" + (f", {_water()}" if part.water else "") for part in parts)


def _water() -> str:
    """What ends a line that needs water: written and read again by this word."""
    return pgettext("ends a part of a job", "water")


def _part(line: str) -> Part:
    name, _comma, rest = line.partition(",")
    time, _comma, water = rest.partition(",")
    try:
        minutes = minutes_typed(time)
    except ValueError as wrong:
        raise forms.ValidationError(str(wrong)) from wrong
    if not name.strip() or not minutes or water.strip().casefold() not in ("", _water().casefold()):
        raise forms.ValidationError(
            _("“{line}”: write a part as “float off, 30 min, water”, without water where it needs none.").format(
                line=line.strip()
            )
        )
    return Part(name=name.strip(), minutes=minutes, water=bool(water.strip()))
