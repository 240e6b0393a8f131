"""From rows to a Problem, step by step: axis, people, places, windows, jobs, links, stays, pins."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _

from yard.models import Job, Order, Whereabouts
from yard.planning import problem as planner
from yard.services.product_limits import sheets_by_job
from yard.services.read_problem.asked_haul import with_asked_hauls
from yard.services.read_problem.axis import Axis, YardNotReady, make_axis, stretch
from yard.services.read_problem.drying import read_drying
from yard.services.read_problem.forecast import ForecastBook
from yard.services.read_problem.freeze import with_freeze_dates
from yard.services.read_problem.jobs import Ground, Held, JobBook, read_job
from yard.services.read_problem.lying import choose_lying
from yard.services.read_problem.network import Network, open_network, planner_links
from yard.services.read_problem.operators import OperatorBook
from yard.services.read_problem.people import reach_of, read_people
from yard.services.read_problem.places import PlaceBook, read_places
from yard.services.read_problem.rows import Rows, read_rows
from yard.services.read_problem.stack import stack_links
from yard.services.read_problem.standing import Standing, Stays, read_pins, read_stays
from yard.services.read_problem.store_plan import stow_links
from yard.services.read_problem.water import WaterBook, WaterLevel
from yard.services.read_problem.weather import table_of
from yard.services.read_problem.weather_ground import allowance_ground
from yard.services.read_problem.windows import common_sets
from yard.services.read_problem.workboats import out_hours
from yard.services.snapshot import snapshot

ROOM_AFTER_LAST_DATE = timedelta(weeks=10)
"""So much time after the last promised date: a late plan must still have somewhere to go."""
LONGEST = timedelta(days=400)
LEAST = timedelta(weeks=12)
TIED_MIN = 24 * 60
AT_ONCE_MIN = 180
"""What must follow within so many minutes is done by the people who are there (common practice)."""


@dataclass(frozen=True)
class ReadProblem:
    """A Problem with the rows it was read from.

    revision: the count of facts.  jobs, people: row ids by the planner's index.  places: the row id of each
    planner's place, None for a mooring.  stays: the row id of each stay, None for a boat that simply lies there.
    water: the levels each job must keep, by job id.  held: jobs that are not planned, and what they wait on.
    notes: what the planner could not keep, in sentences.
    """

    problem: planner.Problem
    axis: Axis
    revision: int
    now: datetime
    jobs: tuple[int, ...]
    people: tuple[int, ...]
    places: tuple[int | None, ...]
    stays: tuple[int | None, ...]
    boats: tuple[int | None, ...]
    orders: tuple[int, ...]
    water: Mapping[int, tuple[WaterLevel, ...]]
    held: tuple[Held, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True)
class Kept:
    """What a season was read from, so that one more order can be laid beside it (one_more.py)."""

    rows: Rows
    ground: Ground


def read_problem(*, now: datetime) -> ReadProblem:
    """All open work as it stands. `now`: the yard's clock; nothing new starts before it.

    Raises YardNotReady, with what is missing, where no season can be planned yet.
    """
    return read_and_keep(now=now)[0]


def read_and_keep(*, now: datetime) -> tuple[ReadProblem, Kept]:
    """The same, with what it was read from; all of it stood so at one moment. Raises YardNotReady."""
    with snapshot():
        return _read(now=now)


def _read(*, now: datetime) -> tuple[ReadProblem, Kept]:
    rows = read_rows(now=now)
    axis = _axis(rows, now)
    now_at = axis.timeline.first_at_or_after(axis.minute(now))
    places = read_places(axis, rows.places, rows.closures, rows.runs, out_hours(axis, rows.outings))
    operators = OperatorBook.read(places, rows.people)
    sheets = sheets_by_job(rows.links, {job.pk: job.kind_id for job in rows.jobs})
    forecast = ForecastBook.read(axis, rows.places, rows.yard, now, sheets=sheets)
    book, boats, orders, ground = _jobs(rows, axis, places, operators, forecast, now=now, now_at=now_at)
    people = read_people(axis, rows.people, operators, rows.runs)
    read = _assemble(rows, axis, people, places, book, boats, orders, ground.network, now=now, now_at=now_at)
    read = replace(read, problem=replace(read.problem, forecast_until=forecast.until_minute))
    return read, Kept(rows, ground)


def _axis(rows: Rows, now: datetime) -> Axis:
    zone = ZoneInfo(rows.yard.time_zone)
    today = now.astimezone(zone).date()
    started = [job.actual_starts_at for job in rows.jobs if job.state == Job.State.STARTED and job.actual_starts_at]
    first = min([today, *(at.astimezone(zone).date() for at in started)])
    dates = [
        day
        for job in rows.jobs
        for day in (job.order.promised_date, job.order.latest_date, job.order.wanted_date)
        if day is not None
    ]
    last = min(max([today + LEAST, *dates]) + ROOM_AFTER_LAST_DATE, first + LONGEST)
    extra = {
        row.starts_at.astimezone(zone).date()
        for person in rows.people
        for row in person.dated_hours.all()
        if row.kind == "here"
    }
    return make_axis(
        first,
        last,
        zone=zone,
        weekdays={row.weekday for person in rows.people for row in person.weekly_hours.all()},
        holidays=rows.holidays,
        extra_days=extra,
        reach=reach_of(rows.people),
        shop=[stretch(row.starts, row.ends) for row in rows.shop],
    )


def _jobs(
    rows: Rows,
    axis: Axis,
    places: PlaceBook,
    operators: OperatorBook,
    forecast: ForecastBook,
    *,
    now: datetime,
    now_at: int,
) -> tuple[JobBook, dict[str, planner.Boat], dict[int, Order], Ground]:
    """The open jobs, in the order of their rows, after those that wait on an unknown fact are held."""
    by_id = {job.pk: job for job in rows.jobs}
    ended = {
        job.pk: axis.minute(job.actual_ends_at)
        for job in rows.jobs
        if job.state == Job.State.DONE and job.actual_ends_at
    }
    now_minute = axis.minute(axis.timeline.starts_at(min(now_at, axis.timeline.size - 1)))
    network = open_network(by_id, rows.links, ended_minute=ended, now_minute=now_minute)
    lying = choose_lying(rows.jobs, network, rows.lying)
    known = {(link.before, link.after) for link in network.links}
    network.links += [link for link in lying.links if (link.before, link.after) not in known]
    drying = read_drying(rows.jobs, now)
    network.passed.update(
        (pk, _("a damp sail in the bag ({sail})").format(sail=damp.sail))
        for pk, damp in drying.damp.items()
        if axis.minute(damp.until) < now_minute
    )
    sets = [*common_sets(rows, axis), *forecast.sets(rows.jobs)]
    ground = Ground(
        axis=axis,
        yard=rows.yard,
        table=table_of(rows.yard, allowance_ground(rows.yard, rows.shop, rows.drafts, year=axis.dates[0].year)),
        places=places,
        operators=operators,
        water=WaterBook(rows.yard, axis),
        forecast=forecast,
        sets={windows.key: index for index, windows in enumerate(sets)},
        network=network,
        now_minute=now_minute,
        floated_at_m=rows.floated,
        waived=_waived(rows),
        lying=lying.chosen,
        drying=drying,
        freeze_binds=rows.freeze_binds,
    )
    book = JobBook()
    boats: dict[str, planner.Boat] = {}
    orders: dict[int, Order] = {}
    held: dict[int, str] = {}
    after: dict[int, list[int]] = {}
    for link in network.links:
        after.setdefault(link.before, []).append(link.after)
    for row in open_in_order(rows.jobs, network):
        if row.pk in held:
            book.held.append(Held(row, held[row.pk], handed_on=True))
        else:
            key = boat_key(row.order)
            boat = list(boats).index(key) if key in boats else len(boats)
            order = list(orders).index(row.order_id) if row.order_id in orders else len(orders)
            count = len(book.held)
            read_job(ground, book, row, boat=boat, order=order)
            if len(book.held) == count:
                boats.setdefault(key, planner.Boat(key=key, name=boat_name(row.order)))
                orders.setdefault(row.order_id, row.order)
                continue
        reason = book.held[-1].reason
        for follower in after.get(row.pk, ()):
            held.setdefault(
                follower,
                reason if row.pk in held else _("waits for “{job}”: {reason}").format(job=row.name, reason=reason),
            )
    book.window_sets = [*sets, *ground.water.window_sets()]
    return book, boats, orders, ground


def open_in_order(jobs: list[Job], network: Network) -> list[Job]:
    """Open jobs, each after those it waits for, otherwise as they stand in their orders."""
    open_rows = {job.pk: job for job in jobs if job.state in (Job.State.OPEN, Job.State.STARTED, Job.State.FAILED)}
    waiting = dict.fromkeys(open_rows, 0)
    after: dict[int, list[int]] = {}
    for link in network.links:
        if link.before in open_rows and link.after in open_rows:
            waiting[link.after] += 1
            after.setdefault(link.before, []).append(link.after)
    place = {pk: index for index, pk in enumerate(open_rows)}
    ready = sorted((place[pk], pk) for pk, count in waiting.items() if count == 0)
    done: list[Job] = []
    while ready:
        _place, pk = ready.pop(0)
        done.append(open_rows[pk])
        for follower in after.get(pk, ()):
            waiting[follower] -= 1
            if waiting[follower] == 0:
                ready.append((place[follower], follower))
                ready.sort()
    if len(done) < len(open_rows):
        names = ", ".join(sorted(str(row) for row in open_rows.values() if row not in done))[:200]
        raise YardNotReady(
            _("These jobs wait for one another in a circle; take one of their links out: {names}").format(names=names)
        )
    return done


def boat_key(order: Order) -> str:
    return f"boat-{order.boat_id}" if order.boat_id else f"walk-in-{order.pk}"


def boat_name(order: Order) -> str:
    return order.boat.name if order.boat is not None else order.walk_in_name


def _waived(rows: Rows) -> dict[int, frozenset[str]]:
    found: dict[int, set[str]] = {}
    for waiver in rows.waivers:
        found.setdefault(waiver.job_id, set()).add(waiver.rule)
    return {job: frozenset(rules) for job, rules in found.items()}


def _assemble(
    rows: Rows,
    axis: Axis,
    people: tuple[planner.Person, ...],
    places: PlaceBook,
    book: JobBook,
    boats: dict[str, planner.Boat],
    orders: dict[int, Order],
    network: Network,
    *,
    now: datetime,
    now_at: int,
) -> ReadProblem:
    standing = Standing(
        axis=axis,
        book=book,
        places=places,
        people={row.pk: index for index, row in enumerate(rows.people)},
        planned=rows.planned,
        now=now_at,
    )
    lying_boats = _with_lying(rows.lying, boats)
    boat_index = {key: index for index, key in enumerate(boats)}
    stays = read_stays(standing, rows.stays, lying_boats, rows.lying)
    _claim_moorings(places, book, stays, boat_index)
    pins = read_pins(standing, rows.pins)
    index = book.index_by_id()
    links = planner_links(network.links, index)
    stack, stack_notes = stack_links(rows.lying, book)
    stowing = stow_links(rows.spots, rows.lying, book, places, lying_boats)
    problem = planner.Problem(
        calendar=axis.calendar,
        people=people,
        places=tuple(places.places),
        window_sets=tuple(book.window_sets),
        boats=tuple(boats.values()),
        orders=tuple(planner_order(axis, rows, row) for row in orders.values()),
        jobs=sliding_together(without_needless_allowance(book.jobs, links), links),
        links=(*links, *stack, *stowing.links),
        stays=(*stays.stays, *stowing.stays),
        pins=tuple(pins),
        waivers=tuple(
            planner.Waiver(rule=row.rule, job=index[row.job_id], reason=row.reason, by=row.made_by.get_username())
            for row in rows.waivers
            if row.job_id in index
        ),
        now=now_at,
    )
    problem, order_ids = with_freeze_dates(problem, tuple(orders), book.rows, axis, freeze_binds=rows.freeze_binds)
    problem, order_ids = with_asked_hauls(problem, order_ids, dict(enumerate(book.rows)), axis)
    passed = [
        _("{order}: {reason} is over its longest wait already.").format(
            order=book.rows[index[job]].order, reason=reason
        )
        for job, reason in network.passed.items()
        if job in index
    ]
    return ReadProblem(
        problem=problem,
        axis=axis,
        revision=rows.revision,
        now=now,
        jobs=tuple(row.pk for row in book.rows),
        people=tuple(row.pk for row in rows.people),
        places=tuple(None if row is None else row.pk for row in places.rows),
        stays=(*(None if row is None else row.pk for row in stays.rows), *(None for _ in stowing.stays)),
        boats=tuple(int(key.removeprefix("boat-")) if key.startswith("boat-") else None for key in boats),
        orders=order_ids,
        water=book.water,
        held=tuple(book.held),
        notes=(*passed, *stack_notes, *stowing.notes),
    )


def without_needless_allowance(jobs: Iterable[planner.Job], links: Iterable[planner.Link]) -> tuple[planner.Job, ...]:
    """What must follow within a day follows in the same weather: no allowance is laid between the two."""
    tied = {link.before for link in links if link.max_wait is not None and link.max_wait < TIED_MIN}
    return tuple(replace(job, allowance_quarters=0) if index in tied else job for index, job in enumerate(jobs))


def sliding_together(jobs: Sequence[planner.Job], links: Iterable[planner.Link]) -> tuple[planner.Job, ...]:
    """What must follow tidal work at once slides with it: whoever hauls on a late tide washes then too."""
    found = list(jobs)
    for link in links:
        at_once = link.max_wait is not None and link.max_wait <= AT_ONCE_MIN
        if at_once and any(way.slides for way in jobs[link.before].ways):
            row = found[link.after]
            found[link.after] = replace(row, ways=tuple(replace(way, slides=True) for way in row.ways))
    return tuple(found)


def _with_lying(lying: Mapping[int, Whereabouts], boats: dict[str, planner.Boat]) -> dict[int, int]:
    """Index of each boat by id; a boat at a berth with no open job is added, for her berth counts."""
    for boat_id, here in lying.items():
        if here.place is not None and here.place.counted_by_night:
            boats.setdefault(f"boat-{boat_id}", planner.Boat(key=f"boat-{boat_id}", name=here.boat.name))
    return {int(key.removeprefix("boat-")): index for index, key in enumerate(boats) if key.startswith("boat-")}


def _claim_moorings(places: PlaceBook, book: JobBook, stays: Stays, boats: Mapping[str, int]) -> None:
    """A mooring that two boats are delivered to holds one of them: each holds it from her delivery on."""
    claims: dict[int, list[tuple[int, Job]]] = {}
    moorings = {}
    for index, row in enumerate(book.rows):
        mooring = row.order.to_mooring
        if row.water_need in ("route", "mooring") and mooring is not None:
            claims.setdefault(mooring.pk, []).append((index, row))
            moorings[mooring.pk] = mooring
    for pk, found in claims.items():
        if len({boat_key(row.order) for _, row in found}) < 2:
            continue
        place = places.mooring(moorings[pk])
        for index, row in found:
            stays.stays.append(planner.Stay(boat=boats[boat_key(row.order)], any_of=(place,), from_job=index))
            stays.rows.append(None)


def planner_order(axis: Axis, rows: Rows, row: Order) -> planner.Order:
    """Late is counted from the promised, else the latest, else the wanted date."""
    due = row.promised_date or row.latest_date or row.wanted_date
    began = [
        job.actual_starts_at
        for job in rows.jobs
        if job.order_id == row.pk and job.state in (Job.State.DONE, Job.State.STARTED) and job.actual_starts_at
    ]
    return planner.Order(
        key=f"order-{row.pk}",
        name=f"{boat_name(row)}: {row.name}",
        due_day=axis.due_day(due) if due else len(axis.dates) - 1,
        goes_first=row.goes_first,
        began_day=axis.due_day(_local_date(axis, min(began))) if began else None,
    )


def _local_date(axis: Axis, at: datetime) -> date:
    return at.astimezone(axis.zone).date()
