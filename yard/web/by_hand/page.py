"""The pages of changes by hand: one job with what it could be, and the draft with all that was changed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time

from django.http import QueryDict
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from yard.models import Job, Person, YardSettings
from yard.planning.by_hand import Offer, end_of, offers, offers_with_hers
from yard.planning.plan import Placement
from yard.planning.units import CannotExpress
from yard.services.change_by_hand import Draft, Tried, draft_faults, try_placement, with_people
from yard.services.read_problem import ReadProblem
from yard.web.by_hand.words import breach_words, span_words, water_words
from yard.web.request import number_in
from yard.web.units import local

FEW = 3
"""With fewer places than this where nobody moves, those are looked for where her own work does."""


@dataclass(frozen=True)
class OfferRow:
    """One placement that holds. value: what is sent back to choose it."""

    when: str
    people: str
    places: str
    note: str
    value: str
    moved: int


@dataclass(frozen=True)
class MoveRow:
    """Somebody else's job that would move."""

    name: str
    was: str
    becomes: str


@dataclass(frozen=True)
class TriedRow:
    """A placement asked for: does it hold, what does it break, may that be waived, who else would move."""

    when: str
    people: str
    value: str
    fits: bool
    never: tuple[str, ...]
    may_waive: tuple[str, ...]
    moved: tuple[MoveRow, ...]
    others_help: bool


@dataclass(frozen=True)
class HandJob:
    """The page of one job. why_not: why it cannot be moved at all, "" if it can."""

    job: Job
    now: str
    people: tuple[tuple[Person, bool], ...]
    offers: tuple[OfferRow, ...]
    with_hers: tuple[OfferRow, ...]
    tried: TriedRow | None
    why_not: str
    asked_day: date
    asked_time: str
    longest_min: int


class NotUnderstood(ValueError):
    """What was typed names no placement; the text says what to do."""


def hand_job(draft: Draft, job: Job, asked: QueryDict, yard: YardSettings) -> HandJob:
    """asked: ?day= to look near a day; ?at=, ?people= to try a time of one's own."""
    read, plan = draft.read, draft.plan
    people = Person.objects.in_bulk(list(read.people))
    why_not = cannot_move(draft, job)
    if why_not:
        today = local(read.now).date()
        return HandJob(job, "", (), (), (), None, why_not, today, "08:00", 0)
    number = read.jobs.index(job.pk)
    placed = plan.by_job().get(number)
    near = _near(asked, read)
    crew = set() if placed is None else {read.people[one] for one in placed.people}
    tried = None
    if asked.get("at"):
        tried = tried_row(draft, wanted_of(draft, number, asked), yard)
    at = local(read.axis.timeline.starts_at(placed.starts_at)) if placed is not None else local(read.now)
    chosen = {number_in(pk) for pk in asked.getlist("people")} - {0} or crew
    return HandJob(
        job=job,
        now=f"{span_words(placed, read)}, {_names(placed, read)}" if placed is not None else "",
        people=tuple((people[pk], pk in chosen) for pk in read.people if pk in people),
        offers=(found := _offers(draft, number, near)),
        with_hers=_with_hers(draft, number) if len(found) < FEW and tried is None else (),
        tried=tried,
        why_not="",
        asked_day=_day(asked.get("day", "")) or at.date(),
        asked_time=asked.get("at", "") or f"{at:%H:%M}",
        longest_min=min(way.duration_quarters for way in read.problem.jobs[number].ways) * 15,
    )


def cannot_move(draft: Draft, job: Job) -> str:
    """Why a job is not moved by hand, or nothing."""
    if job.state in (Job.State.STARTED, Job.State.DONE, Job.State.CANCELLED):
        return _("It is {state}: it stays where it is.").format(state=job.get_state_display())
    if job.pk not in draft.read.jobs:
        held = next((one.reason for one in draft.read.held if one.job.pk == job.pk), _("its order is not open"))
        return _("It is not planned: {why}.").format(why=held)
    return ""


def wanted_of(draft: Draft, number: int, asked: QueryDict) -> Placement:
    """The placement that a form names: a day, a time, people.  Raises NotUnderstood."""
    read = draft.read
    day = _day(asked.get("day", ""))
    try:
        clock = time.fromisoformat(asked.get("at", ""))
    except ValueError:
        day = None
        clock = time()
    if day is None:
        raise NotUnderstood(_("Give a day and a time on the quarter of an hour, as 08:15."))
    start = read.axis.timeline.first_at_or_after(read.axis.minute(timezone.make_aware(datetime.combine(day, clock))))
    if start >= read.axis.timeline.size or local(read.axis.timeline.starts_at(start)).date() != day:
        raise NotUnderstood(_("Nobody works then: that day or hour is not in the plan's calendar."))
    return _there(draft, number, start, asked.getlist("people"))


def _there(draft: Draft, number: int, start: int, people: Sequence[str]) -> Placement:
    """The job at that start, by the way and at the places it has now, or by its first way and the first that fit."""
    read = draft.read
    problem, placed = read.problem, draft.plan.by_job().get(number)
    index = {pk: at for at, pk in enumerate(read.people)}
    chosen = [index[pk] for pk in map(number_in, people) if pk in index]
    if placed is None:
        way = problem.jobs[number].ways[0]
        places = tuple((need.any_of[0], unit) for need in way.places for unit in range(need.units))
        placed = Placement(job=number, way=0, starts_at=start, ends_at=start + 1, people=(), places=places)
    row = replace(placed, starts_at=start)
    if chosen:
        row = with_people(draft, row, chosen)
    return replace(row, ends_at=end_of(problem, number, row.way, row.people, start))


def value_of(row: Placement, read: ReadProblem) -> str:
    """A placement as one field of a form, in row ids and clock times."""
    people = " ".join(str(read.people[one]) for one in row.people)
    places = ",".join(f"{read.problem.places[place].key}:{unit}" for place, unit in row.places)
    return "|".join((str(row.way), read.axis.timeline.starts_at(row.starts_at).isoformat(), people, places))


def placement_of(draft: Draft, number: int, value: str) -> Placement:
    """The field read back.  Raises NotUnderstood where it names what is gone."""
    read = draft.read
    people = {str(pk): at for at, pk in enumerate(read.people)}
    places = {place.key: at for at, place in enumerate(read.problem.places)}
    try:
        way_text, at, crew, held = value.split("|")
        way = int(way_text)
        start = read.axis.timeline.position_at(read.axis.minute(datetime.fromisoformat(at)))
        units = [each.rpartition(":") for each in held.split(",") if each]
        row = Placement(
            job=number,
            way=way,
            starts_at=start,
            ends_at=start + 1,
            people=tuple(people[pk] for pk in crew.split()),
            places=tuple((places[key], int(unit)) for key, _, unit in units),
        )
        return replace(row, ends_at=end_of(read.problem, number, way, row.people, start))
    except (ValueError, KeyError, IndexError) as error:
        raise NotUnderstood(_("The page is out of date: look at the job again.")) from error


def tried_row(draft: Draft, wanted: Placement, yard: YardSettings) -> TriedRow:
    tried = try_placement(draft, wanted)
    read, plan = draft.read, tried.judged.plan
    wet = tuple(water_words(fault, yard) for fault in tried.wet)
    dry = [one for one in tried.never if not (wet and one.numbers.get("window") == "water")]
    return TriedRow(
        when=span_words(wanted, read),
        people=_names(wanted, read),
        value=value_of(wanted, read),
        fits=tried.holds,
        never=(*wet, *(breach_words(one, read, plan) for one in dry)),
        may_waive=tuple(breach_words(one, read, plan) for one in tried.may_waive),
        moved=_moved(draft, tried),
        others_help=tried.judged.with_others is not None
        and not tried.wet
        and all(one.waivable for one in tried.judged.left),
    )


def _moved(draft: Draft, tried: Tried) -> tuple[MoveRow, ...]:
    after = tried.judged.with_others
    if after is None:
        return ()
    read, was, becomes = draft.read, draft.plan.by_job(), after.by_job()
    return tuple(
        MoveRow(
            _title(read, number),
            span_words(was[number], read) if number in was else "",
            f"{span_words(becomes[number], read)}, {_names(becomes[number], read)}"
            if number in becomes
            else _("no place"),
        )
        for number in tried.judged.moved
    )


def _offers(draft: Draft, number: int, near: int | None) -> tuple[OfferRow, ...]:
    try:
        found = offers(draft.read.problem, draft.plan, number, near=near)
    except (CannotExpress, ValueError):
        return ()
    return tuple(_offer(draft.read, one) for one in found)


def _with_hers(draft: Draft, number: int) -> tuple[OfferRow, ...]:
    try:
        found = offers_with_hers(draft.read.problem, draft.plan, number)
    except (CannotExpress, ValueError):
        return ()
    return tuple(_offer(draft.read, one) for one in found if one.moved)


def _offer(read: ReadProblem, one: Offer) -> OfferRow:
    row = one.placement
    late = _("on time")
    if one.late_days:
        late = ngettext("{n} working day late", "{n} working days late", one.late_days).format(n=one.late_days)
    places = ", ".join(read.problem.places[place].name for place, _unit in row.places)
    return OfferRow(span_words(row, read), _names(row, read), places, late, value_of(row, read), one.moved)


def _title(read: ReadProblem, number: int) -> str:
    job = read.problem.jobs[number]
    return f"{read.problem.boats[job.boat].name}, {job.name}"


def _names(row: Placement, read: ReadProblem) -> str:
    return ", ".join(read.problem.people[one].name for one in row.people)


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


def _near(asked: QueryDict, read: ReadProblem) -> int | None:
    day = _day(asked.get("day", ""))
    if day is None:
        return None
    noon = timezone.make_aware(datetime.combine(day, time(10)))
    at = read.axis.timeline.first_at_or_after(read.axis.minute(noon))
    return min(at, read.axis.timeline.size - 1)


def fault_words(draft: Draft) -> list[str]:
    """What the draft breaks as a whole, in sentences."""
    return [breach_words(one, draft.read, draft.plan) for one in draft_faults(draft)]
