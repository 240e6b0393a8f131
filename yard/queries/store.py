"""Reads of the store: who stands in which row and when she leaves it, and what lies on its racks."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Min, OuterRef, Subquery

from yard.models import Item, ItemWhereabouts, Job, Place, PlaceKind, Plan, PlannedJob, WaterNeed, Whereabouts

STACK_KINDS = (PlaceKind.SPAR_RACK, PlaceKind.SAIL_STORE)


@dataclass(frozen=True)
class StoreRows:
    """rows: by the yard's order; standing: by row, from the wall outward. leaves: by boat, when she goes as planned."""

    rows: tuple[Place, ...]
    standing: dict[int, tuple[Whereabouts, ...]]
    leaves: dict[int, datetime]
    racks: tuple[Place, ...]
    lying: dict[int, tuple[Item, ...]]


def store_rows(plan: Plan | None) -> StoreRows:
    """Four queries, however many boats and things."""
    places = Place.objects.filter(archived=False, kind__in=[PlaceKind.STORE_ROW, *STACK_KINDS])
    found = list(places.order_by("sequence", "name", "id"))
    latest = Whereabouts.objects.filter(boat=OuterRef("boat")).order_by("-since", "-id").values("pk")[:1]
    rows = Whereabouts.objects.filter(pk=Subquery(latest), kind="store_row", boat__archived=False)
    standing: defaultdict[int, list[Whereabouts]] = defaultdict(list)
    for row in rows.select_related("boat").order_by("position", "since", "id"):
        standing[row.place_id or 0].append(row)
    return StoreRows(
        rows=tuple(place for place in found if place.kind == PlaceKind.STORE_ROW),
        standing={place: tuple(boats) for place, boats in standing.items()},
        leaves=_leaves(plan),
        racks=tuple(place for place in found if place.kind in STACK_KINDS),
        lying=_lying(),
    )


def _leaves(plan: Plan | None) -> dict[int, datetime]:
    """The first work on the ramp that the plan has for each boat and that is not done."""
    if plan is None:
        return {}
    undone = PlannedJob.objects.filter(plan=plan, job__water_need=WaterNeed.RAMP).exclude(job__state=Job.State.DONE)
    found = undone.filter(job__order__boat__isnull=False).values_list("job__order__boat").order_by()
    return dict(found.annotate(first=Min("starts_at")))


def _lying() -> dict[int, tuple[Item, ...]]:
    latest = ItemWhereabouts.objects.filter(item=OuterRef("item")).order_by("-since", "-id").values("pk")[:1]
    rows = ItemWhereabouts.objects.filter(pk=Subquery(latest), place__kind__in=STACK_KINDS, item__archived=False)
    found: defaultdict[int, list[Item]] = defaultdict(list)
    for row in rows.select_related("item__boat").order_by("since", "id"):
        found[row.place_id or 0].append(row.item)
    return {place: tuple(items) for place, items in found.items()}
