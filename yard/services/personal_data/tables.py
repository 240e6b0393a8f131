"""What becomes of each table that names an owner when the owner is erased, column by column.

The relations are read off the models: one that is not said here is an error of a test, and stops an erasure.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.apps import apps
from django.db import models
from django.utils.translation import gettext_noop

from yard.models import Owner
from yard.services.personal_data.traces import ERASED
from yard.services.whole_change.relations import relations_of


class UnknownTable(LookupError):
    """A model names owners, and nothing here says what becomes of its rows."""


@dataclass(frozen=True, slots=True)
class Goes:
    """The rows are deleted, with the files and the rows that hang on them. why: nothing of the yard's is lost."""

    why: str


@dataclass(frozen=True, slots=True)
class Nameless:
    """The rows stay, with these values in these columns; history as well. Every other column is the yard's own."""

    why: str
    columns: Mapping[str, Any]


OWNER_COLUMNS: Mapping[str, Any] = {
    "phone": "",
    "other_phones": "",
    "email": "",
    "address": "",
    "language": "",
    "prefers": "call",
    "notes": "",
    "archived": True,
}
"""And the name, which says that somebody was here and the key of the row, and the yard's own reference."""

BECOMES: Mapping[str, Goes | Nameless] = {
    "BoatOwner.owner": Nameless(gettext_noop("from when to when somebody owned her"), {"insurance_expires_on": None}),
    "CalendarAddress.owner": Goes(gettext_noop("an address at which a calendar is read")),
    "FeedMember.subject": Goes(gettext_noop("what stands in that calendar")),
    "Telling.owner": Nameless(
        gettext_noop("which day was told when: the measure of how honest the yard is"), {"said": ""}
    ),
    "Letter.owner": Nameless(
        gettext_noop("that a letter went out, and which orders and days it told"),
        {
            "before": "",
            "after": "",
            "reason_said": "",
            "subject": ERASED,
            "text": ERASED,
            "html": "",
            "to_address": "",
            "trouble": "",
        },
    ),
    "OwnerPage.owner": Goes(gettext_noop("the private address of a page")),
    "OwnerAnswer.owner": Nameless(
        gettext_noop("what was approved and asked for, by whom it was decided"), {"said": "", "reply": ""}
    ),
    "SaleToCome.buyer": Nameless(gettext_noop("that she was sold, and when"), {"new_owner": {}}),
    "RunWish.owner": Nameless(
        gettext_noop("that somebody was carried out to her"), {"name": ERASED, "phone": "", "note": "", "answer": ""}
    ),
    "Owner.merged_into": Nameless(gettext_noop("who was on file twice"), OWNER_COLUMNS),
    "WholeChange.owner": Goes(gettext_noop("the way back of a merge, which is closed by this")),
}
"""By the relations of the models, "Model.field". FeedMember names an owner by kind and number, without a relation."""

LOOKED_THROUGH_NOT = frozenset({"Owner", "Person", "Supplier", "User", "YardSettings"})
"""Tables of other people and of the yard itself: where one has the same name, or number, it is theirs."""


def relations() -> Iterator[tuple[str, type[models.Model], str]]:
    """Every way in which a row names an owner: "Model.field", the model, the field. Raises UnknownTable."""
    found = [*relations_of(Owner), ("FeedMember.subject", apps.get_model("yard", "FeedMember"), "subject")]
    if unknown := {name for name, _, _ in found} - BECOMES.keys():
        raise UnknownTable(f"{', '.join(sorted(unknown))}: say in personal_data/tables.py what becomes of them")
    yield from found


def rows_of(model: type[models.Model], field: str, owners: list[int]) -> models.QuerySet[Any]:
    """The rows of one relation that name one of these owners, by key."""
    kind = {"kind": "owner"} if field == "subject" else {}
    return model._base_manager.filter(**{f"{field}__in": owners}, **kind).order_by("pk")


def history_of(model: type[models.Model]) -> type[models.Model] | None:
    """The table of what rows of a model were; None where it has none."""
    manager = getattr(model, "history", None)
    found: type[models.Model] | None = getattr(manager, "model", None)
    return found


def written_columns(model: type[models.Model]) -> list[models.Field[Any, Any]]:
    """Columns in which somebody's words can stand: text and JSON, no keys of rows and none of a fixed choice."""
    return [
        column
        for column in model._meta.concrete_fields
        if isinstance(column, models.CharField | models.TextField | models.JSONField)
        and not (column.is_relation or column.primary_key or column.choices)
    ]


def every_table() -> Iterator[type[models.Model]]:
    """Every table in which words can stand: the yard's, histories, work for the worker, tries to sign in."""
    for model in apps.get_models(include_auto_created=True):
        plain = model.__name__.removeprefix("Historical")
        if model._meta.managed and plain not in LOOKED_THROUGH_NOT and model._meta.label != "sessions.Session":
            yield model
