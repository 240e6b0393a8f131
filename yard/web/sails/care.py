"""One sail's care on its page: damp or dry, how much line it takes, and its history by year."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from itertools import groupby

from django.urls import reverse
from django.utils import timezone

from yard.models import Item, YardSettings
from yard.queries.sail_history import SailLine, sail_history
from yard.queries.sails import damp_sails, line_taken
from yard.services.drying_time import drying_time
from yard.web.sails.words import DampLine, damp_lines, drying_words, line_words


@dataclass(frozen=True, slots=True)
class HistoryRow:
    """url: of the order, or of the repair list, that it came from; "" for none."""

    line: SailLine
    url: str


@dataclass(frozen=True, slots=True)
class SailCare:
    """damp: the warning while it lies damp in the bag. drying: how long it would hang now. years: the latest first."""

    damp: DampLine | None
    drying: str
    takes: str
    takes_how: str
    years: tuple[tuple[int, tuple[HistoryRow, ...]], ...]


def sail_care(row: Item, yard: YardSettings, now: datetime) -> SailCare | None:
    """None for what is no sail. Ten queries at most, however long its history."""
    if row.kind != Item.Kind.SAIL:
        return None
    damp, taken = damp_lines(damp_sails(now, {row.pk}), now), line_taken(row)
    lines = sail_history(row, timezone.get_current_timezone())
    years = tuple((year, tuple(map(_row, of_year))) for year, of_year in groupby(lines, key=lambda line: line.day.year))
    return SailCare(
        damp=damp[0] if damp else None,
        drying=drying_words(drying_time(now), yard),
        takes=line_words(taken.length_m, yard),
        takes_how=taken.words,
        years=years,
    )


def _row(line: SailLine) -> HistoryRow:
    if line.job is not None:
        return HistoryRow(line, reverse("order", args=[line.job.order_id]))
    return HistoryRow(line, reverse("repair_list", args=[line.repair_list]) if line.repair_list else "")
