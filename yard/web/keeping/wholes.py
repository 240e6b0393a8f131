"""What a change of many rows changed, in words."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from django.urls import reverse

from yard.models import WholeChange
from yard.services.whole_change.ledger import model_named

MADE, CHANGED, REMOVED = "new", "changed", "taken away, said already by another"


@dataclass(frozen=True)
class WholePage:
    """lines: "3 orders: changed"; of: the page of the boat or owner that stays."""

    lines: tuple[str, ...]
    of: str


def whole_page(change: WholeChange) -> WholePage:
    doings = (
        (row["model"], MADE if row["before"] is None else CHANGED if row["after"] else REMOVED) for row in change.rows
    )
    lines = tuple(f"{count} {_words(name, count)}: {what}" for (name, what), count in Counter(doings).items())
    name, row = ("boat", change.boat_id) if change.boat_id else ("owner", change.owner_id)
    return WholePage(lines, reverse(name, args=[row]))


WORDS = {
    "BoatOwner": ("share in a boat", "shares in boats"),
    "Whereabouts": ("place where she lay", "places where she lay"),
    "Item": ("thing of hers", "things of hers"),
    "LeftOut": ("reason of a plan", "reasons of plans"),
    "Memo": ("note", "notes"),
    "JobLink": ("tie between two jobs", "ties between jobs"),
    "CalendarAddress": ("calendar", "calendars"),
    "Fact": ("fact that work waits on", "facts that work waits on"),
}


def _words(name: str, count: int) -> str:
    meta = model_named(name)._meta
    one, many = WORDS.get(name, (str(meta.verbose_name), str(meta.verbose_name_plural)))
    return one if count == 1 else many
