"""Reads of an owner's own page: her boats, her orders, what was told and answered. Never another owner's."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import OuterRef, Prefetch, Q, QuerySet, Subquery

from yard.models import (
    BoatOwner,
    Fact,
    Item,
    ItemWhereabouts,
    Job,
    Order,
    Owner,
    OwnerAnswer,
    SameAgain,
    Telling,
)

BRING = (Item.Kind.CUSHIONS, Item.Kind.SAIL, Item.Kind.COVER, Item.Kind.KEYS, Item.Kind.ENGINE)
DONE_SHOWN_FOR = timedelta(days=60)
MOST_TELLINGS = 30


@dataclass(frozen=True)
class OwnedBoat:
    """A boat of the owner's now, with the orders that are open or were told of lately."""

    owned: BoatOwner
    orders: tuple[Order, ...]
    things: tuple[Item, ...]


@dataclass(frozen=True)
class OwnerRows:
    """tellings: to this owner, the latest first. answers: this owner's, the latest first. asked: winter's questions."""

    owner: Owner
    boats: tuple[OwnedBoat, ...]
    tellings: tuple[Telling, ...]
    answers: tuple[OwnerAnswer, ...]
    asked: tuple[SameAgain, ...]


def things_with_owner(boats: Collection[int]) -> dict[int, list[Item]]:
    """By boat id, things that lie with the owner and are needed back. One query."""
    latest = ItemWhereabouts.objects.filter(item=OuterRef("pk")).order_by("-since", "-id").values("kind")[:1]
    rows = Item.objects.filter(boat__in=list(boats), archived=False, kind__in=BRING).annotate(lies=Subquery(latest))
    found: dict[int, list[Item]] = {}
    for item in rows.filter(lies=ItemWhereabouts.Kind.OWNER).order_by("kind", "name", "id"):
        found.setdefault(item.boat_id or 0, []).append(item)
    return found


def brought_on(answer: OwnerAnswer, today: date) -> date | None:
    """The day on which the owner brings a thing, as said and accepted; None where it has passed."""
    brings = answer.kind == OwnerAnswer.Kind.BRINGS and answer.state == OwnerAnswer.State.ACCEPTED
    return answer.on_date if brings and answer.on_date is not None and answer.on_date >= today else None


def brought_days(things: Collection[Item], today: date) -> dict[int, date]:
    """By item id, the day on which its owner brings it, as said last and accepted. One query, none without a thing."""
    if not things:
        return {}
    rows = OwnerAnswer.objects.filter(item__in=[item.pk for item in things], kind=OwnerAnswer.Kind.BRINGS)
    found: dict[int, date] = {}
    for row in rows.order_by("made_at", "id"):
        if row.item_id is not None and (day := brought_on(row, today)) is not None:
            found[row.item_id] = day
    return found


def owner_rows_of(owner: Owner) -> OwnerRows:
    """Everything that the page reads of its owner. Nine queries, however many boats and orders."""
    owned = list(owner.ownerships.filter(ends_on=None, boat__archived=False).select_related("boat"))
    boats = [row.boat_id for row in owned]
    tellings = list(_tellings(owner, boats)[:MOST_TELLINGS])
    told = {row.order_id for row in tellings}
    orders: dict[int, list[Order]] = {}
    for order in _orders(boats, told):
        orders.setdefault(order.boat_id or 0, []).append(order)
    things = things_with_owner(boats)
    return OwnerRows(
        owner=owner,
        boats=tuple(
            OwnedBoat(row, tuple(orders.get(row.boat_id, ())), tuple(things.get(row.boat_id, ()))) for row in owned
        ),
        tellings=tuple(tellings),
        answers=tuple(_answers(owner)[:MOST_TELLINGS]),
        asked=tuple(asked_of(owner)),
    )


def _tellings(owner: Owner, boats: Collection[int]) -> QuerySet[Telling]:
    """Told to this owner, of boats that are this owner's now."""
    rows = Telling.objects.filter(owner=owner, boat__in=boats, taken_back_at=None)
    return rows.select_related("order", "boat", "told_by").order_by("-told_at", "-id")


def _answers(owner: Owner) -> QuerySet[OwnerAnswer]:
    return owner.answers.select_related("boat", "order", "fact", "item").order_by("-made_at", "-id")


def _orders(boats: Collection[int], told: Collection[int]) -> QuerySet[Order]:
    """Open ones, and finished ones that the owner was told of."""
    shown = Q(state=Order.State.OPEN) | Q(state=Order.State.DONE, pk__in=told)
    jobs = Prefetch("jobs", Job.objects.prefetch_related("facts").order_by("sequence", "id"))
    facts = Prefetch("facts", Fact.objects.order_by("name", "id"))
    return Order.objects.filter(shown, boat__in=boats).prefetch_related(jobs, facts).order_by("made_at", "id")


def asked_of(owner: Owner) -> QuerySet[SameAgain]:
    """Winter's questions to this owner about boats that are this owner's now."""
    mine = SameAgain.objects.filter(order__boat__ownerships__owner=owner, order__boat__ownerships__ends_on=None)
    rows = mine.exclude(state=SameAgain.State.LISTED).filter(season__closed_at=None)
    return rows.select_related("order__boat", "season", "copy").order_by("season_id", "order_id").distinct()


def answers_waiting() -> QuerySet[OwnerAnswer]:
    """Answers that nobody looked at yet, the oldest first. One query."""
    rows = OwnerAnswer.objects.filter(state=OwnerAnswer.State.WAITING)
    of_what = ("owner", "boat", "order", "fact", "item", "asked__order", "asked__season")
    return rows.select_related(*of_what).order_by("made_at", "id")


def owned_by(boats: Collection[int]) -> dict[int, BoatOwner]:
    """By boat id, the ownership of whoever is told first. One query."""
    rows = BoatOwner.objects.filter(boat__in=boats, ends_on=None, owner__archived=False).select_related("owner")
    found: dict[int, BoatOwner] = {}
    for row in rows.order_by("-told_first", "starts_on", "id"):
        found.setdefault(row.boat_id, row)
    return found


def answers_decided() -> QuerySet[OwnerAnswer]:
    """The last answers that were decided on, the newest first. One query."""
    rows = OwnerAnswer.objects.exclude(state=OwnerAnswer.State.WAITING)
    of_what = ("owner", "boat", "order", "fact", "item", "asked__order", "asked__season", "decided_by")
    return rows.select_related(*of_what).order_by("-decided_at", "-id")[:MOST_TELLINGS]
