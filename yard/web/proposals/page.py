"""The proposal's page as sentences, counts and a grid of days."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, tzinfo

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from yard.day_names import said
from yard.models import Boat, Closure, Event, Person, Proposal, ProposedPlan
from yard.planning.listed import listed
from yard.queries.plan_difference import BoatMove, JobMove, Reason, boat_moves, people_who_change

MOST_DAYS = 5  # columns of the grid; a job that moves from or to a later day stands in the table below

SMALL = ("hours", "people")


@dataclass(frozen=True, slots=True)
class Chip:
    """A job in a day's cell: posted (outlined) or proposed (basted)."""

    proposed: bool
    day: date
    time: str
    name: str


@dataclass(frozen=True, slots=True)
class GridRow:
    """A boat that moves, with a tuple of chips for each day of the grid.  hand: days in hand before and after."""

    move: BoatMove
    days: tuple[tuple[Chip, ...], ...]
    reasons: tuple[JobMove, ...]
    hand: str = ""


@dataclass(frozen=True, slots=True)
class ProposalPage:
    """What the template shows. moves: jobs with another day.  small_moves: those with other hours or hands alone."""

    choice: ProposedPlan
    choices: tuple[ProposedPlan, ...]
    verdict: str
    days: tuple[date, ...]
    grid: tuple[GridRow, ...]
    moves: tuple[JobMove, ...]
    small_moves: tuple[JobMove, ...]
    owners_days: int
    people: tuple[str, ...]
    must_move: int
    untouched: int
    to_tell: tuple[BoatMove, ...]
    kept: tuple[str, ...]
    not_kept: tuple[str, ...]


def proposal_page(proposal: Proposal, choice: ProposedPlan, zone: tzinfo) -> ProposalPage:
    rows = boat_moves(proposal.based_on, choice.plan, zone)
    disturbed = tuple(row for row in rows if row.disturbed)
    days = _days(disturbed, zone)
    tell = tuple(row for row in disturbed if row.done_was != row.done_becomes or row.told)
    planned = Boat.objects.filter(orders__jobs__planned_jobs__plan=proposal.based_on).distinct().count()
    return ProposalPage(
        choice=choice,
        choices=tuple(proposal.choices.select_related("plan").defer("plan__problem", "plan__plan").order_by("rank")),
        verdict=_verdict(proposal, choice, disturbed, zone),
        days=days,
        grid=tuple(_grid_row(row, days, zone) for row in disturbed),
        moves=tuple(move for row in rows for move in row.moves if move.change not in SMALL),
        small_moves=tuple(move for row in rows for move in row.moves if move.change in SMALL),
        owners_days=sum(row.done_was != row.done_becomes for row in disturbed),
        people=people_who_change(rows),
        must_move=len(proposal.must_move),
        untouched=planned - sum(row.boat is not None for row in disturbed),
        to_tell=tell,
        kept=_kept(proposal),
        not_kept=tuple(str(row["says"]) for row in proposal.not_kept),
    )


def _kept(proposal: Proposal) -> tuple[str, ...]:
    """Who stays as was wished: boats of which nothing had to be given up, and people."""
    lost = {row["boat"] for row in proposal.not_kept}
    boats = Boat.objects.filter(pk__in=proposal.wishes.get("keep_boats", ())).exclude(pk__in=lost)
    people = Person.objects.filter(pk__in=proposal.wishes.get("leave_people", ()))
    names = (boats.order_by("name").values_list("name", flat=True), people.values_list("short_name", flat=True))
    return tuple(name for found in names for name in found)


def _days(rows: Sequence[BoatMove], zone: tzinfo) -> tuple[date, ...]:
    found = {
        planned.starts_at.astimezone(zone).date()
        for row in rows
        for move in row.moves
        for planned in (move.was, move.becomes)
        if planned is not None and move.change not in SMALL
    }
    return tuple(sorted(found)[:MOST_DAYS])


def _grid_row(row: BoatMove, days: tuple[date, ...], zone: tzinfo) -> GridRow:
    cells: dict[date, list[Chip]] = {day: [] for day in days}
    for move in row.moves:
        if move.change in SMALL:
            continue
        for proposed, planned in ((False, move.was), (True, move.becomes)):
            if planned is None:
                continue
            at = planned.starts_at.astimezone(zone)
            if at.date() in cells:
                cells[at.date()].append(Chip(proposed, at.date(), said(at, "H:i"), move.job.name))
    telling = [move for move in row.moves if move.change in ("moved", "dropped")]
    kinds = {one_told_of(move.why): move for move in reversed(telling)}
    reasons = tuple(move for move in telling if move in kinds.values())
    return GridRow(row, tuple(tuple(cells[day]) for day in days), reasons, _hand(row))


def one_told_of(why: Reason) -> tuple[str, str, Boat | None]:
    """Of jobs that wait for one another one is told of; of any other reason each that differs."""
    return why.cause, "" if why.cause == "waits" else why.says, why.boat


def _hand(row: BoatMove) -> str:
    """Before and, where it differs, after; nothing where there is no date to count to."""
    if row.in_hand_was is None:
        return ""
    was, becomes = _days_in_hand(row.in_hand_was), _days_in_hand(row.in_hand_becomes)
    return was if was == becomes else _("{before}, then {after}").format(before=was, after=becomes)


def _days_in_hand(days: int | None) -> str:
    if days is None:
        return _("no day at all")
    if days == 0:
        return _("no day in hand")
    if days > 0:
        return ngettext("{n} day in hand", "{n} days in hand", days).format(n=days)
    return ngettext("{n} day late", "{n} days late", -days).format(n=-days)


def _verdict(proposal: Proposal, choice: ProposedPlan, disturbed: Sequence[BoatMove], zone: tzinfo) -> str:
    said = listed(_said(event, zone) for event in proposal.events.all()) or _("As facts are now")
    if not disturbed:
        return _("{what_happened}, nothing that was planned moves to another day").format(what_happened=said)
    moving = ngettext(
        "{what_happened}, {n} boat moves to another day and {promises}",
        "{what_happened}, {n} boats move to another day and {promises}",
        len(disturbed),
    )
    return moving.format(what_happened=said, n=len(disturbed), promises=_promises(proposal, choice))


def _promises(proposal: Proposal, choice: ProposedPlan) -> str:
    """What becomes of promised dates, and of work that the posted plan had."""
    lost = max(0, choice.promises_lost)
    said = _("no promised date is lost")
    if lost:
        said = ngettext("{n} promised date is lost", "{n} promised dates are lost", lost).format(n=lost)
    lost_places = (choice.plan.unplaced or 0) - (proposal.based_on.unplaced or 0)
    if lost_places > 0:
        said = _("{promises}, and {n} cannot be planned any more").format(promises=said, n=lost_places)
    return said


def _said(event: Event, zone: tzinfo) -> str:
    """What happened as the beginning of the verdict: of a closure, its day."""
    made = [row["pk"] for row in event.rows if row["model"] == "Closure"]
    shut = Closure.objects.filter(pk__in=made).first()
    if shut is None:
        return _("With this ({event})").format(event=event.says)
    first, last = (at.astimezone(zone) for at in (shut.starts_at, shut.ends_at))
    days = said(first, "l j F")
    if last.date() > first.date():
        days = _("{first} to {last}").format(first=days, last=said(last, "l j F"))
    if shut.covers == Closure.Covers.OUTDOORS:
        return _("With {days} closed ({why})").format(days=days, why=shut.reason)
    what = shut.place or shut.get_covers_display()
    return _("With {days} closed for {what} ({why})").format(days=days, what=what, why=shut.reason)


def people_to_choose() -> list[Person]:
    return list(Person.objects.filter(archived=False).order_by("short_name"))
