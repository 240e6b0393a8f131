"""The bookkeeper's page: a range of days, its sums, and the same as sheets."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import date, timedelta

from django.http import QueryDict
from django.utils.dateparse import parse_date
from django.utils.translation import gettext as _

from yard.queries.books import Books, Days, Sum, books_of, sums_by
from yard.queries.seasons import seasons_by_start
from yard.sheets.books import SHEETS, columns_of, title_of
from yard.sheets.columns import Value
from yard.sheets.writing import Table

LONGEST_DAYS = 3 * 366
SUM_KEYS = {"boats": "boat", "orders": "order", "people": "person"}


@dataclass(frozen=True)
class Asked:
    """first, last: as typed, both counted. wrong: why they are no range, "" where they are one."""

    first: date
    last: date
    wrong: str = ""

    @property
    def days(self) -> Days:
        return Days(self.first, self.last + timedelta(days=1))


@dataclass(frozen=True)
class Tally:
    name: str
    title: str
    rows: tuple[Sum, ...]


@dataclass(frozen=True)
class BooksPage:
    """ranges: (name, first, last) of each season, for one press."""

    asked: Asked
    books: Books
    hours: float
    extras_h: float
    tallies: tuple[Tally, ...]
    ranges: tuple[tuple[str, date, date], ...]


def asked_in(sent: QueryDict, today: date) -> Asked:
    """The range of an address; the month that holds today where it names none."""
    month = Asked(today.replace(day=1), today)
    if "from" not in sent and "to" not in sent:
        return month
    first, last = _day(sent.get("from", "")), _day(sent.get("to", ""))
    if first is None or last is None:
        return Asked(month.first, month.last, _("Give both days, as 2027-05-01: this month is shown instead."))
    if last < first:
        return Asked(month.first, month.last, _("The last day lies before the first: this month is shown instead."))
    if (last - first).days > LONGEST_DAYS:
        return Asked(month.first, month.last, _("At most three years at once: this month is shown instead."))
    return Asked(first, last)


def _day(text: str) -> date | None:
    try:
        return parse_date(text)
    except ValueError:
        return None


def books_page(asked: Asked) -> BooksPage:
    """Five queries, however many lines."""
    books = books_of(asked.days)
    ranges = [(row.name, row.starts_on, row.ends_on - timedelta(days=1)) for row in seasons_by_start()]
    return BooksPage(
        asked=asked,
        books=books,
        hours=sum(row.quantity for row in books.hours),
        extras_h=sum(row.quantity for row in books.extras),
        tallies=tuple(Tally(name, title_of(name), tuple(sums_by(books, key))) for name, key in SUM_KEYS.items()),
        ranges=tuple(ranges),
    )


def tables_of(books: Books, names: Mapping[str, object] = SHEETS) -> dict[str, Table]:
    """The sheets by name. Hours and quantities are plain numbers."""
    return {name: Table(title_of(name), columns_of(name), _rows(books, name), feet=False) for name in names}


def _rows(books: Books, name: str) -> tuple[dict[str, Value], ...]:
    if name in SUM_KEYS:
        return tuple(asdict(row) for row in sums_by(books, SUM_KEYS[name]))
    lines = {"hours": books.hours, "materials": books.materials, "extras": books.extras}[name]
    return tuple(asdict(row) | {"day": row.day.isoformat()} for row in lines)
