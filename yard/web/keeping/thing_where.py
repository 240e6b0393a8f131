"""Where one thing is, where it was before, and the places it may be said to be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from yard.models import Item, ItemWhereabouts, Place
from yard.queries.boat_page import places_in_order
from yard.web.boats.page import ANY_THING, THINGS_LIE_AT
from yard.web.boats.words import thing_lies_words

BEFORE = 6


@dataclass(frozen=True, slots=True)
class ThingWhere:
    """rows: where it was said to be, the latest first. likely: places for its kind; rest: all others."""

    rows: Sequence[ItemWhereabouts]
    words: str
    likely: Sequence[Place]
    rest: Sequence[Place]

    @property
    def here(self) -> ItemWhereabouts | None:
        return self.rows[0] if self.rows else None


def thing_where(item: Item) -> ThingWhere:
    """Two queries."""
    rows = list(item.whereabouts.select_related("place", "said_by").order_by("-since", "-id")[:BEFORE])
    places = places_in_order()
    kinds = THINGS_LIE_AT.get(item.kind, ANY_THING)
    likely = [place for place in places if place.kind in kinds]
    rest = [place for place in places if place not in likely]
    return ThingWhere(rows, thing_lies_words(rows[0]) if rows else _("nobody has said"), likely, rest)
