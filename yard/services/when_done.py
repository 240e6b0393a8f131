"""When could it be done?  The earliest days of an order that nobody has taken yet, everybody else staying put.

Where it is asked, also if others may move inside their promised days: who would, and by how much.

The order is made as it would be, laid beside the season that is kept in memory, fitted into the posted plan with what
is held for other callers, and taken back: nothing of it is kept. What is told is therefore what planning would find,
with the facts it would wait on. Then the season is lived through with it, for the day at 80 and 90 in 100.
"""

from __future__ import annotations

import logging
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from yard.day_names import said
from yard.models import Fact, Job, Order, Person
from yard.planning.check import faults
from yard.planning.fit import Fit as FittedOrNot
from yard.planning.fit import Fitted, NoRoom
from yard.planning.freed import Freed
from yard.planning.no_room import Stands, what_stands
from yard.planning.plan import Placement, Plan, write_plan_json
from yard.planning.problem import ProblemInvalid, write_problem_json
from yard.planning.second_look import Look, look_again
from yard.planning.units import CannotExpress
from yard.services.held_plan import with_held
from yard.services.plan_in_memory import InMemory, lay_posted, plan_in_memory
from yard.services.plan_process import FIT_SOLVER, Broke, Finished, PlanProcess, SolveOrder
from yard.services.promise_of_one import day_at_80_and_90
from yard.services.read_problem import ReadProblem, YardNotReady, read_one_more, read_problem

log = logging.getLogger(__name__)

WHY: Mapping[Stands, str] = {
    "nights": gettext_noop(
        "no berth is free every night from her launch until she is delivered. If others move there may be."
    ),
    "longest waits": gettext_noop("one of her jobs must follow another sooner than there is room for it."),
    "last start": gettext_noop(
        "it may not start later than a set day: a wait after work that is done, or a date of its own."
    ),
    "windows": gettext_noop("water, light, weather and closed days leave no stretch that is long enough."),
    "places": gettext_noop("a place that it needs is taken."),
    "people": gettext_noop("nobody who can do it is free long enough."),
    "several": gettext_noop("several things stand in its way together: people, places, her other work."),
}
MOVING_S = 5
LOADING_S = 45  # for the process and its compiled engine; the first time on a machine it is compiled


@dataclass(frozen=True, slots=True)
class FoundJob:
    """A job of the order where it would stand. [starts_at, ends_at), UTC. people: by short name."""

    name: str
    starts_at: datetime
    ends_at: datetime
    people: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Awaited:
    """A fact that is not here yet, and the day on which it is expected, if anybody said or guessed one."""

    name: str
    expected_on: date | None


@dataclass(frozen=True, slots=True)
class MovedBoat:
    """Another boat whose jobs would have other days. later: working days by which her last day is later, or sooner."""

    name: str
    jobs: int
    later: int


@dataclass(frozen=True, slots=True)
class EarliestDays:
    """jobs: in order of time. her_own_move: other jobs of hers would have to move. waits_on: facts not here yet.

    moved: boats that would move for her, none later than promised.  day_80, day_90: by which it is done in 80 and 90
    of 100 seasons; None for a day beyond the calendar, and where others move.
    """

    jobs: tuple[FoundJob, ...]
    her_own_move: bool
    waits_on: tuple[Awaited, ...]
    moved: tuple[MovedBoat, ...] = ()
    day_80: date | None = None
    day_90: date | None = None

    @property
    def starts_at(self) -> datetime:
        return min(job.starts_at for job in self.jobs)

    @property
    def ends_at(self) -> datetime:
        return max(job.ends_at for job in self.jobs)


@dataclass(frozen=True, slots=True)
class NoDay:
    """No day can be told, and why, in a sentence."""

    reason: str


@dataclass(frozen=True, slots=True)
class Asked:
    """Everything read with the new order in it. rows: its jobs with their facts.  key: of the plan and the facts."""

    read: ReadProblem
    plan: Plan
    order: int
    rows: tuple[Job, ...]
    waits: tuple[Awaited, ...]
    key: tuple[int, int]

    @property
    def names(self) -> dict[int, str]:
        """Of its jobs, by row id."""
        return {row.pk: row.name for row in self.rows}


@dataclass(frozen=True, slots=True)
class Fit:
    """An answer with the plan that it was read from; plan: with the order's jobs in it."""

    told: EarliestDays
    asked: Asked
    plan: Plan


def earliest_days(make_order: Callable[[], Order], *, now: datetime) -> EarliestDays | NoDay:
    """make_order: takes the order; what it raises passes through, and what it saved is taken back either way."""
    asked = _asked(make_order, now)
    found = asked if isinstance(asked, NoDay) else fit(asked)
    return found.told if isinstance(found, Fit) else found


def earliest_with_others_moved(make_order: Callable[[], Order], *, now: datetime) -> EarliestDays | NoDay:
    """The same if others may move inside their promised days: looked for `MOVING_S`, in a process of its own."""
    asked = _asked(make_order, now)
    return asked if isinstance(asked, NoDay) else _with_others_moved(asked)


def _asked(make_order: Callable[[], Order], now: datetime) -> Asked | NoDay:
    """Everything read with the order, which is taken back again."""
    try:
        memory = plan_in_memory(now=now)
        if memory is None:
            return NoDay(_("No plan is posted yet: an order can be fitted into a plan that hangs on the wall."))
        with transaction.atomic():
            try:
                return read_with(memory, make_order(), now=now)
            finally:
                transaction.set_rollback(True)
    except YardNotReady as error:
        return NoDay(str(error))


def read_with(memory: InMemory, order: Order, *, now: datetime) -> Asked | NoDay:
    """The season with an order that stands in the rows of this transaction; all is read anew only where it must be.

    Raises YardNotReady.
    """
    rows = tuple(order.jobs.select_related("kind", "order").prefetch_related("ways", "facts").order_by("id"))
    names, key = {row.pk for row in rows}, (memory.posted.pk, memory.read.revision)
    read = read_one_more(memory.read, memory.kept, order) if memory.kept is not None else None
    if read is None:
        memory = lay_posted(memory.posted, read_problem(now=now))
        read = memory.read
    held = [one for one in read.held if one.job.pk in names]
    if held:
        return NoDay(_("{job} cannot be planned: {reason}.").format(job=held[0].job.name, reason=held[0].reason))
    plan = with_held(read, memory.plan, now=now)
    return Asked(read, plan, order.pk, rows, _waits_on(rows), key)


def _with_others_moved(asked: Asked) -> EarliestDays | NoDay:
    read, names = asked.read, asked.names
    hers = next(job.order for job, pk in zip(read.problem.jobs, read.jobs, strict=True) if pk in names)
    order = SolveOrder(
        problem=write_problem_json(read.problem),
        seconds=MOVING_S,
        seed=1,
        start=write_plan_json(asked.plan),
        solver=FIT_SOLVER,
        options={"order": hers},
    )
    match _found(order):
        case Fitted() as found:
            moved = (MovedBoat(read.problem.boats[row.boat].name, row.jobs, row.days) for row in found.moved)
            return EarliestDays(_jobs(read, found.plan, names), False, asked.waits, tuple(moved))
        case NoRoom():
            return NoDay(_no_room_at_all(asked))
        case None:
            return NoDay(_("It was not found in the time there was, and nothing was changed. Ask again."))


def _no_room_at_all(asked: Asked) -> str:
    """A search that found nothing proves nothing; that not even an empty yard has room is asked of a second method."""
    hers = [index for index, pk in enumerate(asked.read.jobs) if pk in asked.names]
    alone = Freed(asked.read.problem, asked.plan, hers, others=False)
    if look_again(alone.problem).said == "impossible":
        return _(
            "There is no room before the season's last day, in an empty yard neither; a second method says so too."
        )
    return _("No room was found before the season's last day, also where others may move. That is not proved.")


def _found(order: SolveOrder) -> FittedOrNot | None:
    with PlanProcess(order) as process:
        until = time.monotonic() + MOVING_S + LOADING_S
        while (left := until - time.monotonic()) > 0:
            match process.message(left):
                case Finished(Fitted() | NoRoom() as found):
                    return found
                case Broke(reason=reason):
                    log.error("fitting in with others moved: %s", reason)
                    return None
    return None


def _waits_on(rows: tuple[Job, ...]) -> tuple[Awaited, ...]:
    facts = {fact.pk: fact for job in rows for fact in job.facts.all()}
    awaited = [fact for fact in facts.values() if fact.state != Fact.State.HERE]
    return tuple(Awaited(fact.name, fact.expected_date) for fact in awaited)


@dataclass(frozen=True, slots=True)
class _NotIn:
    """The first method found no room for these jobs. failed: the job, of `freed`, for which there was none."""

    freed: Freed
    free: tuple[int, ...]
    failed: int | None


def fit(asked: Asked) -> Fit | NoDay:
    """The order at its earliest, everybody else staying put, and how sure its last day is.

    Where it does not go in beside her other work, that work may move too. A second method is asked only where it goes
    in neither way: it takes seconds, and somebody is on the telephone.
    """
    read, names = asked.read, asked.names
    hers = [index for index, pk in enumerate(read.jobs) if pk in names]
    boats = {read.problem.jobs[index].boat for index in hers}
    with_her_others = [index for index, job in enumerate(read.problem.jobs) if job.boat in boats]
    failed, not_in = "", []
    for free in dict.fromkeys((tuple(hers), tuple(with_her_others))):
        match found := _put_in(read, asked.plan, free):
            case Plan():
                return _told(asked, found, her_own_move=len(free) > len(hers))
            case _NotIn():
                not_in.append(found)
            case str():
                failed = failed or found
    for each in not_in:
        looked = look_again(each.freed.problem)
        if looked.plan is None:
            failed = failed or _no_room(read, each, looked)
            continue
        match whole := _holds(read, each.freed.whole_plan(looked.plan), each.free):
            case Plan():
                return _told(asked, whole, her_own_move=len(each.free) > len(hers))
            case str():
                failed = failed or whole
    return NoDay(failed)


def _told(asked: Asked, found: Plan, *, her_own_move: bool) -> Fit:
    day_80, day_90 = day_at_80_and_90(asked.read, found, asked.rows, asked.key)
    jobs = _jobs(asked.read, found, asked.names)
    return Fit(EarliestDays(jobs, her_own_move, asked.waits, day_80=day_80, day_90=day_90), asked, found)


def _put_in(read: ReadProblem, plan: Plan, free: tuple[int, ...]) -> Plan | _NotIn | str:
    """The plan with these jobs at their earliest; a sentence where the plan or what was found breaks a rule."""
    try:
        freed = Freed(read.problem, plan, free)
        room = freed.room()
    except (CannotExpress, ProblemInvalid) as error:
        return _("The posted plan does not hold on today's facts ({error}): plan again first.").format(error=error)
    if not room.insert():
        return _NotIn(freed, free, room.failed)
    room.draw_together()
    return _holds(read, freed.whole_plan(room.plan()), free)


def _holds(read: ReadProblem, found: Plan, free: tuple[int, ...]) -> Plan | str:
    broken = [fault for fault in faults(read.problem, found) if fault.job in free]
    return (
        _("There is no room without breaking a rule: {message}.").format(message=broken[0].message) if broken else found
    )


def _no_room(read: ReadProblem, not_in: _NotIn, looked: Look) -> str:
    """Why, as far as it is seen; never more than a second method says as well."""
    job = not_in.freed.original(not_in.failed)
    name = _("one of its jobs") if job is None else f"“{read.problem.jobs[job].name}”"
    words = (
        _(
            "There is no room for {job} in the plan as it hangs, up to {day}, its last day: {why} A second method says "
            "so too."
        )
        if looked.said == "impossible"
        else _("No room was found for {job} in the plan as it hangs, up to {day}, its last day: {why}")
    )
    return words.format(job=name, day=said(read.axis.dates[-1], "j F"), why=_(WHY[what_stands(not_in.freed)]))


def _jobs(read: ReadProblem, plan: Plan, names: dict[int, str]) -> tuple[FoundJob, ...]:
    people = dict(Person.objects.values_list("id", "short_name"))
    placed = sorted((row for row in plan.placements if read.jobs[row.job] in names), key=lambda row: row.starts_at)
    return tuple(_job(read, row, names, people) for row in placed)


def _job(read: ReadProblem, row: Placement, names: dict[int, str], people: dict[int, str]) -> FoundJob:
    timeline = read.axis.timeline
    return FoundJob(
        names[read.jobs[row.job]],
        timeline.starts_at(row.starts_at),
        timeline.ends_at(row.ends_at),
        tuple(people.get(read.people[person], "") for person in row.people),
    )
