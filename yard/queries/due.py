"""What falls due by interval: boats' rigs, moorings' tackle, the yard's gear; when each was done last, what is ordered.

A date is the last of what is known: a record of the inspection, a job that does it and is done, the dates on file of a
mooring and its parts. Where nothing is known, nothing is invented: it stands as "no day on file".
"""

from __future__ import annotations

from calendar import monthrange
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Literal
from zoneinfo import ZoneInfo

from django.db.models import Q
from django.utils.translation import gettext as _

from yard.models import (
    Boat,
    DueOrder,
    Gear,
    Inspection,
    Interval,
    Item,
    Job,
    Mooring,
    Order,
    PlannedJob,
    TacklePart,
    YardSettings,
)

State = Literal["failed", "overdue", "due", "unknown", "later"]
Subject = Boat | Mooring | Gear
Covers, Counts, Result = Interval.Covers, Interval.Counts, Inspection.Result
COUNT_AS_NEW = (Result.RENEWED,)
KEYS: Mapping[type[Subject], str] = {Boat: "boat", Mooring: "mooring", Gear: "gear"}


@dataclass(frozen=True, slots=True)
class Last:
    """When something was done last, and how that is known."""

    day: date
    words: str


@dataclass(frozen=True, slots=True)
class Due:
    """One thing that an interval covers. due_on: None where no day is on file. part: of a mooring's tackle.

    order: the open order that was made of it. planned: when the posted plan begins it.
    """

    interval: Interval
    subject: Subject
    part: TacklePart | None
    last: Last | None
    due_on: date | None
    state: State
    order: Order | None
    planned: datetime | None
    result: str

    @property
    def key(self) -> str:
        """ "boat-3" """
        return f"{key_of(self.subject)}-{self.subject.pk}"

    @property
    def is_open(self) -> bool:
        """Whether somebody should order it now."""
        return self.state != "later" and self.order is None


def key_of(subject: Subject) -> str:
    return KEYS[type(subject)]


def months_on(day: date, months: int) -> date:
    """The same day so many months on; the last of its month where there is none."""
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))


@dataclass
class _Known:
    """What is on file, by interval and subject ("boat-3"). new: only what made it new."""

    zone: ZoneInfo
    inspected: dict[tuple[int, str], Inspection] = field(default_factory=dict)
    renewed: dict[tuple[int, str], date] = field(default_factory=dict)
    done: dict[tuple[int, str], date] = field(default_factory=dict)
    ordered: dict[tuple[int, str], Order] = field(default_factory=dict)
    planned: dict[int, datetime] = field(default_factory=dict)


def all_due(*, by_day: date, today: date, yard: YardSettings, only: Subject | None = None) -> list[Due]:
    """Every interval with each thing that it covers, the most urgent first. About twelve queries, however many.

    by_day: what falls due on that day or before is "due". only: one boat, mooring or piece of gear.
    """
    intervals = list(Interval.objects.filter(archived=False).select_related("package").order_by("covers", "name", "id"))
    if not intervals:
        return []
    known = _known(intervals, ZoneInfo(yard.time_zone))
    found = [each for interval in intervals for each in _of_interval(interval, known, by_day, today, only)]
    return sorted(found, key=_urgency)


def _urgency(each: Due) -> tuple[int, date, str, str]:
    rank = ("failed", "overdue", "unknown", "due", "later").index(each.state)
    return rank, each.due_on or date.min, each.interval.name, str(each.subject)


def _read_plan(known: _Known) -> None:
    """The first day that the posted plan works on each of these orders."""
    orders = {order.pk for order in known.ordered.values()}
    plans = PlannedJob.objects.filter(plan__state="posted", job__order__in=orders).exclude(job__state="done")
    for order, starts in plans.order_by("-starts_at").values_list("job__order", "starts_at"):
        known.planned[order] = starts


def _known(intervals: Iterable[Interval], zone: ZoneInfo) -> _Known:
    known = _Known(zone)
    rows = Inspection.objects.filter(withdrawn_at=None).order_by("done_on", "id")
    for row in rows:
        key = (row.interval_id, _subject_key(row))
        known.inspected[key] = row
        if row.result in COUNT_AS_NEW:
            known.renewed[key] = row.done_on
    _read_orders(known)
    moorings = dict(Mooring.objects.filter(permit_boat__isnull=False).values_list("permit_boat", "pk"))
    _read_other_orders(known, intervals, moorings)
    _read_done_jobs(known, intervals, moorings)
    _read_plan(known)
    return known


def _subject_key(row: Inspection | DueOrder) -> str:
    if row.boat_id:
        return f"boat-{row.boat_id}"
    return f"mooring-{row.mooring_id}" if row.mooring_id else f"gear-{row.gear_id}"


def _read_orders(known: _Known) -> None:
    """Open ones, with the day that the posted plan has; done ones count as done on their last job's day."""
    rows = DueOrder.objects.exclude(order__state=Order.State.CANCELLED).select_related("order").order_by("id")
    made = list(rows)
    ended: dict[int, date] = {}
    left: set[int] = set()
    for order, state, at in Job.objects.filter(order__in=[row.order_id for row in made]).values_list(
        "order", "state", "actual_ends_at"
    ):
        if state == Job.State.DONE and at is not None:
            ended[order] = max(ended.get(order, date.min), at.astimezone(known.zone).date())
        elif state != Job.State.CANCELLED:
            left.add(order)
    for row in made:
        key = (row.interval_id, _subject_key(row))
        if row.order_id in ended and row.order_id not in left:
            known.done[key] = max(known.done.get(key, date.min), ended[row.order_id])
        elif row.order.state == Order.State.OPEN:
            known.ordered[key] = row.order


def _read_other_orders(known: _Known, intervals: Iterable[Interval], moorings: Mapping[int, int]) -> None:
    """An open order of hers that has such a job, or is of the package that would be ordered, does it as well."""
    kinds = {key for interval in intervals for key in interval.job_kinds}
    open_jobs = Job.objects.filter(kind__key__in=kinds, state__in=("open", "started", "failed"), order__state="open")
    rows = list(open_jobs.filter(order__boat__isnull=False).select_related("kind", "order"))
    packages = {interval.package_id for interval in intervals if interval.package_id}
    orders = list(Order.objects.filter(state=Order.State.OPEN, package__in=packages, boat__isnull=False))
    for interval in intervals:
        mine = [job.order for job in rows if job.kind.key in interval.job_kinds]
        mine += [order for order in orders if order.package_id == interval.package_id]
        for order in mine:
            if (subject := _of_boat(interval, order.boat_id, moorings)) is not None:
                known.ordered.setdefault((interval.pk, subject), order)


def _of_boat(interval: Interval, boat: int | None, moorings: Mapping[int, int]) -> str | None:
    """What of hers an interval covers: her rig, or the mooring of her permit. None for neither."""
    if boat is None or interval.covers == Covers.GEAR:
        return None
    if interval.covers == Covers.RIG:
        return f"boat-{boat}"
    return f"mooring-{moorings[boat]}" if boat in moorings else None


def _read_done_jobs(known: _Known, intervals: Iterable[Interval], moorings: Mapping[int, int]) -> None:
    """Whoever ordered it: a job of such a kind that is done on a boat counts, and for the mooring of her permit."""
    kinds = {key for interval in intervals for key in interval.job_kinds}
    rows = Job.objects.filter(kind__key__in=kinds, state=Job.State.DONE, order__boat__isnull=False)
    days: dict[tuple[str, int], date] = {}
    for kind, boat, at in rows.values_list("kind__key", "order__boat", "actual_ends_at"):
        if at is not None:
            days[kind, boat] = max(days.get((kind, boat), date.min), at.astimezone(known.zone).date())
    for interval in intervals:
        for (kind, boat), day in days.items():
            subject = _of_boat(interval, boat, moorings)
            if kind in interval.job_kinds and subject is not None:
                key = (interval.pk, subject)
                known.done[key] = max(known.done.get(key, date.min), day)


def _of_interval(interval: Interval, known: _Known, by_day: date, today: date, only: Subject | None) -> Iterator[Due]:
    rows: Mapping[str, Callable[[Interval, Subject | None], Iterable[tuple[Subject, TacklePart | None]]]] = {
        Covers.RIG: _rigs,
        Covers.TACKLE: _moorings,
        Covers.PARTS: _parts,
        Covers.GEAR: _gear,
    }
    for subject, part in rows[interval.covers](interval, only):
        key = (interval.pk, f"{key_of(subject)}-{subject.pk}")
        last, said = _last(interval, subject, part, known, key), known.inspected.get(key)
        due = _due_on(interval, subject, last)
        failed = said is not None and said.result == Result.FAILED and (last is None or last.day <= said.done_on)
        order = known.ordered.get(key)
        yield Due(
            interval=interval,
            subject=subject,
            part=part,
            last=last,
            due_on=due,
            state="failed" if failed else _state(due, by_day, today),
            order=order,
            planned=known.planned.get(order.pk) if order is not None else None,
            result=said.get_result_display() if said is not None else "",
        )


def _state(due: date | None, by_day: date, today: date) -> State:
    if due is None:
        return "unknown"
    return "overdue" if due < today else "due" if due <= by_day else "later"


def _due_on(interval: Interval, subject: Subject, last: Last | None) -> date | None:
    """A day that the harbormaster set for a mooring comes before the interval, until it was inspected after it."""
    said = subject.tackle_inspection_due_on if isinstance(subject, Mooring) else None
    if said is not None and interval.covers == Covers.TACKLE and (last is None or last.day < said):
        return said
    return months_on(last.day, interval.months) if last is not None else None


def _last(
    interval: Interval, subject: Subject, part: TacklePart | None, known: _Known, key: tuple[int, str]
) -> Last | None:
    days: list[Last] = []
    if interval.counts == Counts.NEW:
        days += [Last(day, _("renewed")) for day in (known.renewed.get(key), known.done.get(key)) if day]
        new = part.laid_on if part is not None else subject.in_use_since if isinstance(subject, Gear) else None
        days += [Last(new, _("new"))] if new else []
    else:
        said = known.inspected.get(key)
        days += [Last(said.done_on, _("by {who}").format(who=said.by_whom))] if said is not None else []
        days += [Last(day, _("by a job")) for day in (known.done.get(key),) if day]
        on_file = part.inspected_on if part is not None else None
        if isinstance(subject, Mooring) and part is None:
            on_file = subject.tackle_inspected_on
        days += [Last(on_file, _("on its page"))] if on_file else []
        if not days and isinstance(subject, Gear) and subject.in_use_since:
            days.append(Last(subject.in_use_since, _("new")))
    return max(days, key=lambda each: each.day, default=None)


def _rigs(interval: Interval, only: Subject | None) -> Iterable[tuple[Subject, TacklePart | None]]:
    """Boats with a mast: one is on file, or its height is."""
    if only is not None and not isinstance(only, Boat):
        return []
    masts = Item.objects.filter(kind=Item.Kind.MAST, archived=False, boat__isnull=False).values("boat")
    boats = Boat.objects.filter(Q(pk__in=masts) | Q(mast_height_m__isnull=False), archived=False)
    return [(boat, None) for boat in (boats.filter(pk=only.pk) if only is not None else boats).order_by("name", "id")]


def _moorings(interval: Interval, only: Subject | None) -> Iterable[tuple[Subject, TacklePart | None]]:
    if only is not None and not isinstance(only, Mooring):
        return []
    rows = Mooring.objects.filter(archived=False).select_related("permit_boat")
    return [(row, None) for row in (rows.filter(pk=only.pk) if only is not None else rows).order_by("ref", "id")]


def _parts(interval: Interval, only: Subject | None) -> Iterable[tuple[Subject, TacklePart | None]]:
    """Of each mooring the part of these kinds that was laid first: it falls due first."""
    if only is not None and not isinstance(only, Mooring):
        return []
    rows = TacklePart.objects.filter(taken_up_on=None, mooring__archived=False).select_related("mooring__permit_boat")
    if interval.kinds:
        rows = rows.filter(kind__in=interval.kinds)
    if only is not None:
        rows = rows.filter(mooring=only)
    first: dict[int, TacklePart] = {}
    days: dict[int, list[TacklePart]] = defaultdict(list)
    for row in rows.order_by("mooring__ref", "id"):
        days[row.mooring_id].append(row)
    key = "laid_on" if interval.counts == Counts.NEW else "inspected_on"
    for mooring, parts in days.items():
        first[mooring] = min(parts, key=lambda part: getattr(part, key) or date.min)
    return [(part.mooring, part) for part in first.values()]


def _gear(interval: Interval, only: Subject | None) -> Iterable[tuple[Subject, TacklePart | None]]:
    if only is not None and not isinstance(only, Gear | Boat):
        return []
    rows = Gear.objects.filter(archived=False).select_related("place", "boat")
    if interval.kinds:
        rows = rows.filter(kind__in=interval.kinds)
    if isinstance(only, Gear):
        rows = rows.filter(pk=only.pk)
    elif isinstance(only, Boat):
        rows = rows.filter(boat=only)
    return [(row, None) for row in rows.order_by("name", "id")]
