"""Fields for numbers with a part behind the decimal sign, typed as the yard's language writes them or with a point.

A browser sends what is typed into a field of type number with a point; in any other field it sends what was typed.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.formats import sanitize_separators


class NumberField(forms.FloatField):
    """ "1,5" where the language has a decimal comma, "1.5" everywhere."""

    def to_python(self, value: Any) -> float | None:  # type: ignore[override]  # the stubs' FloatField gives an int
        return super().to_python(sanitize_separators(value))


class ExactNumberField(forms.DecimalField):
    """The same for money, which is counted exactly."""

    def to_python(self, value: Any) -> Decimal | None:  # type: ignore[override]  # and so does their DecimalField
        return super().to_python(sanitize_separators(value))
