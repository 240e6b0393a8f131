"""Days, months and the hour in words, alike in pictures, letters, calendars and on pages: in the yard's language.

Python's own names follow the machine's locale, and what the yard says must not. Names are looked up by the msgids that
Django's catalogues have, so that a yard's own catalogue need not repeat them; which comes first, and how an hour is
written, is one message for each of `FORMS`, in the context "date format".
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date, datetime, time
from functools import lru_cache

from yard.speech import _, pgettext

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)

FORMS: Mapping[str, Callable[[], str]] = {
    "D": lambda: pgettext("date format", "D"),
    "D H:i": lambda: pgettext("date format", "D H:i"),
    "D j": lambda: pgettext("date format", "D j"),
    "D j F": lambda: pgettext("date format", "D j F"),
    "D j M": lambda: pgettext("date format", "D j M"),
    "D j M H:i": lambda: pgettext("date format", "D j M H:i"),
    "D j M Y": lambda: pgettext("date format", "D j M Y"),
    "D j M Y H:i": lambda: pgettext("date format", "D j M Y H:i"),
    "D j M Y, H:i": lambda: pgettext("date format", "D j M Y, H:i"),
    "D j M, H:i": lambda: pgettext("date format", "D j M, H:i"),
    "F": lambda: pgettext("date format", "F"),
    "F Y": lambda: pgettext("date format", "F Y"),
    "H": lambda: pgettext("date format", "H"),
    "H:i": lambda: pgettext("date format", "H:i"),
    "M": lambda: pgettext("date format", "M"),
    "d M": lambda: pgettext("date format", "d M"),
    "d M Y": lambda: pgettext("date format", "d M Y"),
    "j": lambda: pgettext("date format", "j"),
    "j F": lambda: pgettext("date format", "j F"),
    "j F Y": lambda: pgettext("date format", "j F Y"),
    "j M": lambda: pgettext("date format", "j M"),
    "j M Y": lambda: pgettext("date format", "j M Y"),
    "j M Y H:i": lambda: pgettext("date format", "j M Y H:i"),
    "j M Y, H:i": lambda: pgettext("date format", "j M Y, H:i"),
    "l": lambda: pgettext("date format", "l"),
    "l j F": lambda: pgettext("date format", "l j F"),
    "l j F H:i": lambda: pgettext("date format", "l j F H:i"),
    "l j F Y": lambda: pgettext("date format", "l j F Y"),
    "l j F, H:i": lambda: pgettext("date format", "l j F, H:i"),
}
"""Every form in which days and hours are said, in the letters of Django's `date` filter (those of `LETTERS`)."""

LETTERS: Mapping[str, Callable[[datetime], str]] = {
    "D": lambda at: _(WEEKDAYS[at.weekday()][:3]),
    "l": lambda at: _(WEEKDAYS[at.weekday()]),
    "d": lambda at: f"{at.day:02d}",
    "j": lambda at: str(at.day),
    "M": lambda at: _(MONTHS[at.month - 1][:3].lower()).title(),
    "b": lambda at: _(MONTHS[at.month - 1][:3].lower()),
    "F": lambda at: _(MONTHS[at.month - 1]),
    "E": lambda at: pgettext("alt. month", MONTHS[at.month - 1]),
    "m": lambda at: f"{at.month:02d}",
    "n": lambda at: str(at.month),
    "Y": lambda at: f"{at.year:04d}",
    "y": lambda at: f"{at.year % 100:02d}",
    "H": lambda at: f"{at.hour:02d}",
    "G": lambda at: str(at.hour),
    "h": lambda at: f"{at.hour % 12 or 12:02d}",
    "g": lambda at: str(at.hour % 12 or 12),
    "i": lambda at: f"{at.minute:02d}",
    "A": lambda at: _("AM") if at.hour < 12 else _("PM"),
    "a": lambda at: _("a.m.") if at.hour < 12 else _("p.m."),
}
"""What a letter of a form stands for. M has a capital and b has none; E is the month after a number, where that differs
(Russian, Polish)."""


def said(at: date | time, form: str) -> str:
    """A day, a moment or an hour in one of `FORMS`, on the clock that it already shows. KeyError for another form."""
    return put(at, FORMS[form]())


def clock_said(hour: int, minute: int) -> str:
    """An hour of the clock, 06:00 in English."""
    return said(time(hour, minute), "H:i")


def weekday_said(weekday: int) -> str:
    """The short name, Monday is 0."""
    return _(WEEKDAYS[weekday][:3])


def month_said(month: int) -> str:
    """The whole name, January is 1."""
    return _(MONTHS[month - 1])


def put(at: date | time, form: str) -> str:
    """`at` in the letters of `form`; a letter behind a backslash, and any that is none of LETTERS, stays as it is."""
    moment = _moment(at)
    return "".join([part if isinstance(part, str) else part(moment) for part in _parts(form)])


@lru_cache(maxsize=256)
def _parts(form: str) -> tuple[Callable[[datetime], str] | str, ...]:
    """Text as it is, and what stands for a letter."""
    found: list[Callable[[datetime], str] | str] = []
    taken = False
    for letter in form:
        if taken or (letter != "\\" and letter not in LETTERS):
            found.append(letter)
            taken = False
        elif letter == "\\":
            taken = True
        else:
            found.append(LETTERS[letter])
    return tuple(found)


def _moment(at: date | time) -> datetime:
    """Of an hour alone the day is not asked, and of a day alone not the hour."""
    if isinstance(at, datetime):
        return at
    return datetime.combine(at, time()) if isinstance(at, date) else datetime(2000, 1, 1, at.hour, at.minute)
