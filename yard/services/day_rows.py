"""The rows that closing a day writes: what became of each job, and hours, materials, extras and gauge added by hand."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.db import models
from django.utils.translation import gettext as _

from yard.day_names import said
from yard.models import Event, ExtraWork, GaugeReading, JobWork, MaterialUsed
from yard.services.happenings import DayClosed, Done, HoursWorked, Scribe, Started, Stopped
from yard.services.job_rows import done_rows, started_rows, stopped_rows
from yard.services.sail_rows import with_sails
from yard.services.written import Written


def closed_rows(what: DayClosed, scribe: Scribe) -> Written:
    """One event for the whole day, so that it is undone as one."""
    parts = [_outcome(each, scribe) for each in what.outcomes]
    made = [row for part in parts for row in part.made]
    changed = [row for part in parts for row in part.changed]
    made, corrected = _with_hours(made, what.hours, scribe)
    made += [
        MaterialUsed(
            job=one.job,
            name=one.name,
            quantity=one.quantity,
            unit=one.unit,
            used_on=what.day,
            noted_by=scribe.by,
            noted_at=scribe.now,
        )
        for one in what.used
    ]
    made += [
        ExtraWork(
            job=one.job,
            what=one.what,
            extra_min=one.extra_min,
            agreed=one.agreed,
            done_on=what.day,
            noted_by=scribe.by,
            noted_at=scribe.now,
        )
        for one in what.extras
    ]
    made += [
        GaugeReading(
            at=one.at, observed_m_above_datum=one.observed_m, boat=one.boat, read_by=scribe.by, note=_("floated")
        )
        for one in what.floated
    ]
    return Written(Event.Kind.DAY, says_of(what), made=tuple(made), changed=(*changed, *corrected))


def says_of(what: DayClosed) -> str:
    """ "Thu 6 May closed: 20 done, 1 not done or part done" """
    done = sum(isinstance(each, Done) for each in what.outcomes)
    open_still = sum(isinstance(each, Stopped) for each in what.outcomes)
    words = (
        _("{day} closed: {done} done, {left} not done or part done") if open_still else _("{day} closed: {done} done")
    )
    return words.format(day=said(what.day, "D j M"), done=done, left=open_still)


def _outcome(each: Done | Stopped | Started, scribe: Scribe) -> Written:
    match each:
        case Done():
            return with_sails(done_rows(each, scribe), each, scribe)
        case Stopped():
            return stopped_rows(each, scribe)
        case Started():
            return started_rows(each, scribe)


def _with_hours(
    made: list[models.Model], hours: Iterable[HoursWorked], scribe: Scribe
) -> tuple[list[models.Model], list[tuple[models.Model, dict[str, Any]]]]:
    """The hours as typed: on rows that are made now, on rows that a tap has made already, or as rows of their own."""
    corrected: list[tuple[models.Model, dict[str, Any]]] = []
    for one in hours:
        row = next((each for each in _works(made) if (each.job, each.person) == (one.job, one.person)), None)
        if row is not None:
            row.worked_min = one.worked_min
            continue
        stored = JobWork.objects.filter(job=one.job, person=one.person, worked_on=scribe.today).first()
        if stored is None:
            made.append(JobWork(job=one.job, person=one.person, worked_on=scribe.today, worked_min=one.worked_min))
        elif stored.worked_min != one.worked_min:
            corrected.append((stored, {"worked_min": one.worked_min}))
    return made, corrected


def _works(made: Iterable[models.Model]) -> Iterable[JobWork]:
    return (row for row in made if isinstance(row, JobWork))
