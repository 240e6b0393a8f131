"""Adding a boat, changing what is known of her, putting her away and bringing her back; the way back in her history.

Nothing is overwritten silently: whoever saves says which version they saw. Nobody's change is lost either: her
history keeps each state of her with who, when and why.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, TypeVar

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.text import slugify

from yard.models import Boat, Order, StaleRow
from yard.services.facts_revision import bump_facts
from yard.services.pen import sign
from yard.services.say_fact import draft_is_here

KEPT_FIELDS = (
    "name",
    "kind",
    "design",
    "sail_number",
    "length_m",
    "beam_m",
    "draft_m",
    "displacement_kg",
    "mast_height_m",
    "planked",
    "in_a_storm",
    "notes",
)


@dataclass(frozen=True, slots=True)
class Writer:
    """Who writes, when (aware), and which day of the yard that is."""

    by: User | None
    now: datetime
    today: date


@dataclass(frozen=True, slots=True)
class Kept:
    """Written. changed: the fields that are other than before, none where nothing was."""

    boat: Boat
    changed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Refused:
    """Nothing was saved. words: what is wrong and the remedy, by field; "" for her as a whole."""

    words: Mapping[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class SomebodyWasQuicker:
    """Nothing was saved: she was changed since the page was read. stored: as she stands on file now."""

    stored: Boat


Outcome = TypeVar("Outcome", Kept, Refused, SomebodyWasQuicker)


def add_boat(values: Mapping[str, Any], *, writer: Writer) -> Kept | Refused:
    """A new boat; her ref is made from her name. values: by field of KEPT_FIELDS, in metres and kilograms."""
    with transaction.atomic():
        bump_facts()
        boat = Boat(ref=_free_ref(str(values.get("name", ""))), **_of_hers(values))
        if refused := _wrong_with(boat):
            return _nothing_saved(refused)
        sign(boat, by=writer.by, now=writer.now, reason="added")
        boat.save()
    return Kept(boat, KEPT_FIELDS)


def change_boat(
    pk: int, values: Mapping[str, Any], *, seen_version: int, writer: Writer, reason: str = ""
) -> Kept | Refused | SomebodyWasQuicker:
    """Change her fields. reason: why; "" names the fields that changed.

    A draft that is written is waited for no more.
    """
    try:
        with transaction.atomic():
            bump_facts()
            boat = Boat.objects.get(pk=pk)
            if boat.version != seen_version:
                return _nothing_saved(SomebodyWasQuicker(boat))
            changed = tuple(key for key, value in _of_hers(values).items() if getattr(boat, key) != value)
            for key in changed:
                setattr(boat, key, values[key])
            if refused := _wrong_with(boat):
                return _nothing_saved(refused)
            if not changed:
                return _nothing_saved(Kept(boat, ()))
            why = reason or ", ".join(words_for(key) for key in changed) + " changed"
            sign(boat, by=writer.by, now=writer.now, reason=why)
            boat.save_over(seen_version)
            if "draft_m" in changed and boat.draft_m is not None:
                draft_is_here(boat, today=writer.today, by=writer.by, now=writer.now)
    except StaleRow:
        return SomebodyWasQuicker(Boat.objects.get(pk=pk))
    return Kept(boat, changed)


def put_back(pk: int, history_id: int, *, seen_version: int, writer: Writer) -> Kept | Refused | SomebodyWasQuicker:
    """Make her fields what they were in one row of her history. Raises Boat.DoesNotExist where she has no such row."""
    was = Boat.history.filter(id=pk, history_id=history_id).first()
    if was is None:
        raise Boat.DoesNotExist
    values = {key: getattr(was, key) for key in KEPT_FIELDS}
    reason = f"as she was on {was.history_date:%Y-%m-%d}"
    return change_boat(pk, values, seen_version=seen_version, writer=writer, reason=reason)


def archive_boat(pk: int, archived: bool, *, seen_version: int, writer: Writer) -> Kept | Refused | SomebodyWasQuicker:
    """Put her away, or bring her back. Refused while an order of hers is open; what hangs on her stays."""
    try:
        with transaction.atomic():
            bump_facts()
            boat = Boat.objects.get(pk=pk)
            if boat.version != seen_version:
                return _nothing_saved(SomebodyWasQuicker(boat))
            open_refs = boat.orders.filter(state=Order.State.OPEN).order_by("ref").values_list("ref", flat=True)
            if archived and open_refs:
                words = f"Finish or withdraw her open orders first: {', '.join(open_refs)}."
                return _nothing_saved(Refused({"": (words,)}))
            if boat.archived == archived:
                return _nothing_saved(Kept(boat, ()))
            boat.archived = archived
            sign(boat, by=writer.by, now=writer.now, reason="archived" if archived else "brought back")
            boat.save_over(seen_version)
    except StaleRow:
        return SomebodyWasQuicker(Boat.objects.get(pk=pk))
    return Kept(boat, ("archived",))


def words_for(key: str) -> str:
    """A field in the yard's words, without its unit."""
    return {"in_a_storm": "in a storm", "mast_height_m": "mast above water"}.get(
        key, key.removesuffix("_m").removesuffix("_kg").replace("_", " ")
    )


def _nothing_saved(outcome: Outcome) -> Outcome:
    """Take back what this transaction wrote, the count of facts too: a plan is not old for what was not saved."""
    transaction.set_rollback(True)
    return outcome


def _of_hers(values: Mapping[str, Any]) -> dict[str, Any]:
    if unknown := values.keys() - set(KEPT_FIELDS):
        raise ValueError(f"not a field that is changed here: {sorted(unknown)}")
    return dict(values)


def _wrong_with(boat: Boat) -> Refused | None:
    try:
        boat.full_clean()
    except ValidationError as wrong:
        return Refused({("" if key == "__all__" else key): tuple(each) for key, each in wrong.message_dict.items()})
    if boat.beam_m > boat.length_m:
        return Refused({"beam_m": ("She would be wider than she is long: were length and beam swapped?",)})
    return None


def _free_ref(name: str) -> str:
    stem = slugify(name)[:24] or "boat"
    taken = set(Boat.objects.filter(ref__startswith=stem).values_list("ref", flat=True))
    return next(ref for ref in (stem, *(f"{stem}-{n}" for n in range(2, len(taken) + 3))) if ref not in taken)
