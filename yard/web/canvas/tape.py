"""Lengths as a tape measure says them: 1200 mm, 1.2 m, 47 1/4", 3' 11 1/4"; and cloth by the metre or yard."""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from yard.speech import number

MM = {"mm": Fraction(1), "cm": Fraction(10), "m": Fraction(1000), "in": Fraction(254, 10), "ft": Fraction(3048, 10)}
MM |= {"yd": Fraction(9144, 10)}
"""The international inch, foot and yard, exact since 1959."""
WORDS = {'"': "in", "″": "in", "'": "ft", "′": "ft", "inch": "in", "inches": "in", "feet": "ft", "yards": "yd"}
EIGHTH = 8
HALF_YARD_MM, NEAR_MM = 457.2, 10
"""Cloth sold by the half yard is kept in steps of 457 mm: fifty of them end 1 cm short."""
_PART = re.compile(
    r"\s*(?:(\d+)\s+(\d+)\s*/\s*(\d+)|(\d+)\s*/\s*(\d+)|(\d+(?:[.,]\d+)?))\s*"
    r"(mm|cm|m|inches|inch|in|feet|ft|yards|yd|\"|″|'|′)?",
    re.IGNORECASE,
)


class TapeRefused(ValueError):
    """It cannot be read; the text says how lengths are written."""


def tape_mm(text: str, *, inches: bool) -> int:
    """Whole millimetres. A number without a unit is in inches, or in millimetres. Raises TapeRefused."""
    rest, total, first = text.strip(), Fraction(0), True
    while rest:
        found = _PART.match(rest)
        if found is None or not found.group(0).strip():
            raise TapeRefused(str(_HOW))
        unit = (found.group(7) or "").lower()
        if not unit and not (first and found.end() == len(rest)):
            unit = "in" if not first and found.end() == len(rest) else ""
            if not unit:
                raise TapeRefused(str(_HOW))
        total += _number(found) * MM[WORDS.get(unit, unit) or ("in" if inches else "mm")]
        rest, first = rest[found.end() :], False
    return round(total)


_HOW = gettext_lazy("It cannot be read as a length: write 1200 mm, 1.2 m, 47 1/4 in, or 3' 11 1/4\".")


def _number(found: re.Match[str]) -> Fraction:
    whole, above, below, alone_above, alone_below, plain = found.groups()[:6]
    if plain is not None:
        return Fraction(plain.replace(",", "."))
    over, under = int(above or alone_above), int(below or alone_below)
    if not under:
        raise TapeRefused(_("Nothing is divided by 0."))
    return int(whole or 0) + Fraction(over, under)


def in_tape(mm: int | None, *, inches: bool) -> str:
    """47 1/4 in, to the nearest eighth; or 1200 mm."""
    if mm is None:
        return ""
    if not inches:
        return f"{mm} mm"
    whole, rest = divmod(round(Fraction(mm) / MM["in"] * EIGHTH), EIGHTH)
    part = str(Fraction(rest, EIGHTH)) if rest else ""
    return f"{' '.join(each for each in (str(whole) if whole or not part else '', part) if each)} in"


def of_roll(mm: int, *, inches: bool) -> str:
    """Cloth along the roll: 4.30 yd, or 3.93 m. Half yards that were rounded to millimetres are half yards again."""
    if not inches:
        return f"{number(mm / 1000, 2)} m"
    halves = round(mm / HALF_YARD_MM)
    yards = halves / 2 if abs(mm - halves * HALF_YARD_MM) <= NEAR_MM else mm / (2 * HALF_YARD_MM)
    return f"{number(yards, 2)} yd"


def needed_words(quantity: int, *, foam: bool, inches: bool, one: str = "sheet") -> str:
    """foam: it is counted, by what `one` says ("sheet" or "piece"); else it is measured along the roll."""
    if foam and one == "piece":
        return ngettext("{n} piece", "{n} pieces", quantity).format(n=quantity)
    if foam:
        return ngettext("{n} sheet", "{n} sheets", quantity).format(n=quantity)
    return of_roll(quantity, inches=inches)


CENT, YARD_M = Decimal("0.01"), Decimal("0.9144")


def price_typed(price: Decimal, *, cloth: bool, inches: bool) -> Decimal:
    """What is kept of a price, as it is asked: cloth of a yard where lengths are in inches, else of a metre.

    To the cent and back to the metre it is the same price again: a cent a yard is more than a cent a metre.
    """
    return (price * YARD_M).quantize(CENT) if cloth and inches else price


def price_kept(price: Decimal, *, cloth: bool, inches: bool) -> Decimal:
    """What was typed, as it is kept."""
    return (price / YARD_M).quantize(CENT) if cloth and inches else price


class TapeField(forms.CharField):
    """A length as typed; cleaned to whole millimetres, None where it is empty and may be."""

    def __init__(self, *, inches: bool, **more: Any) -> None:
        attrs = {"class": "field num", "autocomplete": "off"}
        super().__init__(max_length=30, widget=forms.TextInput(attrs=attrs), **more)
        self.inches = inches

    def clean(self, value: Any) -> int | None:
        text = super().clean(value)
        if not text.strip():
            return None
        try:
            return tape_mm(text, inches=self.inches)
        except TapeRefused as refused:
            raise forms.ValidationError(str(refused)) from refused
