"""What becomes of every row that names a boat, or an owner, when two of them are found to be one.

The tables name each relation of the models as "Model.field". A relation that they lack is an error, of a test and of
a merge: a new kind of row that names a boat or an owner must say here what becomes of it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from yard.models import Boat, BoatOwner, Letter, Owner, OwnerPage, SaleToCome, StormLine, Whereabouts
from yard.services.whole_change.ledger import Ledger


class UnknownRelation(LookupError):
    """A model names boats or owners, and nothing here says what becomes of its rows."""


@dataclass(frozen=True, slots=True)
class Stays:
    """Rows stay with the one that is put away. why: what would be untrue if they went over."""

    why: str


@dataclass(frozen=True, slots=True)
class GoesOver:
    """Each row names the one that is kept. named: such rows, for the catalogue; by: how, where it takes more."""

    named: str
    by: Callable[[Any, str, Any, Ledger], None] | None = None

    @property
    def words(self) -> str:
        return _(self.named)


Becomes = Stays | GoesOver


def _whereabouts(row: Whereabouts, name: str, kept: Boat, ledger: Ledger) -> None:
    """Nobody is at two places at one instant: of two said for the same one, the second comes a microsecond later."""
    since = row.since
    while Whereabouts.objects.filter(boat=kept, since=since).exists():
        since += timedelta(microseconds=1)
    ledger.change(row, boat=kept, since=since)


def _ownership(row: BoatOwner, name: str, kept: Boat | Owner, ledger: Ledger) -> None:
    """Said twice is said once: where the kept one has the same share at the same time, it takes what this one adds."""
    ends: dict[str, Any] = {"boat": row.boat, "owner": row.owner} | {name: kept}
    alike = BoatOwner.objects.filter(**ends).exclude(pk=row.pk)
    overlapping = alike.filter(Q(ends_on=None) | Q(ends_on__gt=row.starts_on))
    if row.ends_on is not None:
        overlapping = overlapping.filter(starts_on__lt=row.ends_on)
    same = overlapping.order_by("starts_on", "id").first()
    first = BoatOwner.objects.filter(boat=ends["boat"], told_first=True, ends_on=None).exclude(pk=row.pk)
    if same is None:
        ledger.change(row, **{name: kept}, told_first=row.told_first and not (row.ends_on is None and first.exists()))
        return
    ledger.remove(row)
    last = max(row.ends_on, same.ends_on) if row.ends_on and same.ends_on else None
    insured = max((day for day in (row.insurance_expires_on, same.insurance_expires_on) if day), default=None)
    ledger.change(
        same,
        starts_on=min(row.starts_on, same.starts_on),
        ends_on=last,
        told_first=same.told_first or (row.told_first and not (last is None and first.exclude(pk=same.pk).exists())),
        insurance_expires_on=insured,
    )


def _storm_line(row: StormLine, name: str, kept: Boat, ledger: Ledger) -> None:
    """A storm list names a boat once: what it says of the kept one stands."""
    if row.storm.lines.filter(boat=kept).exists():
        ledger.remove(row)
    else:
        ledger.change(row, boat=kept)


def _owner_page(row: OwnerPage, name: str, kept: Owner, ledger: Ledger) -> None:
    """One private page opens for an owner: where the kept one has it, the other is withdrawn."""
    opens = kept.pages.filter(withdrawn_at=None).exists()
    ledger.change(row, owner=kept, withdrawn_at=row.withdrawn_at or (ledger.pen.now if opens else None))


def _letter(row: Letter, name: str, kept: Owner, ledger: Ledger) -> None:
    """One letter of a kind is being read for an owner: where the kept one has it, the other is dropped, words and all
    on file. A message to all is one an owner: a second one counts as a letter by itself."""
    reading, batch = Letter.State.READING, row.batch
    twice = row.state == reading and kept.letters.filter(kind=row.kind, state=reading).exists()
    if batch is not None and kept.letters.filter(batch=batch).exists():
        batch = None
    ledger.change(row, owner=kept, batch=batch, state=Letter.State.DROPPED if twice else row.state)


def _sale_to_come(row: SaleToCome, name: str, kept: Boat, ledger: Ledger) -> None:
    """One sale of hers may wait: where the kept one has it, the other is called off."""
    waits = kept.sales_to_come.filter(called_off_at=None, carried_out_at=None).exists()
    ledger.change(row, boat=kept, called_off_at=ledger.pen.now if waits and row.waits else row.called_off_at)


OF_BOATS: Mapping[str, Becomes] = {
    "BoatOwner.boat": GoesOver(gettext_noop("owners"), _ownership),
    "Mooring.permit_boat": GoesOver(gettext_noop("moorings and permits")),
    "Whereabouts.boat": GoesOver(gettext_noop("places where she lay"), _whereabouts),
    "Item.boat": GoesOver(gettext_noop("sails, covers, cushions and other things")),
    "Order.boat": GoesOver(gettext_noop("orders")),
    "LeftOut.boat": GoesOver(gettext_noop("reasons why a plan left her out")),
    "Fact.boat": GoesOver(gettext_noop("facts that work waits on")),
    "GaugeReading.boat": GoesOver(gettext_noop("gauge readings when she floated")),
    "CalendarAddress.boat": GoesOver(gettext_noop("calendars")),
    "Telling.boat": GoesOver(gettext_noop("tellings of owners")),
    "Memo.boat": GoesOver(gettext_noop("notes")),
    "Photograph.boat": GoesOver(gettext_noop("photographs")),
    "Measurement.boat": GoesOver(gettext_noop("measurements")),
    "RepairList.boat": GoesOver(gettext_noop("repair lists")),
    "StormLine.boat": GoesOver(gettext_noop("lines of storm lists"), _storm_line),
    "OwnerAnswer.boat": GoesOver(gettext_noop("answers of owners")),
    "SaleToCome.boat": GoesOver(gettext_noop("sales to come"), _sale_to_come),
    "Gear.boat": GoesOver(gettext_noop("gear aboard")),
    "Inspection.boat": GoesOver(gettext_noop("inspections")),
    "DueOrder.boat": GoesOver(gettext_noop("orders made of what fell due")),
    "StowSpot.boat": GoesOver(gettext_noop("spots in store plans")),
    "RunWish.boat": GoesOver(gettext_noop("wishes to be carried")),
    "Boat.merged_into": Stays("who was merged into her stays a part of her history"),
    "WholeChange.boat": Stays("what was done as a whole can only be taken back where it was done"),
}
OF_OWNERS: Mapping[str, Becomes] = {
    "BoatOwner.owner": GoesOver(gettext_noop("boats"), _ownership),
    "CalendarAddress.owner": GoesOver(gettext_noop("calendars")),
    "Telling.owner": GoesOver(gettext_noop("tellings")),
    "Letter.owner": GoesOver(gettext_noop("letters"), _letter),
    "OwnerPage.owner": GoesOver(gettext_noop("private pages"), _owner_page),
    "OwnerAnswer.owner": GoesOver(gettext_noop("answers")),
    "SaleToCome.buyer": GoesOver(gettext_noop("sales to come")),
    "RunWish.owner": GoesOver(gettext_noop("wishes to be carried")),
    "Owner.merged_into": Stays("who was merged into this one stays a part of the history"),
    "WholeChange.owner": Stays("what was done as a whole can only be taken back where it was done"),
}


def table_of(model: type[models.Model]) -> Mapping[str, Becomes]:
    return OF_BOATS if model is Boat else OF_OWNERS


def relations_of(model: type[models.Model]) -> Iterator[tuple[str, type[models.Model], str]]:
    """Every field of every model that names rows of this one: "Model.field", the model, the field.

    Left out are histories, which tell what was true then, and a many-to-many that goes through rows of its own, which
    say the same again.
    """
    for relation in model._meta.get_fields(include_hidden=True):
        if relation.concrete or not relation.auto_created or not isinstance(relation, models.ForeignObjectRel):
            continue
        other, through = relation.related_model, getattr(relation, "through", None)
        own_rows = through is not None and not through._meta.auto_created
        joins_many = isinstance(other, type) and bool(other._meta.auto_created)
        if isinstance(other, str) or own_rows or joins_many or hasattr(other, "history_type"):
            continue
        yield f"{other.__name__}.{relation.field.name}", other, relation.field.name


def rows_that_hang(one: Boat | Owner) -> Iterator[tuple[GoesOver, str, models.QuerySet[Any]]]:
    """What goes over with this one: how, by which field, which rows. Raises UnknownRelation."""
    table, found = table_of(type(one)), {name: (model, key) for name, model, key in relations_of(type(one))}
    if unknown := found.keys() - table.keys():
        raise UnknownRelation(f"{', '.join(sorted(unknown))}: say in whole_change/relations.py what becomes of them")
    for name, becomes in table.items():
        if isinstance(becomes, GoesOver) and name in found:
            model, key = found[name]
            yield becomes, key, model._default_manager.filter(**{key: one}).order_by("pk")
