"""Saying where a boat, or a thing of hers, is. Rows are added, so that where she was before stays on file."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.contrib.auth.models import User
from django.db import transaction
from django.db.models import Max, OuterRef, Subquery
from django.utils.translation import gettext as _

from yard.models import Boat, Item, ItemWhereabouts, Mooring, Place, PlaceKind, Whereabouts
from yard.services.facts_revision import bump_facts

LIES_AT = {
    PlaceKind.STORE_ROW: Whereabouts.Kind.STORE_ROW,
    PlaceKind.SHED: Whereabouts.Kind.SHED,
    PlaceKind.APRON: Whereabouts.Kind.APRON,
    PlaceKind.SLINGS: Whereabouts.Kind.SLINGS,
    PlaceKind.TRAILER: Whereabouts.Kind.TRAILER,
    PlaceKind.BERTH: Whereabouts.Kind.BERTH,
    PlaceKind.DOCK: Whereabouts.Kind.BERTH,
}
"""Places in which a boat may lie, and how that is said."""


class WhereRefused(Exception):
    """This cannot be; the text says why and what to do. Nothing was saved."""


class SaidMeanwhile(WhereRefused):
    """Somebody said something else since the page was read; nothing was saved."""


@dataclass(frozen=True)
class BoatLies:
    """Where a boat lies: in a place of the yard, on a mooring, or away where neither is named."""

    place: Place | None = None
    mooring: Mooring | None = None

    def __post_init__(self) -> None:
        if self.place is not None and self.mooring is not None:
            raise WhereRefused(_("Say one: a place, or a mooring."))
        if self.place is not None and (self.place.archived or self.place.kind not in LIES_AT):
            raise WhereRefused(
                _("No boat lies at “{place}”: choose a row, the apron, the slings or a berth.").format(place=self.place)
            )
        if self.mooring is not None and self.mooring.archived:
            raise WhereRefused(_("{mooring} is no longer in use: choose another.").format(mooring=self.mooring))

    @property
    def kind(self) -> Whereabouts.Kind:
        if self.mooring is not None:
            return Whereabouts.Kind.MOORING
        return LIES_AT[PlaceKind(self.place.kind)] if self.place is not None else Whereabouts.Kind.AWAY


@dataclass(frozen=True)
class ThingLies:
    """Where a thing is: in a place of the yard, or aboard, with the owner, sent out. condition: of a sail, or ""."""

    kind: ItemWhereabouts.Kind
    place: Place | None = None
    condition: str = ""

    def __post_init__(self) -> None:
        if (self.kind == ItemWhereabouts.Kind.PLACE) != (self.place is not None):
            raise WhereRefused(_("Say in which place it lies; aboard, with the owner and sent out name none."))
        if self.place is not None and self.place.archived:
            raise WhereRefused(_("“{place}” is no longer in use: choose another place.").format(place=self.place))
        if self.condition and self.condition not in ItemWhereabouts.Condition.values:
            raise WhereRefused(_("A sail is dry or damp."))


def say_where_boat_lies(
    boat: Boat, lies: BoatLies, *, seen: int | None, by: User | None, now: datetime, note: str = ""
) -> Whereabouts:
    """Add where she lies from now on; in a row of the store she stands outermost. seen: the row that was read.

    Said again as it is on file, nothing is added and that row is given. Raises SaidMeanwhile if another row came.
    """
    with transaction.atomic():
        bump_facts()  # locks: the next who says something comes after this
        last = boat.whereabouts.order_by("-since", "-id").select_related("place", "mooring").first()
        if last is not None and (last.kind, last.place, last.mooring) == (lies.kind, lies.place, lies.mooring):
            return last
        _refuse_if_overtaken(last, seen)
        in_row = lies.kind == Whereabouts.Kind.STORE_ROW and lies.place is not None
        return Whereabouts.objects.create(
            boat=boat,
            kind=lies.kind,
            place=lies.place,
            mooring=lies.mooring,
            position=outermost(lies.place) if in_row and lies.place is not None else None,
            since=_after(last, now),
            said_by=by,
            note=note,
        )


def say_where_thing_lies(
    item: Item, lies: ThingLies, *, seen: int | None, by: User | None, now: datetime, note: str = ""
) -> ItemWhereabouts:
    """Add where a thing is from now on. seen, the answer and SaidMeanwhile as for a boat."""
    with transaction.atomic():
        bump_facts()
        last = item.whereabouts.order_by("-since", "-id").select_related("place").first()
        if last is not None and (last.kind, last.place, last.condition) == (lies.kind, lies.place, lies.condition):
            return last
        _refuse_if_overtaken(last, seen)
        return ItemWhereabouts.objects.create(
            item=item,
            kind=lies.kind,
            place=lies.place,
            condition=lies.condition,
            since=_after(last, now),
            said_by=by,
            note=note,
        )


def _refuse_if_overtaken(last: Whereabouts | ItemWhereabouts | None, seen: int | None) -> None:
    if (last.pk if last is not None else None) != seen:
        raise SaidMeanwhile(
            _("Somebody said meanwhile: {last}. Look, and say it again if it is not so.").format(last=last)
        )


def _after(last: Whereabouts | ItemWhereabouts | None, now: datetime) -> datetime:
    """Now, or just after the last row where the clock stands still: no two rows are of one moment."""
    return now if last is None or last.since < now else last.since + timedelta(microseconds=1)


def outermost(row: Place) -> int:
    """The position of whoever is put into this row next. One query."""
    latest = Whereabouts.objects.filter(boat=OuterRef("boat")).order_by("-since", "-id").values("pk")[:1]
    standing = Whereabouts.objects.filter(place=row, pk=Subquery(latest), boat__archived=False)
    return int(standing.aggregate(last=Max("position"))["last"] or 0) + 1
