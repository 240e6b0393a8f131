"""The one writer of the things of boats, as pages change them: sails, covers, cushions, masts, keys, cradles.

Where a thing is stands in rows of its own, which `whereabouts` adds.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from yard.models import Item
from yard.services.keeping import Keeper, Words


def _wrong_with(row: Item, values: Mapping[str, Any]) -> Words:
    wrong: dict[str, tuple[str, ...]] = {}
    if row.boat is None and row.order is None:
        wrong["boat"] = ("Name the boat whose it is.",)
    elif row.boat is not None and row.boat.archived and "boat" in values:
        wrong["boat"] = (f"{row.boat.name} is archived: bring her back first, or choose another boat.",)
    if row.sail_number and row.kind != Item.Kind.SAIL:
        wrong["sail_number"] = ("Only a sail has a sail number: choose the kind sail, or use the bag tag.",)
    for key in ("luff_m", "line_m"):
        if getattr(row, key) and row.kind != Item.Kind.SAIL:
            wrong[key] = ("Only a sail has it: choose the kind sail, or leave it empty.",)
    if row.bag_tag and "bag_tag" in values and not row.archived:
        others = Item.objects.filter(bag_tag__iexact=row.bag_tag, archived=False).exclude(pk=row.pk)
        if other := others.select_related("boat").first():
            whose = f" of {other.boat.name}" if other.boat else ""
            wrong["bag_tag"] = (f"{other.name}{whose} has the bag tag {other.bag_tag} already.",)
    return wrong


THING = Keeper(
    Item,
    (
        "boat",
        "kind",
        "name",
        "sail_number",
        "bag_tag",
        "area_m2",
        "luff_m",
        "line_m",
        "measured_on",
        "washed_on",
        "serviced_on",
        "notes",
    ),
    words={
        "area_m2": "area",
        "luff_m": "luff",
        "line_m": "line it takes",
        "measured_on": "last measured",
        "washed_on": "last washed",
        "serviced_on": "last serviced",
    },
    wrong_with=_wrong_with,
)
