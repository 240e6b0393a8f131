"""What falls due as its page says it: groups by urgency, each row with what is known, ordered or to be written down."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.day_names import said
from yard.models import Boat, Gear, Interval, Mooring, YardSettings
from yard.queries.due import Due, State, Subject, all_due, key_of
from yard.services.order_due import boat_of
from yard.web.boats.words import date_words
from yard.web.units import local

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

LOOKS_AHEAD = timedelta(days=90)
"""What falls due within a season's quarter is asked about now (common practice)."""
STATES: dict[State, StrOrPromise] = {
    "failed": gettext_lazy("not fit for use"),
    "overdue": gettext_lazy("overdue"),
    "unknown": gettext_lazy("no day on file"),
    "due": gettext_lazy("due"),
    "later": gettext_lazy("later"),
}
OPEN_ROWS = 8
"""A list that is longer begins folded, so that all intervals are seen at once."""
SENT_AT_ONCE = 20
"""Of a longer list the most urgent are sent, and the others when they are asked for."""


@dataclass(frozen=True, slots=True)
class DueRow:
    """One line. tick: its value where it may be ordered, "" where not. ordered: what stands instead."""

    due: Due
    what: str
    url: str
    whose: str
    last: str
    when: str
    tick: str
    record_url: str
    planned: str


@dataclass(frozen=True, slots=True)
class DueGroup:
    """One interval with what it covers, the most urgent first. words: how many of each; late: any is overdue.

    rows: those that are sent; count: how many there are. ticks: what of all of them may be ordered.
    """

    interval: Interval
    words: str
    late: bool
    rows: tuple[DueRow, ...]
    count: int
    ticks: tuple[str, ...]
    is_open: bool

    @property
    def unsent(self) -> int:
        return self.count - len(self.rows)


@dataclass(frozen=True, slots=True)
class DuePage:
    """open_count: rows that somebody should order. covers: what is shown, "" for all."""

    by_day: date
    groups: tuple[DueGroup, ...]
    open_count: int
    later: int
    covers: str
    choices: tuple[tuple[str, str], ...]
    has_intervals: bool
    only: Subject | None

    @property
    def ticks(self) -> list[str]:
        """All that may be ordered."""
        return [tick for group in self.groups for tick in group.ticks]


def due_page(
    yard: YardSettings,
    now: datetime,
    *,
    by_day: date | None,
    covers: str = "",
    only: Subject | None = None,
    whole: int = 0,
) -> DuePage:
    """About fifteen queries, however many boats, moorings and pieces. only: one of them, with what falls due later.

    whole: the id of the interval of which every row is wanted.
    """
    today = local(now).date()
    day = by_day or today + LOOKS_AHEAD
    found = all_due(by_day=day, today=today, yard=yard, only=only)
    shown = [each for each in found if not covers or each.interval.covers == covers]
    return DuePage(
        by_day=day,
        groups=_groups([each for each in shown if only is not None or each.state != "later"], whole),
        open_count=sum(each.is_open for each in shown),
        later=sum(each.state == "later" for each in shown),
        covers=covers,
        choices=tuple((str(value), str(label)) for value, label in Interval.Covers.choices),
        has_intervals=bool(found) or Interval.objects.exists(),
        only=only,
    )


def due_of(subject: Subject, yard: YardSettings, now: datetime) -> tuple[DueRow, ...]:
    """All that intervals say of one boat, mooring or piece, the most urgent first."""
    today = local(now).date()
    return tuple(map(row_of, all_due(by_day=today + LOOKS_AHEAD, today=today, yard=yard, only=subject)))


def _groups(found: Sequence[Due], whole: int) -> tuple[DueGroup, ...]:
    """Intervals in the order of their most urgent rows."""
    by_interval: dict[int, list[Due]] = {}
    for each in found:
        by_interval.setdefault(each.interval.pk, []).append(each)
    return tuple(_group(mine, whole=interval == whole) for interval, mine in by_interval.items())


def _group(mine: Sequence[Due], *, whole: bool) -> DueGroup:
    counts = Counter(each.state for each in mine)
    words = ", ".join(f"{counts[state]} {name}" for state, name in STATES.items() if counts[state])
    ordered = sum(each.order is not None for each in mine)
    if ordered:
        words = _("{states}; {n} ordered").format(states=words, n=ordered)
    return DueGroup(
        interval=mine[0].interval,
        words=words,
        late=bool(counts["failed"] or counts["overdue"]),
        rows=tuple(map(row_of, mine if whole else mine[:SENT_AT_ONCE])),
        count=len(mine),
        ticks=tuple(filter(None, map(tick_of, mine))),
        is_open=whole or len(mine) <= OPEN_ROWS,
    )


def tick_of(each: Due) -> str:
    """Its value where it may be ordered, "" where not."""
    return f"{each.interval.pk}:{each.key}" if each.is_open and each.interval.package is not None else ""


def row_of(each: Due) -> DueRow:
    boat = boat_of(each)
    part = f", {each.part}" if each.part is not None else ""
    whose = boat.name if boat is not None and not isinstance(each.subject, Boat) else ""
    if isinstance(each.subject, Gear) and each.subject.place is not None:
        whose = each.subject.place.name
    last = f"{said(each.last.day, 'j M Y')}, {each.last.words}" if each.last is not None else _("not on file")
    return DueRow(
        due=each,
        what=f"{str(each.subject)[:1].upper()}{str(each.subject)[1:]}{part}",
        url=subject_url(each.subject),
        whose=whose,
        last=f"{last}{f': {each.result}' if each.result else ''}",
        when=_when(each),
        tick=tick_of(each),
        record_url=reverse("inspection_new", args=[each.interval.pk, key_of(each.subject), each.subject.pk]),
        planned=date_words(local(each.planned).date()) if each.planned is not None else "",
    )


def _when(each: Due) -> str:
    """ "4 Aug 2027", "20 Apr 2026, overdue", "not fit for use", "look at it" """
    if each.state == "failed":
        return str(STATES["failed"])
    if each.due_on is None:
        return _("look at it")
    day = said(each.due_on, "j M Y")
    return _("{day}, overdue").format(day=day) if each.state == "overdue" else day


def subject_url(subject: Subject) -> str:
    if isinstance(subject, Boat):
        return reverse("boat", args=[subject.pk])
    return reverse("mooring" if isinstance(subject, Mooring) else "gear_change", args=[subject.pk])
