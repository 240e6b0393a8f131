"""Adding a row, changing it, putting it away and bringing it back, and the way back in its history: one way for all.

Nothing is overwritten silently: whoever saves says which version they saw. Nobody's change is lost either: the
history keeps each state of a row with who, when and why. A Keeper says what is particular to rows of its model.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Generic, TypeVar
from uuid import UUID

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.text import slugify

from yard.models import StaleRow, Versioned
from yard.services.facts_revision import bump_facts
from yard.services.pen import sign

R = TypeVar("R", bound=Versioned)
Words = Mapping[str, tuple[str, ...]]
"""What is wrong and the remedy, by field; "" for the row as a whole."""


@dataclass(frozen=True, slots=True)
class Writer:
    """Who writes, when (aware), and which day of the yard that is."""

    by: User | None
    now: datetime
    today: date


@dataclass(frozen=True, slots=True)
class Kept(Generic[R]):
    """Written. changed: the fields that are other than before, none where nothing was."""

    row: R
    changed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Refused:
    """Nothing was saved. words: what is wrong and the remedy."""

    words: Words


@dataclass(frozen=True, slots=True)
class SomebodyWasQuicker(Generic[R]):
    """Nothing was saved: the row was changed since the page was read. stored: as it stands on file now."""

    stored: R


Outcome = TypeVar("Outcome")


def nothing_wrong(row: Any) -> Words:
    return {}


def nothing_in_the_way(row: Any) -> str:
    return ""


def nothing_follows(row: Any, changed: tuple[str, ...], writer: Writer) -> None:
    return None


@dataclass(frozen=True, slots=True)
class Keeper(Generic[R]):
    """How rows of one model are kept.

    fields: those that a person writes. named_from: the field from which a ref is made where none is typed, "" for
    models without one. wrong_with: what the model's own checks do not see, before writing. keeps_open: why a row
    cannot be put away now, "" if it can. shut: why it cannot be brought back. then: what else a change asks, in its
    transaction, for the fields that changed.
    """

    model: type[R]
    fields: tuple[str, ...]
    named_from: str = ""
    wrong_with: Callable[[R], Words] = nothing_wrong
    keeps_open: Callable[[R], str] = nothing_in_the_way
    shut: Callable[[R], str] = nothing_in_the_way
    then: Callable[[R, tuple[str, ...], Writer], None] = nothing_follows

    def of_its(self, values: Mapping[str, Any]) -> dict[str, Any]:
        if unknown := values.keys() - set(self.fields):
            raise ValueError(f"not a field that is changed here: {sorted(unknown)}")
        return dict(values)


def add(
    keeper: Keeper[R], values: Mapping[str, Any], *, writer: Writer, form_key: UUID | None = None, **more: Any
) -> Kept[R] | Refused:
    """A new row. form_key: the same form sent twice is one row. more: what its page fixes, as the mooring of a part."""
    model: Any = keeper.model
    with transaction.atomic():
        bump_facts()  # one writer at a time from here, so the same form cannot slip in between
        if form_key is not None and (same := model.objects.filter(form_key=form_key).first()):
            return nothing_saved(Kept(same, ()))
        row = model(**keeper.of_its(values), **more)
        if form_key is not None:
            row.form_key = form_key
        if keeper.named_from and not row.ref:
            row.ref = free_ref(model, str(values.get(keeper.named_from, "")))
        if refused := _wrong_with(keeper, row):
            return nothing_saved(refused)
        sign(row, by=writer.by, now=writer.now, reason="added")
        row.save()
    return Kept(row, keeper.fields)


def change(
    keeper: Keeper[R], pk: int, values: Mapping[str, Any], *, seen_version: int, writer: Writer, reason: str = ""
) -> Kept[R] | Refused | SomebodyWasQuicker[R]:
    """Change fields of a row. reason: why; "" names the fields that changed. Raises the model's DoesNotExist."""
    model: Any = keeper.model
    try:
        with transaction.atomic():
            bump_facts()
            row: R = model.objects.get(pk=pk)
            if row.version != seen_version:
                return nothing_saved(SomebodyWasQuicker(row))
            changed = tuple(key for key, value in keeper.of_its(values).items() if getattr(row, key) != value)
            for key in changed:
                setattr(row, key, values[key])
            if refused := _wrong_with(keeper, row):
                return nothing_saved(refused)
            if not changed:
                return nothing_saved(Kept(row, ()))
            why = reason or ", ".join(words_for(key) for key in changed) + " changed"
            sign(row, by=writer.by, now=writer.now, reason=why)
            row.save_over(seen_version)
            keeper.then(row, changed, writer)
    except StaleRow:
        return SomebodyWasQuicker(model.objects.get(pk=pk))
    return Kept(row, changed)


def put_back(
    keeper: Keeper[R], pk: int, history_id: int, *, seen_version: int, writer: Writer
) -> Kept[R] | Refused | SomebodyWasQuicker[R]:
    """Make its fields what they were in one row of its history. Raises DoesNotExist where it has no such row."""
    model: Any = keeper.model
    was = model.history.filter(id=pk, history_id=history_id).first()
    if was is None:
        raise model.DoesNotExist
    values = {key: _as_it_was(model, was, key) for key in keeper.fields}
    if gone := [words_for(key) for key, (value, there) in values.items() if not there]:
        return Refused({"": (f"Its {', '.join(gone)} of then is no longer on file: set what is right by hand.",)})
    plain = {key: value for key, (value, _) in values.items()}
    reason = f"as on {was.history_date:%Y-%m-%d}"
    return change(keeper, pk, plain, seen_version=seen_version, writer=writer, reason=reason)


def _as_it_was(model: Any, was: Any, key: str) -> tuple[Any, bool]:
    """The value of then, and whether the row that it names, if it names one, is still on file."""
    field = model._meta.get_field(key)
    if not field.is_relation:
        return getattr(was, key), True
    pk = getattr(was, field.attname)
    row = field.related_model._default_manager.filter(pk=pk).first() if pk is not None else None
    return row, pk is None or row is not None


def archive(
    keeper: Keeper[R], pk: int, archived: bool, *, seen_version: int, writer: Writer
) -> Kept[R] | Refused | SomebodyWasQuicker[R]:
    """Put a row away, or bring it back; what hangs on it stays."""
    model: Any = keeper.model
    try:
        with transaction.atomic():
            bump_facts()
            row = model.objects.get(pk=pk)
            if row.version != seen_version:
                return nothing_saved(SomebodyWasQuicker(row))
            if words := keeper.keeps_open(row) if archived else keeper.shut(row):
                return nothing_saved(Refused({"": (words,)}))
            if row.archived == archived:
                return nothing_saved(Kept(row, ()))
            row.archived = archived
            sign(row, by=writer.by, now=writer.now, reason="archived" if archived else "brought back")
            row.save_over(seen_version)
    except StaleRow:
        return SomebodyWasQuicker(model.objects.get(pk=pk))
    return Kept(row, ("archived",))


def words_for(key: str) -> str:
    """A field in the yard's words, without its unit."""
    return WORDS.get(key) or key.removesuffix("_m").removesuffix("_kg").removesuffix("_on").replace("_", " ")


WORDS: Mapping[str, str] = {
    "in_a_storm": "in a storm",
    "mast_height_m": "mast above water",
    "ref": "number",
    "prefers": "is reached by",
    "position_note": "where it lies",
    "depth_m_at_datum": "depth",
    "route_shoalest_m_at_datum": "shoalest on the way",
    "underside_m_above_datum": "bridge or wire",
    "tackle_set_on": "tackle set",
    "tackle_inspected_on": "tackle inspected",
    "tackle_inspection_due_on": "next inspection",
    "permit_boat": "permit for",
    "permit_expires_on": "permit until",
    "insurance_expires_on": "insured until",
    "starts_on": "owner from",
    "ends_on": "owner until",
    "told_first": "called first",
    "taken_up_on": "taken up",
    "expected_date": "expected on",
    "guess": "the yard's guess",
    "told_by": "said by",
    "here_since": "here since",
}


def nothing_saved(outcome: Outcome) -> Outcome:
    """Take back what this transaction wrote, the count of facts too: a plan is not old for what was not saved."""
    transaction.set_rollback(True)
    return outcome


def _wrong_with(keeper: Keeper[R], row: R) -> Refused | None:
    try:
        row.full_clean()
    except ValidationError as wrong:
        return Refused({("" if key == "__all__" else key): tuple(each) for key, each in wrong.message_dict.items()})
    words = keeper.wrong_with(row)
    return Refused(words) if words else None


def free_ref(model: Any, name: str) -> str:
    """A ref made from a name that no row of the model has yet."""
    stem = slugify(name)[:24] or str(model._meta.model_name)
    taken = set(model.objects.filter(ref__startswith=stem).values_list("ref", flat=True))
    return next(ref for ref in (stem, *(f"{stem}-{n}" for n in range(2, len(taken) + 3))) if ref not in taken)
