"""The store plan as the season reads it: who stands farther in is hauled first, and a row holds so many a night."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from django.utils.translation import gettext as _

from yard.models import Job, StowSpot, Whereabouts
from yard.planning import problem as planner
from yard.services.read_problem.jobs import JobBook
from yard.services.read_problem.places import PlaceBook


@dataclass
class Stowing:
    """links between hauls of one row, stays in rows from the haul on, and a note where the plan cannot be kept."""

    links: list[planner.Link] = field(default_factory=list)
    stays: list[planner.Stay] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)


def stow_links(
    spots: Sequence[StowSpot],
    lying: Mapping[int, Whereabouts],
    book: JobBook,
    places: PlaceBook,
    boats: Mapping[int, int],
) -> Stowing:
    """spots: of the accepted plan, each row from the wall outward. boats: the planner's index by boat id.

    A boat that stands in a row already, or that nothing hauls any more, holds nobody up.
    """
    found = Stowing()
    hauls = _hauls(book)
    inner: dict[int, StowSpot] = {}
    known = {row.pk for row in places.rows if row is not None}
    for spot in spots:
        if spot.boat_id not in hauls or spot.place_id not in known:
            continue
        here = lying.get(spot.boat_id)
        if here is not None and here.kind == Whereabouts.Kind.STORE_ROW:
            continue
        row = places.index_of(spot.place)
        haul = hauls[spot.boat_id]
        if (before := inner.get(spot.place_id)) is not None:
            reason = _("{boat} is to stand farther in, in {place}").format(boat=before.boat.name, place=spot.place)
            found.links.append(planner.Link(before=hauls[before.boat_id], after=haul, reason=reason))
        found.stays.append(planner.Stay(boat=boats[spot.boat_id], any_of=(row,), from_job=haul))
        inner[spot.place_id] = spot
    found.notes += _in_the_way(spots, lying, hauls)
    return found


def _hauls(book: JobBook) -> dict[int, int]:
    """The planned job that hauls each boat."""
    found: dict[int, int] = {}
    for index, row in enumerate(book.rows):
        if row.kind.key == "haul" and row.order.boat_id is not None and row.state == Job.State.OPEN:
            found.setdefault(row.order.boat_id, index)
    return found


def _in_the_way(spots: Sequence[StowSpot], lying: Mapping[int, Whereabouts], hauls: Mapping[int, int]) -> list[str]:
    """Somebody was put in farther out already, and the one behind her has yet to come."""
    waiting: dict[int, StowSpot] = {}
    notes = []
    for spot in spots:
        here = lying.get(spot.boat_id)
        stands = here is not None and here.kind == Whereabouts.Kind.STORE_ROW and here.place_id == spot.place_id
        if spot.boat_id in hauls and not stands:
            waiting.setdefault(spot.place_id, spot)
        elif stands and not spot.standing and spot.place_id in waiting:
            notes.append(
                _("{boat} stands in {place} already, and {inner} was to stand behind her: plan the store anew.").format(
                    boat=spot.boat.name, place=spot.place, inner=waiting[spot.place_id].boat.name
                )
            )
    return notes
