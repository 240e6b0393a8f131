"""The head of her page: the verdict in words, her dates as cloth, what comes next."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from yard.models import Fact, Job, Order, Telling, WaterNeed
from yard.queries.boat_list import NO_ORDER, Standing
from yard.queries.boat_page import BoatRows
from yard.queries.season_board import LATE, NO_HAND, NO_PLAN, WAITING
from yard.web.boats.jobs import JobLine, Line, all_done, dry_days
from yard.web.boats.water import HerWater, RampJob
from yard.web.boats.words import date_words
from yard.web.units import local

LAUNCHES = "launch"


@dataclass(frozen=True)
class DateCell:
    """css: "" an owner's word, "prom" promised, "basteddate" provisional, "firmdate" firm."""

    label: str
    words: str
    css: str = ""


@dataclass(frozen=True)
class Verdict:
    """css: "late", "wait", "nohand", "ok" or "none"; icon: its mark, "" where it has none."""

    css: str
    icon: str
    head: str
    words: str


def verdict_of(
    rows: BoatRows, standing: Standing, water: HerWater | None, ramp: RampJob | None, *, reason: str = ""
) -> Verdict:
    """reason: why she ends when she does, as the board says it; "" where the plan kept none."""
    number = rows.plan.number if rows.plan is not None else None
    waits = _waits_words(rows)
    if standing.state == NO_ORDER:
        return Verdict("none", "", _("No open order"), _("Nothing is planned for her until something is ordered."))
    if all_done(rows.network.jobs):
        return Verdict("ok", "ok", _("Everything ordered is done"), _done_words(rows))
    match standing.state:
        case s if s == LATE:
            return Verdict(
                "late", "late", _late_words(standing, number), reason or why_late(rows, standing, water, ramp) or waits
            )
        case s if s == WAITING:
            named = ", ".join(fact.name for fact in waiting_facts(rows))
            return Verdict("wait", "wait", _waiting_on(named), _joined(standing.reason, waits))
        case s if s == NO_HAND:
            return Verdict(
                "nohand", "nohand", _("No day in hand in plan {number}").format(number=number), _keeps(standing)
            )
        case s if s == NO_PLAN:
            why = _("No plan is posted yet.")
            if rows.plan is not None:
                why = _("Her order is younger than plan {number}: plan again.").format(number=number)
            return Verdict("wait", "wait", _("Not planned yet"), _joined(why, waits))
    if standing.days_in_hand is None:
        return Verdict("ok", "ok", _("Planned; no date to keep"), _keeps(standing))
    days = standing.days_in_hand
    on_time = ngettext(
        "On time, {n} day in hand in plan {number}", "On time, {n} days in hand in plan {number}", days
    ).format(n=days, number=number)
    return Verdict("ok", "ok", on_time, _keeps(standing))


def _late_words(standing: Standing, number: int | None) -> str:
    if standing.days_in_hand is None:
        return _("Not in plan {number}").format(number=number)
    days = -standing.days_in_hand
    words = ngettext("{n} working day late in plan {number}", "{n} working days late in plan {number}", days)
    return words.format(n=days, number=number)


def _waiting_on(named: str) -> str:
    return _("Waiting on {facts}").format(facts=named) if named else _("Waiting on a fact")


def why_late(rows: BoatRows, standing: Standing, water: HerWater | None, ramp: RampJob | None) -> str:
    """The cause that can be shown: what the planner said, or the water between her being ready and her tide."""
    if standing.reason:
        return standing.reason
    dry = dry_days(water, ramp)
    if not dry or water is None or ramp is None:
        return ""
    first = date_words(water.first_tide) if water.first_tide else ""
    if not ramp.ready_after:
        return _("The water sets her date: the first tide that floats her is {day}.").format(day=first)
    return _("The water sets her date: the first tide that floats her after {job} is {day}.").format(
        job=ramp.ready_after, day=first
    )


def _keeps(standing: Standing) -> str:
    done = date_words(standing.done_by) if standing.done_by else ""
    due = date_words(standing.due) if standing.due else ""
    if done and due:
        return _("Done by {day}, to keep {due}.").format(day=done, due=due)
    if done:
        return _("Done by {day}.").format(day=done)
    return _("to keep {due}.").format(due=due) if due else "."


def _done_words(rows: BoatRows) -> str:
    ends = [job.actual_ends_at for job in rows.network.jobs if job.actual_ends_at is not None]
    return _("The last of it on {day}.").format(day=date_words(local(max(ends)).date())) if ends else ""


def _joined(*words: str) -> str:
    return " ".join(word if word.endswith(".") else f"{word}." for word in words if word)


def waiting_facts(rows: BoatRows) -> list[Fact]:
    """Facts that are not here and that an open job of hers waits for."""
    undone = {job.pk for job in rows.network.jobs if job.state in (Job.State.OPEN, Job.State.STARTED)}
    return [
        fact
        for fact in rows.facts
        if fact.state != Fact.State.HERE and any(job.pk in undone for job in rows.waiting.get(fact.pk, ()))
    ]


def _waits_words(rows: BoatRows) -> str:
    return "; ".join(f"{fact.name} {fact_words(fact)}" for fact in waiting_facts(rows))


def fact_words(fact: Fact) -> str:
    """ "here since Tue 4 May", "expected Tue 4 May, says the harbour office", "expected Tue 4 May, a guess" """
    match fact.state:
        case Fact.State.HERE:
            if fact.here_since is None:
                return _("here")
            return _("here since {day}").format(day=date_words(fact.here_since))
        case Fact.State.EXPECTED if fact.expected_date is not None:
            day = date_words(fact.expected_date)
            if fact.guess:
                return _("expected {day}, a guess").format(day=day)
            if fact.told_by:
                return _("expected {day}, says {who}").format(day=day, who=fact.told_by)
            return _("expected {day}").format(day=day)
    return _("not known")


def dates_of(rows: BoatRows) -> list[DateCell]:
    """The owner's dates and the plan's, in the order in which they come about."""
    cells = [DateCell(_("Owner's earliest"), date_words(day)) for day in _first(rows.orders, "earliest_date")]
    cells += [DateCell(_("Wanted"), date_words(day)) for day in _first(rows.orders, "wanted_date")]
    cells += [DateCell(_("Promised by"), date_words(day), "prom") for day in _first(rows.orders, "promised_date")]
    launch = next((job for job in rows.network.jobs if job.kind.key == LAUNCHES), None)
    if launch is not None:
        cells += _job_cell(rows, launch, _("Launch"), _("Launched"))
    last = _last_job(rows)
    if last is not None and last != launch:
        cells += _job_cell(rows, last, last.name, _("{job}, done").format(job=last.name))
    return cells


def _first(orders: tuple[Order, ...], field: str) -> list[date]:
    days = [getattr(order, field) for order in orders if getattr(order, field) is not None]
    return [min(days)] if days else []


def _last_job(rows: BoatRows) -> Job | None:
    """The job that the plan ends with, or that was done last."""

    def ends(job: Job) -> float:
        planned = rows.planned.jobs.get(job.pk)
        at = job.actual_ends_at or (planned.ends_at if planned else None)
        return at.timestamp() if at else float("-inf")

    timed = [job for job in rows.network.jobs if ends(job) > float("-inf")]
    return max(timed, key=lambda job: (ends(job), job.pk)) if timed else None


def _job_cell(rows: BoatRows, job: Job, ahead: str, done: str) -> list[DateCell]:
    if job.state == Job.State.DONE and job.actual_ends_at is not None:
        return [DateCell(done, date_words(local(job.actual_ends_at).date()))]
    planned = rows.planned.jobs.get(job.pk)
    if planned is None:
        return [DateCell(_("{what}, not planned").format(what=ahead), "–", "basteddate")]
    day = local(planned.ends_at if job.water_need != WaterNeed.RAMP else planned.starts_at).date()
    told = told_last(rows)
    firm = (
        told is not None
        and told.state == Telling.State.FIRM
        and told.told_date == day
        and told.order_id == job.order_id
    )
    words = _("{what}, firm") if firm else _("{what}, provisional")
    return [DateCell(words.format(what=ahead), date_words(day), "firmdate" if firm else "basteddate")]


def told_last(rows: BoatRows) -> Telling | None:
    """What her owner was told last and was not taken back."""
    return next((telling for telling in rows.owned.tellings if telling.taken_back_at is None), None)


def telling_words(telling: Telling) -> str:
    """ "firm, Fri 14 May", "provisional week of Mon 10 May, reserve Mon 17 May" """
    words = telling.get_state_display()
    if telling.told_date is not None:
        week = telling.state == Telling.State.PROVISIONAL_WEEK
        with_day = _("{state} of {day}") if week else _("{state}, {day}")
        words = with_day.format(state=words, day=date_words(telling.told_date))
    if telling.reserve_date is None:
        return words
    return _("{told}, reserve {day}").format(told=words, day=date_words(telling.reserve_date))


def next_words(lines: list[Line]) -> str:
    """ "Bottom paint, Fri 7 May, 08:00 to 11:30, Arne, apron 2" """
    for line in lines:
        if isinstance(line, JobLine) and line.job.state == Job.State.STARTED:
            if not line.who:
                return _("Under way: {job}").format(job=line.job.name)
            return _("Under way: {job}, {who}").format(job=line.job.name, who=line.who)
    for line in lines:
        if isinstance(line, JobLine) and line.job.state == Job.State.OPEN and line.filed:
            parts = (line.job.name, line.when, line.who, line.where)
            return _("Next: {what}").format(what=", ".join(part for part in parts if part))
    return ""
