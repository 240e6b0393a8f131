"""One more order laid beside a season that was read before, so that "when?" is answered while somebody waits.

Reading a season takes seconds; the jobs of one order a twentieth of one. What comes out says the same as reading all
anew (`tests/services/test_hold_days.py`). Where the order would change what was read of others, nothing comes out, and
the caller reads all anew: a boat at a berth that asks for another, a mooring that two boats claim, a boat of the store
plan, a last day that does not bind, a calendar that would end too soon.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from django.db.models import Q
from django.utils.translation import gettext as _

from yard.models import Job, JobLink, Order, Stay
from yard.planning import problem as planner
from yard.services.product_limits import Sheets, sheets_by_job
from yard.services.read_problem.asked_haul import with_asked_hauls
from yard.services.read_problem.drying import Drying, read_drying
from yard.services.read_problem.jobs import Ground, Held, JobBook, read_job
from yard.services.read_problem.lying import choose_lying
from yard.services.read_problem.network import Network, OpenLink, open_network, planner_links
from yard.services.read_problem.reading import (
    ROOM_AFTER_LAST_DATE,
    Kept,
    ReadProblem,
    boat_key,
    boat_name,
    open_in_order,
    planner_order,
    sliding_together,
    without_needless_allowance,
)
from yard.services.read_problem.rows import jobs_to_read
from yard.services.read_problem.stack import stack_links
from yard.services.read_problem.standing import Standing, read_stays
from yard.services.read_problem.water import WaterBook


@dataclass(frozen=True)
class _Hers:
    """rows: the new order's jobs. known: those of the boat's other open orders. network: of both.

    sheets: the data sheets that its links name.
    """

    rows: list[Job]
    known: list[Job]
    network: Network
    ids: frozenset[int]
    sheets: Sheets


def read_one_more(read: ReadProblem, kept: Kept, order: Order) -> ReadProblem | None:
    """`read` with an order that was made since, its jobs last; None where all must be read anew.

    A job that cannot be planned stands in `held`.
    """
    rows = list(jobs_to_read().filter(order=order))
    stays = list(Stay.objects.filter(order=order).select_related("order__boat", "from_job", "until_job").order_by("id"))
    if not rows or _touches_others(read, kept, order, stays):
        return None
    hers = _network(read, kept, order, rows)
    lying = choose_lying([*hers.known, *rows], hers.network, kept.rows.lying)
    if any(kept.ground.lying.get(row.pk) != lying.chosen.get(row.pk) for row in hers.known):
        return None
    joined = {(link.before, link.after) for link in hers.network.links}
    hers.network.links += [link for link in lying.links if (link.before, link.after) not in joined]
    if any(row.pk in hers.sheets for row in hers.known):
        return None
    ground = _ground(kept.ground, hers, lying.chosen, read_drying(rows, read.now))
    if any(key not in ground.sets for row in rows for key in _forecast_keys(ground, row)):
        return None
    return _joined(read, kept, order, hers, ground, stays)


def _touches_others(read: ReadProblem, kept: Kept, order: Order, stays: list[Stay]) -> bool:
    axis = read.axis
    last = max((day for day in (order.promised_date, order.latest_date, order.wanted_date) if day), default=None)
    if last is not None and last + ROOM_AFTER_LAST_DATE > axis.dates[-1]:
        return True
    if order.boat_id in {spot.boat_id for spot in kept.rows.spots} or not kept.rows.freeze_binds:
        return True
    here = kept.rows.lying.get(order.boat_id or 0)
    if here is not None and here.place is not None and here.place.counted_by_night:
        return bool(stays) or boat_key(order) not in {boat.key for boat in read.problem.boats}
    mooring = order.to_mooring_id
    return mooring is not None and any(
        row.order.to_mooring_id == mooring and row.order.boat_id != order.boat_id for row in kept.rows.jobs
    )


def _network(read: ReadProblem, kept: Kept, order: Order, rows: list[Job]) -> _Hers:
    known = [row for row in kept.rows.jobs if order.boat_id is not None and row.order.boat_id == order.boat_id]
    ids = frozenset(row.pk for row in rows)
    old = {row.pk for row in known}
    links = [link for link in kept.rows.links if link.before_id in old and link.after_id in old]
    new = list(
        JobLink.objects.filter(Q(before__in=ids) | Q(after__in=ids)).select_related("product_sheet").order_by("id")
    )
    links += new
    by_id = {row.pk: row for row in (*known, *rows)}
    ended = {
        row.pk: read.axis.minute(row.actual_ends_at)
        for row in known
        if row.state == Job.State.DONE and row.actual_ends_at is not None
    }
    network = open_network(by_id, links, ended_minute=ended, now_minute=kept.ground.now_minute)
    return _Hers(rows, known, network, ids, sheets_by_job(new, {row.pk: row.kind_id for row in (*known, *rows)}))


def _ground(ground: Ground, hers: _Hers, lying: Mapping[int, str], drying: Drying) -> Ground:
    """The ground with what reading a job adds to in copies: what is kept stays as it was read."""
    weather = replace(ground.forecast.weather, sheets={**ground.forecast.weather.sheets, **hers.sheets})
    return replace(
        ground,
        network=hers.network,
        forecast=replace(ground.forecast, weather=weather),
        lying=lying,
        drying=drying,
        water=WaterBook(ground.water.yard, ground.water.axis, dict(ground.water.levels)),
        operators=replace(ground.operators, made=dict(ground.operators.made)),
    )


def _forecast_keys(ground: Ground, row: Job) -> set[str]:
    if not ground.forecast.hours or not row.outdoor or row.kind.pausing != "fitted" or not row.weather_class:
        return set()
    return {ground.forecast.key(row, way.place_kinds) for way in row.ways.all()}


def _joined(
    read: ReadProblem, kept: Kept, order: Order, hers: _Hers, ground: Ground, stays: list[Stay]
) -> ReadProblem | None:
    problem, key = read.problem, boat_key(order)
    keys = [boat.key for boat in problem.boats]
    boat = keys.index(key) if key in keys else len(keys)
    book = _read_jobs(read, hers, ground, boat, len(problem.orders))
    if book.held:
        return replace(read, held=(*read.held, *book.held))
    links = [*_links(read, hers, book), *_stacked(read, kept, book)]
    standing = Standing(axis=read.axis, book=book, places=ground.places, people={}, planned={}, now=problem.now)
    laid = read_stays(standing, stays, {order.boat_id or 0: boat}, {})
    first = len(problem.jobs)
    new_levels = dict(list(ground.water.levels.items())[len(kept.ground.water.levels) :])
    water = WaterBook(ground.water.yard, ground.water.axis, new_levels).window_sets() if new_levels else []
    tied = [*problem.links, *links]
    jobs = sliding_together(without_needless_allowance([*problem.jobs, *book.jobs], tied), tied)
    wider = replace(
        problem,
        people=_people(read, ground, kept.ground),
        window_sets=(*problem.window_sets, *water),
        boats=problem.boats if key in keys else (*problem.boats, planner.Boat(key=key, name=boat_name(order))),
        orders=(*problem.orders, planner_order(read.axis, kept.rows, order)),
        jobs=jobs,
        links=(*problem.links, *links),
        stays=(*problem.stays, *(_shifted(stay, first) for stay in laid.stays)),
    )
    hers_by_index = {first + number: row for number, row in enumerate(book.rows)}
    wider, order_ids = with_asked_hauls(wider, (*read.orders, order.pk), hers_by_index, read.axis)
    return replace(
        read,
        problem=wider,
        jobs=(*read.jobs, *(row.pk for row in book.rows)),
        stays=(*read.stays, *(None if row is None else row.pk for row in laid.rows)),
        boats=read.boats if key in keys else (*read.boats, order.boat_id),
        orders=order_ids,
        water={**read.water, **book.water},
    )


def _read_jobs(read: ReadProblem, hers: _Hers, ground: Ground, boat: int, order: int) -> JobBook:
    book = JobBook()
    held = {row.job.pk: (row.reason, row.handed_on) for row in read.held}
    after: dict[int, list[OpenLink]] = {}
    for link in hers.network.links:
        after.setdefault(link.before, []).append(link)
    for row in open_in_order([*hers.known, *hers.rows], hers.network):
        if row.pk in hers.ids and row.pk not in held:
            count = len(book.held)
            read_job(ground, book, row, boat=boat, order=order)
            if len(book.held) == count:
                continue
        elif row.pk in hers.ids:
            book.held.append(Held(row, *held[row.pk]))
        if row.pk not in held and row.pk not in hers.ids:
            continue
        reason, handed_on = held.get(row.pk) or (book.held[-1].reason, book.held[-1].handed_on)
        if not handed_on:
            reason = _("waits for “{job}”: {reason}").format(job=row.name, reason=reason)
        for link in after.get(row.pk, ()):
            if link.after in hers.ids:
                held.setdefault(link.after, (reason, True))
    return book


def _links(read: ReadProblem, hers: _Hers, book: JobBook) -> list[planner.Link]:
    first = len(read.problem.jobs)
    index = {pk: number for number, pk in enumerate(read.jobs)}
    index |= {row.pk: first + number for number, row in enumerate(book.rows)}
    mine = (link for link in hers.network.links if link.before in hers.ids or link.after in hers.ids)
    return planner_links(mine, index)


def _stacked(read: ReadProblem, kept: Kept, book: JobBook) -> list[planner.Link]:
    """The links of her row in the store. Those that stand between her neighbours already say no less with hers."""
    rows = {row.pk: row for row in kept.rows.jobs}
    known = [rows[pk] for pk in read.jobs]
    links, _ = stack_links(kept.rows.lying, JobBook(rows=[*known, *book.rows]))
    return [link for link in links if max(link.before, link.after) >= len(known)]


def _shifted(stay: planner.Stay, first: int) -> planner.Stay:
    return replace(
        stay,
        from_job=None if stay.from_job is None else stay.from_job + first,
        until_job=None if stay.until_job is None else stay.until_job + first,
    )


def _people(read: ReadProblem, ground: Ground, before: Ground) -> tuple[planner.Person, ...]:
    """A place with its operators that no job needed before makes a skill of its own."""
    if len(ground.operators.made) == len(before.operators.made):
        return read.problem.people
    return tuple(
        replace(person, skills={**person.skills, **ground.operators.skills_of(pk)})
        for person, pk in zip(read.problem.people, read.people, strict=True)
    )
