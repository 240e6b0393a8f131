"""What a change of many rows changed, in words."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from django.urls import reverse
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext_lazy

from yard.models import WholeChange
from yard.services.whole_change.ledger import model_named

MADE, CHANGED, REMOVED = _("new"), _("changed"), _("taken away, said already by another")


@dataclass(frozen=True)
class WholePage:
    """lines: "3 orders: changed"; of: the page of the boat or owner that stays."""

    lines: tuple[str, ...]
    of: str


def whole_page(change: WholeChange) -> WholePage:
    doings = (
        (row["model"], MADE if row["before"] is None else CHANGED if row["after"] else REMOVED) for row in change.rows
    )
    lines = tuple(f"{_words(name, count)}: {what}" for (name, what), count in Counter(doings).items())
    name, row = ("boat", change.boat_id) if change.boat_id else ("owner", change.owner_id)
    return WholePage(lines, reverse(name, args=[row]))


WORDS = {
    "BoatOwner": ngettext_lazy("{n} share in a boat", "{n} shares in boats", "n"),
    "Whereabouts": ngettext_lazy("{n} place where she lay", "{n} places where she lay", "n"),
    "Item": ngettext_lazy("{n} thing of hers", "{n} things of hers", "n"),
    "LeftOut": ngettext_lazy("{n} reason of a plan", "{n} reasons of plans", "n"),
    "Memo": ngettext_lazy("{n} note", "{n} notes", "n"),
    "JobLink": ngettext_lazy("{n} tie between two jobs", "{n} ties between jobs", "n"),
    "CalendarAddress": ngettext_lazy("{n} calendar", "{n} calendars", "n"),
    "Fact": ngettext_lazy("{n} fact that work waits on", "{n} facts that work waits on", "n"),
}


def _words(name: str, count: int) -> str:
    if name in WORDS:
        return WORDS[name].format(n=count)
    meta = model_named(name)._meta
    return f"{count} {meta.verbose_name if count == 1 else meta.verbose_name_plural}"
