"""What is particular to a mooring and to the parts of its tackle; what a permit or tackle that is entered settles."""

from __future__ import annotations

import math
from collections.abc import Mapping
from datetime import date
from typing import Any

from django.db.models import OuterRef, Q, Subquery
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from yard.models import Fact, FactKind, Mooring, Order, TacklePart, Whereabouts, YardSettings
from yard.services.keeping import Keeper, Words, Writer
from yard.services.pen import sign
from yard.speech import number, short_number

MOORING_FIELDS = (
    "ref",
    "position_note",
    "latitude",
    "longitude",
    "exposure",
    "bottom",
    "depth_m_at_datum",
    "route_shoalest_m_at_datum",
    "underside_m_above_datum",
    "tackle",
    "tackle_set_on",
    "tackle_inspected_on",
    "tackle_inspection_due_on",
    "chain_spread_m",
    "pendant_m",
    "permit_boat",
    "permit_number",
    "permit_expires_on",
    "temporary",
    "notes",
)
TACKLE_FIELDS = ("kind", "size", "length_m", "laid_on", "inspected_on", "condition", "note", "taken_up_on")

SHOALEST_M, DEEPEST_M = -15.0, 60.0  # common practice: beyond both nobody lays a small boat's mooring
LONGEST_CHAIN_M, LONGEST_PENDANT_M, HIGHEST_BRIDGE_M = 100.0, 60.0, 120.0  # common practice, as above
FARTHEST_NM = 30.0  # common practice: a yard's moorings lie within a workboat's morning
NAUTICAL_MILE_M = 1852.0  # the international nautical mile, exact
EARTH_RADIUS_M = 6_371_008.8  # mean radius of WGS 84 (IUGG)


def _wrong_with(mooring: Mooring, values: Mapping[str, Any]) -> Words:
    wrong: dict[str, tuple[str, ...]] = {}
    _in_range(mooring, "depth_m_at_datum", SHOALEST_M, DEEPEST_M, _("what dries is negative"), wrong)
    _in_range(mooring, "route_shoalest_m_at_datum", SHOALEST_M, DEEPEST_M, _("what dries is negative"), wrong)
    _in_range(mooring, "underside_m_above_datum", 0.0, HIGHEST_BRIDGE_M, _("it is measured up from the datum"), wrong)
    _in_range(mooring, "chain_spread_m", 0.0, LONGEST_CHAIN_M, _("check the unit"), wrong)
    _in_range(mooring, "pendant_m", 0.0, LONGEST_PENDANT_M, _("check the unit"), wrong)
    if words := _position(mooring):
        wrong["longitude" if mooring.longitude is None else "latitude"] = (words,)
    inspected, due = mooring.tackle_inspected_on, mooring.tackle_inspection_due_on
    if inspected and due and due <= inspected:
        wrong["tackle_inspection_due_on"] = (
            _("The next inspection lies before the last one: one of the two is wrong."),
        )
    return wrong


def _in_range(
    mooring: Mooring, key: str, least: float, most: float, why: str, wrong: dict[str, tuple[str, ...]]
) -> None:
    value = getattr(mooring, key)
    if value is not None and not least <= value <= most:
        wrong[key] = (
            _("{value} m cannot be right here: {why}, or was it typed in another unit?").format(
                value=short_number(value), why=why
            ),
        )


def _position(mooring: Mooring) -> str:
    if (mooring.latitude is None) != (mooring.longitude is None):
        return _("A position has both a latitude and a longitude: give the other one too, or neither.")
    miles = miles_from_yard(mooring)
    if miles is None or miles <= FARTHEST_NM:
        return ""
    turned = miles_from_yard(Mooring(latitude=mooring.latitude, longitude=-(mooring.longitude or 0.0)))
    sign_wrong = turned is not None and turned <= FARTHEST_NM
    remedy = (
        _("west is negative: was a minus left out?") if sign_wrong else _("check the figures, or leave both empty.")
    )
    return _("That is {miles} nautical miles from the yard: {remedy}").format(miles=number(miles, 0), remedy=remedy)


def miles_from_yard(mooring: Mooring) -> float | None:
    """Nautical miles from the yard to the mooring, along the sphere; None where one of the two has no position."""
    yard = YardSettings.objects.values_list("latitude", "longitude").first()
    north, east = yard or (None, None)
    if north is None or east is None or mooring.latitude is None or mooring.longitude is None:
        return None
    here, there = math.radians(north), math.radians(mooring.latitude)
    across = math.radians(mooring.longitude - east)
    half = math.sin((there - here) / 2) ** 2 + math.cos(here) * math.cos(there) * math.sin(across / 2) ** 2
    return 2 * EARTH_RADIUS_M * math.asin(math.sqrt(half)) / NAUTICAL_MILE_M


def _keeps_open(mooring: Mooring) -> str:
    latest = Whereabouts.objects.filter(boat=OuterRef("boat")).order_by("-since", "-id").values("pk")[:1]
    here = Whereabouts.objects.filter(pk=Subquery(latest), mooring=mooring, boat__archived=False)
    if names := ", ".join(here.order_by("boat__name", "boat_id").values_list("boat__name", flat=True)):
        return _("{boats} lies on it: say first where she lies now.").format(boats=names)
    orders = mooring.orders.filter(state=Order.State.OPEN).order_by("ref").values_list("ref", flat=True)
    return (
        _("Open orders go to it: give {orders} another mooring first.").format(orders=", ".join(orders))
        if orders
        else ""
    )


def _then(mooring: Mooring, changed: tuple[str, ...], writer: Writer) -> None:
    """What a permit or tackle that is entered settles is waited for no more."""
    if not {"permit_expires_on", "permit_boat", "tackle_set_on"} & set(changed) or mooring.permit_boat is None:
        return
    of_her = Fact.objects.filter(Q(boat=mooring.permit_boat) | Q(order__boat=mooring.permit_boat))
    for fact in of_her.exclude(state=Fact.State.HERE).filter(kind__in=[FactKind.PERMIT, FactKind.TACKLE_SET]):
        orders = Order.objects.filter(state=Order.State.OPEN, jobs__facts=fact).select_related("season").distinct()
        if settles(mooring, fact.kind, list(orders), writer.today):
            fact.state, fact.here_since, fact.expected_date = Fact.State.HERE, writer.today, None
            fact.told_by, fact.guess, fact.set_by, fact.set_at = "", False, writer.by, writer.now
            sign(fact, by=writer.by, now=writer.now, reason=f"{mooring}: {words_of(fact.kind)}")
            fact.save()


def words_of(kind: str) -> str:
    return _("permit entered") if kind == FactKind.PERMIT else _("tackle set")


def settles(mooring: Mooring, kind: str, orders: list[Order], today: date) -> bool:
    """Whether what is on file of her mooring is what these orders wait for: a permit that lasts, tackle of the season.

    An order that goes to another mooring is not settled by this one.
    """
    if any(order.to_mooring_id not in (None, mooring.pk) for order in orders):
        return False
    if kind == FactKind.PERMIT:
        expires = mooring.permit_expires_on
        needed = [each for order in orders if (each := order.promised_date or order.latest_date or order.wanted_date)]
        return expires is not None and expires >= max([today, *needed])
    set_on = mooring.tackle_set_on
    seasons = [order.season for order in orders if order.season is not None]
    return set_on is not None and set_on <= today and bool(seasons) and all(each.holds(set_on) for each in seasons)


def _part_of_an_open_mooring(part: TacklePart, values: Mapping[str, Any]) -> Words:
    if part.taken_up_on is None and part.mooring.archived:
        return {"": (_("{mooring} is archived: bring it back first.").format(mooring=part.mooring),)}
    return {}


MOORING = Keeper(
    Mooring,
    MOORING_FIELDS,
    words={
        "ref": gettext_noop("number"),
        "position_note": gettext_noop("where it lies"),
        "depth_m_at_datum": gettext_noop("depth"),
        "route_shoalest_m_at_datum": gettext_noop("shoalest on the way"),
        "underside_m_above_datum": gettext_noop("bridge or wire"),
        "tackle_inspection_due_on": gettext_noop("next inspection"),
        "permit_boat": gettext_noop("permit for"),
        "permit_expires_on": gettext_noop("permit until"),
    },
    wrong_with=_wrong_with,
    keeps_open=_keeps_open,
    then=_then,
)
TACKLE = Keeper(
    TacklePart, TACKLE_FIELDS, words={"taken_up_on": gettext_noop("taken up")}, wrong_with=_part_of_an_open_mooring
)
