"""Adding a row, changing it, putting it away and bringing it back, and the way back in its history: one way for all.

Nothing is overwritten silently: whoever saves says which version they saw. Nobody's change is lost either: the
history keeps each state of a row with who, when and why. What stands beside a row (a person's hours, who works a
place) changes with it, in one transaction and under its version. A Keeper says what is particular to rows of its model.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from typing import Any, Generic, Protocol, TypeVar
from uuid import UUID

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import models, transaction
from django.utils.text import slugify
from django.utils.translation import gettext as _

from yard.models import StaleRow, Versioned
from yard.services.facts_revision import bump_facts
from yard.services.field_names import plain_words
from yard.services.pen import sign
from yard.services.sent_forms import added_before, digest_of, remember

R = TypeVar("R", bound=Versioned)
Words = Mapping[str, tuple[str, ...]]
"""What is wrong and the remedy, by field; "" for the row as a whole."""


@dataclass(frozen=True, slots=True)
class Writer:
    """Who writes, when (aware), and which day of the yard that is."""

    by: User | None
    now: datetime
    today: date

    def sign(self, row: Any, reason: str) -> None:
        sign(row, by=self.by, now=self.now, reason=reason)


@dataclass(frozen=True, slots=True)
class Kept(Generic[R]):
    """Written. changed: what is other than before, none where nothing was."""

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


class Beside(Protocol):
    """Rows that are changed with another: its hours, its skills, who works it. A value compares by ==."""

    def read(self, row: Any) -> Any:
        """As it stands now."""

    def was(self, pasts: Sequence[Any]) -> list[Any]:
        """As it stood with each of these rows of the history; one query or two, however many."""

    def write(self, row: Any, value: Any, writer: Writer, reason: str) -> None:
        """Make it so. Raises ValidationError."""


def nothing_wrong(row: Any, values: Mapping[str, Any]) -> Words:
    return {}


def nothing_in_the_way(row: Any) -> str:
    return ""


def nothing_follows(row: Any, changed: tuple[str, ...], writer: Writer) -> None:
    return None


@dataclass(frozen=True)
class Keeper(Generic[R]):
    """How rows of one model are kept.

    fields: those that a person writes; beside: what changes with the row. words: fields as the yard calls them.
    made_of_name: the field, as a ref, that a new row makes of its name where it is empty; "" for none.
    wrong_with: what the model cannot say, of the row as it is to be and of the values that change, by field, before
    writing. keeps_open: why a row cannot be put away now, "" if it can. shut: why it cannot be brought back. then: what
    else a change asks, in its transaction, for what changed.
    """

    model: type[R]
    fields: tuple[str, ...]
    beside: Mapping[str, Beside] = field(default_factory=dict)
    words: Mapping[str, str] = field(default_factory=dict)
    made_of_name: str = ""
    wrong_with: Callable[[R, Mapping[str, Any]], Words] = nothing_wrong
    keeps_open: Callable[[R], str] = nothing_in_the_way
    shut: Callable[[R], str] = nothing_in_the_way
    then: Callable[[R, tuple[str, ...], Writer], None] = nothing_follows

    @property
    def keys(self) -> tuple[str, ...]:
        return (*self.fields, *self.beside)

    def read(self, row: Any) -> dict[str, Any]:
        """Everything that is kept of a row, as it stands now; of a relation, the id."""
        own = {key: getattr(row, self.column(key)) for key in self.fields}
        return own | {key: each.read(row) for key, each in self.beside.items()}

    def was(self, pasts: Sequence[Any]) -> list[dict[str, Any]]:
        """The same, as it stood with each of these rows of its history."""
        found = [{key: getattr(past, self.column(key)) for key in self.fields} for past in pasts]
        for key, each in self.beside.items():
            for kept, value in zip(found, each.was(pasts), strict=True):
                kept[key] = value
        return found

    def plain(self, values: Mapping[str, Any]) -> dict[str, Any]:
        """Values as `read` gives them, in its order. Raises ValueError for what is not kept here."""
        if unknown := values.keys() - set(self.keys):
            raise ValueError(_("not a field that is changed here: {fields}").format(fields=sorted(unknown)))
        found = {key: values[key] for key in self.keys if key in values}
        return {key: value.pk if isinstance(value, models.Model) else value for key, value in found.items()}

    def column(self, key: str) -> str:
        """The attribute that holds a field; of a relation, that of its id."""
        of = self.model._meta.get_field(key)
        assert isinstance(of, models.Field)
        return str(of.attname)

    def words_for(self, key: str) -> str:
        """A field in the yard's words, without its unit."""
        words = self.words.get(key)
        return _(words) if words else plain_words(key)


def add(
    keeper: Keeper[R], values: Mapping[str, Any], *, writer: Writer, form_key: UUID | None = None, **more: Any
) -> Kept[R] | Refused:
    """A new row; what is left out has the model's default. more: what its page fixes, as the mooring of a part.

    form_key: the same form sent twice with the same in it is one row.
    """
    plain = keeper.plain(values)
    said = digest_of(keeper.model, plain | more)
    with transaction.atomic():
        bump_facts()  # one writer at a time from here, so the same form cannot slip in between
        if form_key is not None and (same := added_before(keeper.model, form_key, said)) is not None:
            return nothing_saved(Kept(same, ()))
        row = keeper.model(**{keeper.column(key): plain[key] for key in keeper.fields if key in plain}, **more)
        if (made := keeper.made_of_name) and not getattr(row, made):
            setattr(row, made, free_ref(keeper.model, str(values.get("name", "")), made))
        if refused := wrong_with(keeper, row, plain):
            return nothing_saved(refused)
        writer.sign(row, _("added"))
        row.save()
        filled = {key: plain[key] for key in keeper.beside if plain.get(key)}
        if refused := _write_beside(keeper, row, filled, writer, "added"):
            return nothing_saved(refused)
        if form_key is not None:
            remember(row, form_key, said, writer.now)
    return Kept(row, keeper.keys)


def change(
    keeper: Keeper[R], pk: int, values: Mapping[str, Any], *, seen_version: int, writer: Writer, reason: str = ""
) -> Kept[R] | Refused | SomebodyWasQuicker[R]:
    """Change what is named in values. reason: why; "" names what changed. Raises the model's DoesNotExist.

    What is on file already is nothing to change, and is never refused.
    """
    plain, manager = keeper.plain(values), keeper.model._default_manager
    try:
        with transaction.atomic():
            bump_facts()
            row = manager.get(pk=pk)
            if row.version != seen_version:
                return nothing_saved(SomebodyWasQuicker(row))
            now = keeper.read(row)
            new = {key: value for key, value in plain.items() if value != now[key]}
            if not new:
                return nothing_saved(Kept(row, ()))
            why = reason or _("{fields} changed").format(fields=", ".join(keeper.words_for(key) for key in new))
            writer = _after_last(row, writer)
            if refused := _set(keeper, row, new, writer, why):
                return nothing_saved(refused)
            row.save_over(seen_version)
            keeper.then(row, tuple(new), writer)
    except StaleRow:
        return SomebodyWasQuicker(manager.get(pk=pk))
    return Kept(row, tuple(new))


def put_back(
    keeper: Keeper[R], pk: int, history_id: int, *, seen_version: int, writer: Writer, leaves: Collection[str] = ()
) -> Kept[R] | Refused | SomebodyWasQuicker[R]:
    """Make it what it was in one row of its history. leaves: what stays as it is now.

    Raises the model's DoesNotExist where it has no such row.
    """
    model: Any = keeper.model
    past = model.history.filter(id=pk, history_id=history_id).first()
    if past is None:
        raise model.DoesNotExist
    values = {key: value for key, value in keeper.was([past])[0].items() if key not in leaves}
    fields = [model._meta.get_field(key) for key in keeper.fields if key in values]
    if gone := [keeper.words_for(each.name) for each in fields if _is_gone(each, values[each.name])]:
        return Refused(
            {
                "": (
                    _("Its {fields} of then is no longer on file: set what is right by hand.").format(
                        fields=", ".join(gone)
                    ),
                )
            }
        )
    reason = _("as on {day}").format(day=f"{past.history_date:%Y-%m-%d}")
    return change(keeper, pk, values, seen_version=seen_version, writer=writer, reason=reason)


def archive(
    keeper: Keeper[R], pk: int, archived: bool, *, seen_version: int, writer: Writer
) -> Kept[R] | Refused | SomebodyWasQuicker[R]:
    """Put a row away, or bring it back; what hangs on it stays. Raises the model's DoesNotExist.

    What comes back is checked: its name may be somebody else's by now. What goes away may go as it is.
    """
    manager = keeper.model._default_manager
    try:
        with transaction.atomic():
            bump_facts()
            row: Any = manager.get(pk=pk)
            if row.version != seen_version:
                return nothing_saved(SomebodyWasQuicker(row))
            if row.archived == archived:
                return nothing_saved(Kept(row, ()))
            if words := keeper.keeps_open(row) if archived else keeper.shut(row):
                return nothing_saved(Refused({"": (words,)}))
            row.archived = archived
            if not archived and (refused := refused_by(row.full_clean)):
                return nothing_saved(refused)
            _after_last(row, writer).sign(row, _("archived") if archived else _("brought back"))
            row.save_over(seen_version)
    except StaleRow:
        return SomebodyWasQuicker(manager.get(pk=pk))
    return Kept(row, ("archived",))


def wrong_with(keeper: Keeper[R], row: R, values: Mapping[str, Any]) -> Refused | None:
    """What is wrong with a row as it is to be: each field, then in the trade's words, then the row as a whole."""
    if refused := refused_by(row.clean_fields):
        return refused
    if words := keeper.wrong_with(row, values):
        return Refused(words)
    return refused_by(row.full_clean)


def refused_by(check: Callable[[], None]) -> Refused | None:
    """What a check of a model says is wrong, by field."""
    try:
        check()
    except ValidationError as wrong:
        return Refused({("" if key == "__all__" else key): tuple(each) for key, each in wrong.message_dict.items()})
    return None


def nothing_saved(outcome: Outcome) -> Outcome:
    """Take back what this transaction wrote, the count of facts too: a plan is not old for what was not saved."""
    transaction.set_rollback(True)
    return outcome


def free_ref(model: Any, name: str, key: str = "ref") -> str:
    """A ref (or another key) made of a name, that no row of the model has yet."""
    stem = slugify(name)[:24] or str(model._meta.model_name)
    taken = set(model._default_manager.filter(**{f"{key}__startswith": stem}).values_list(key, flat=True))
    return next(ref for ref in (stem, *(f"{stem}-{n}" for n in range(2, len(taken) + 3))) if ref not in taken)


def rows_as_of(history: Any, moments: Iterable[datetime]) -> list[list[Any]]:
    """Rows beside another as they stood at each moment: of each row the latest, if it was not deleted. One query."""
    told = list(history.order_by("history_date", "history_id"))
    found = []
    for at in moments:
        latest = {past.id: past for past in told if past.history_date <= at}
        found.append([past for past in latest.values() if past.history_type != "-"])
    return found


def after_last(row: Any, now: datetime) -> datetime:
    """No two changes of a row are of one moment, so that what stood beside it can be told by its moment."""
    last = row.history.order_by("-history_date").values_list("history_date", flat=True).first()
    return now if last is None or last < now else last + timedelta(microseconds=1)


def _after_last(row: Any, writer: Writer) -> Writer:
    return replace(writer, now=after_last(row, writer.now))


def _set(keeper: Keeper[R], row: R, values: Mapping[str, Any], writer: Writer, reason: str) -> Refused | None:
    """What stands beside is written first: the row's own last history then tells of all of it."""
    for key, value in values.items():
        if key in keeper.fields:
            setattr(row, keeper.column(key), value)
    if refused := wrong_with(keeper, row, values):
        return refused
    besides = {key: value for key, value in values.items() if key in keeper.beside}
    unkept: Any = row
    unkept.skip_history_when_saving = True  # read by simple_history
    refused = _write_beside(keeper, row, besides, writer, reason)
    del unkept.skip_history_when_saving
    writer.sign(row, reason)
    return refused


def _write_beside(keeper: Keeper[R], row: R, values: Mapping[str, Any], writer: Writer, reason: str) -> Refused | None:
    """Where something is refused, it is said in which field of the page it was typed."""
    for key, value in values.items():
        try:
            keeper.beside[key].write(row, value, writer, reason)
        except ValidationError as wrong:
            return Refused({key: tuple(wrong.messages)})
    return None


def _is_gone(of: Any, value: Any) -> bool:
    """Whether a relation names a row that is no longer on file."""
    return of.is_relation and value is not None and not of.related_model._default_manager.filter(pk=value).exists()
