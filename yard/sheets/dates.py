"""Days as people write them. 2027-05-06 and 6 May 2027 say it themselves, the month in English or in the yard's
language; 06/05/2027 needs an order, asked or told by another cell of its column, never guessed."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from datetime import date
from enum import StrEnum

from yard.day_names import month_said
from yard.sheets.columns import CellRefused
from yard.speech import _
from yard.typed_days import LETTER, months_typed

EARLIEST_YEAR, LATEST_YEAR = 1900, 2100

_ISO = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[ T]\d{1,2}:\d{2}(?::\d{2})?(?:\.\d+)?)?")
_FIGURES = re.compile(r"(\d{1,2}) ?[-/. ] ?(\d{1,2}) ?[-/. ] ?'?(\d{4}|\d{2})")
_WEEKDAY, _MONTH, _NTH = rf"(?:{LETTER}{{2,16}}\.?,? )?", rf"{LETTER}{{3,16}}", r"(\d{1,2})(?:st|nd|rd|th)?"
_DAY_MONTH = re.compile(rf"{_WEEKDAY}{_NTH}[ .-]*(?:of )?({_MONTH})\.?,?[ -]*'?(\d{{4}}|\d{{2}})")
_MONTH_DAY = re.compile(rf"{_WEEKDAY}({_MONTH})\.?[ -]*{_NTH},?[ -]+'?(\d{{4}}|\d{{2}})")
_NO_YEAR = re.compile(rf"\d{{1,2}}[-/. ]\d{{1,2}}\.?|{_NTH}[ .-]*{_MONTH}|{_MONTH}\.? \d{{1,2}}")


class Order(StrEnum):
    """Which comes first in 06/05/2027."""

    DAY_FIRST = "day_first"
    MONTH_FIRST = "month_first"


def day(text: str, order: str) -> str:
    """A day as 2027-05-06. Raises CellRefused.

    order: an Order, or "" where neither a person nor another cell has said it.
    """
    said = re.sub(r"\s+", " ", unicodedata.normalize("NFC", text).strip().lower())
    if found := _ISO.fullmatch(said):
        return _day(int(found[1]), int(found[2]), int(found[3]))
    if found := _DAY_MONTH.fullmatch(said):
        return _day(_year(found[3]), _month(found[2]), int(found[1]))
    if found := _MONTH_DAY.fullmatch(said):
        return _day(_year(found[3]), _month(found[1]), int(found[2]))
    if found := _FIGURES.fullmatch(said):
        return _in_order(int(found[1]), int(found[2]), _year(found[3]), order)
    if _NO_YEAR.fullmatch(said):
        raise CellRefused(_("the year is missing"), _("write the whole date, as 2027-05-06"))
    raise CellRefused(_("this is not a date"), _write())


def _write() -> str:
    """The remedy; an English month is read in every language."""
    return _("write it as {first} or {last}").format(first="2027-05-06", last="6 May 2027")


def _in_order(first: int, second: int, year: int, order: str) -> str:
    if first == second:
        return _day(year, first, second)
    match order:
        case Order.DAY_FIRST:
            return _day(year, second, first)
        case Order.MONTH_FIRST:
            return _day(year, first, second)
        case _:
            raise CellRefused(
                _("day or month first?"), _("choose the order of this column under “Columns”, or write 2027-05-06")
            )


def orders_told(texts: Iterable[str]) -> frozenset[Order]:
    """The orders that a column's own cells tell: 23/04/2027 can only be day first. Two of them contradict."""
    told = set()
    for text in texts:
        if found := _FIGURES.fullmatch(re.sub(r"\s+", " ", text.strip())):
            first, second = int(found[1]), int(found[2])
            if 12 < first <= 31 and 1 <= second <= 12:
                told.add(Order.DAY_FIRST)
            elif 12 < second <= 31 and 1 <= first <= 12:
                told.add(Order.MONTH_FIRST)
    return frozenset(told)


def asks_for_order(texts: Iterable[str]) -> bool:
    """Whether any cell means two different days in the two orders."""
    found = (_FIGURES.fullmatch(re.sub(r"\s+", " ", text.strip())) for text in texts)
    return any(one is not None and one[1] != one[2] and int(one[1]) <= 12 and int(one[2]) <= 12 for one in found)


def _year(text: str) -> int:
    """Two figures mean this century: nothing that a yard writes down is older."""
    return int(text) + (2000 if len(text) == 2 else 0)


def _month(name: str) -> int:
    found = sorted(months_typed(name))
    if not found:
        raise CellRefused(_("“{name}” is not a month").format(name=name), _write())
    if len(found) > 1:
        first, last = month_said(found[0]), month_said(found[-1])
        wrong = _("“{name}” may be {first} or {last}").format(name=name, first=first, last=last)
        raise CellRefused(wrong, _("write it as 2027-05-06"))
    return found[0]


def _day(year: int, month: int, number: int) -> str:
    if not EARLIEST_YEAR <= year <= LATEST_YEAR:
        raise CellRefused(_("the year {year} cannot be right").format(year=year), _("write it as 2027-05-06"))
    try:
        return date(year, month, number).isoformat()
    except ValueError:
        raise CellRefused(_("there is no such day"), _("look at day and month; write it as 2027-05-06")) from None
