"""What falls due in the example's October: rigs and wire with masts down, tackle and chain, slings, extinguishers."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime, timedelta
from itertools import cycle

from django.db import transaction

from yard.models import Boat, Inspection, Interval, Item, Mooring, TacklePart
from yard.services.example_yard.care import AutumnCare, read_care, write_gear_and_rigs
from yard.services.example_yard.pen import Pen

YEAR_DAYS = 365
NOT_KNOWN = 4
"""Of every so many boats with a mast, nobody knows how old the wire is."""


@transaction.atomic
def write_autumn_care(now: datetime, pen: Pen) -> None:
    """After all else of October is written; no sail lies damp then."""
    about, today = read_care(), now.astimezone(pen.zone).date()
    intervals = write_gear_and_rigs(about, now, pen)
    _wire(about.autumn, intervals, today, now, pen)
    _tackle(about.autumn, today, now, pen)


def _wire(about: AutumnCare, intervals: Mapping[str, Interval], today: date, now: datetime, pen: Pen) -> None:
    """When standing rigging was renewed, as owners have it on their papers."""
    masts = Item.objects.filter(kind=Item.Kind.MAST, boat__isnull=False).values("boat")
    boats = Boat.objects.filter(pk__in=masts, archived=False).order_by("name", "id")
    years = cycle(about.wire_years)
    rows = [
        Inspection(
            interval=intervals["standing_rigging_age"],
            boat=boat,
            done_on=today - timedelta(days=YEAR_DAYS * next(years)),
            by_whom="on her papers",
            result=Inspection.Result.RENEWED,
            recorded_by=pen.by,
            recorded_at=now,
        )
        for number, boat in enumerate(boats, start=1)
        if number % NOT_KNOWN
    ]
    pen.insert(rows, now)


def _tackle(about: AutumnCare, today: date, now: datetime, pen: Pen) -> None:
    """Most moorings were looked over in spring, some chains and pendants renewed then."""
    looked = cycle(about.tackle_days)
    ages = {kind: cycle(days) for kind, days in (("top_chain", about.chain_days), ("pendant", about.pendant_days))}
    moorings = list(Mooring.objects.order_by("ref", "id"))
    for mooring in moorings:
        mooring.tackle_inspected_on = today - timedelta(days=next(looked))
        mooring.tackle_inspection_due_on = None
    parts = list(TacklePart.objects.filter(taken_up_on=None).order_by("mooring__ref", "id").select_related("mooring"))
    days = {mooring.pk: mooring.tackle_inspected_on for mooring in moorings}
    for part in parts:
        part.inspected_on = days[part.mooring_id]
        if part.kind in ages:
            part.laid_on = today - timedelta(days=next(ages[part.kind]))
            part.inspected_on = max(part.laid_on, part.inspected_on or part.laid_on)  # looked at when it was laid
    pen.update(moorings, ["tackle_inspected_on", "tackle_inspection_due_on"], now)
    pen.update(parts, ["inspected_on", "laid_on"], now)
