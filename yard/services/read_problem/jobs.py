"""Open jobs as the planner sees them, or the reason why one is not planned yet."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import timedelta

from django.utils.translation import gettext as _

from yard.day_names import said
from yard.models import Boat, Fact, Job, JobWay, Mooring, Order, PlaceKind, WaterNeed, YardSettings
from yard.planning import problem as planner
from yard.services.read_problem.axis import Axis
from yard.services.read_problem.drying import Drying
from yard.services.read_problem.forecast import ForecastBook
from yard.services.read_problem.freeze import does_not_bind
from yard.services.read_problem.network import Network
from yard.services.read_problem.operators import OperatorBook
from yard.services.read_problem.places import PlaceBook
from yard.services.read_problem.water import WaterBook, WaterLevel, WaterUnknown, levels_for
from yard.services.read_problem.weather import allowance_of
from yard.weather.allowance import AllowanceTable

QUARTER_MIN = planner.QUARTER_MIN
AFLOAT_NEEDS = {WaterNeed.RAMP, WaterNeed.ROUTE, WaterNeed.MOORING, WaterNeed.BELOW_MAXIMUM}


@dataclass(frozen=True)
class Held:
    """A job that is not planned, and what it waits on. handed_on: only because the one before it is held."""

    job: Job
    reason: str
    handed_on: bool = False


@dataclass(frozen=True)
class Ground:
    """All that the jobs of a season have in common while they are read.

    sets: index of each window set by key ("light", "outdoors", "water open", "forecast-..."); water sets follow them.
    """

    axis: Axis
    yard: YardSettings
    table: AllowanceTable
    places: PlaceBook
    operators: OperatorBook
    water: WaterBook
    forecast: ForecastBook
    sets: Mapping[str, int]
    network: Network
    now_minute: int
    floated_at_m: Mapping[int, float]
    waived: Mapping[int, frozenset[str]]
    lying: Mapping[int, str]
    drying: Drying
    freeze_binds: bool = True


@dataclass
class JobBook:
    """Planned jobs in order, with the row behind each."""

    jobs: list[planner.Job] = field(default_factory=list)
    rows: list[Job] = field(default_factory=list)
    water: dict[int, tuple[WaterLevel, ...]] = field(default_factory=dict)
    held: list[Held] = field(default_factory=list)
    window_sets: list[planner.WindowSet] = field(default_factory=list)

    def index_by_id(self) -> dict[int, int]:
        return {row.pk: index for index, row in enumerate(self.rows)}


def read_job(ground: Ground, book: JobBook, row: Job, *, boat: int, order: int) -> None:
    """Add one open job to the book, or hold it with its reason."""
    facts = list(row.facts.all())
    unknown = [fact.name for fact in facts if fact.state == Fact.State.UNKNOWN]
    if unknown:
        book.held.append(Held(row, _("{facts} unknown").format(facts=_and(unknown))))
        return
    try:
        levels = levels_for(
            row.water_need,
            _boat_of(row),
            _mooring_of(row.order),
            ground.yard,
            floated_at_m=ground.floated_at_m.get(row.order.boat_id or 0),
        )
    except WaterUnknown as missing:
        book.held.append(Held(row, str(missing)))
        return
    ways = _ways(ground, row, levels)
    if not ways:
        book.held.append(
            Held(row, _("no place of the yard that this work needs takes her, or nobody who may work it has the skill"))
        )
        return
    limits = not_before, not_after = _limits(ground, row, facts)
    if not_before is not None and not_after is not None and not_before > not_after:
        book.held.append(
            Held(
                row,
                _("its last day, {last}, to be after {first}").format(
                    last=_day(ground, not_after), first=_day(ground, not_before)
                ),
            )
        )
        return
    if levels:
        book.water[row.pk] = levels
    book.rows.append(row)
    book.jobs.append(_job(ground, row, ways, facts, boat, order, limits))


def _day(ground: Ground, minute: int) -> str:
    at = ground.axis.timeline.instant_of(minute).astimezone(ground.axis.zone)
    return said(at, "j F Y")


def _job(
    ground: Ground,
    row: Job,
    ways: list[planner.Way],
    facts: list[Fact],
    boat: int,
    order: int,
    limits: tuple[int | None, int | None],
) -> planner.Job:
    not_before, not_after = limits
    allowance, _ = _allowance(ground, row, ways[0].duration_quarters)
    return planner.Job(
        key=f"job-{row.pk}",
        name=row.name,
        boat=boat,
        order=order,
        ways=tuple(ways),
        pausing=row.kind.pausing,  # type: ignore[arg-type]  # the model's choices are the planner's words
        not_before=not_before,
        not_after=not_after,
        allowance_quarters=allowance,
        needs_boat=row.kind.needs_boat and not row.kind.shares_boat,
        not_alone=row.kind.not_alone and all(sum(crew.count for crew in way.crew) >= 2 for way in ways),
        waits_on=tuple(_waits_on(fact) for fact in facts if fact.state == Fact.State.EXPECTED),
    )


def _limits(ground: Ground, row: Job, facts: list[Fact]) -> tuple[int | None, int | None]:
    """The earliest and latest clock minute of a start: the owner's dates, facts expected, work done before."""
    axis, order = ground.axis, row.order
    earliest = [ground.network.not_before[row.pk]] if row.pk in ground.network.not_before else []
    damp = ground.drying.damp.get(row.pk)
    if order.earliest_date is not None and damp is None:  # what is damp waits for no day of hers
        earliest.append(axis.local(order.earliest_date, 0))
    tomorrow = axis.timeline.instant_of(ground.now_minute).astimezone(axis.zone).date() + timedelta(days=1)
    for fact in facts:
        if fact.state == Fact.State.EXPECTED and fact.expected_date is not None:
            # A day that has passed without the fact is not a date any more: at best it comes tomorrow.
            passed = axis.local(fact.expected_date, 0) <= ground.now_minute
            earliest.append(axis.local(tomorrow if passed else fact.expected_date, 0))
    latest = [ground.network.not_after[row.pk]] if row.pk in ground.network.not_after else []
    if row.finish_by_date is not None and not does_not_bind(row, freeze_binds=ground.freeze_binds):
        last = axis.local(row.finish_by_date + timedelta(days=1), 0)
        # A day that has passed binds nobody any more: what is still open is done as soon as it can be.
        latest += [last] if last > ground.now_minute else []
    if damp is not None and axis.minute(damp.until) >= ground.now_minute:
        latest.append(axis.minute(damp.until))
    if order.fixed_delivery_at is not None and row.on_fixed_date:
        fixed = axis.minute(order.fixed_delivery_at)
        return fixed, fixed
    return max(earliest, default=None), min(latest, default=None)


def _ways(ground: Ground, row: Job, levels: tuple[WaterLevel, ...]) -> list[planner.Way]:
    made = []
    boat = row.order.boat if row.kind.needs_boat else None
    lies = ground.lying.get(row.pk, "")
    for way in row.ways.all():
        if lies and way.boat_at not in ("", lies):
            continue
        needs = []
        for kind in way.place_kinds:
            need = _place_need(ground, row, kind, boat, hands=sum(each["count"] for each in way.crew))
            if need is None:
                break
            needs.append(need)
        else:
            made += ground.operators.ways(_way(ground, row, way, tuple(needs), levels))
    return made


def _place_need(ground: Ground, row: Job, kind: str, boat: Boat | None, *, hands: int) -> planner.PlaceNeed | None:
    """One of the places that fit; sails take a measured line by their length. None where no place fits."""
    if kind == PlaceKind.DRYING_LINE and (lines := ground.places.lines()):
        longest = max(ground.places.places[index].capacity for index in lines)
        return planner.PlaceNeed(any_of=lines, units=ground.drying.units(row.pk, longest))
    found = ground.places.fitting(kind, boat)
    if kind == PlaceKind.WORKBOAT:
        found = tuple(at for at in found if _takes(ground.places, at, row, hands))
    return planner.PlaceNeed(any_of=found) if found else None


def _takes(places: PlaceBook, at: int, row: Job, hands: int) -> bool:
    """Whether a workboat does this: along the route she tows; on a charge only work of one stretch is done."""
    workboat = places.rows[at]
    if workboat is None or (workboat.seats is not None and workboat.seats < hands):
        return False
    return (workboat.tows or row.water_need != WaterNeed.ROUTE) and (
        row.kind.pausing == "fitted" or workboat.runs_min is None
    )


def _way(
    ground: Ground, row: Job, way: JobWay, needs: tuple[planner.PlaceNeed, ...], levels: tuple[WaterLevel, ...]
) -> planner.Way:
    parts = way.parts or row.kind.parts
    duration = _booked_quarters(ground, row, way.duration_min, bool(parts))
    _, extra = _allowance(ground, row, duration)
    return planner.Way(
        duration_quarters=duration,
        crew=tuple(planner.Crew(skill=each["skill"], count=each["count"], level=each["level"]) for each in way.crew),
        places=needs,
        inside=(*_inside(ground, row, parts, duration, levels), *_forecast(ground, row, way)),
        place_extra_quarters=extra if row.kind.pausing == "fitted" else 0,
        slides=bool(levels),
        name=str(way.sequence),
    )


def _booked_quarters(ground: Ground, row: Job, median_min: int, in_parts: bool) -> int:
    """Bench and yard work is booked above its median (YardSettings.duration_factor); a launch's parts and
    drying keep their stated times. What was done of a stopped job is taken off."""
    if row.left_min is not None:
        median_min = row.left_min
    factor = 1.0 if in_parts or row.kind.pausing == "elapsed" else ground.yard.duration_factor
    return max(1, int(median_min * factor / QUARTER_MIN + 0.5))


def _inside(
    ground: Ground, row: Job, parts: list[dict], duration: int, levels: tuple[WaterLevel, ...]
) -> tuple[planner.Inside, ...]:
    if row.kind.pausing != "fitted":
        return ()
    waived = ground.waived.get(row.pk, frozenset())
    found = []
    if row.needs_light and "light" not in waived:
        found.append(planner.Inside(window_set=ground.sets["light"]))
    if row.outdoor and "outdoors" in ground.sets:
        found.append(planner.Inside(window_set=ground.sets["outdoors"]))
    if row.water_need in AFLOAT_NEEDS and "water open" in ground.sets:
        found.append(planner.Inside(window_set=ground.sets["water open"]))
    for level in levels:
        offset, length = water_stretch(parts, duration)
        index = len(ground.sets) + ground.water.index_of(level)
        found.append(planner.Inside(window_set=index, offset_quarters=offset, length_quarters=length))
    return tuple(found)


def _forecast(ground: Ground, row: Job, way: JobWay) -> Iterator[planner.Inside]:
    if row.outdoor and row.kind.pausing == "fitted" and "forecast" not in ground.waived.get(row.pk, frozenset()):
        index = ground.sets.get(ground.forecast.key(row, way.place_kinds))
        if index is not None:
            yield planner.Inside(window_set=index)


def water_stretch(parts: list[dict], duration: int) -> tuple[int, int]:
    """The quarters of a job that need her water: from the first part that does to the end of the last."""
    if not any(part["water"] for part in parts):
        return 0, duration
    at, wet = 0, []
    for part in parts:
        length = part["minutes"] // QUARTER_MIN
        if part["water"]:
            wet.append((at, at + length))
        at += length
    return wet[0][0], wet[-1][1] - wet[0][0]


def _allowance(ground: Ground, row: Job, duration: int) -> tuple[int, int]:
    """Quarters that what follows waits, and quarters that the place stays taken."""
    order = row.order
    date = order.promised_date or order.latest_date or order.wanted_date
    month = date.month if date else ground.axis.dates[0].month
    allowance = allowance_of(ground.table, row, duration * QUARTER_MIN, month)
    return round(allowance.wait_min / QUARTER_MIN), round(allowance.extra_place_min / QUARTER_MIN)


def _waits_on(fact: Fact) -> str:
    words = _("{fact} by {day}, the yard's guess") if fact.guess else _("{fact} by {day}")
    return words.format(fact=fact.name, day=said(fact.expected_date, "j F") if fact.expected_date else "")


def _and(names: list[str]) -> str:
    if len(names) == 1:
        return names[0]
    return _("{first} and {last}").format(first=", ".join(names[:-1]), last=names[-1])


def _boat_of(row: Job) -> Boat:
    return row.order.boat or Boat(name=row.order.walk_in_name)


def _mooring_of(order: Order) -> Mooring | None:
    if order.to_mooring is not None:
        return order.to_mooring
    if order.boat is None:
        return None
    return next(iter(order.boat.permit_moorings.all()), None)
