"""The winter store is a stack: a boat further out leaves before the boat behind her."""

from __future__ import annotations

from collections.abc import Mapping

from django.utils.translation import gettext as _

from yard.models import Job, Whereabouts
from yard.planning import problem as planner
from yard.services.read_problem.jobs import JobBook

LEAVING_PLACES = {"trailer", "apron", "wash_deck", "slings", "ramp"}


def stack_links(lying: Mapping[int, Whereabouts], book: JobBook) -> tuple[list[planner.Link], list[str]]:
    """Links between the jobs that take boats out of one row of the store, and a note where a boat stays in the way.

    Position 1 stands innermost, so a higher number leaves first.  A boat in the way whose own work takes her
    nowhere costs a move by hand: the plan says so and goes on.
    """
    leaving = _leaving_jobs(book)
    rows: dict[int, list[Whereabouts]] = {}
    for here in lying.values():
        if here.kind == Whereabouts.Kind.STORE_ROW and here.place_id is not None:
            rows.setdefault(here.place_id, []).append(here)
    links, notes = [], []
    for standing in rows.values():
        standing.sort(key=lambda here: -(here.position or 0))
        outer: Whereabouts | None = None
        for here in standing:
            if here.boat_id not in leaving:
                if any((other.position or 0) < (here.position or 0) and other.boat_id in leaving for other in standing):
                    notes.append(
                        _("{boat} stands in the way in {place} and nothing takes her out.").format(
                            boat=here.boat.name, place=here.place
                        )
                    )
                continue
            if outer is not None:
                links.append(
                    planner.Link(
                        before=leaving[outer.boat_id],
                        after=leaving[here.boat_id],
                        reason=_("{boat} stands in front of her in {place}").format(
                            boat=outer.boat.name, place=here.place
                        ),
                    )
                )
            outer = here
    return links, notes


def _leaving_jobs(book: JobBook) -> dict[int, int]:
    """For each boat the first planned job that takes her out of the store."""
    found: dict[int, int] = {}
    for index, row in enumerate(book.rows):
        kinds = {kind for way in row.ways.all() for kind in way.place_kinds}
        boat = row.order.boat_id
        if boat is not None and kinds & LEAVING_PLACES and row.kind.needs_boat and row.state == Job.State.OPEN:
            found.setdefault(boat, index)
    return found
