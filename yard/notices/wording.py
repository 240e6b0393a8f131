"""Dates, hours and heights as a letter says them, on the yard's clock and in its unit."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, time

from yard.day_names import said
from yard.speech import _, number

FOOT_M = 0.3048


def day_words(day: date) -> str:
    """Monday 10 May"""
    return said(day, "l j F")


def week_words(monday: date) -> str:
    """the week of Monday 10 May"""
    return _("the week of {day}").format(day=day_words(monday))


def hour_words(at: time) -> str:
    """14:30"""
    return said(at, "H:i")


def moment_words(at: datetime) -> str:
    """Saturday 8 May, 12:00"""
    return said(at, "l j F, H:i")


def height_words(height_m: float, *, feet: bool) -> str:
    """9.8 ft, or 2.99 m"""
    return f"{number(height_m / FOOT_M, 1)} ft" if feet else f"{number(height_m, 2)} m"


def listed(words: Sequence[str]) -> str:
    """one, two and three"""
    if len(words) < 2:
        return "".join(words)
    return _("{first} and {last}").format(first=", ".join(words[:-1]), last=words[-1])


def any_of(words: Sequence[str]) -> str:
    """one, two or three"""
    if len(words) < 2:
        return "".join(words)
    return _("{first} or {last}").format(first=", ".join(words[:-1]), last=words[-1])


def sentence(words: str) -> str:
    """With a capital at its head; what follows stays as it is."""
    return words[:1].upper() + words[1:]
