"""The example's care of sails, rigs and gear: some sails damp and one dry again, some intervals overdue, some due."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from datetime import date, datetime, timedelta
from itertools import cycle

import msgspec
from django.db import transaction
from django.utils.text import slugify

from yard.models import Boat, Gear, Inspection, Interval, Item, ItemWhereabouts, Job, Place
from yard.queries.sails import DRY, sails_off
from yard.services.example_yard.description import FOLDER, Strict
from yard.services.example_yard.ordering import name_jobs
from yard.services.example_yard.pen import Pen
from yard.services.happenings import BaggedDamp
from yard.services.record_event import record_event
from yard.services.shipped_intervals import bring_in_intervals

NO_RECORD = 5
"""Every so many boats with a mast, nothing is on file of her rig."""


class Seen(Strict, frozen=True):
    interval: str
    days: int
    by: str
    result: str


class Piece(Strict, frozen=True):
    kind: str
    name: str
    mark: str
    in_use_days: int
    rated_kg: float | None = None
    seen: Seen | None = None


class AutumnCare(Strict, frozen=True):
    """Of October's yard, in turn: years and days before its clock."""

    wire_years: tuple[int, ...]
    tackle_days: tuple[int, ...]
    chain_days: tuple[int, ...]
    pendant_days: tuple[int, ...]


class CareFile(Strict, frozen=True):
    """Days and hours before the yard's clock."""

    autumn: AutumnCare

    sails_damp_hours: tuple[int, ...]
    rig_surveyed_days: tuple[int, ...]
    washed_days: tuple[int, ...]
    gear: tuple[Piece, ...]


def read_care() -> CareFile:
    return msgspec.convert(tomllib.loads((FOLDER / "care.toml").read_text(encoding="utf-8")), CareFile)


@transaction.atomic
def write_care(now: datetime, pen: Pen) -> None:
    """After all else of the example is written."""
    about = read_care()
    write_gear_and_rigs(about, now, pen)
    _washed(about, now.astimezone(pen.zone).date(), pen)
    _damp(about, now, pen)


def write_gear_and_rigs(about: CareFile, now: datetime, pen: Pen) -> Mapping[str, Interval]:
    """The intervals, by key; the yard's gear and what is on file of it and of rigs."""
    today = now.astimezone(pen.zone).date()
    bring_in_intervals(by=pen.by, now=now)
    intervals = {row.key: row for row in Interval.objects.all()}
    gear = pen.insert([_gear(piece, today) for piece in about.gear], now)
    looked = [
        _inspection(intervals[piece.seen.interval], piece.seen, today, now, pen, gear=row)
        for piece, row in zip(about.gear, gear, strict=True)
        if piece.seen is not None
    ]
    pen.insert([*looked, *_rigs(intervals["rig_survey"], about, today, now, pen)], now)
    return intervals


def _gear(piece: Piece, today: date) -> Gear:
    return Gear(
        ref=slugify(f"{piece.name} {piece.mark}")[:30],
        kind=piece.kind,
        name=piece.name,
        mark=piece.mark,
        rated_kg=piece.rated_kg,
        in_use_since=today - timedelta(days=piece.in_use_days),
        out_of_use=piece.seen is not None and piece.seen.result == Inspection.Result.FAILED,
        place=Place.objects.filter(kind="gin_pole").first() if piece.kind == "lifting" else None,
    )


def _inspection(
    interval: Interval,
    seen: Seen,
    today: date,
    now: datetime,
    pen: Pen,
    gear: Gear | None = None,
    boat: Boat | None = None,
) -> Inspection:
    return Inspection(
        interval=interval,
        gear=gear,
        boat=boat,
        done_on=today - timedelta(days=seen.days),
        by_whom=seen.by,
        result=seen.result,
        recorded_by=pen.by,
        recorded_at=now,
    )


def _rigs(interval: Interval, about: CareFile, today: date, now: datetime, pen: Pen) -> list[Inspection]:
    masts = Item.objects.filter(kind=Item.Kind.MAST, boat__isnull=False).values("boat")
    boats = Boat.objects.filter(pk__in=masts, archived=False).order_by("name", "id")
    ages = cycle(about.rig_surveyed_days)
    return [
        _inspection(interval, Seen(interval.key, next(ages), "the yard's rigger", "good"), today, now, pen, boat=boat)
        for number, boat in enumerate(boats)
        if number % NO_RECORD
    ]


def _washed(about: CareFile, today: date, pen: Pen) -> None:
    """One winter after the other, so that each is in the history of a sail."""
    sails = [row.item for row in sails_off()]
    for days in sorted(about.washed_days, reverse=True):
        day = today - timedelta(days=days)
        for sail in sails[::3]:
            sail.washed_on = day
        pen.update(sails[::3], ["washed_on"], pen.moment(day, datetime.min.time()))


def _damp(about: CareFile, now: datetime, pen: Pen) -> None:
    """Bags that came in damp: each asks for a line."""
    for row, hours in zip(_free(sails_off()), about.sails_damp_hours, strict=False):
        since = now - timedelta(hours=hours)
        pen.insert(
            [
                ItemWhereabouts(
                    item=row.item,
                    kind=ItemWhereabouts.Kind.PLACE,
                    place=row.place,
                    condition=ItemWhereabouts.Condition.DAMP,
                    since=since,
                    said_by=pen.by,
                    note="the bag stood in water",
                )
            ],
            since,
        )
        record_event(BaggedDamp((row.item,), since), by=pen.by, now=now)
        name_jobs(list(Job.objects.filter(things__item=row.item, state="open").select_related("order")), pen)


def _free(rows: Sequence[ItemWhereabouts]) -> list[ItemWhereabouts]:
    """Of boats that no open job dries sails of: then the sails' own order is seen."""
    drying = set(Job.objects.filter(kind__key=DRY, order__state="open").values_list("order__boat", flat=True))
    return [row for row in rows if row.item.boat_id is not None and row.item.boat_id not in drying]
