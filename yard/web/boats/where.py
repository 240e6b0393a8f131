"""What was pressed under "She stands here": `where` is "place:12", "mooring:3", "away", "aboard", "owner" ..."""

from __future__ import annotations

from collections.abc import Mapping

from django.utils.translation import gettext as _

from yard.models import ItemWhereabouts, Mooring, Place
from yard.services.whereabouts import BoatLies, ThingLies, WhereRefused
from yard.web.request import number_in


def seen_in(sent: Mapping[str, str]) -> int | None:
    """The row of whereabouts that the page showed; None where it showed none."""
    return number_in(sent.get("seen", "")) or None


def boat_lies_in(sent: Mapping[str, str]) -> BoatLies:
    """Raises WhereRefused where nothing that exists was named."""
    kind, _colon, number = sent.get("where", "").partition(":")
    if kind == "away":
        return BoatLies()
    if kind == "place":
        return BoatLies(place=_place(number))
    mooring = Mooring.objects.filter(pk=number_in(number)).first() if kind == "mooring" else None
    if mooring is None:
        raise WhereRefused(_("Choose where she lies."))
    return BoatLies(mooring=mooring)


def thing_lies_in(sent: Mapping[str, str]) -> ThingLies:
    """Raises WhereRefused where nothing that exists was named."""
    kind, _colon, number = sent.get("where", "").partition(":")
    if kind not in ItemWhereabouts.Kind.values:
        raise WhereRefused(_("Choose where it lies."))
    chosen = ItemWhereabouts.Kind(kind)
    place = _place(number) if chosen == ItemWhereabouts.Kind.PLACE else None
    return ThingLies(kind=chosen, place=place, condition=sent.get("condition", ""))


def _place(number: str) -> Place:
    place = Place.objects.filter(pk=number_in(number)).first()
    if place is None:
        raise WhereRefused(_("That place is not on file any more: choose another."))
    return place
