"""Validators in the trade's words, and the shapes of the few fields that hold JSON.

A validator catches what a person mistypes and says what to do; the database constraints of each model
catch what must never be.
"""

from collections.abc import Mapping
from datetime import date, datetime, time
from typing import Any
from zoneinfo import available_timezones

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.day_names import said

LONGEST_LENGTH_M = 60.0  # common practice: far above any boat of a small yard; catches feet typed as metres
WIDEST_BEAM_M = 15.0  # common practice, as above
DEEPEST_DRAFT_M = 12.0  # common practice, as above
HEAVIEST_KG = 200_000.0  # common practice, as above
TALLEST_MAST_M = 60.0  # common practice, as above

length_in_range = [
    MinValueValidator(0.5, gettext_lazy("A length under 0.5 m is not a boat: check the unit.")),
    MaxValueValidator(
        LONGEST_LENGTH_M, gettext_lazy("A length over 60 m does not fit this yard: was it typed in feet?")
    ),
]
beam_in_range = [
    MinValueValidator(0.2, gettext_lazy("A beam under 0.2 m is not a boat: check the unit.")),
    MaxValueValidator(WIDEST_BEAM_M, gettext_lazy("A beam over 15 m does not fit this yard: was it typed in feet?")),
]
draft_in_range = [
    MinValueValidator(0.05, gettext_lazy("A draft under 0.05 m cannot be right: check the unit.")),
    MaxValueValidator(DEEPEST_DRAFT_M, gettext_lazy("A draft over 12 m does not float here: was it typed in feet?")),
]
displacement_in_range = [
    MinValueValidator(20.0, gettext_lazy("A displacement under 20 kg cannot be right: was it typed in tonnes?")),
    MaxValueValidator(
        HEAVIEST_KG, gettext_lazy("A displacement over 200 tonnes does not fit this yard: was it typed in pounds?")
    ),
]
mast_in_range = [
    MinValueValidator(1.0, gettext_lazy("A mast under 1 m cannot be right: check the unit.")),
    MaxValueValidator(TALLEST_MAST_M, gettext_lazy("A mast over 60 m cannot be right: was it typed in feet?")),
]
sail_length_in_range = [
    MinValueValidator(0.3, gettext_lazy("A sail under 0.3 m cannot be right: check the unit.")),
    MaxValueValidator(TALLEST_MAST_M, gettext_lazy("A sail over 60 m does not fit this yard: was it typed in feet?")),
]
latitude_in_range = [
    MinValueValidator(-90.0, gettext_lazy("A latitude lies between -90 and 90 degrees.")),
    MaxValueValidator(90.0, gettext_lazy("A latitude lies between -90 and 90 degrees.")),
]
longitude_in_range = [
    MinValueValidator(-180.0, gettext_lazy("A longitude lies between -180 and 180 degrees; west is negative.")),
    MaxValueValidator(180.0, gettext_lazy("A longitude lies between -180 and 180 degrees; west is negative.")),
]


def is_time_zone(name: str) -> None:
    """Refuse a zone that the machine's zone table does not have."""
    if name not in available_timezones():
        raise ValidationError(_("“{name}” is not a known time zone: write it as America/New_York.").format(name=name))


def on_the_quarter(moment: time | datetime) -> None:
    """Refuse a time that is not on a quarter of an hour: the plan knows nothing finer."""
    if moment.minute % 15 or moment.second or moment.microsecond:
        raise ValidationError(
            _("{moment} is not on a quarter of an hour: use :00, :15, :30 or :45.").format(moment=said(moment, "H:i"))
        )


def whole_quarters(minutes: int) -> None:
    """Refuse a duration that is not a whole number of quarters."""
    if minutes <= 0 or minutes % 15:
        raise ValidationError(
            _("{minutes} min is not a whole number of quarters of an hour above nothing.").format(minutes=minutes)
        )


def is_day_of_year(text: str) -> None:
    """Refuse anything but a month and a day that every year has."""
    try:
        date.fromisoformat(f"2001-{text}")  # 2001 has no 29 February
    except ValueError:
        raise ValidationError(
            _("“{text}” is not a day of every year: write 15 November as 11-15.").format(text=text)
        ) from None


def is_table(value: object) -> None:
    """Refuse anything but a table of names and values."""
    if not isinstance(value, Mapping):
        raise ValidationError(_("This holds a table of names and values."))


def is_list_of_names(value: object) -> None:
    """Refuse anything but a list of words."""
    if not isinstance(value, list) or not all(isinstance(name, str) and name for name in value):
        raise ValidationError(_("This holds a list of names."))


def is_crew(value: object) -> None:
    """Refuse a crew that is not a list of {skill, level, count}."""
    if not isinstance(value, list):
        raise ValidationError(_("A crew is a list: each line a skill, a level and how many."))
    for line in value:
        _check_line(line, {"skill": str, "level": int, "count": int}, _("a crew line"))
        if not 1 <= line["level"] <= 3:
            raise ValidationError(
                _("The level of {skill} is 1, 2 or 3, not {level}.").format(skill=line["skill"], level=line["level"])
            )
        if line["count"] < 1:
            raise ValidationError(
                _("A crew needs at least one {skill}, or leave the line out.").format(skill=line["skill"])
            )


def is_parts(value: object) -> None:
    """Refuse parts of a launch that are not a list of {name, minutes, water}."""
    if not isinstance(value, list):
        raise ValidationError(_("Parts are a list: each line a name, its minutes and whether it needs water."))
    for line in value:
        _check_line(line, {"name": str, "minutes": int, "water": bool}, _("a part"))
        whole_quarters(line["minutes"])


def _check_line(line: Any, fields: dict[str, type], what: str) -> None:
    if not isinstance(line, dict) or set(line) != set(fields):
        raise ValidationError(_("{what} has exactly: {fields}.").format(what=what, fields=", ".join(fields)))
    for name, kind in fields.items():
        if type(line[name]) is not kind:
            raise ValidationError(
                _("{name} of {what} is not {kind}: {value}.").format(
                    name=name, what=what, kind=kind.__name__, value=repr(line[name])
                )
            )


def is_list(value: Any) -> None:
    """Refuse anything but a list."""
    if not isinstance(value, list):
        raise ValidationError(_("This is a list."))
