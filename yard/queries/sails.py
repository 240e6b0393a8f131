"""Reads of sails: which of them a job is done to, how much line each takes, which lie damp in the bag, and since when.

A sail that came off damp is on a line within 24 hours (common practice; ten costliest mistakes of the trade: sails
bagged damp). The clock runs from the first word that it is damp, however often the bag is moved since.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from math import sqrt

from django.db.models import Q
from django.utils.translation import gettext as _

from yard.models import Item, ItemWhereabouts, Job, JobThing, PlaceKind
from yard.queries.things import latest_row

DAMP_AT_MOST = timedelta(hours=24)
"""So long may a damp sail lie in its bag (common practice)."""
UNBEND, WASH, DRY, INSPECT, REPAIR, STORE = (
    "unbend", "sail_wash", "sail_dry", "sail_inspect", "sail_repair", "sail_store",
)  # fmt: skip
ON_SAILS = (UNBEND, WASH, DRY, INSPECT, REPAIR, STORE, "sail_hand_over", "sail_check", "bend_on")
"""Kinds of job that are done to sails, by key."""
LONG_AGO = datetime(1970, 1, 1, tzinfo=UTC)
DAMP_KEY = "dry_damp"
"""How the key of a job begins that dries sails which came off damp."""

LUFFS_A_FOOT = 2.5
"""A sail whose luff nobody measured is taken for a triangle with a luff of 2.5 times its foot (common practice)."""
LUFFS_A_LENGTH = 1.1
"""The luff of a sail of unknown area, over the boat's length overall (common practice for a small sloop)."""
USUAL_LINE_M = 9.0
"""What a sail takes of which nothing is known (common practice)."""


@dataclass(frozen=True, slots=True)
class LineTaken:
    """How much line a sail takes, and how that is known; sure: somebody measured it."""

    length_m: float
    words: str
    sure: bool


def line_taken(sail: Item) -> LineTaken:
    """As said of the sail, else by its luff, else reckoned. Its boat is at hand where it has one."""
    if sail.line_m:
        return LineTaken(sail.line_m, _("as measured"), True)
    if sail.luff_m:
        return LineTaken(sail.luff_m, _("by its luff"), True)
    if sail.area_m2:
        luff = sqrt(2 * LUFFS_A_FOOT * sail.area_m2)
        return LineTaken(luff, _("reckoned from its area, a luff of 2.5 times the foot: common practice"), False)
    if sail.boat is not None:
        luff = LUFFS_A_LENGTH * sail.boat.length_m
        return LineTaken(luff, _("reckoned from her length, 1.1 times: common practice"), False)
    return LineTaken(USUAL_LINE_M, _("a usual sail's: common practice"), False)


def sails_of_jobs(jobs: Iterable[Job]) -> dict[int, tuple[Item, ...]]:
    """The sails that each job is done to, by job id: those it names, else all of its boat's or its order's.

    Two queries, however many jobs; the order of each job is at hand.
    """
    rows = list(jobs)
    named: dict[int, list[Item]] = defaultdict(list)
    things = JobThing.objects.filter(job__in=[job.pk for job in rows], item__kind=Item.Kind.SAIL)
    for thing in things.select_related("item__boat").order_by("id"):
        named[thing.job_id].append(thing.item)
    rest = [job for job in rows if job.pk not in named]
    boats, orders = {job.order.boat_id for job in rest if job.order.boat_id}, {job.order_id for job in rest}
    of_boat: dict[int, list[Item]] = defaultdict(list)
    of_order: dict[int | None, list[Item]] = defaultdict(list)
    if rest:
        theirs = Q(boat__in=boats) | Q(boat=None, order__in=orders)
        sails = Item.objects.filter(theirs, kind=Item.Kind.SAIL, archived=False).select_related("boat")
        for sail in sails.order_by("name", "id"):
            (of_boat[sail.boat_id] if sail.boat_id else of_order[sail.order_id]).append(sail)
    for job in rest:
        named[job.pk] = of_boat[job.order.boat_id] if job.order.boat_id else of_order[job.order_id]
    return {job.pk: tuple(named[job.pk]) for job in rows}


@dataclass(frozen=True, slots=True)
class DampSail:
    """A damp sail that hangs on no line. since: first word that it is damp. here: the latest word on where it is."""

    sail: Item
    since: datetime
    here: ItemWhereabouts

    @property
    def until(self) -> datetime:
        return self.since + DAMP_AT_MOST

    def hours_left(self, now: datetime) -> float:
        """Below nothing where the day is over."""
        return (self.until - now) / timedelta(hours=1)


def damp_sails(now: datetime, among: Collection[int] | None = None) -> list[DampSail]:
    """Damp sails that hang on no line as of `now`, the most urgent first. Three queries, however many.

    among: ids of the sails that are asked about; None: all. A sail hangs where it was said to lie on a line, or where
    a job that dries it is started.
    """
    latest = ItemWhereabouts.objects.filter(item__kind=Item.Kind.SAIL, item__archived=False, since__lte=now)
    if among is not None:
        latest = latest.filter(item__in=among)
    damp_ever = latest.filter(condition=ItemWhereabouts.Condition.DAMP).values("item")
    told: dict[int, list[ItemWhereabouts]] = defaultdict(list)
    rows = latest.filter(item__in=damp_ever).select_related("item__boat", "item__order", "place")
    for row in rows.order_by("item_id", "-since", "-id"):
        told[row.item_id].append(row)
    lying = [found for rows_of in told.values() if (found := _in_the_bag(rows_of)) is not None]
    hanging = _hanging([each.sail for each in lying], now)
    return sorted((each for each in lying if each.sail.pk not in hanging), key=lambda each: (each.since, each.sail.pk))


def _in_the_bag(rows: list[ItemWhereabouts]) -> DampSail | None:
    """rows: of one sail, the latest first."""
    since = None
    for row in rows:
        if not _is_in_the_bag(row):
            break
        since = row.since
    return DampSail(rows[0].item, since, rows[0]) if since is not None else None


def _is_in_the_bag(row: ItemWhereabouts) -> bool:
    if row.condition != ItemWhereabouts.Condition.DAMP or row.kind != ItemWhereabouts.Kind.PLACE:
        return False
    return row.place is not None and row.place.kind != PlaceKind.DRYING_LINE


def _hanging(sails: list[Item], now: datetime) -> set[int]:
    """Ids of those that a started job dries."""
    if not sails:
        return set()
    boats = {sail.boat_id for sail in sails if sail.boat_id}
    started = Job.objects.filter(kind__key=DRY, state=Job.State.STARTED, actual_starts_at__lte=now)
    mine = Q(things__item__in=sails) | Q(order__boat__in=boats) | Q(order__in=[sail.order_id for sail in sails])
    jobs = list(started.filter(mine).select_related("order").distinct())
    return {sail.pk for held in sails_of_jobs(jobs).values() for sail in held} if jobs else set()


def sails_off() -> list[ItemWhereabouts]:
    """The latest word on each sail that is in the yard, off its boat; by boat and sail. One query."""
    rows = ItemWhereabouts.objects.filter(
        pk__in=Item.objects.filter(kind=Item.Kind.SAIL, archived=False).annotate(here=latest_row()).values("here"),
        kind=ItemWhereabouts.Kind.PLACE,
    )
    return list(
        rows.select_related("item__boat", "item__order", "place").order_by("item__boat__name", "item__name", "id")
    )


LOOKS_BACK = timedelta(days=21)
"""So long it is asked how sails came off, where nobody said (common practice: then they hung or went to the wash)."""


def unsaid_sails(now: datetime) -> list[tuple[Job, Item]]:
    """Sails that came off lately without a word on dry or damp, by the job that took them off. Four queries."""
    jobs = Job.objects.filter(kind__key=UNBEND, state=Job.State.DONE, actual_ends_at__gte=now - LOOKS_BACK)
    rows = list(jobs.select_related("order__boat").order_by("-actual_ends_at", "id"))
    held = sails_of_jobs(rows)
    pks = {sail.pk for sails in held.values() for sail in sails}
    told: dict[int, datetime] = {}
    said = ItemWhereabouts.objects.filter(item__in=pks).exclude(condition="", kind=ItemWhereabouts.Kind.PLACE)
    for item, since in said.exclude(kind=ItemWhereabouts.Kind.ABOARD).values_list("item", "since"):
        told[item] = max(told.get(item, since), since)
    return [
        (job, sail)
        for job in rows
        for sail in held[job.pk]
        if job.actual_ends_at is not None and told.get(sail.pk, LONG_AGO) < (job.actual_starts_at or job.actual_ends_at)
    ]


def drying_now() -> list[tuple[Job, tuple[Item, ...]]]:
    """Jobs that dry sails and are under way, the longest first, with their sails. Three queries."""
    rows = Job.objects.filter(kind__key=DRY, state=Job.State.STARTED, order__state="open").select_related("order__boat")
    jobs = list(rows.order_by("actual_starts_at", "id"))
    held = sails_of_jobs(jobs)
    return [(job, held[job.pk]) for job in jobs]
