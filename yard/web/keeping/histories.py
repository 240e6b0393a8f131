"""Which rows have a page of their history, and who writes them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from yard.services.keep_boat import BOAT
from yard.services.keep_mooring import MOORING, TACKLE
from yard.services.keep_owner import OWNER, OWNERSHIP
from yard.services.keeping import Keeper
from yard.services.say_fact import FACT
from yard.sheets.columns import Column
from yard.web.changes.boat_form import MEASURES as OF_BOATS
from yard.web.keeping.mooring import LENGTH
from yard.web.keeping.mooring import MEASURES as OF_MOORINGS


@dataclass(frozen=True)
class Kind:
    """Rows of one kind: who writes them, how their measures are said, and the page that they stand on.

    private: it tells of owners, and is for those who may see them.
    """

    keeper: Keeper[Any]
    page: Callable[[Any], str]
    measures: Mapping[str, Column]
    private: bool = False


def _page_of_fact(row: Any) -> str:
    boat = row.boat_id or (row.order.boat_id if row.order else None)
    return reverse("boat", args=[boat]) if boat else reverse("order", args=[row.order_id])


KINDS: Mapping[str, Kind] = {
    "boat": Kind(BOAT, lambda row: reverse("boat", args=[row.pk]), OF_BOATS),
    "owner": Kind(OWNER, lambda row: reverse("owner", args=[row.pk]), {}, private=True),
    "share": Kind(OWNERSHIP, lambda row: reverse("owner", args=[row.owner_id]), {}, private=True),
    "mooring": Kind(MOORING, lambda row: reverse("mooring", args=[row.pk]), OF_MOORINGS),
    "tackle": Kind(TACKLE, lambda row: reverse("mooring", args=[row.mooring_id]), {"length_m": LENGTH}),
    "fact": Kind(FACT, _page_of_fact, {}),
}
