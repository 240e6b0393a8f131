"""Hours and waits as people type them, and as a form shows them again."""

from __future__ import annotations

import re
from typing import Any

from django import forms
from django.utils.translation import gettext as _

from yard.web.orders.words import days_words, wait_words

UNIT_MIN = {"": 60, "min": 1, "h": 60, "d": 24 * 60, "w": 7 * 24 * 60}
ONE = re.compile(r"(\d+(?:[.,]\d+)?)\s*(minutes?|mins?|m|hours?|hrs?|h|days?|d|weeks?|w|)\s*", re.IGNORECASE)
LONGEST_MIN = 2 * 365 * 24 * 60
"""Two years: the longest wait that a sheet states is 18 months."""


def minutes_typed(text: str) -> int:
    """ "1.5", "1 h 30 min", "16 h", "2 days"; a bare number is hours. Raises ValueError with the remedy."""
    rest, total = _in_short(text.strip()).replace("and", " "), 0.0
    while rest:
        found = ONE.match(rest)
        if found is None:
            raise ValueError(_("“{typed}” is no time: write 1.5, 1 h 30 min, 16 h or 2 days.").format(typed=text))
        unit = found[2].lower()
        name = "min" if unit.startswith("m") else unit[:1]
        total += float(found[1].replace(",", ".")) * UNIT_MIN[name]
        rest = rest[found.end() :].lstrip(", ")
    if total > LONGEST_MIN:
        raise ValueError(_("“{typed}” is more than two years: was it typed in minutes?").format(typed=text))
    return round(total)


def _in_short(text: str) -> str:
    """The yard's own word for days, which a form shows, as `d`."""
    words = {days_words(count).replace(str(count), "").strip() for count in (2, 5)}
    for word in sorted(words, key=len, reverse=True):
        text = re.sub(rf"(?<![^\W\d_]){re.escape(word)}\b", "d", text, flags=re.IGNORECASE)
    return text


class MinutesField(forms.CharField):
    """A time as typed; cleaned to minutes, None where it is empty."""

    def __init__(self, **more: Any) -> None:
        attrs = {"class": "field", "autocomplete": "off", "size": "8"}
        super().__init__(max_length=30, widget=forms.TextInput(attrs=attrs), **more)

    def clean(self, value: Any) -> int | None:
        text = super().clean(value).strip()
        try:
            return minutes_typed(text) if text else None
        except ValueError as wrong:
            raise forms.ValidationError(str(wrong)) from wrong

    def prepare_value(self, value: Any) -> Any:
        return wait_words(value) if isinstance(value, int) else value
