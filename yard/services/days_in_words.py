"""Days as the yard's language writes them in a sentence."""

from __future__ import annotations

from datetime import date, datetime
from typing import Literal

from django.utils.dateformat import format as written
from django.utils.translation import pgettext, pgettext_lazy

Form = Literal["j M", "j F", "j M Y", "j F Y", "D j M", "D j F", "D j M H:i", "D j M, H:i"]
"""Django's letters for the parts of a date; a language says by its catalogue in which order it writes them."""

FOR_THE_CATALOGUE = (
    pgettext_lazy("date format", "j M"),
    pgettext_lazy("date format", "j F"),
    pgettext_lazy("date format", "j M Y"),
    pgettext_lazy("date format", "j F Y"),
    pgettext_lazy("date format", "D j M"),
    pgettext_lazy("date format", "D j F"),
    pgettext_lazy("date format", "D j M H:i"),
    pgettext_lazy("date format", "D j M, H:i"),
)
"""The forms again, where the tool that draws the catalogue finds them."""


def in_words(day: date | datetime, form: Form) -> str:
    """ "D j M": "Thu 6 May".  A time is told in the zone that it carries."""
    return written(day, pgettext("date format", form))
