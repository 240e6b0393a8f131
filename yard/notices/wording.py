"""Dates, hours and heights as a letter says them, on the yard's clock and in its unit."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, time

from yard.day_names import MONTH_NAMES, WEEKDAY_NAMES

FOOT_M = 0.3048


def day_words(day: date) -> str:
    """Monday 10 May"""
    return f"{WEEKDAY_NAMES[day.weekday()]} {day.day} {MONTH_NAMES[day.month - 1]}"


def week_words(monday: date) -> str:
    """the week of Monday 10 May"""
    return f"the week of {day_words(monday)}"


def hour_words(at: time) -> str:
    """14:30"""
    return f"{at:%H:%M}"


def moment_words(at: datetime) -> str:
    """Saturday 8 May, 12:00"""
    return f"{day_words(at.date())}, {at:%H:%M}"


def height_words(height_m: float, *, feet: bool) -> str:
    """9.8 ft, or 2.99 m"""
    return f"{height_m / FOOT_M:.1f} ft" if feet else f"{height_m:.2f} m"


def listed(words: Sequence[str], last: str = "and") -> str:
    """one, two and three"""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {last} {words[-1]}"


def sentence(words: str) -> str:
    """With a capital at its head; what follows stays as it is."""
    return words[:1].upper() + words[1:]
