"""A day of the workboats: tows and owners' runs by the hour, seats, what is left of the charge, who waits."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from django.utils.translation import gettext as _

from yard.day_names import said
from yard.models import OwnersRun, PlannedJob, RunWish, YardSettings
from yard.queries.runs import carried, runs_between, tows_between, wishes_between
from yard.services.owners_runs import SkyOverRuns, Spent, spent_on
from yard.services.owners_runs.room import seats_left
from yard.web.days.ramp_work import boat_name
from yard.web.units import at_minute, local


@dataclass(frozen=True)
class Outing:
    """One line of the day. run: an owners' run, None for the plan's own work; seats_left: of a run.

    sky: what the forecast has against its hour, "" for nothing.
    """

    starts_at: datetime
    starts: str
    ends: str
    boat: str
    what: str
    people: str
    run: OwnersRun | None = None
    seats_left: int = 0
    wishes: tuple[RunWish, ...] = ()
    past: bool = False
    sky: str = ""


@dataclass(frozen=True)
class ChargeWords:
    """What a workboat runs that day, in words. over: longer than she can."""

    name: str
    words: str
    over: bool


@dataclass(frozen=True)
class RunsDay:
    """waiting: wishes without an answer; declined: those that were not possible."""

    day: date
    outings: tuple[Outing, ...]
    waiting: tuple[RunWish, ...]
    declined: tuple[RunWish, ...]
    charges: tuple[ChargeWords, ...]
    runs: int


def runs_day(day: date, yard: YardSettings, *, now: datetime) -> RunsDay:
    """Some two dozen queries, however many runs."""
    starts, ends = at_minute(day, 0), at_minute(day, 1440)
    runs = list(runs_between(starts, ends))
    sky = SkyOverRuns.read(yard, now=now)
    outings = [_run(run, sky, now) for run in runs] + [_tow(row, now) for row in tows_between(starts, ends)]
    wishes = list(wishes_between(starts, ends))
    return RunsDay(
        day=day,
        outings=tuple(sorted(outings, key=lambda each: (each.starts_at, each.ends))),
        waiting=tuple(wish for wish in wishes if wish.state == RunWish.State.ASKED),
        declined=tuple(wish for wish in wishes if wish.state == RunWish.State.DECLINED),
        charges=tuple(_charge(each) for each in spent_on(day)),
        runs=len(runs),
    )


def _run(run: OwnersRun, sky: SkyOverRuns, now: datetime) -> Outing:
    wishes, past = tuple(run.wishes.all()), run.leaves_at <= now
    return Outing(
        starts_at=run.leaves_at,
        starts=said(local(run.leaves_at), "H:i"),
        ends=said(local(run.back_at), "H:i"),
        boat=run.place.name,
        what=carried(wishes) or _("nobody yet"),
        people=", ".join(person.short_name for person in run.people.all()),
        run=run,
        seats_left=seats_left(run),
        wishes=wishes,
        past=past,
        sky="" if past else sky.against(run.place, run.leaves_at, run.back_at),
    )


def _tow(row: PlannedJob, now: datetime) -> Outing:
    boats = [each.place.name for each in row.planned_places.all() if each.place.kind == "workboat"]
    return Outing(
        starts_at=row.starts_at,
        starts=said(local(row.starts_at), "H:i"),
        ends=said(local(row.ends_at), "H:i"),
        boat=", ".join(boats),
        what=f"{boat_name(row.job.order)}: {row.job.name}",
        people=", ".join(each.name for each in row.planned_people.all()),
        past=row.starts_at <= now,
    )


def _charge(spent: Spent) -> ChargeWords:
    run, name = _spent_words(spent), spent.place.name
    if spent.charge_lasts_min is None:
        return ChargeWords(name, f"{run}.", over=False)
    lasts = duration(spent.charge_lasts_min)
    again_at = spent.place.charged_at
    if spent.charges > 1 and again_at is not None:
        words = _("{run}; a charge lasts {lasts}, and she is charged again at {at}.").format(
            run=run, lasts=lasts, at=said(again_at, "H:i")
        )
    else:
        words = _("{run}; a charge lasts {lasts}.").format(run=run, lasts=lasts)
    return ChargeWords(name, words, over=spent.over)


def _spent_words(spent: Spent) -> str:
    work, runs = duration(spent.work_min), duration(spent.runs_min)
    match bool(spent.work_min), bool(spent.runs_min):
        case True, True:
            return _("{work} of work, {runs} with owners").format(work=work, runs=runs)
        case True, False:
            return _("{work} of work, nobody carried").format(work=work)
        case False, True:
            return _("no work, {runs} with owners").format(runs=runs)
        case _:
            return _("no work, nobody carried")


def duration(minutes: int) -> str:
    """ "45 min", "3 h", "3 h 15" """
    hours, rest = divmod(minutes, 60)
    if not hours:
        return f"{rest} min"
    return f"{hours} h {rest:02}" if rest else f"{hours} h"
