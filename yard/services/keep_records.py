"""Notes, photographs and measurements kept beside a boat, an order or a job, and taken back."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from math import isfinite
from typing import TypeVar

from django.contrib.auth.models import User
from django.db import transaction
from django.db.models import QuerySet
from django.utils.translation import gettext as _

from yard.models import Boat, Job, Measurement, Memo, Order, Photograph, closed_season_of, closed_words
from yard.services.photograph_files import PhotographRefused, prepare, remove, write
from yard.speech import short_number

LONGEST_CAPTION = 200
SAME_RECORD = timedelta(minutes=2)
"""The same words about the same thing within this time are one note, sent twice."""
LARGEST = {"m": 100.0, "m2": 1000.0, "deg": 360.0, "kg": 100_000.0, "count": 10_000.0}
"""The largest that is believed of each unit (common sense of a small yard: no boat of 100 m comes)."""

R = TypeVar("R", Memo, Photograph, Measurement)


class RecordRefused(Exception):
    """This cannot be kept; field: which entry; the text says why and what to do. Nothing was saved."""

    def __init__(self, field: str, words: str) -> None:
        super().__init__(words)
        self.field = field


@dataclass(frozen=True)
class About:
    """What a record is about: a boat, or an order of hers or of a walk-in, or one job of it."""

    boat: Boat | None = None
    order: Order | None = None
    job: Job | None = None

    def __post_init__(self) -> None:
        if self.boat is None and self.order is None:
            raise RecordRefused("about", _("Say what it is about: a boat, an order or a job."))
        if self.order is not None and self.order.boat != self.boat:
            raise RecordRefused("about", _("Order {ref} is not of that boat.").format(ref=self.order.ref))
        if self.job is not None and self.job.order != self.order:
            raise RecordRefused("about", _("“{job}” is not of that order.").format(job=self.job.name))

    @property
    def values(self) -> dict[str, Boat | Order | Job | None]:
        return {"boat": self.boat, "order": self.order, "job": self.job}


def about_order(order: Order, job: Job | None = None) -> About:
    return About(order.boat, order, job)


@dataclass(frozen=True)
class Measured:
    """A measure as taken: value in its unit, as the model's units have it."""

    name: str
    value: float
    unit: Measurement.Unit = Measurement.Unit.METRES
    note: str = ""


def keep_note(about: About, text: str, *, by: User | None, now: datetime) -> Memo:
    """Raises RecordRefused. The same note sent twice is one row."""
    words = text.strip()
    if not words:
        raise RecordRefused("text", _("Write what there is to say."))
    with transaction.atomic():
        _one_by_one(about)
        before = _lately(Memo, by, now).filter(text=words, **about.values).first()
        return before or Memo.objects.create(text=words, made_by=by, made_at=now, **about.values)


def keep_measurement(about: About, measured: Measured, *, by: User | None, now: datetime) -> Measurement:
    """Raises RecordRefused. A measure taken again is a row of its own; the same one sent twice is not."""
    name = measured.name.strip()
    if not name:
        raise RecordRefused("name", _("Name what was measured, as “boom to sole”."))
    if not isfinite(measured.value) or not 0 < measured.value <= LARGEST[measured.unit]:
        raise RecordRefused(
            "value",
            _("A measure is above 0 and at most {largest} {unit}.").format(
                largest=short_number(LARGEST[measured.unit]), unit=measured.unit
            ),
        )
    values = {"name": name, "value": measured.value, "unit": measured.unit, "note": measured.note.strip()}
    with transaction.atomic():
        _one_by_one(about)
        before = _lately(Measurement, by, now).filter(**values, **about.values).first()
        return before or Measurement.objects.create(**values, made_by=by, made_at=now, **about.values)


def keep_photograph(about: About, sent: bytes, *, caption: str = "", by: User | None, now: datetime) -> Photograph:
    """Keep what was sent, smaller and without what the telephone wrote in it. Raises RecordRefused.

    The same photograph of the same thing is kept once, unless it was taken back.
    """
    try:
        prepared = prepare(sent)
    except PhotographRefused as refused:
        raise RecordRefused("photograph", str(refused)) from refused
    same = Photograph.objects.filter(sha256=prepared.sha256, taken_back_at=None, **about.values)
    if (before := same.first()) is not None:
        return before
    try:
        name = write(prepared, folder=f"{now:%Y/%m}")
    except OSError as error:
        raise RecordRefused(
            "photograph", _("The photograph could not be written: is there room in the yard's data folder?")
        ) from error
    kept = False
    try:
        with transaction.atomic():
            _one_by_one(about)
            if (before := same.first()) is not None:
                return before
            row = Photograph.objects.create(
                file=name,
                sha256=prepared.sha256,
                caption=caption.strip()[:LONGEST_CAPTION],
                made_by=by,
                made_at=now,
                **about.values,
            )
        kept = True
        return row
    finally:
        if not kept:
            remove(name)


def take_back_record(row: Memo | Photograph | Measurement, *, by: User, now: datetime) -> bool:
    """Mark what was kept as a mistake; it stays on file. False where somebody did so before.

    Raises RecordRefused for what is kept beside an order of a closed season.
    """
    _demand_open_season(row.order)
    rows = type(row)._default_manager.filter(pk=row.pk, taken_back_at=None)
    return rows.update(taken_back_at=now, taken_back_by=by) == 1


def _one_by_one(about: About) -> None:
    """What is sent twice at once comes one after the other: the row that it is about is locked until it is written."""
    _demand_open_season(about.order)
    if about.order is not None:
        Order.objects.select_for_update().get(pk=about.order.pk)
    elif about.boat is not None:
        Boat.objects.select_for_update().get(pk=about.boat.pk)


def _demand_open_season(order: Order | None) -> None:
    """What is kept beside an order of a closed season stays as it is, and readable. Raises RecordRefused."""
    if order is not None and (season := closed_season_of(order)) is not None:
        raise RecordRefused("about", closed_words(season))


def _lately(kind: type[R], by: User | None, now: datetime) -> QuerySet[R]:
    return kind._default_manager.filter(
        made_by=by, made_at__gte=now - SAME_RECORD, made_at__lte=now, taken_back_at=None
    )
