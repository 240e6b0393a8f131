"""The store plan beside the hauls that the posted plan has: who comes on another day, and rows filled by those days.

A store plan asks for days; tides, weather and other work decide on which day a boat is hauled. She then stands
outermost of whoever is there, whatever the plan drew. So the rows can be filled again by the turn of the hauls.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from zoneinfo import ZoneInfo

from yard.models import Boat, Job, Plan, PlannedJob, StowPlan, StowSpot
from yard.services.stowing.ground import Ground
from yard.stowing.emptying import fewest
from yard.stowing.values import Emptied, Layout, launch_order

NODES = 2_000


@dataclass(frozen=True)
class Hauls:
    """When the posted plan hauls each boat, by boat id; number: of that plan."""

    number: int
    starts: Mapping[int, datetime]


@dataclass(frozen=True)
class MovedHaul:
    """asked: the day that the store plan has; hauled: the day that the posted plan has."""

    name: str
    asked: date
    hauled: date


@dataclass(frozen=True)
class HaulsMoved:
    """What the hauls of the posted plan make of a store plan.

    in_turn: along each row they come in the turn that was drawn. extra: extra moves of spring if each is put into her
    row as she comes, None where the store could not be emptied so, or where somebody has no row in the plan.
    """

    number: int
    moved: tuple[MovedHaul, ...]
    in_turn: bool
    extra: int | None


def posted_hauls() -> Hauls | None:
    """Hauls to come; None where no plan is posted or it hauls nobody. One query."""
    rows = PlannedJob.objects.filter(
        plan__state=Plan.State.POSTED, job__kind__key="haul", job__state=Job.State.OPEN, job__order__boat__isnull=False
    )
    starts: dict[int, datetime] = {}
    number = 0
    for boat, at, plan in rows.order_by("starts_at", "id").values_list("job__order__boat", "starts_at", "plan__number"):
        starts.setdefault(boat, at)
        number = plan or 0  # whatever was posted has a number
    return Hauls(number, starts) if starts else None


def ground_as_hauled(ground: Ground, hauls: Hauls, zone: ZoneInfo) -> Ground:
    """The same store, but each boat comes in her turn of the posted plan; whom it does not haul comes after, as wanted.

    A turn stands for a day here: of two hauls of one day the later one stands farther out.
    """
    turns = sorted({hauls.starts[boat.pk] for boat in _coming(ground) if boat.pk in hauls.starts})
    turn_of = {at: number for number, at in enumerate(turns)}
    days = [at.astimezone(zone).date() for at in turns]
    boats = list(ground.store.boats)
    for index in sorted(ground.store.coming, key=lambda index: (boats[index].wanted, index)):
        at = hauls.starts.get(ground.boats[index].pk)
        if at is None:
            turn = len(days)
            days.append(ground.open_days[boats[index].wanted])
        else:
            turn = turn_of[at]
        boats[index] = replace(boats[index], comes=(turn, turn), wanted=turn)
    at_once = Counter(boats[index].wanted for index in ground.store.coming)
    store = replace(ground.store, boats=tuple(boats), most_a_day=max([1, *at_once.values()]))
    return replace(ground, store=store, open_days=tuple(days))


def hauls_moved(plan: StowPlan, spots: Sequence[StowSpot], ground: Ground, zone: ZoneInfo) -> HaulsMoved | None:
    """None where the posted plan hauls everybody on the day that the store plan has. One query."""
    hauls = posted_hauls()
    if hauls is None or plan.kind != StowPlan.Kind.BOATS:
        return None
    moved = []
    for spot in spots:
        at = hauls.starts.get(spot.boat_id)
        if at is not None and spot.on is not None and (hauled := at.astimezone(zone).date()) != spot.on:
            moved.append(MovedHaul(spot.boat.name, spot.on, hauled))
    drawn, coming = _layout(ground, spots, None), _layout(ground, spots, ground_as_hauled(ground, hauls, zone))
    if not moved and drawn == coming:
        return None
    return HaulsMoved(hauls.number, tuple(moved), drawn == coming, extra_moves(ground, coming))


def extra_as_hauled(spots: Sequence[StowSpot], ground: Ground, hauls: Hauls, zone: ZoneInfo) -> int | None:
    """Extra moves of spring with the rows of these spots, each boat put in as she is hauled; None as in HaulsMoved."""
    return extra_moves(ground, _layout(ground, spots, ground_as_hauled(ground, hauls, zone)))


def extra_moves(ground: Ground, layout: Layout | None) -> int | None:
    """None where the store cannot be emptied so, or for no layout."""
    if layout is None:
        return None
    emptied = fewest(ground.store, layout, launch_order(ground.store.boats), nodes=NODES)
    return emptied.extra if isinstance(emptied, Emptied) else None


def _coming(ground: Ground) -> list[Boat]:
    return [ground.boats[index] for index in ground.store.coming]


def _layout(ground: Ground, spots: Sequence[StowSpot], hauled: Ground | None) -> Layout | None:
    """Who stands, then who comes to each row: as drawn, or in the turn of the hauls. None where a boat has no spot."""
    index = {boat.pk: number for number, boat in enumerate(ground.boats)}
    here = ground.store.standing_set
    rows: dict[tuple[int, int], list[int]] = {(place.pk, level): [] for place, level in ground.rows}
    for spot in sorted(spots, key=lambda spot: (spot.place_id, spot.level, spot.position)):
        number = index.get(spot.boat_id)
        if number is not None and number not in here and (spot.place_id, spot.level) in rows:
            rows[spot.place_id, spot.level].append(number)
    if hauled is not None:
        for row in rows.values():
            row.sort(key=lambda number: hauled.store.boats[number].wanted)
    placed = sum(len(row) for row in rows.values())
    if placed < len(ground.store.coming):
        return None
    return tuple((*stand, *row) for stand, row in zip(ground.store.standing, rows.values(), strict=True))
