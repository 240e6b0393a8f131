"""From rows to a Store: who stands in it, who comes when, when each is expected to leave, and what rows hold.

A day to come counts working days of the yard, a day to leave is a date's ordinal: they are never compared.
"""

from __future__ import annotations

import hashlib
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from statistics import median
from zoneinfo import ZoneInfo

from django.db.models import Max, Min
from django.utils.translation import gettext as _

from yard.models import (
    AutumnRules,
    Boat,
    Item,
    ItemWhereabouts,
    Job,
    Measurement,
    Place,
    PlaceKind,
    PlannedJob,
    ShopHours,
    StackMeasure,
    StowPlan,
    StowSpot,
    Whereabouts,
    YardHoliday,
    YardSettings,
)
from yard.services.read_problem.rows import where_boats_are
from yard.stowing.values import NO_LIMIT, Metres, Row, Store
from yard.stowing.values import Boat as Stowed

HEIGHT_ASHORE = "height ashore"
"""The name of the measurement, keel to highest point with the mast off, by which headroom is judged."""
SPREAD_DAYS = {"planned": 4.0, "promised": 4.0, "wanted": 7.0, "last year": 10.0, "not known": 25.0}
"""How far from the expected day a boat leaves, as a standard deviation (common practice: nobody has measured it)."""
UNWRITTEN = timedelta(days=14)
"""So long after the day that is wanted she may come where no latest date is on file (common practice)."""
TRESTLES = 2
"""So many spars may lie aside while another is drawn out (common practice)."""
A_YEAR = 365


@dataclass(frozen=True)
class Leaving:
    """The day on which she is expected to go out, and by what: a key of SPREAD_DAYS."""

    on: date
    by: str


@dataclass(frozen=True)
class Coming:
    """Dates between which a boat may come, and the one that is wanted. said: the order's own, whatever day it is."""

    first: date
    last: date
    wanted: date
    said: tuple[date | None, ...] = ()


@dataclass(frozen=True)
class Ground:
    """A Store with the rows behind it: boats, the spar of each (None for boats), place and level of each row.

    open_days: working days, by the numbers that the Store counts. said: the dates of each boat's order.
    """

    kind: StowPlan.Kind
    store: Store
    boats: tuple[Boat, ...]
    items: tuple[Item | None, ...]
    rows: tuple[tuple[Place, int], ...]
    open_days: tuple[date, ...]
    leaving: tuple[Leaving, ...]
    said: tuple[tuple[date | None, ...], ...]

    @property
    def fingerprint(self) -> str:
        """Other boats, dates or limits: another fingerprint. That a day goes by alone changes none."""
        store = self.store
        boats = [
            (boat.pk, one.length_m, one.width_m, one.height_m, one.leaves, one.spread_days)
            for boat, one in zip(self.boats, store.boats, strict=True)
        ]
        limits = (store.rows, store.standing, store.most_a_day, store.aside, store.end_to_end, store.gap_m)
        return hashlib.sha256(repr((sorted(zip(boats, self.said, strict=True), key=repr), limits)).encode()).hexdigest()

    def holds(self) -> int:
        return sum(row.most for row in self.store.rows)


def autumn_rules() -> AutumnRules:
    """The yard's, or those that it begins with. One query."""
    return AutumnRules.objects.filter(pk=1).first() or AutumnRules()


def read_ground(kind: StowPlan.Kind, *, yard: YardSettings, now: datetime) -> Ground:
    """About a dozen queries, however many boats."""
    today = now.astimezone(ZoneInfo(yard.time_zone)).date()
    rules = autumn_rules()
    coming = _coming(today)
    standing, spars = _standing(), {}
    boats = {boat.pk: boat for boat in Boat.objects.filter(pk__in={*coming, *(each.boat_id for each in standing)})}
    leaving = expected_to_leave(boats, coming, today=today)
    first = min((dates.first for dates in coming.values()), default=today)
    standing = [here for here in standing if leaving[here.boat_id].on > first]
    if kind == StowPlan.Kind.SPARS:
        spars = _spars(boats)
        rows, here = _racks(), _spars_on_racks(spars)
    else:
        rows, here = _rows(), {(each.place_id or 0, 1): [] for each in standing}
        for each in standing:
            here[each.place_id or 0, 1].append(each.boat_id)
    known = {(place.pk, level) for place, level, _ in rows}
    here = {key: ids for key, ids in here.items() if key in known}
    stood = [pk for ids in here.values() for pk in ids]
    comes = [pk for pk in coming if pk not in stood and (kind == StowPlan.Kind.BOATS or pk in spars)]
    order = [*stood, *sorted(comes, key=lambda pk: (coming[pk].wanted, boats[pk].name, pk))]
    days = _open_days(today, coming.values())
    heights = _heights(order) if kind == StowPlan.Kind.BOATS else {}
    index = {pk: number for number, pk in enumerate(order)}
    store = Store(
        rows=tuple(row for _, _, row in rows),
        boats=tuple(_stowed(kind, boats[pk], leaving[pk], coming.get(pk), days, heights.get(pk)) for pk in order),
        standing=tuple(tuple(index[pk] for pk in here.get((place.pk, level), ())) for place, level, _ in rows),
        most_a_day=rules.hauls_a_day,
        aside=TRESTLES if kind == StowPlan.Kind.SPARS else _apron(),
        end_to_end=kind == StowPlan.Kind.BOATS,
        gap_m=rules.gap_m if kind == StowPlan.Kind.BOATS else 0.0,
    )
    return Ground(
        kind,
        store,
        tuple(boats[pk] for pk in order),
        tuple(spars.get(pk) for pk in order),
        tuple((place, level) for place, level, _ in rows),
        days,
        tuple(leaving[pk] for pk in order),
        tuple(coming[pk].said if pk in coming else () for pk in order),
    )


def _stowed(
    kind: StowPlan.Kind, boat: Boat, leaves: Leaving, comes: Coming | None, days: tuple[date, ...], high: float | None
) -> Stowed:
    spar = kind == StowPlan.Kind.SPARS
    first = last = wanted = 0
    if comes is not None:
        first = min(bisect_left(days, comes.first), len(days) - 1)
        last = max(first, bisect_right(days, comes.last) - 1)
        wanted = min(max(first, bisect_left(days, comes.wanted)), last)
    return Stowed(
        name=boat.name,
        length_m=boat.mast_height_m if spar and boat.mast_height_m is not None else boat.length_m,
        width_m=NO_LIMIT if spar else boat.beam_m,
        height_m=_metres(high),
        comes=(first, last),
        wanted=wanted,
        leaves=float(leaves.on.toordinal()),
        spread_days=SPREAD_DAYS[leaves.by],
    )


def _metres(value: float | None) -> Metres:
    return NO_LIMIT if value is None else value


def _coming(today: date) -> dict[int, Coming]:
    """Boats with an open order that hauls them, by boat; of two orders the one that is wanted first."""
    jobs = Job.objects.filter(kind__key="haul", state=Job.State.OPEN, order__state="open", order__boat__archived=False)
    found: dict[int, Coming] = {}
    for job in jobs.select_related("order").order_by("order__wanted_date", "pk"):
        order = job.order
        wanted = order.wanted_date or order.promised_date or order.latest_date or today
        first = max(today, order.earliest_date or min(today, wanted))
        last = max(first, order.latest_date or (order.promised_date or wanted) + UNWRITTEN)
        said = (order.earliest_date, order.wanted_date, order.promised_date, order.latest_date)
        found.setdefault(order.boat_id or 0, Coming(first, last, min(max(wanted, first), last), said))
    found.pop(0, None)
    return found


def _standing() -> list[Whereabouts]:
    rows = [here for here in where_boats_are().values() if here.kind == Whereabouts.Kind.STORE_ROW]
    return sorted(rows, key=lambda here: (here.place_id or 0, here.position or 0, here.pk))


def expected_to_leave(boats: Iterable[int], coming: Mapping[int, Coming], *, today: date) -> dict[int, Leaving]:
    """By the posted plan, by an open order to launch her, by last time and a year, else as most others do."""
    ids = list(boats)
    after = {pk: coming[pk].last if pk in coming else today for pk in ids}
    found: dict[int, Leaving] = {}
    _later(found, after, "planned", _planned(ids))
    launches = Job.objects.filter(
        kind__key="launch", state=Job.State.OPEN, order__state="open", order__boat__in=ids
    ).select_related("order")
    for job in launches.order_by("pk"):
        for by, day in (("promised", job.order.promised_date), ("wanted", job.order.wanted_date)):
            if day is not None:
                _later(found, after, by, {job.order.boat_id or 0: day})
    _later(found, after, "last year", {pk: _next_time(day, after[pk]) for pk, day in _last_launched(ids).items()})
    known = sorted(each.on.toordinal() for each in found.values())
    usual = date.fromordinal(int(median(known))) if known else date(today.year + (today.month > 3), 5, 15)
    return {pk: found.get(pk) or Leaving(_next_time(usual, after[pk]), "not known") for pk in ids}


def _later(found: dict[int, Leaving], after: Mapping[int, date], by: str, days: Mapping[int, date]) -> None:
    for pk, day in days.items():
        if pk in after and day > after[pk]:
            found.setdefault(pk, Leaving(day, by))


def _next_time(day: date, after: date) -> date:
    while day <= after:
        day += timedelta(days=A_YEAR)
    return day


def _planned(ids: list[int]) -> dict[int, date]:
    rows = PlannedJob.objects.filter(plan__state="posted", job__kind__key="launch", job__order__boat__in=ids)
    found = rows.exclude(job__state=Job.State.DONE).values_list("job__order__boat").order_by()
    return {pk: at.date() for pk, at in found.annotate(first=Min("starts_at"))}


def _last_launched(ids: list[int]) -> dict[int, date]:
    rows = Job.objects.filter(kind__key="launch", state=Job.State.DONE, order__boat__in=ids)
    found = rows.values_list("order__boat").order_by().annotate(last=Max("actual_ends_at"))
    return {pk: at.date() for pk, at in found if at is not None}


def _rows() -> list[tuple[Place, int, Row]]:
    places = Place.objects.filter(kind=PlaceKind.STORE_ROW, archived=False).order_by("sequence", "name", "id")
    measures = measures_of_stacks()
    return [(place, 1, _row(place, 1, place.capacity, measures.get(place.pk))) for place in places]


def measures_of_stacks() -> dict[int, StackMeasure]:
    """What rows and racks hold, by place. One query."""
    return {row.place_id: row for row in StackMeasure.objects.all()}


def _racks() -> list[tuple[Place, int, Row]]:
    """A level of a rack is a row. A rack whose levels nobody said is none."""
    measures = measures_of_stacks()
    places = Place.objects.filter(kind=PlaceKind.SPAR_RACK, archived=False).order_by("sequence", "name", "id")
    return [
        (place, level, _row(place, level, stack.per_level, stack))
        for place in places
        if (stack := measures.get(place.pk)) is not None and stack.per_level is not None
        for level in range(1, stack.levels + 1)
    ]


def row_names(kind: StowPlan.Kind) -> list[tuple[tuple[int, int], str, float]]:
    """Of every row or level: (place, level), its short name, and its length in metres, 0 where nobody measured it."""
    rows = _racks() if kind == StowPlan.Kind.SPARS else _rows()
    return [
        (
            (place.pk, level),
            f"{place.short_name or place.name}, {level}"
            if kind == StowPlan.Kind.SPARS
            else place.short_name or place.name,
            row.length_m if isinstance(row.length_m, float) else 0.0,
        )
        for place, level, row in rows
    ]


def _row(place: Place, level: int, most: int, stack: StackMeasure | None) -> Row:
    rack = place.kind == PlaceKind.SPAR_RACK
    length = stack.length_m if stack is not None else None
    return Row(
        name=_("{rack}, level {level}").format(rack=place.name, level=level) if rack else place.name,
        most=most,
        length_m=_metres(length),
        longest_m=_metres(place.max_length_m),
        width_m=NO_LIMIT if rack else _metres(place.max_beam_m),
        height_m=NO_LIMIT if rack else _metres(stack.height_m if stack is not None else None),
    )


def _spars(boats: Mapping[int, Boat]) -> dict[int, Item]:
    """A mast of each boat whose mast is known and measured."""
    rows = Item.objects.filter(kind=Item.Kind.MAST, boat__in=boats, archived=False, boat__mast_height_m__isnull=False)
    return {item.boat_id or 0: item for item in rows.order_by("-pk")}


def _spars_on_racks(spars: Mapping[int, Item]) -> dict[tuple[int, int], list[int]]:
    """Masts that lie on a rack now, as the accepted plan has their levels; those it does not know lie on the first."""
    ids = {item.pk: boat for boat, item in spars.items()}
    latest: dict[int, ItemWhereabouts] = {}
    for row in ItemWhereabouts.objects.filter(item__in=ids).order_by("since", "pk"):
        latest[row.item_id] = row
    spots = {
        spot.item_id: spot
        for spot in StowSpot.objects.filter(plan__kind="spars", plan__state="accepted").order_by("pk")
    }
    found: dict[tuple[int, int], list[tuple[int, int]]] = {}
    for item, where in latest.items():
        if where.place_id is not None:
            spot = spots.get(item)
            at = (spot.level, spot.position) if spot is not None and spot.place_id == where.place_id else (1, item)
            found.setdefault((where.place_id, at[0]), []).append((at[1], ids[item]))
    return {key: [boat for _, boat in sorted(rows)] for key, rows in found.items()}


def _apron() -> int:
    """Boats that may stand on the apron while others are moved."""
    places = Place.objects.filter(kind=PlaceKind.APRON, archived=False)
    return sum(places.values_list("capacity", flat=True))


def _heights(boats: Iterable[int]) -> dict[int, float]:
    rows = Measurement.objects.filter(boat__in=list(boats), name__iexact=HEIGHT_ASHORE, unit="m", taken_back_at=None)
    return dict(rows.filter(value__gt=0).order_by("made_at", "pk").values_list("boat_id", "value"))


def _open_days(today: date, coming: Iterable[Coming]) -> tuple[date, ...]:
    """Working days from today to a month after the last date on file."""
    weekdays = set(ShopHours.objects.values_list("weekday", flat=True)) or set(range(7))
    shut = set(YardHoliday.objects.values_list("day", flat=True))
    last = max([today, *(dates.last for dates in coming)]) + timedelta(days=31)
    days = (today + timedelta(days=step) for step in range((last - today).days + 1))
    return tuple(day for day in days if day.weekday() in weekdays and day not in shut) or (today,)
