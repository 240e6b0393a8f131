"""The one writer of intervals and of the gear that they are about, as pages change them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from yard.models import Gear, Interval, TacklePart
from yard.services.keeping import Keeper, Words

KINDS_OF: Mapping[str, frozenset[str]] = {
    Interval.Covers.PARTS: frozenset(TacklePart.Kind.values),
    Interval.Covers.GEAR: frozenset(Gear.Kind.values),
}
"""What `kinds` may name, by what an interval covers."""


def _wrong_with_interval(row: Interval, values: Mapping[str, Any]) -> Words:
    known = KINDS_OF.get(row.covers, frozenset())
    if wrong := sorted(set(row.kinds) - known):
        return {
            "kinds": (
                _("{covers} has no kind {kinds}: untick it.").format(
                    covers=row.get_covers_display(), kinds=", ".join(wrong)
                ),
            )
        }
    if row.covers == Interval.Covers.TACKLE and row.counts == Interval.Counts.NEW:
        return {"counts": (_("Tackle as a whole is looked over; what is renewed are its parts: choose those."),)}
    return {}


def _wrong_with_gear(row: Gear, values: Mapping[str, Any]) -> Words:
    if row.boat is not None and row.place is not None:
        return {"place": (_("Aboard a boat, or in a place of the yard: leave one of them empty."),)}
    return {}


INTERVAL = Keeper(
    Interval,
    (
        "name",
        "covers",
        "kinds",
        "counts",
        "months",
        "season",
        "by_whom",
        "package",
        "origin",
        "source",
        "cautions",
    ),
    words={
        "counts": gettext_noop("counted"),
        "by_whom": gettext_noop("by whom"),
        "package": gettext_noop("what is ordered"),
        "origin": gettext_noop("where it comes from"),
    },
    made_of_name="key",
    wrong_with=_wrong_with_interval,
)
GEAR = Keeper(
    Gear,
    ("kind", "name", "mark", "boat", "place", "rated_kg", "in_use_since", "out_of_use", "notes"),
    words={
        "mark": gettext_noop("number or tag"),
        "rated_kg": gettext_noop("rated for"),
        "in_use_since": gettext_noop("in use since"),
        "out_of_use": gettext_noop("out of use"),
    },
    made_of_name="ref",
    wrong_with=_wrong_with_gear,
)
