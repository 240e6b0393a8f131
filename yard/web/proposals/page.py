"""The proposal's page as sentences, counts and a grid of days."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, tzinfo

from yard.models import Boat, Closure, Event, Person, Proposal, ProposedPlan
from yard.queries.plan_difference import BoatMove, JobMove, boat_moves, people_who_change

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
        choices=tuple(proposal.choices.select_related("plan").order_by("rank")),
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
                cells[at.date()].append(Chip(proposed, at.date(), f"{at:%H:%M}", move.job.name))
    telling = [move for move in row.moves if move.change in ("moved", "dropped")]
    kinds = {(move.why.says.split("“")[0], move.why.boat): move for move in reversed(telling)}
    reasons = tuple(move for move in telling if move in kinds.values())
    return GridRow(row, tuple(tuple(cells[day]) for day in days), reasons, _hand(row))


def _hand(row: BoatMove) -> str:
    """Before and, where it differs, after; nothing where there is no date to count to."""
    if row.in_hand_was is None:
        return ""
    was, becomes = _days_in_hand(row.in_hand_was), _days_in_hand(row.in_hand_becomes)
    return was if was == becomes else f"{was}, then {becomes}"


def _days_in_hand(days: int | None) -> str:
    match days:
        case None:
            return "no day at all"
        case 0:
            return "no day in hand"
        case 1 | -1:
            return "1 day in hand" if days > 0 else "1 day late"
        case _:
            return f"{days} days in hand" if days > 0 else f"{-days} days late"


def _verdict(proposal: Proposal, choice: ProposedPlan, disturbed: Sequence[BoatMove], zone: tzinfo) -> str:
    said = " and ".join(_said(event, zone) for event in proposal.events.all()) or "As facts are now"
    if not disturbed:
        return f"{said}, nothing that was planned moves to another day"
    boats = f"{len(disturbed)} boat{'s' if len(disturbed) > 1 else ''} move{'' if len(disturbed) > 1 else 's'}"
    lost = choice.promises_lost
    promises = "no promised date is lost"
    if lost > 0:
        promises = f"{lost} promised date{'s are' if lost > 1 else ' is'} lost"
    lost_places = (choice.plan.unplaced or 0) - (proposal.based_on.unplaced or 0)
    if lost_places > 0:
        promises += f", and {lost_places} cannot be planned any more"
    return f"{said}, {boats} to another day and {promises}"


def _said(event: Event, zone: tzinfo) -> str:
    """What happened as the beginning of the verdict: of a closure, its day."""
    made = [row["pk"] for row in event.rows if row["model"] == "Closure"]
    shut = Closure.objects.filter(pk__in=made).first()
    if shut is None:
        return f"With this ({event.says})"
    first, last = (at.astimezone(zone) for at in (shut.starts_at, shut.ends_at))
    days = f"{first:%A} {first.day} {first:%B}"
    if last.date() > first.date():
        days += f" to {last:%A} {last.day} {last:%B}"
    what = "" if shut.covers == Closure.Covers.OUTDOORS else f" for {shut.place or shut.get_covers_display()}"
    return f"With {days} closed{what} ({shut.reason})"


def people_to_choose() -> list[Person]:
    return list(Person.objects.filter(archived=False).order_by("short_name"))
