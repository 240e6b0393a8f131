"""The rows that work on a job writes: begun, stopped, done, failed, split in two."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from itertools import count as naturals
from itertools import islice

from django.db import models
from django.utils.translation import gettext as _

from yard.models import (
    Boat,
    Event,
    Fact,
    FactKind,
    ItemWhereabouts,
    Job,
    JobLink,
    JobWay,
    JobWork,
    Pausing,
    Person,
    PlaceKind,
    PlannedJob,
    Stay,
    StowPlan,
    StowSpot,
    WaterNeed,
    Whereabouts,
)
from yard.services.happenings import (
    Done,
    EventRefused,
    Failed,
    LiesTonight,
    NewJob,
    Scribe,
    Split,
    Started,
    Stopped,
    Took,
)
from yard.services.whereabouts import BoatLies, WhereRefused, outermost
from yard.services.written import Written

State = Job.State
Kind = Event.Kind
QUARTER_MIN = 15
STATE_NOTE = 200


def started_rows(what: Started, scribe: Scribe) -> Written:
    job = what.job
    if job.state not in (State.OPEN, State.FAILED):
        raise EventRefused(_("{job} is {state} already.").format(job=title(job), state=job.get_state_display()))
    if waits := [fact.name for fact in job.facts.all() if fact.state != Fact.State.HERE]:
        raise EventRefused(
            _("{job} waits on {waits}: only what is here lets a job be started.").format(
                job=title(job), waits=_(" and ").join(waits)
            )
        )
    fields = {"state": State.STARTED, "actual_starts_at": what.started_at, "state_note": ""}
    return Written(Kind.STARTED, _("{job}: started").format(job=title(job)), changed=((job, fields),), job=job)


def took_rows(what: Took, scribe: Scribe) -> Written:
    job = what.job
    _demand_open(job)
    fields = {"state": State.STARTED, "left_min": what.left_min, "state_note": what.reason[:STATE_NOTE]}
    if job.actual_starts_at is None:
        row = planned_row(job)
        fields["actual_starts_at"] = min(row.starts_at, scribe.now) if row else scribe.now
    says = _("{job}: {left} left, {reason}").format(job=title(job), left=hours_words(what.left_min), reason=what.reason)
    return Written(Kind.LONGER, says, changed=((job, fields),), job=job)


def stopped_rows(what: Stopped, scribe: Scribe) -> Written:
    """Open again with what is left; where she lies is a row of its own."""
    job = what.job
    _demand_open(job)
    fields = {
        "state": State.OPEN,
        "left_min": what.left_min,
        "state_note": what.reason[:STATE_NOTE],
        "actual_starts_at": None,
    }
    says = (
        _("{job}: not done, {reason}").format(job=title(job), reason=what.reason)
        if what.left_min is None
        else _("{job}: stopped, {left} left, {reason}").format(
            job=title(job), left=hours_words(what.left_min), reason=what.reason
        )
    )
    return Written(Kind.STOPPED, says, made=tuple(_lies(what.lies, scribe)), changed=((job, fields),), job=job)


def done_rows(what: Done, scribe: Scribe) -> Written:
    """Done, with who worked on it; a launched boat lies at her berth, a delivered one on her mooring."""
    job, row = what.job, planned_row(what.job)
    if job.state in (State.DONE, State.CANCELLED):
        raise EventRefused(_("{job} is {state} already.").format(job=title(job), state=job.get_state_display()))
    planned_min = _planned_min(job, row)
    worked = what.worked_min if what.worked_min is not None else planned_min
    begins = job.actual_starts_at or (row.starts_at if row is not None else what.ended_at)
    fields = {
        "state": State.DONE,
        "actual_starts_at": min(begins, what.ended_at),
        "actual_ends_at": what.ended_at,
        "left_min": None,
        "worked_min": worked,
        "hours_as_planned": what.worked_min is None,
        "state_note": "",
    }
    early = row is not None and row.ends_at - what.ended_at > timedelta(hours=1)
    people = what.people or _people_of(row)
    made: list[models.Model] = [
        JobWork(job=job, person=one, worked_on=scribe.today, worked_min=worked)
        for one in people
        if not JobWork.objects.filter(job=job, person=one, worked_on=scribe.today).exists()
    ]
    made += _lies_after(job, row, what.ended_at, scribe)
    says = (_("{job}: done early") if early else _("{job}: done")).format(job=title(job))
    return Written(Kind.DONE, says, made=tuple(made), changed=((job, fields),), job=job)


def failed_rows(what: Failed, scribe: Scribe) -> Written:
    """Open as before; the new jobs come before it, each with the part that it waits on."""
    job = what.job
    again = {
        "state": State.OPEN,
        "left_min": None,
        "actual_starts_at": None,
        "actual_ends_at": None,
        "worked_min": None,
        "state_note": what.reason[:STATE_NOTE],
    }
    made: list[models.Model] = []
    for new, key in zip(what.new_jobs, _fresh_keys(job, f"{job.key}-fault", len(what.new_jobs)), strict=True):
        made += _new_job(job, new, key, what.reason, scribe)
    made += _lies(what.lies, scribe)
    words = (
        _("{job}: to be done again, {reason}; first {jobs}")
        if what.new_jobs
        else _("{job}: to be done again, {reason}")
    )
    new_jobs = _(" and ").join(new.name for new in what.new_jobs)
    says = words.format(job=title(job), reason=what.reason, jobs=new_jobs)
    return Written(Kind.FAILED, says, made=tuple(made), changed=((job, again),), job=job)


def split_rows(what: Split, scribe: Scribe) -> Written:
    """The job keeps its first part; the rest is a job of its own after it, before all that waits for the whole."""
    job = what.job
    _demand_open(job)
    if job.kind.parts or job.kind.pausing == Pausing.ELAPSED:
        raise EventRefused(_("{job} is one booking and cannot be done in two parts.").format(job=title(job)))
    ways = list(job.ways.all())
    total = min(way.duration_min for way in ways) if job.left_min is None else job.left_min
    if what.first_min % QUARTER_MIN or not 0 < what.first_min < total:
        raise EventRefused(
            _("The first part takes whole quarters of an hour, less than the {total} of all.").format(
                total=hours_words(total)
            )
        )
    rest = _copy_of(job, _("{job}, the rest").format(job=job.name))
    changed: list[tuple[models.Model, dict[str, object]]] = []
    made: list[models.Model] = [rest]
    for way in ways:
        length = way.duration_min if job.left_min is None else job.left_min
        made.append(_way_of(way, rest, length - what.first_min))
        changed.append((way, {"duration_min": what.first_min}))
    if job.left_min is not None:
        changed.append((job, {"left_min": what.first_min}))
    changed += [(link, {"before": rest}) for link in JobLink.objects.filter(before=job)]
    changed += [(stay, {"from_job": rest}) for stay in Stay.objects.filter(from_job=job)]
    made.append(JobLink(before=job, after=rest, reason=what.reason[:200], origin=JobLink.Origin.BY_HAND))
    made += [Fact.jobs.through(fact=fact, job=rest) for fact in job.facts.all()]
    says = _("{job}: split, {first} first, the rest later, {reason}").format(
        job=title(job), first=hours_words(what.first_min), reason=what.reason
    )
    return Written(Kind.SPLIT, says, made=tuple(made), changed=tuple(changed), job=job)


def title(job: Job) -> str:
    """ "Sanderling, step the mast" """
    order = job.order
    return f"{order.boat.name if order.boat is not None else order.walk_in_name}, {job.name}"


def hours_words(minutes: int) -> str:
    return f"{minutes / 60:g} h"


def planned_row(job: Job) -> PlannedJob | None:
    """What the plan on the wall says of it. Two queries."""
    return PlannedJob.objects.filter(job=job, plan__state="posted").prefetch_related("planned_people__person").first()


def _demand_open(job: Job) -> None:
    if job.state in (State.DONE, State.CANCELLED):
        raise EventRefused(
            _("{job} is {state} already: take that back first.").format(job=title(job), state=job.get_state_display())
        )


def _planned_min(job: Job, row: PlannedJob | None) -> int:
    """The estimate: of a job that pauses overnight the span would count the nights."""
    ways = {way.sequence: way.duration_min for way in job.ways.all()}
    if row is not None and row.way in ways:
        return ways[row.way]
    if ways:
        return min(ways.values())
    return 0 if row is None else int((row.ends_at - row.starts_at).total_seconds() // 60)


def _people_of(row: PlannedJob | None) -> tuple[Person, ...]:
    return () if row is None else tuple(each.person for each in row.planned_people.all())


def _lies(lies: LiesTonight | None, scribe: Scribe) -> Iterator[Whereabouts]:
    if lies is None:
        return
    try:
        said = BoatLies(lies.place, lies.mooring)
    except WhereRefused as refused:
        raise EventRefused(str(refused)) from refused
    yield from _whereabouts(lies, said, scribe.now, scribe)


def _lies_after(
    job: Job, row: PlannedJob | None, at: datetime, scribe: Scribe
) -> Iterator[Whereabouts | ItemWhereabouts]:
    """Where the work leaves her: at the berth that the plan keeps for her, on her mooring, or in her row."""
    boat = job.order.boat
    if boat is None:
        return
    if job.kind.key in ("haul", "unstep"):
        yield from _stowed(job, boat, at, scribe)
    elif job.water_need == WaterNeed.RAMP and row is not None:
        stay = row.plan.planned_stays.filter(stay__from_job=job, place__kind=PlaceKind.BERTH).first()
        if stay is not None:
            yield from _whereabouts(LiesTonight(boat, stay.place), BoatLies(stay.place), at, scribe)
    elif job.water_need in (WaterNeed.ROUTE, WaterNeed.MOORING) and job.kind.key == "deliver":
        mooring = job.order.to_mooring or boat.permit_moorings.order_by("ref", "id").first()
        if mooring is not None:
            yield from _whereabouts(LiesTonight(boat, None, mooring), BoatLies(None, mooring), at, scribe)


def _stowed(job: Job, boat: Boat, at: datetime, scribe: Scribe) -> Iterator[Whereabouts | ItemWhereabouts]:
    """In the row, or her mast on the rack, that the accepted store plan has for her; whoever comes stands outermost."""
    kind = StowPlan.Kind.BOATS if job.kind.key == "haul" else StowPlan.Kind.SPARS
    spot = StowSpot.objects.filter(plan__kind=kind, plan__state=StowPlan.State.ACCEPTED, boat=boat).first()
    if spot is None or spot.place.archived:
        return
    if kind == StowPlan.Kind.BOATS:
        for row in _whereabouts(LiesTonight(boat, spot.place), BoatLies(spot.place), at, scribe):
            row.position = outermost(spot.place)
            yield row
    elif spot.item is not None:
        last = spot.item.whereabouts.order_by("-since", "-id").first()
        since = at if last is None or last.since < at else last.since + timedelta(microseconds=1)
        lies, note = ItemWhereabouts.Kind.PLACE, _("level {level}").format(level=spot.level)
        yield ItemWhereabouts(item=spot.item, kind=lies, place=spot.place, since=since, said_by=scribe.by, note=note)


def _whereabouts(lies: LiesTonight, said: BoatLies, at: datetime, scribe: Scribe) -> Iterator[Whereabouts]:
    """One row, later than the last that is on file; nothing where it is on file already."""
    last = lies.boat.whereabouts.order_by("-since", "-id").first()
    if last is not None and (last.kind, last.place_id, last.mooring_id) == (
        said.kind,
        lies.place.pk if lies.place else None,
        lies.mooring.pk if lies.mooring else None,
    ):
        return
    since = at if last is None or last.since < at else last.since + timedelta(microseconds=1)
    yield Whereabouts(
        boat=lies.boat, kind=said.kind, place=lies.place, mooring=lies.mooring, since=since, said_by=scribe.by
    )


def _new_job(job: Job, new: NewJob, key: str, reason: str, scribe: Scribe) -> list[models.Model]:
    row = Job(
        order=job.order,
        kind=new.kind,
        key=key,
        name=new.name[:80],
        sequence=job.sequence,
        outdoor=new.kind.outdoor,
        needs_light=new.kind.needs_light,
        water_need=new.kind.water_need,
        weather_class=new.kind.weather_class,
        cautions=new.kind.cautions,
    )
    like = job.ways.order_by("sequence").first()
    crew = like.crew[:1] if like is not None else []
    made: list[models.Model] = [
        row,
        JobWay(job=row, duration_min=new.duration_min, crew=crew),
        JobLink(before=row, after=job, reason=reason[:200], origin=JobLink.Origin.BY_HAND),
    ]
    if new.waits_on:
        fact = Fact(
            kind=FactKind.OTHER,
            name=new.waits_on[:80],
            order=job.order,
            state=Fact.State.EXPECTED if new.expected_date is not None else Fact.State.UNKNOWN,
            expected_date=new.expected_date,
            set_by=scribe.by,
            set_at=scribe.now,
        )
        made += [fact, Fact.jobs.through(fact=fact, job=row)]
    return made


def _fresh_keys(job: Job, stem: str, count: int) -> list[str]:
    """Keys that no job of the order has yet."""
    taken = set(job.order.jobs.values_list("key", flat=True))
    return list(islice((key for n in naturals(2) if (key := f"{stem[:34]}-{n}") not in taken), count))


def _copy_of(job: Job, name: str) -> Job:
    return Job(
        order=job.order,
        kind=job.kind,
        key=_fresh_keys(job, job.key, 1)[0],
        name=name[:80],
        sequence=job.sequence,
        split_of=job,
        outdoor=job.outdoor,
        needs_light=job.needs_light,
        water_need=job.water_need,
        weather_class=job.weather_class,
        cautions=job.cautions,
        finish_by_date=job.finish_by_date,
    )


def _way_of(way: JobWay, job: Job, duration_min: int) -> JobWay:
    return JobWay(
        job=job,
        sequence=way.sequence,
        duration_min=duration_min,
        crew=way.crew,
        place_kinds=way.place_kinds,
        boat_at=way.boat_at,
        parts=way.parts,
    )
