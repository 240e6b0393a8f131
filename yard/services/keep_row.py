"""How a row of facts is added, changed, put away, brought back and made as it was: the same for each kind of row.

Nothing is overwritten silently: whoever saves says which version they saw. Nobody's change is lost: the history keeps
each state with who, when and why. What stands beside a row (a person's hours, who works a place) changes with it, in
one transaction and under its version.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import partial
from typing import Any, Generic, Protocol, TypeVar

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.text import slugify

from yard.models import StaleRow, Versioned
from yard.services.facts_revision import bump_facts
from yard.services.pen import sign

M = TypeVar("M", bound=Versioned)

PRESSED_TWICE = timedelta(seconds=30)
"""Who types the same anew takes longer than this."""


@dataclass(frozen=True, slots=True)
class Writer:
    """Who writes, and when (aware)."""

    by: User | None
    now: datetime

    def sign(self, row: Any, reason: str) -> None:
        sign(row, by=self.by, now=self.now, reason=reason)


@dataclass(frozen=True, slots=True)
class Kept(Generic[M]):
    """Written. changed: what is other than before, none where nothing was."""

    row: M
    changed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Refused:
    """Nothing was saved. words: what is wrong and the remedy, by field; "" for the row as a whole."""

    words: Mapping[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class SomebodyWasQuicker(Generic[M]):
    """Nothing was saved: the row was changed since the page was read. stored: as it stands on file now."""

    stored: M


class RowRefused(Exception):
    """What was typed cannot be; field: where, "" for the row as a whole. Nothing was saved."""

    def __init__(self, key: str, words: str) -> None:
        super().__init__(words)
        self.key = key


class Beside(Protocol):
    """Rows that are changed with another: its hours, its skills, who works it. A value compares by ==."""

    def read(self, row: Any) -> Any:
        """As it stands now."""

    def was(self, pasts: Sequence[Any]) -> list[Any]:
        """As it stood with each of these rows of the history; one query or two, however many."""

    def write(self, row: Any, value: Any, writer: Writer, reason: str) -> None:
        """Make it so. Raises RowRefused or ValidationError."""


@dataclass(frozen=True)
class Book(Generic[M]):
    """How rows of one model are kept. fields: those changed by hand; beside: what changes with the row.

    check: raises RowRefused for what the model cannot say. may_archive: raises RowRefused where it may not go.
    made_of_name: the field that a new row makes of its name, its ref; "" where it makes none.
    """

    model: type[M]
    fields: tuple[str, ...]
    beside: Mapping[str, Beside] = field(default_factory=dict)
    check: Callable[[M, Mapping[str, Any]], None] = lambda row, values: None
    may_archive: Callable[[M], None] = lambda row: None
    made_of_name: str = ""
    words: Mapping[str, str] = field(default_factory=dict)

    @property
    def keys(self) -> tuple[str, ...]:
        return (*self.fields, *self.beside)

    def read(self, row: M) -> dict[str, Any]:
        """Everything that is kept of a row, as it stands now."""
        own = {key: getattr(row, key) for key in self.fields}
        return own | {key: each.read(row) for key, each in self.beside.items()}

    def was(self, pasts: Sequence[Any]) -> list[dict[str, Any]]:
        """The same, as it stood with each of these rows of the history."""
        found = [{key: getattr(past, key) for key in self.fields} for past in pasts]
        for key, each in self.beside.items():
            for kept, value in zip(found, each.was(pasts), strict=True):
                kept[key] = value
        return found

    def words_for(self, key: str) -> str:
        """A field in the yard's words, without its unit."""
        return self.words.get(key, key.replace("_", " "))


def add(book: Book[M], values: Mapping[str, Any], *, writer: Writer) -> Kept[M] | Refused:
    """A new row. values: by key of the book; what is left out has the model's default.

    The same typed again at once is the row that was just made: the button was pressed twice.
    """
    try:
        with transaction.atomic():
            bump_facts()  # locks: of two presses the second finds what the first wrote
            row = book.model(**{key: values[key] for key in book.fields if key in values})
            if (same := _just_added(book, row, writer)) is not None:
                transaction.set_rollback(True)
                return Kept(same, ())
            if book.made_of_name:
                setattr(row, book.made_of_name, free_ref(book.model, str(values.get("name", "")), book.made_of_name))
            book.check(row, values)
            row.full_clean()
            writer.sign(row, "added")
            row.save()
            for key, each in book.beside.items():
                if values.get(key):
                    _blame(key, partial(each.write, row, values[key], writer, "added"))
    except (RowRefused, ValidationError) as wrong:
        return _refused(wrong)
    return Kept(row, book.keys)


def change(
    book: Book[M], pk: int, values: Mapping[str, Any], *, seen_version: int, writer: Writer, reason: str = ""
) -> Kept[M] | Refused | SomebodyWasQuicker[M]:
    """Change what is named in values. reason: why; "" names what changed. Raises DoesNotExist."""
    if unknown := values.keys() - set(book.keys):
        raise ValueError(f"not changed here: {sorted(unknown)}")
    try:
        with transaction.atomic():
            bump_facts()
            row = book.model._default_manager.get(pk=pk)
            if row.version != seen_version:
                transaction.set_rollback(True)
                return SomebodyWasQuicker(row)
            now = book.read(row)
            changed = tuple(key for key in book.keys if key in values and now[key] != values[key])
            if not changed:
                transaction.set_rollback(True)  # a plan is not old for what was not saved
                return Kept(row, ())
            _write(book, row, {key: values[key] for key in changed}, seen_version, _after_last(row, writer), reason)
    except StaleRow:
        return SomebodyWasQuicker(book.model._default_manager.get(pk=pk))
    except (RowRefused, ValidationError) as wrong:
        return _refused(wrong)
    return Kept(row, changed)


def put_back(
    book: Book[M], pk: int, history_id: int, *, seen_version: int, writer: Writer
) -> Kept[M] | Refused | SomebodyWasQuicker[M]:
    """Make a row what it was in one row of its history. Raises the model's DoesNotExist where it has no such row."""
    past = book.model.history.filter(id=pk, history_id=history_id).first()  # type: ignore[attr-defined]  # books are of models with a history
    if past is None:
        raise book.model.DoesNotExist
    reason = f"as on {past.history_date:%Y-%m-%d}"
    return change(book, pk, book.was([past])[0], seen_version=seen_version, writer=writer, reason=reason)


def archive(
    book: Book[M], pk: int, archived: bool, *, seen_version: int, writer: Writer
) -> Kept[M] | Refused | SomebodyWasQuicker[M]:
    """Put a row away, or bring it back; what hangs on it stays on file. Raises DoesNotExist."""
    try:
        with transaction.atomic():
            bump_facts()
            row: Any = book.model._default_manager.get(pk=pk)
            if row.version != seen_version:
                transaction.set_rollback(True)
                return SomebodyWasQuicker(row)
            if row.archived == archived:
                transaction.set_rollback(True)
                return Kept(row, ())
            if archived:
                book.may_archive(row)
            row.archived = archived
            row.full_clean()  # a short name may be somebody else's by now
            _after_last(row, writer).sign(row, "archived" if archived else "brought back")
            row.save_over(seen_version)
    except StaleRow:
        return SomebodyWasQuicker(book.model._default_manager.get(pk=pk))
    except (RowRefused, ValidationError) as wrong:
        return _refused(wrong)
    return Kept(row, ("archived",))


def free_ref(model: Any, name: str, key: str = "ref") -> str:
    """A ref (or another key) made of a name, that no row of the model has yet."""
    stem = slugify(name)[:24] or model._meta.model_name
    taken = set(model._default_manager.filter(**{f"{key}__startswith": stem}).values_list(key, flat=True))
    return next(ref for ref in (stem, *(f"{stem}-{n}" for n in range(2, len(taken) + 3))) if ref not in taken)


def _just_added(book: Book[M], row: M, writer: Writer) -> M | None:
    """The row that this person added last, if that was within PRESSED_TWICE and as this one."""
    past = (
        book.model.history.filter(  # type: ignore[attr-defined]  # books are of models with a history
            history_type="+", history_user=writer.by, history_date__gte=writer.now - PRESSED_TWICE
        )
        .order_by("-history_id")
        .first()
    )
    if past is None or any(getattr(past, key) != getattr(row, key) for key in book.fields):
        return None
    return book.model._default_manager.filter(pk=past.id).first()


def _write(book: Book[M], row: M, values: Mapping[str, Any], seen_version: int, writer: Writer, reason: str) -> None:
    """What stands beside is written first: the row's own last history then tells of all of it."""
    why = reason or ", ".join(book.words_for(key) for key in values) + " changed"
    for key, value in values.items():
        if key in book.fields:
            setattr(row, key, value)
    book.check(row, values)
    row.full_clean()
    for key, value in values.items():
        if key in book.beside:
            _blame(key, partial(book.beside[key].write, row, value, writer, why))
    writer.sign(row, why)
    row.save_over(seen_version)


def _blame(key: str, write: Callable[[], None]) -> None:
    """Say of what is wrong beside a row in which field of its page it was typed."""
    try:
        write()
    except ValidationError as wrong:
        raise RowRefused(key, " ".join(wrong.messages)) from wrong


def _after_last(row: Any, writer: Writer) -> Writer:
    """No two changes of a row are of one moment, so that what stood beside it can be told by its moment."""
    last = row.history.order_by("-history_date").values_list("history_date", flat=True).first()
    if last is None or last < writer.now:
        return writer
    return Writer(writer.by, last + timedelta(microseconds=1))


def _refused(wrong: RowRefused | ValidationError) -> Refused:
    if isinstance(wrong, RowRefused):
        return Refused({wrong.key: (str(wrong),)})
    return Refused({("" if key == "__all__" else key): tuple(each) for key, each in wrong.message_dict.items()})


def rows_as_of(history: Any, moments: Iterable[datetime]) -> list[list[Any]]:
    """Rows beside another as they stood at each moment: of each row the latest, if it was not deleted. One query."""
    told = list(history.order_by("history_date", "history_id"))
    found = []
    for at in moments:
        latest = {past.id: past for past in told if past.history_date <= at}
        found.append([past for past in latest.values() if past.history_type != "-"])
    return found
