"""The page of autumn: haul, wash and winterising beside each last day, the rules, what rows and racks take."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from yard.models import AutumnRules, Boat, Place, Plan, YardSettings
from yard.queries.stow_plan import AutumnWork, autumn_work
from yard.services.stowing.freeze import LastDay, chance_by, last_day, published
from yard.services.stowing.ground import autumn_rules, measures_of_stacks
from yard.services.stowing.rules import STACKED
from yard.weather.first_freeze import FreezeNormals
from yard.web.boats.words import date_words
from yard.web.history import Change, changes_of
from yard.web.stowing.forms import RulesForm, StackForm
from yard.web.stowing.words import chance_words
from yard.web.units import local


@dataclass(frozen=True)
class AutumnLine:
    """One boat. late: winterised after her last day as planned; chance: that it has frozen by the planned day.

    asked: the day her owner asked to have her out; days_after: how much later than that she is hauled.
    """

    boat: Boat
    asked: str
    hauled: str
    days_after: int
    washed: str
    winterised: str
    last: str
    chance: str
    late: bool


@dataclass(frozen=True)
class AutumnPage:
    """other_day: open winterising that has another last day than the rules give. asked: a sentence on the days asked
    for, as planned; empty where none is."""

    rules: AutumnRules
    station: FreezeNormals | None
    last: LastDay | None
    last_words: str
    chance: str
    lines: tuple[AutumnLine, ...]
    other_day: int
    asked: str
    form: RulesForm
    stacks: tuple[StackForm, ...]
    changes: tuple[Change, ...]


def autumn_page(
    yard: YardSettings,
    posted: Plan | None,
    *,
    now: datetime,
    form: RulesForm | None = None,
    stack: StackForm | None = None,
) -> AutumnPage:
    """form, stack: as they were sent, where something is wrong with them."""
    rules = autumn_rules()
    today = local(now).date()
    last = last_day(rules, today)
    work = autumn_work(posted)
    measures = measures_of_stacks()
    lines = tuple(_line(each, rules) for each in work)
    places = Place.objects.filter(kind__in=STACKED, archived=False).order_by("sequence", "name", "id")
    return AutumnPage(
        rules=rules,
        station=published().get(rules.freeze_station),
        last=last,
        last_words="" if last is None else date_words(last.on),
        chance="" if last is None else chance_words(last.chance),
        lines=lines,
        other_day=sum(last is not None and _has_other_day(each, last) for each in work),
        asked=_asked(work, lines),
        form=form or RulesForm(rules=rules, yard=yard),
        stacks=tuple(
            stack
            if stack is not None and stack.place.pk == place.pk
            else StackForm(place=place, stack=measures.get(place.pk), yard=yard)
            for place in places
        ),
        changes=changes_of(rules) if rules.pk and AutumnRules.objects.filter(pk=1).exists() else (),
    )


def _has_other_day(work: AutumnWork, last: LastDay) -> bool:
    job = work.jobs["winterise"]
    day = job.finish_by_date
    return job.state == "open" and day != last.on and (day is None or day.year == last.on.year)


def _asked(work: list[AutumnWork], lines: tuple[AutumnLine, ...]) -> str:
    asked = [
        line.days_after
        for each, line in zip(work, lines, strict=True)
        if each.order.wanted_date is not None and "haul" in each.planned
    ]
    late = sorted(days for days in asked if days)
    if not asked:
        return ""
    by_then = len(asked) - len(late)
    if not late:
        return _("{n} of {hauls} hauls are planned by the day their owner asked for.").format(
            n=by_then, hauls=len(asked)
        )
    least, most = late[0], late[-1]
    days = (
        ngettext("{n} day", "{n} days", most).format(n=most)
        if least == most
        else _("{least} to {most} days").format(least=least, most=most)
    )
    return _("{n} of {hauls} hauls are planned by the day their owner asked for, {late} later by {days}.").format(
        n=by_then, hauls=len(asked), late=len(late), days=days
    )


def _line(work: AutumnWork, rules: AutumnRules) -> AutumnLine:
    job, boat = work.jobs["winterise"], work.order.boat
    assert boat is not None  # the rows were chosen so
    haul, wash, ends = (work.planned.get(key) for key in ("haul", "wash_bottom", "winterise"))
    day = local(ends[1]).date() if ends is not None else None
    done = job.state == "done"
    asked, out = work.order.wanted_date, local(haul[0]).date() if haul is not None else None
    return AutumnLine(
        boat=boat,
        asked=date_words(asked) if asked is not None else _("no day"),
        hauled=date_words(out) if out is not None else _state(work, "haul"),
        days_after=max(0, (out - asked).days) if out is not None and asked is not None else 0,
        washed=_("{minutes} min after").format(minutes=round((wash[0] - haul[1]).total_seconds() / 60))
        if haul and wash
        else "–",
        winterised=_("done") if done else (date_words(day) if day is not None else _("no day planned")),
        last=date_words(job.finish_by_date) if job.finish_by_date is not None else _("none"),
        chance=chance_words(chance_by(rules, day)) if day is not None and not done else "–",
        late=not done and day is not None and job.finish_by_date is not None and day > job.finish_by_date,
    )


def _state(work: AutumnWork, key: str) -> str:
    job = work.jobs.get(key)
    return _("done") if job is not None and job.state == "done" else _("no day planned")
