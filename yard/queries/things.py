"""Reads of the list of things: sails, covers, cushions, masts, keys, cradles, with where each is."""

from __future__ import annotations

from collections.abc import Iterable

from django.db.models import OuterRef, QuerySet, Subquery

from yard.models import Item, ItemWhereabouts
from yard.queries.by_words import carrying


def things_listed() -> QuerySet[Item]:
    """Every thing, archived or not, by boat, kind and name, with its boat or the walk-in's order."""
    rows = Item.objects.select_related("boat", "order")
    return rows.order_by("boat__name", "kind", "name", "id")


def latest_row() -> Subquery:
    """The key of the latest word on where a thing is, for a query of things."""
    latest = ItemWhereabouts.objects.filter(item=OuterRef("pk")).order_by("-since", "-id").values("pk")[:1]
    return Subquery(latest)


def things_found(rows: QuerySet[Item], words: str) -> QuerySet[Item]:
    """Things that carry every word somewhere: name, bag tag, sail number, boat."""
    like = ("name", "bag_tag", "sail_number", "boat__name")
    return carrying(
        rows, words, (*(f"{each}__icontains" for each in like), "boat__sail_number__iexact", "order__ref__iexact")
    )


def where_things_are(things: Iterable[int]) -> dict[int, ItemWhereabouts]:
    """The latest word on each of these things, by thing id. One query."""
    newest = ItemWhereabouts.objects.filter(item=OuterRef("item")).order_by("-since", "-id").values("pk")[:1]
    rows = ItemWhereabouts.objects.filter(item__in=list(things), pk=Subquery(newest)).select_related("place")
    return {row.item_id: row for row in rows}
