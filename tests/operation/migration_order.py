"""What a migration does that the program before it does not bear, while its processes still run beside the new tables.

The order that they bear stands in DEVELOPERS.md: a column is added so that a row without it can be written, the new
program is started everywhere, and only a later migration takes away what nobody reads any more.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.db import models
from django.db.migrations import Migration
from django.db.migrations.operations import (
    AddConstraint,
    AddField,
    AlterField,
    AlterModelTable,
    AlterUniqueTogether,
    CreateModel,
    DeleteModel,
    RemoveField,
    RenameField,
    RenameModel,
    SeparateDatabaseAndState,
)
from django.db.migrations.operations.base import Operation
from django.db.migrations.state import ProjectState
from django.db.models import NOT_PROVIDED

from yard.migrating import MakeTables

GONE = (RemoveField, RenameField, DeleteModel, RenameModel, AlterModelTable)


def breaks(migration: Migration, before: ProjectState, app: str = "yard") -> list[str]:
    """Each thing in a sentence; none where old and new processes may run side by side. `before` is not changed."""
    state, new, found = before.clone(), set[str](), list[str]()
    for operation, on_tables in _each(migration.operations):
        if isinstance(operation, CreateModel):
            new.add(operation.name_lower)
        elif on_tables:
            model = getattr(operation, "model_name_lower", getattr(operation, "name_lower", ""))
            if model not in new and (why := _why(operation, state, app, model)):
                found.append(f"{operation.describe()}: {why}")
        operation.state_forwards(app, state)
    return found


def _each(operations: list[Operation]) -> Iterator[tuple[Operation, bool]]:
    """Every operation, and whether it touches tables. Of one that says them apart, both halves."""
    for operation in operations:
        if isinstance(operation, MakeTables):
            yield from _each(operation.operations)
        elif isinstance(operation, SeparateDatabaseAndState):
            for inner in operation.state_operations:
                yield inner, False
            for inner in operation.database_operations:
                yield _OnTablesAlone(inner), True
        else:
            yield operation, True


class _OnTablesAlone(Operation):
    """An operation that changes tables and nothing of what the models say."""

    def __init__(self, inner: Operation) -> None:
        self.inner = inner

    def describe(self) -> str:
        return self.inner.describe()

    def state_forwards(self, app_label: str, state: Any) -> None:
        return


def _why(operation: Operation, state: ProjectState, app: str, model: str) -> str:
    if isinstance(operation, _OnTablesAlone):
        return "tables change behind the models: say why no running program reads that any more"
    if isinstance(operation, GONE):
        return "a running program still reads it"
    if isinstance(operation, AddField) and not _may_be_left_out(operation.field):
        return "a running program writes rows without it: make it null, or give it a db_default"
    if isinstance(operation, AlterField):
        return _narrower(state.models[app, model].fields[operation.name], operation.field)
    if isinstance(operation, AddConstraint | AlterUniqueTogether):
        return "a running program may write rows that it refuses"
    return ""


def _may_be_left_out(field: models.Field[Any, Any]) -> bool:
    return field.null or field.many_to_many or field.db_default is not NOT_PROVIDED


def _narrower(was: models.Field[Any, Any], becomes: models.Field[Any, Any]) -> str:
    if was.get_internal_type() != becomes.get_internal_type():
        return f"a running program writes a {was.get_internal_type()}"
    if was.null and not becomes.null:
        return "a running program writes rows without it"
    if becomes.unique and not was.unique:
        return "a running program may write the same twice"
    if becomes.max_length is not None and (was.max_length is None or becomes.max_length < was.max_length):
        return "a running program may write longer ones"
    return ""
