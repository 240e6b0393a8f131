"""Days in addresses."""

from __future__ import annotations

from datetime import date, timedelta

from django.http import Http404

FIRST_YEAR, LAST_YEAR = 1950, 2100
"""Days outside are refused: constants of the tide do not hold for ever, and a calendar ends somewhere."""


def day_in_address(text: str) -> date:
    """2027-05-06, and nothing else. Raises Http404."""
    try:
        day = date.fromisoformat(text)
    except ValueError as error:
        raise Http404("no such day") from error
    if day.isoformat() != text or not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise Http404("no such day")
    return day


def month_in_address(year: int, month: int) -> date:
    """The first day of the month. Raises Http404."""
    if not (FIRST_YEAR <= year <= LAST_YEAR and 1 <= month <= 12):
        raise Http404("no such month")
    return date(year, month, 1)


def month_after(first: date, months: int) -> date:
    """The first day of the month that many months later, or earlier."""
    whole = first.year * 12 + first.month - 1 + months
    return date(whole // 12, whole % 12 + 1, 1)


def days_from(first: date, count: int) -> list[date]:
    return [first + timedelta(days=step) for step in range(count)]
