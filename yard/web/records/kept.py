"""What is kept beside a boat or an order, as its page shows it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from django.contrib.auth.models import AnonymousUser, User
from django.urls import reverse
from django.utils.translation import gettext as _

from yard.models import Boat, Measurement, Memo, Order, Photograph, YardSettings
from yard.queries.accounts import called
from yard.queries.records import RecordRows, measure_names, measures_on_file, records_of_boat, records_of_order
from yard.speech import number, short_number
from yard.web.access import may
from yard.web.boats.words import when_words
from yard.web.records.forms import LENGTH, MeasureForm, NoteForm, subjects
from yard.web.units import height, height_unit

Record = Memo | Photograph | Measurement


@dataclass(frozen=True)
class KeptRow:
    """kind: "memo", "photograph" or "measurement". about: the job or the order, "" where it is the page's own."""

    record: Record
    kind: str
    words: str
    about: str
    at: str
    who: str
    may_take_back: bool


@dataclass(frozen=True)
class Kept:
    """memos, photographs, measurements: what stands; gone: what was taken back. Forms: None for who only looks.

    names: of measures, as they were called before. of_the_boat: measures
    of her other orders, in words, so that a new cover can be made from file. closed: the order's season, if it is.
    """

    memos: tuple[KeptRow, ...]
    photographs: tuple[KeptRow, ...]
    measurements: tuple[KeptRow, ...]
    gone: tuple[KeptRow, ...]
    note_form: NoteForm | None
    measure_form: MeasureForm | None
    note_url: str
    measure_url: str
    names: tuple[str, ...]
    of_the_boat: tuple[str, ...] = ()
    closed: str = ""


def kept_of_boat(boat: Boat, orders: list[Order], yard: YardSettings, user: User | AnonymousUser) -> Kept:
    """orders: her open ones, with their jobs at hand. Four queries."""
    return _kept(records_of_boat(boat), boat, orders, ("boat", boat.pk), yard, user)


def kept_of_order(order: Order, yard: YardSettings, user: User | AnonymousUser, about: str = "") -> Kept:
    """about: the subject that the forms open with, "" for none. Measures of the boat stand beside. Six queries."""
    kept = _kept(records_of_order(order), None, [order], ("order", order.pk), yard, user, about)
    if order.season is not None and order.season.closed_at is not None:  # it stays readable, and as it is
        kept = replace(kept, note_form=None, measure_form=None, closed=str(order.season))
    if order.boat is None:
        return kept
    return replace(kept, of_the_boat=tuple(measure_words(row, yard) for row in measures_on_file(order)))


def _kept(
    rows: RecordRows,
    boat: Boat | None,
    orders: list[Order],
    page: tuple[str, int],
    yard: YardSettings,
    user: User | AnonymousUser,
    about: str = "",
) -> Kept:
    shown: dict[str, list[tuple[Record, str]]] = {
        "memo": [(row, row.text) for row in rows.memos],
        "photograph": [(row, row.caption or _("photograph")) for row in rows.photographs],
        "measurement": [(row, measure_words(row, yard)) for row in rows.measurements],
    }
    told = {kind: [_row(row, kind, words, page[0], user) for row, words in found] for kind, found in shown.items()}
    stands = {kind: tuple(row for row in found if row.record.taken_back_at is None) for kind, found in told.items()}
    writes, choices = may(user, "report_work"), subjects(boat, orders)
    opened = {"about": about} if about in choices else {}
    return Kept(
        memos=stands["memo"],
        photographs=stands["photograph"],
        measurements=stands["measurement"],
        gone=tuple(row for found in told.values() for row in found if row.record.taken_back_at is not None),
        note_form=NoteForm(choices=choices, auto_id="note-%s", initial=opened) if writes else None,
        measure_form=MeasureForm(choices=choices, yard=yard, auto_id="measure-%s", initial=opened) if writes else None,
        names=measure_names() if writes else (),
        note_url=reverse(f"{page[0]}_note", args=[page[1]]),
        measure_url=reverse(f"{page[0]}_measure", args=[page[1]]),
    )


def _row(row: Record, kind: str, words: str, page: str, user: User | AnonymousUser) -> KeptRow:
    about = row.job.name if row.job else row.order.name if row.order and page == "boat" else ""
    return KeptRow(
        record=row,
        kind=kind,
        words=words,
        about=about,
        at=when_words(row.made_at),
        who=who_words(row.made_by),
        may_take_back=may_take_back(row, user),
    )


def may_take_back(row: Record, user: User | AnonymousUser) -> bool:
    """Whoever made it may, and the office."""
    own = row.made_by is not None and row.made_by == user
    return row.taken_back_at is None and may(user, "report_work") and (own or may(user, "edit_facts"))


def who_words(user: User | None) -> str:
    return called(user)


def measure_words(row: Measurement, yard: YardSettings) -> str:
    """ "boom to sole 6.20 ft" """
    if row.unit == LENGTH:
        figure = f"{number(height(row.value, yard), 2)} {height_unit(yard)}"
    else:
        figure = f"{short_number(row.value)} {row.get_unit_display()}"
    return f"{row.name} {figure}" + (f", {row.note}" if row.note else "")
