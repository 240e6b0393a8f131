"""Reads of one sail across the years: when it came off, was washed, dried, looked over, mended, measured, and where it
lay. All of it is read off what was done and said; nothing is kept twice."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from django.db.models import Q, QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from yard.models import Item, ItemWhereabouts, Job, RepairLine
from yard.queries.sails import DRY, INSPECT, ON_SAILS, REPAIR, STORE, UNBEND, WASH

WORDS = {
    UNBEND: gettext_noop("came off"),
    WASH: gettext_noop("washed"),
    DRY: gettext_noop("dried"),
    INSPECT: gettext_noop("inspected"),
    REPAIR: gettext_noop("repaired"),
    STORE: gettext_noop("stored"),
    "bend_on": gettext_noop("bent on"),
    "sail_check": gettext_noop("looked over"),
    "sail_hand_over": gettext_noop("handed over"),
}
"""What a finished job of each kind was to a sail."""


@dataclass(frozen=True, slots=True)
class SailLine:
    """One thing that is known of a day. job: that did it. repair_list: id of the list that it stood on."""

    day: date
    what: str
    words: str = ""
    by: str = ""
    job: Job | None = None
    repair_list: int | None = None


def sail_history(sail: Item, zone: ZoneInfo) -> list[SailLine]:
    """Everything on file, the latest first. Five queries, however many years."""
    found = [*_done(sail, zone), *_lay(sail, zone), *_found(sail, zone), *_measured(sail, zone)]
    return sorted(found, key=lambda line: line.day, reverse=True)


def last_done(sail: Item, kind: str) -> date | None:
    """The last day on which a job of this kind was done to it, by UTC; None for never. One query."""
    row = _jobs(sail).filter(kind__key=kind).order_by("-actual_ends_at").first()
    return row.actual_ends_at.date() if row is not None and row.actual_ends_at is not None else None


def _jobs(sail: Item) -> QuerySet[Job]:
    """Done on this sail by name, or on all sails of its boat or order without naming any."""
    hers = Q(order__boat=sail.boat_id) if sail.boat_id else Q(order=sail.order_id)
    mine = Q(things__item=sail) | (hers & Q(things__isnull=True))
    rows = Job.objects.filter(mine, kind__key__in=ON_SAILS, state=Job.State.DONE, actual_ends_at__isnull=False)
    return rows.select_related("kind", "order").distinct()


def _done(sail: Item, zone: ZoneInfo) -> Iterator[SailLine]:
    for job in _jobs(sail).prefetch_related("work__person"):
        people = ", ".join(dict.fromkeys(work.person.short_name for work in job.work.all()))
        assert job.actual_ends_at is not None
        yield SailLine(job.actual_ends_at.astimezone(zone).date(), _(WORDS[job.kind.key]), job.name, people, job)


def _lay(sail: Item, zone: ZoneInfo) -> Iterator[SailLine]:
    rows: list[ItemWhereabouts] = list(sail.whereabouts.select_related("place", "said_by").order_by("since", "id"))
    for row in rows:
        where = row.place.name if row.place is not None else row.get_kind_display()
        words = ", ".join(part for part in (where, row.get_condition_display(), row.note) if part)
        by = (row.said_by.first_name or row.said_by.username) if row.said_by is not None else ""
        yield SailLine(row.since.astimezone(zone).date(), _("lay"), words, by)


def _found(sail: Item, zone: ZoneInfo) -> Iterator[SailLine]:
    lines = RepairLine.objects.filter(repair_list__thing=sail, taken_out_at=None).select_related("repair_list")
    for line in lines.order_by("id"):
        day = line.repair_list.made_at.astimezone(zone).date()
        words = f"{line.words}: {line.get_answer_display()}"
        yield SailLine(day, _("found"), words, repair_list=line.repair_list_id)


def _measured(sail: Item, zone: ZoneInfo) -> Iterator[SailLine]:
    """Days that somebody wrote on its page, each once."""
    told: set[tuple[str, date]] = set()
    history = sail.history.order_by("history_date", "history_id")
    for past in history:
        for key, what in (("measured_on", _("measured")), ("washed_on", _("washed")), ("serviced_on", _("serviced"))):
            day = getattr(past, key)
            if day is not None and (key, day) not in told:
                told.add((key, day))
                yield SailLine(day, what, _("written on its page"))
