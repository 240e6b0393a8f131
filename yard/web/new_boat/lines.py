"""Fields in which a list is typed, a line for each: names, hours of jobs, quantities of materials.

A number is shown with the language's own decimal sign, and read with that or with a point.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms
from django.utils.formats import sanitize_separators
from django.utils.translation import gettext as _

from yard.models import Material
from yard.speech import short_number

LONGEST = 2000


class LinesField(forms.CharField):
    """Cleaned to a list; each line is read by `read`."""

    def __init__(self, **more: Any) -> None:
        super().__init__(required=False, max_length=LONGEST, widget=forms.Textarea(attrs={"rows": 3}), **more)

    def clean(self, value: Any) -> list[Any]:
        lines = [line.strip() for line in super().clean(value).splitlines()]
        return [self.read(line) for line in lines if line]

    def read(self, line: str) -> Any:
        return line


class HoursField(LinesField):
    """ "finish: 8" is eight hours more of the job with that key; "-0.5" half an hour less."""

    def read(self, line: str) -> dict[str, Any]:
        job, parted, hours = line.rpartition(":")
        try:
            minutes = round(_number(hours.strip().removesuffix("h").strip()) * 60)
        except (ValueError, OverflowError):
            parted, minutes = "", 0
        if not parted or not job.strip():
            raise forms.ValidationError(
                _("“{line}” cannot be read: write a job's key, a colon, hours, as finish: 8").format(line=line)
            )
        return {"job": job.strip(), "minutes": minutes}


class MaterialsField(LinesField):
    """ "Cover cloth: 7.5 m", or "Headsail furler: 1" for what is counted."""

    def read(self, line: str) -> dict[str, Any]:
        name, parted, quantity = line.rpartition(":")
        row = Material.objects.filter(name=name.strip()).first() if parted else None
        if row is None:
            raise forms.ValidationError(
                _("“{name}” is no material on file: add it, or correct it.").format(name=name.strip() or line)
            )
        return {"material": row.name, "quantity": self._quantity(row, quantity.strip(), line)}

    def _quantity(self, row: Material, typed: str, line: str) -> int:
        factor = 1 if row.is_counted else 1000
        try:
            found = round(_number(typed.removesuffix("m").strip()) * factor)
        except (ValueError, OverflowError):
            found = 0
        if not 1 <= found < 10**7:
            remedy = (
                _("“{line}” cannot be read: after the colon write how many {thing}s.")
                if row.is_counted
                else _("“{line}” cannot be read: after the colon write metres, as 7.5.")
            )
            raise forms.ValidationError(remedy.format(line=line, thing=row.counted_in))
        return found


def _number(typed: str) -> float:
    """Raises ValueError."""
    return float(sanitize_separators(typed))


def names_shown(value: Sequence[str]) -> str:
    return "\n".join(value)


def hours_shown(value: Sequence[Mapping[str, Any]]) -> str:
    return "\n".join(f"{line['job']}: {short_number(line['minutes'] / 60)}" for line in value)


def materials_shown(value: Sequence[Mapping[str, Any]]) -> str:
    counted = {
        row.name: row.is_counted for row in Material.objects.filter(name__in=[each["material"] for each in value])
    }
    return "\n".join(
        f"{each['material']}: {quantity_words(each['quantity'], counted=counted.get(each['material'], True))}"
        for each in value
    )


def quantity_words(quantity: int, *, counted: bool) -> str:
    return f"{quantity}" if counted else f"{short_number(quantity / 1000)} m"
