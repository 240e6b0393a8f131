"""What is particular to a boat on file: fields that a person writes, what cannot be, what keeps her in the lists."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from yard.models import Boat, Order
from yard.services.keeping import Keeper, Words, Writer
from yard.services.say_fact import draft_is_here

KEPT_FIELDS = (
    "name",
    "kind",
    "design",
    "sail_number",
    "length_m",
    "beam_m",
    "draft_m",
    "displacement_kg",
    "mast_height_m",
    "planked",
    "in_a_storm",
    "notes",
)


def _wrong_with(boat: Boat, values: Mapping[str, Any]) -> Words:
    if boat.beam_m > boat.length_m:
        return {"beam_m": (_("She would be wider than she is long: were length and beam swapped?"),)}
    return {}


def _keeps_open(boat: Boat) -> str:
    refs = boat.orders.filter(state=Order.State.OPEN).order_by("ref").values_list("ref", flat=True)
    return _("Finish or withdraw her open orders first: {orders}.").format(orders=", ".join(refs)) if refs else ""


def _shut(boat: Boat) -> str:
    if boat.merged_into is None:
        return ""
    return _("She was found to be {boat}: take the merge back on that boat's page.").format(boat=boat.merged_into.name)


def _then(boat: Boat, changed: tuple[str, ...], writer: Writer) -> None:
    """A draft that is written is waited for no more."""
    if "draft_m" in changed and boat.draft_m is not None:
        draft_is_here(boat, today=writer.today, by=writer.by, now=writer.now)


BOAT = Keeper(
    Boat,
    KEPT_FIELDS,
    words={"in_a_storm": gettext_noop("in a storm"), "mast_height_m": gettext_noop("mast above water")},
    made_of_name="ref",
    wrong_with=_wrong_with,
    keeps_open=_keeps_open,
    shut=_shut,
    then=_then,
)
