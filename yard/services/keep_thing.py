"""The one writer of the things of boats, as pages change them: sails, covers, cushions, masts, keys, cradles.

Where a thing is stands in rows of its own, which `whereabouts` adds.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from yard.models import Item
from yard.services.keeping import Keeper, Words


def _wrong_with(row: Item, values: Mapping[str, Any]) -> Words:
    wrong: dict[str, tuple[str, ...]] = {}
    if row.boat is None and row.order is None:
        wrong["boat"] = (_("Name the boat whose it is."),)
    elif row.boat is not None and row.boat.archived and "boat" in values:
        wrong["boat"] = (
            _("{boat} is archived: bring her back first, or choose another boat.").format(boat=row.boat.name),
        )
    if row.sail_number and row.kind != Item.Kind.SAIL:
        wrong["sail_number"] = (_("Only a sail has a sail number: choose the kind sail, or use the bag tag."),)
    for key in ("luff_m", "line_m"):
        if getattr(row, key) and row.kind != Item.Kind.SAIL:
            wrong[key] = (_("Only a sail has it: choose the kind sail, or leave it empty."),)
    if row.bag_tag and "bag_tag" in values and not row.archived:
        others = Item.objects.filter(bag_tag__iexact=row.bag_tag, archived=False).exclude(pk=row.pk)
        if other := others.select_related("boat").first():
            words = (
                _("{thing} of {boat} has the bag tag {tag} already.")
                if other.boat
                else _("{thing} has the bag tag {tag} already.")
            )
            wrong["bag_tag"] = (words.format(thing=other.name, boat=other.boat, tag=other.bag_tag),)
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
        "area_m2": gettext_noop("area"),
        "luff_m": gettext_noop("luff"),
        "line_m": gettext_noop("line it takes"),
        "measured_on": gettext_noop("last measured"),
        "washed_on": gettext_noop("last washed"),
        "serviced_on": gettext_noop("last serviced"),
    },
    wrong_with=_wrong_with,
)
