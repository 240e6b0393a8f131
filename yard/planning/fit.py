"""When could you fit us in?  The earliest days for a new order, without moving anybody and with others moved.

Without moving anybody: all that is planned is pinned, and her jobs go in one after the other at their earliest.  With
others moved: a short search in which each of them ends by the later of its promised day and the day it has now, and a
day earlier for the new order is worth moving some boats, each boat and each job at a price.

Measured on season M, plans of a minute, two busy cores, the engine compiled before: nobody moved 47 to 90 ms (one of
240); 5 s of moving brought five of nine new orders 7 to 74 working days forward, for 12 to 22 boats touched, most of
them with the same last day, and four not at all.  Before `_pays` a search once moved 14 boats for one day.
"""

from __future__ import annotations

import time
from dataclasses import dataclass, field, replace

import msgspec

from yard.planning import backend as backends
from yard.planning.check import faults
from yard.planning.freed import Freed
from yard.planning.improve import Search
from yard.planning.layout import compile_problem
from yard.planning.plan import Plan
from yard.planning.problem import Boat, CostRates, Job, Link, Order, Problem, Stay
from yard.planning.progress import OnProgress, Progress, Seconds, ShouldStop, Stop
from yard.planning.reshuffle.differences import changes
from yard.planning.reshuffle.homes import MovePrice, with_homes
from yard.planning.reshuffle.settling import settle
from yard.planning.state import empty_state, load_plan, read_plan
from yard.planning.units import CannotExpress
from yard.speech import _

OTHERS_GO_FIRST = 1000  # a day late of anybody else outweighs all that the new order could gain
HOT_LATE_DAYS = 0.3
BOATS_A_DAY = 5  # so many boats are moved for a day sooner, and no more
MOVED = MovePrice(boat=100 // BOATS_A_DAY, job=2)  # in hundredths of a day sooner


class NewOrderInvalid(ValueError):
    """A new order that does not fit its Problem; the text names the field."""


class NewOrder(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What somebody asks for.

    boat: key of a boat; one that the Problem does not have yet is added under `boat_name`.
    jobs: as in a Problem, places and window sets by the Problem's numbers; their `boat` and `order` are not read.
    links, stays: by the numbers of these jobs, from 0.
    due_day: axis day, where a day was asked for.
    """

    boat: str
    jobs: tuple[Job, ...]
    boat_name: str = ""
    name: str = "new order"
    links: tuple[Link, ...] = ()
    stays: tuple[Stay, ...] = ()
    due_day: int | None = None


@dataclass(frozen=True, slots=True)
class Moved:
    """Another boat whose plan changes.  jobs: so many have another day.  days: how much later her last day is (less
    than zero: earlier).  late: whether an order of hers is late afterwards that was not (never, by construction)."""

    boat: int
    jobs: int
    days: int
    late: bool


@dataclass(frozen=True, slots=True)
class Fitted:
    """first_day, last_day: axis days of the new order.  plan: the whole plan with it, for `problem` (the given one and
    the new order, last).  moved: nobody, or who."""

    problem: Problem
    plan: Plan
    first_day: int
    last_day: int
    moved: tuple[Moved, ...]
    seconds: float


@dataclass(frozen=True, slots=True)
class NoRoom:
    """She fits nowhere in this plan as it stands.  job: of the new order, the one for which no room was found."""

    job: int | None
    seconds: float
    moved: tuple[Moved, ...] = field(default=())


Fit = Fitted | NoRoom


def read_new_order(data: bytes | str) -> NewOrder:
    """Raises NewOrderInvalid."""
    try:
        return msgspec.json.decode(data, type=NewOrder)
    except (msgspec.DecodeError, ValueError, RecursionError) as error:
        raise NewOrderInvalid(str(error)) from error


def with_order(problem: Problem, new: NewOrder) -> Problem:
    """The Problem with the new order last.  Raises NewOrderInvalid, and ProblemInvalid for what contradicts it."""
    if not new.jobs:
        raise NewOrderInvalid(_("jobs: a new order has at least one job"))
    ends = [job for stay in new.stays for job in (stay.from_job, stay.until_job) if job is not None]
    tied = [job for link in new.links for job in (link.before, link.after)]
    if any(not 0 <= job < len(new.jobs) for job in (*ends, *tied)):
        raise NewOrderInvalid(
            _("links and stays: name the new order's own jobs, 0 to {last}").format(last=len(new.jobs) - 1)
        )
    keys = [boat.key for boat in problem.boats]
    boats = problem.boats
    if new.boat not in keys:
        keys.append(new.boat)
        boats = (*boats, Boat(key=new.boat, name=new.boat_name or new.boat))
    boat, order, first = keys.index(new.boat), len(problem.orders), len(problem.jobs)
    due = problem.calendar.days - 1 if new.due_day is None else new.due_day
    return replace(
        problem,
        boats=boats,
        orders=(*problem.orders, Order(key=_unused(problem, new.name), name=new.name, due_day=due)),
        jobs=(*problem.jobs, *(replace(job, boat=boat, order=order) for job in new.jobs)),
        links=(
            *problem.links,
            *(replace(link, before=first + link.before, after=first + link.after) for link in new.links),
        ),
        stays=(*problem.stays, *(_shifted(stay, boat, first) for stay in new.stays)),
    )


def _unused(problem: Problem, key: str) -> str:
    used = {order.key for order in problem.orders}
    while key in used:
        key += "'"
    return key


def _shifted(stay: Stay, boat: int, first: int) -> Stay:
    from_job = None if stay.from_job is None else first + stay.from_job
    until_job = None if stay.until_job is None else first + stay.until_job
    return replace(stay, boat=boat, from_job=from_job, until_job=until_job)


def without_moving(problem: Problem, plan: Plan, new: NewOrder) -> Fit:
    """The earliest last day while everybody else stays, and of plans with that day one with little waiting in it.

    `plan` is a plan of `problem`.  Raises CannotExpress for what the engine does not take.
    """
    wider = with_order(problem, new)
    return _hers(fit_in(wider, plan, len(wider.orders) - 1), problem)


def fit_in(wider: Problem, plan: Plan, order: int) -> Fit:
    """The same for an order that stands in `wider` already and that `plan` does not place; NoRoom.job is of `wider`."""
    began = time.monotonic()
    freed = Freed(wider, plan, _jobs_of(wider, order))
    room = freed.room()
    if not room.insert():
        return NoRoom(freed.original(room.failed), time.monotonic() - began)
    room.draw_together()
    return _fitted(wider, plan, freed.whole_plan(room.plan()), order, began)


def _jobs_of(wider: Problem, order: int) -> list[int]:
    return [number for number, job in enumerate(wider.jobs) if job.order == order]


def _hers(found: Fit, problem: Problem) -> Fit:
    """The job of a NoRoom as the new order numbers it."""
    if isinstance(found, NoRoom) and found.job is not None:
        return replace(found, job=found.job - len(problem.jobs))
    return found


def moving_others(
    problem: Problem,
    plan: Plan,
    new: NewOrder,
    *,
    stop: Stop,
    seed: int = 1,
    backend: str | None = None,
    should_stop: ShouldStop | None = None,
) -> Fit:
    """The earliest last day found where others may move, none of them to later than promised (or than it is now).

    Never later than `without_moving`; with `Rounds` one seed gives one answer.  Raises CannotExpress.
    """
    wider = with_order(problem, new)
    found = fit_moving(
        wider, plan, len(wider.orders) - 1, stop=stop, seed=seed, backend=backend, should_stop=should_stop
    )
    return _hers(found, problem)


def fit_moving(
    wider: Problem,
    plan: Plan,
    order: int,
    *,
    stop: Stop,
    seed: int = 1,
    backend: str | None = None,
    should_stop: ShouldStop | None = None,
) -> Fit:
    """The same for an order that stands in `wider` already and that `plan` does not place; NoRoom.job is of `wider`."""
    began = time.monotonic()
    least, jobs = fit_in(wider, plan, order), _jobs_of(wider, order)
    kind: backends.Backend = "numba" if (backend or backends.default()) == "numba" else "python"
    layout = with_homes(compile_problem(_for_her(wider, plan, order)), plan, frozenset(), MOVED)
    state = empty_state(layout, plan.berths())
    load_plan(layout, state, least.plan if isinstance(least, Fitted) else plan)
    finder = Search(layout, state, seed=seed, workers=1, backend=kind, hot=HOT_LATE_DAYS)
    deadline = began + (stop.seconds if isinstance(stop, Seconds) else 0)
    finder.run(stop, deadline=deadline, should_stop=should_stop or (lambda: False), tell=lambda: None)
    found = settle(layout, plan, read_plan(layout, finder.best, best=True))
    whole = len(found.placements) >= len(plan.placements) + len(jobs)
    if not whole or faults(wider, replace(found, left_out=plan.left_out)):
        return least
    better = _fitted(wider, plan, replace(found, left_out=plan.left_out), order, began)
    if any(row.late for row in better.moved):
        return least
    if isinstance(least, Fitted) and not _pays(least.last_day - better.last_day, len(better.moved)):
        return replace(least, seconds=time.monotonic() - began)
    return better


def fit_in_the_background(
    problem: Problem,
    *,
    stop: Stop,
    seed: int,
    workers: int,
    on_progress: OnProgress,
    should_stop: ShouldStop,
    start: Plan,
    order: int,
) -> Fit:
    """`fit_moving` with the arguments that a planner's process has. start: the posted plan, laid on `problem`."""
    on_progress(Progress(0.0, None, None, None, "compiling"))
    return fit_moving(problem, start, order, stop=stop, seed=seed, should_stop=should_stop)


def _pays(days_sooner: int, boats: int) -> bool:
    return days_sooner > 0 and boats <= days_sooner * BOATS_A_DAY


def _for_her(wider: Problem, plan: Plan, hers: int) -> Problem:
    """The same season where the new order is the only one that gains, and nobody may pay for it with a day late."""
    last = last_days(wider, plan)
    orders = tuple(
        replace(order, due_day=-1, goes_first=1)
        if number == hers
        else replace(order, due_day=max(order.due_day, last.get(number, order.due_day)), goes_first=OTHERS_GO_FIRST)
        for number, order in enumerate(wider.orders)
    )
    return replace(wider, orders=orders, rates=CostRates(late_day=100, flow_day=1))


def last_days(problem: Problem, plan: Plan) -> dict[int, int]:
    """By order: the axis day on which its last planned job ends."""
    found: dict[int, int] = {}
    for row in plan.placements:
        order = problem.jobs[row.job].order
        found[order] = max(found.get(order, -1), (row.ends_at - 1) // problem.calendar.quarters_per_day)
    return found


def _fitted(wider: Problem, before: Plan, after: Plan, order: int, began: float) -> Fitted:
    starts = [row.starts_at for row in after.placements if wider.jobs[row.job].order == order]
    last = last_days(wider, after)[order]
    first = min(starts) // wider.calendar.quarters_per_day
    return Fitted(wider, after, first, last, _moved(wider, before, after), time.monotonic() - began)


def _moved(wider: Problem, before: Plan, after: Plan) -> tuple[Moved, ...]:
    was, now = last_days(wider, before), last_days(wider, after)
    jobs: dict[int, int] = {}
    for change in changes(wider, before, after):
        if change.change in ("moved", "pulled forward") and change.was is not None:
            boat = wider.jobs[change.job].boat
            jobs[boat] = jobs.get(boat, 0) + 1
    found = []
    for boat, count in sorted(jobs.items()):
        orders = {job.order for job in wider.jobs if job.boat == boat} & set(was)
        later = max((now[order] - was[order] for order in orders), key=abs, default=0)
        late = any(now[o] > max(was[o], wider.orders[o].due_day) for o in orders)
        found.append(Moved(boat, count, later, late))
    return tuple(found)


__all__ = [
    "CannotExpress",
    "Fit",
    "Fitted",
    "Moved",
    "NewOrder",
    "NewOrderInvalid",
    "NoRoom",
    "fit_in",
    "fit_moving",
    "moving_others",
    "read_new_order",
    "with_order",
    "without_moving",
]
