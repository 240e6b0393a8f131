"""Two plans side by side: which jobs move, from where to where, for whom, and the reason that facts give."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime, tzinfo
from typing import Literal

from django.db.models import Prefetch, Q
from django.utils.translation import gettext as _

from yard.models import (
    Boat,
    Closure,
    DatedHours,
    Job,
    JobLink,
    LeftOut,
    Order,
    OwnersRun,
    Plan,
    PlannedJob,
    PlannedPerson,
    PlannedPlace,
    Telling,
)
from yard.queries.season_board import working_days_between

Change = Literal["moved", "forward", "hours", "people", "dropped", "added"]
Cause = Literal["closed", "away", "waits", "others", "left_out", "new", "forward"]
"""What kind of reason it is: an owner reads of others' boats and people only so much."""


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a job moves: `boat` is another boat that the sentence ends with (a knock-on), or None.

    what: of a closure, its reason as it was written.
    """

    says: str
    boat: Boat | None = None
    cause: Cause = "others"
    what: str = ""


@dataclass(frozen=True, slots=True)
class JobMove:
    """One job that differs. was: None where it is new; becomes: None where it has no place any more."""

    job: Job
    change: Change
    was: PlannedJob | None
    becomes: PlannedJob | None
    why: Reason

    @property
    def boat(self) -> Boat | None:
        return self.job.order.boat


@dataclass(frozen=True, slots=True)
class BoatMove:
    """A boat (or a walk-in, boat None) with the jobs that differ. done_was, done_becomes: the day of her last job.

    in_hand_was, in_hand_becomes: working days from then to the date of the order among hers that has fewest; None
    without a date or a day.  told: what her owner was told last of these orders, if anything.  disturbed: a job of
    hers has another day.
    """

    boat: Boat | None
    name: str
    moves: tuple[JobMove, ...]
    done_was: date | None
    done_becomes: date | None
    told: Telling | None
    in_hand_was: int | None = None
    in_hand_becomes: int | None = None

    @property
    def disturbed(self) -> bool:
        return any(move.change in ("moved", "dropped") for move in self.moves)


def boat_moves(before: Plan, after: Plan, zone: tzinfo) -> tuple[BoatMove, ...]:
    """Boats in the order of their first moved job; where only hours or hands change, last.  Ten queries."""
    old, new = _by_job(before), _by_job(after)
    differing = {
        job: change for job in old.keys() | new.keys() if (change := _change(old.get(job), new.get(job), zone))
    }
    reasons = _Reasons(old, new, differing, after)
    by_owner: dict[tuple[int, str], list[JobMove]] = {}
    for pk, change in differing.items():
        job = (old.get(pk) or new[pk]).job
        move = JobMove(job, change, old.get(pk), new.get(pk), reasons.of(pk))
        by_owner.setdefault((job.order.boat_id or 0, _name(job)), []).append(move)
    told = _told({move.job.order_id for moves in by_owner.values() for move in moves})
    ends = tuple(_ends(rows, zone) for rows in (old, new))
    found = []
    for (boat, name), moves in by_owner.items():
        moves.sort(key=lambda move: (_first(move), move.job.pk))
        was, becomes = (_done(rows, boat, name, zone) for rows in (old, new))
        hand = [_in_hand({move.job.order_id: move.job.order for move in moves}, each) for each in ends]
        found.append(BoatMove(moves[0].boat, name, tuple(moves), was, becomes, told.get(boat), *hand))
    return tuple(sorted(found, key=lambda row: (not row.disturbed, _first(row.moves[0]), row.name)))


def job_moves(before: Plan, after: Plan, zone: tzinfo, jobs: Collection[int]) -> dict[int, JobMove]:
    """Those of these jobs (ids) that differ, read without the rest of the season.  Sixteen queries."""
    hers = Q(job__in=jobs)
    old, new = _by_job(before, hers), _by_job(after, hers)
    moved = {job: change for job in old.keys() | new.keys() if (change := _change(old.get(job), new.get(job), zone))}
    around = Q(pk=None)
    for job in moved.keys() & old.keys():
        around |= Q(starts_at__lt=old[job].ends_at, ends_at__gt=old[job].starts_at)
    others = _by_job(after, around)
    new |= others
    old |= _by_job(before, Q(job__in=others.keys() - old.keys()))
    differing = moved | {job: change for job in others if (change := _change(old.get(job), new.get(job), zone))}
    reasons = _Reasons(old, new, differing, after)
    return {
        job: JobMove((old.get(job) or new[job]).job, change, old.get(job), new.get(job), reasons.of(job))
        for job, change in moved.items()
    }


def _by_job(plan: Plan, which: Q | None = None) -> dict[int, PlannedJob]:
    people = Prefetch("planned_people", PlannedPerson.objects.order_by("id"))
    places = Prefetch("planned_places", PlannedPlace.objects.select_related("place").order_by("id"))
    rows = plan.planned_jobs.filter(which or Q()).select_related("job__order__boat").prefetch_related(people, places)
    return {row.job_id: row for row in rows}


def _change(was: PlannedJob | None, becomes: PlannedJob | None, zone: tzinfo) -> Change | None:
    if was is None:
        return "added"
    if becomes is None:
        return None if was.job.state == Job.State.DONE else "dropped"
    day, home = (row.starts_at.astimezone(zone).date() for row in (becomes, was))
    indoor = not was.job.outdoor and was.job.water_need == "none"
    if day != home:
        return "forward" if day < home and indoor else "moved"
    if (was.starts_at, was.ends_at) != (becomes.starts_at, becomes.ends_at):
        return "hours"
    return "people" if _people(was) != _people(becomes) else None


def _people(row: PlannedJob) -> set[int]:
    return {each.person_id for each in row.planned_people.all()}


def _places(row: PlannedJob) -> set[tuple[int, int]]:
    return {(each.place_id, each.unit) for each in row.planned_places.all()}


def _name(job: Job) -> str:
    return job.order.boat.name if job.order.boat else job.order.walk_in_name


def _first(move: JobMove) -> datetime:
    row = move.was or move.becomes
    assert row is not None
    return row.starts_at


def _done(rows: dict[int, PlannedJob], boat: int, name: str, zone: tzinfo) -> date | None:
    ends = [row.ends_at for row in rows.values() if (row.job.order.boat_id or 0) == boat and _name(row.job) == name]
    return max(ends).astimezone(zone).date() if ends else None


def _ends(rows: dict[int, PlannedJob], zone: tzinfo) -> dict[int, date]:
    """The day on which the last job of each order ends."""
    found: dict[int, date] = {}
    for row in rows.values():
        day = row.ends_at.astimezone(zone).date()
        found[row.job.order_id] = max(day, found.get(row.job.order_id, day))
    return found


def _in_hand(orders: dict[int, Order], ends: dict[int, date]) -> int | None:
    dated = (
        (ends[pk], order.promised_date or order.latest_date or order.wanted_date)
        for pk, order in orders.items()
        if pk in ends
    )
    return min((working_days_between(end, due) for end, due in dated if due), default=None)


def _told(orders: Collection[int]) -> dict[int, Telling]:
    """What the owner of each boat was told last of these orders, by boat."""
    rows = Telling.objects.filter(order__in=orders, taken_back_at=None).select_related("order")
    return {row.order.boat_id: row for row in rows.order_by("told_at", "id") if row.order.boat_id is not None}


class _Reasons:
    """Facts first (closed, away, not planned), then her own job before, then whoever stands there now."""

    def __init__(
        self, old: dict[int, PlannedJob], new: dict[int, PlannedJob], differing: dict[int, Change], after: Plan
    ) -> None:
        self.old, self.new, self.differing = old, new, differing
        known = Q(decided_at=None) | Q(decided_at__lte=after.made_at)  # what was closed later moved nothing in it
        self.closures = list(Closure.objects.filter(known, state=Closure.State.ACCEPTED).order_by("-made_at"))
        self.away = list(DatedHours.objects.filter(kind=DatedHours.Kind.AWAY).select_related("person"))
        self.runs = list(
            OwnersRun.objects.filter(called_off_at=None).select_related("place").prefetch_related("people")
        )
        self.left = {row.job_id: row.reason for row in LeftOut.objects.filter(plan=after) if row.job_id}
        self.left_boats = {row.boat_id: row.reason for row in LeftOut.objects.filter(plan=after) if row.boat_id}
        self.before: dict[int, list[JobLink]] = {}
        for link in JobLink.objects.filter(after__in=differing).select_related("before__order__boat"):
            self.before.setdefault(link.after_id, []).append(link)

    def of(self, pk: int) -> Reason:
        was = self.old.get(pk)
        match self.differing[pk]:
            case "added":
                return Reason(_("new work"), cause="new")
            case "forward":
                return Reason(_("indoor work for hands that the day freed"), cause="forward")
        assert was is not None
        if pk not in self.new:
            boat = was.job.order.boat_id
            words = self.left.get(pk) or self.left_boats.get(boat or 0) or _("no place was found for it")
            return Reason(words, cause="left_out")
        return self._fact(was) or self._waits(pk) or self._knock_on(pk, was) or Reason(_("makes room for others"))

    def _fact(self, was: PlannedJob) -> Reason | None:
        for row in self.closures:
            shuts = (
                (row.covers == Closure.Covers.OUTDOORS and (was.job.outdoor or was.job.water_need != "none"))
                or (row.covers == Closure.Covers.WATER and was.job.water_need != "none")
                or (row.place_id is not None and row.place_id in {each.place_id for each in was.planned_places.all()})
            )
            if shuts and row.starts_at < was.ends_at and was.starts_at < row.ends_at:
                return Reason(_("closed: {reason}").format(reason=row.reason), cause="closed", what=row.reason)
        for hours in self.away:
            if hours.person_id in _people(was) and hours.starts_at < was.ends_at and was.starts_at < hours.ends_at:
                return Reason(_("{name} is away").format(name=hours.person.short_name), cause="away")
        for run in self.runs:
            shares = run.place_id in {each.place_id for each in was.planned_places.all()}
            shares = shares or not _people(was).isdisjoint({each.pk for each in run.people.all()})
            if shares and run.leaves_at < was.ends_at and was.starts_at < run.back_at:
                return Reason(_("{place} carries owners then").format(place=run.place))
        return None

    def _waits(self, pk: int) -> Reason | None:
        for link in self.before.get(pk, ()):
            if self.differing.get(link.before_id) in ("moved", "hours", "dropped"):
                return Reason(_("waits for “{job}”").format(job=link.before.name), cause="waits")
        return None

    def _knock_on(self, pk: int, was: PlannedJob) -> Reason | None:
        for other, row in self.new.items():
            if other == pk or other not in self.differing:
                continue
            if row.starts_at < was.ends_at and was.starts_at < row.ends_at and row.job.order.boat:
                if shared := _places(row) & _places(was):
                    names = {each.place_id: each.place.name for each in row.planned_places.all()}
                    return Reason(_("gives {name} to").format(name=names[min(shared)[0]]), row.job.order.boat)
                if shared_people := _people(row) & _people(was):
                    people = {each.person_id: each.name for each in row.planned_people.all()}
                    return Reason(_("gives {name} to").format(name=people[min(shared_people)]), row.job.order.boat)
        return None


def people_who_change(moves: Sequence[BoatMove]) -> tuple[str, ...]:
    """Names of those whose work differs, in alphabetical order."""
    names = set()
    for row in moves:
        for move in row.moves:
            for planned in (move.was, move.becomes):
                names |= {each.name for each in planned.planned_people.all()} if planned else set()
    return tuple(sorted(names))
