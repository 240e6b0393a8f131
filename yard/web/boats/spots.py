"""Where she may be said to stand: the likely places first, so that two taps on a telephone do."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext as _

from yard.models import Place, PlaceKind
from yard.queries.boat_page import BoatRows
from yard.services.whereabouts import LIES_AT

ALWAYS_LIKELY = (PlaceKind.APRON, PlaceKind.BERTH)


@dataclass(frozen=True)
class Spot:
    """value: what the button sends."""

    value: str
    words: str


def spots_of(rows: BoatRows) -> tuple[tuple[Spot, ...], tuple[Spot, ...]]:
    """The apron, her own row, the berths and her mooring; then all other places, in the yard's order.

    Her own row is where she stood last, or stood before; a row in which she stands now is no news.
    """
    places = [place for place in rows.lying.places if place.kind in LIES_AT]
    here = rows.lying.lies[0].place_id if rows.lying.lies else None
    stood = {row.place_id for row in rows.lying.lies if row.place_id is not None}
    planned = {stay.place_id for stay in rows.planned.stays}
    likely = [
        place
        for place in places
        if place.pk != here and (place.kind in ALWAYS_LIKELY or place.pk in stood or place.pk in planned)
    ]
    rest = [place for place in places if place not in likely]
    moorings = [Spot(f"mooring:{mooring.pk}", _("Mooring {ref}").format(ref=mooring.ref)) for mooring in rows.moorings]
    return (*map(_spot, likely), *moorings), (*map(_spot, rest), Spot("away", _("Away")))


def _spot(place: Place) -> Spot:
    return Spot(f"place:{place.pk}", place.name)
