"""The head of her page: the verdict in words, her dates as cloth, what comes next."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from yard.models import Fact, Job, Order, Telling, WaterNeed
from yard.queries.boat_list import NO_ORDER, Standing
from yard.queries.boat_page import BoatRows
from yard.queries.season_board import LATE, NO_HAND, NO_PLAN, WAITING
from yard.web.boats.jobs import JobLine, Line, all_done, dry_days
from yard.web.boats.water import HerWater, RampJob
from yard.web.boats.words import count, date_words
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
    plan = f"plan {rows.plan.number}" if rows.plan is not None else ""
    waits = _waits_words(rows)
    if standing.state == NO_ORDER:
        return Verdict("none", "", "No open order", "Nothing is planned for her until something is ordered.")
    if all_done(rows.network.jobs):
        return Verdict("ok", "ok", "Everything ordered is done", _done_words(rows))
    match standing.state:
        case s if s == LATE:
            days = count(-(standing.days_in_hand or 0), "working day")
            late = f"{days} late in {plan}" if standing.days_in_hand is not None else f"Not in {plan}"
            return Verdict("late", "late", late, reason or why_late(rows, standing, water, ramp) or waits)
        case s if s == WAITING:
            named = ", ".join(fact.name for fact in waiting_facts(rows))
            return Verdict("wait", "wait", f"Waiting on {named or 'a fact'}", _joined(standing.reason, waits))
        case s if s == NO_HAND:
            return Verdict("nohand", "nohand", f"No day in hand in {plan}", _keeps(standing))
        case s if s == NO_PLAN:
            why = "No plan is posted yet." if rows.plan is None else f"Her order is younger than {plan}: plan again."
            return Verdict("wait", "wait", "Not planned yet", _joined(why, waits))
    if standing.days_in_hand is None:
        return Verdict("ok", "ok", "Planned; no date to keep", _keeps(standing))
    return Verdict("ok", "ok", f"On time, {count(standing.days_in_hand, 'day')} in hand in {plan}", _keeps(standing))


def why_late(rows: BoatRows, standing: Standing, water: HerWater | None, ramp: RampJob | None) -> str:
    """The cause that can be shown: what the planner said, or the water between her being ready and her tide."""
    if standing.reason:
        return standing.reason
    dry = dry_days(water, ramp)
    if not dry or water is None or ramp is None:
        return ""
    first = date_words(water.first_tide) if water.first_tide else ""
    after = f" after {ramp.ready_after}" if ramp.ready_after else ""
    return f"The water sets her date: the first tide that floats her{after} is {first}."


def _keeps(standing: Standing) -> str:
    done = f"Done by {date_words(standing.done_by)}" if standing.done_by else ""
    due = f"to keep {date_words(standing.due)}" if standing.due else ""
    return f"{done}, {due}." if done and due else f"{done or due}."


def _done_words(rows: BoatRows) -> str:
    ends = [job.actual_ends_at for job in rows.network.jobs if job.actual_ends_at is not None]
    return f"The last of it on {date_words(local(max(ends)).date())}." if ends else ""


def _joined(*words: str) -> str:
    return " ".join(word if word.endswith(".") else f"{word}." for word in words if word)


def waiting_facts(rows: BoatRows) -> list[Fact]:
    """Facts that are not here and that an open job of hers waits for."""
    undone = {job.pk for job in rows.network.jobs if job.state in (Job.State.OPEN, Job.State.STARTED)}
    return [
        fact
        for fact in rows.facts
        if fact.state != Fact.State.HERE and any(job.pk in undone for job in fact.jobs.all())
    ]


def _waits_words(rows: BoatRows) -> str:
    return "; ".join(f"{fact.name} {fact_words(fact)}" for fact in waiting_facts(rows))


def fact_words(fact: Fact) -> str:
    """ "here since Tue 4 May", "expected Tue 4 May, says the harbour office", "expected Tue 4 May, a guess" """
    match fact.state:
        case Fact.State.HERE:
            return f"here since {date_words(fact.here_since)}" if fact.here_since else "here"
        case Fact.State.EXPECTED if fact.expected_date is not None:
            source = "a guess" if fact.guess else f"says {fact.told_by}" if fact.told_by else ""
            return f"expected {date_words(fact.expected_date)}" + (f", {source}" if source else "")
    return "not known"


def dates_of(rows: BoatRows) -> list[DateCell]:
    """The owner's dates and the plan's, in the order in which they come about."""
    cells = [DateCell("Owner's earliest", date_words(day)) for day in _first(rows.orders, "earliest_date")]
    cells += [DateCell("Wanted", date_words(day)) for day in _first(rows.orders, "wanted_date")]
    cells += [DateCell("Promised by", date_words(day), "prom") for day in _first(rows.orders, "promised_date")]
    launch = next((job for job in rows.network.jobs if job.kind.key == LAUNCHES), None)
    if launch is not None:
        cells += _job_cell(rows, launch, "Launch", "Launched")
    last = _last_job(rows)
    if last is not None and last != launch:
        cells += _job_cell(rows, last, last.name, f"{last.name}, done")
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
        return [DateCell(f"{ahead}, not planned", "–", "basteddate")]
    day = local(planned.ends_at if job.water_need != WaterNeed.RAMP else planned.starts_at).date()
    told = told_last(rows)
    firm = (
        told is not None
        and told.state == Telling.State.FIRM
        and told.told_date == day
        and told.order_id == job.order_id
    )
    return [
        DateCell(
            f"{ahead}, firm" if firm else f"{ahead}, provisional", date_words(day), "firmdate" if firm else "basteddate"
        )
    ]


def told_last(rows: BoatRows) -> Telling | None:
    """What her owner was told last and was not taken back."""
    return next((telling for telling in rows.owned.tellings if telling.taken_back_at is None), None)


def telling_words(telling: Telling) -> str:
    """ "firm, Fri 14 May", "provisional week of Mon 10 May, reserve Mon 17 May" """
    words = telling.get_state_display()
    if telling.told_date is not None:
        week = telling.state == Telling.State.PROVISIONAL_WEEK
        words += f" of {date_words(telling.told_date)}" if week else f", {date_words(telling.told_date)}"
    return f"{words}, reserve {date_words(telling.reserve_date)}" if telling.reserve_date else words


def next_words(lines: list[Line]) -> str:
    """ "Bottom paint, Fri 7 May, 08:00 to 11:30, Arne, apron 2" """
    for line in lines:
        if isinstance(line, JobLine) and line.job.state == Job.State.STARTED:
            return f"Under way: {line.job.name}, {line.who}".rstrip(", ")
    for line in lines:
        if isinstance(line, JobLine) and line.job.state == Job.State.OPEN and line.when != "not planned":
            return "Next: " + ", ".join(part for part in (line.job.name, line.when, line.who, line.where) if part)
    return ""
