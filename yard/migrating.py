"""An operation for migrations that make many tables at once."""

from __future__ import annotations

from typing import Any

from django.db.migrations.operations.base import Operation
from django.db.migrations.operations.models import CreateModel


class MakeTables(Operation):
    """The operations given, on tables that none of them found there: each is made once, in its last shape.

    Django draws every model anew that is related to the one an operation touches. The yard's models all know each
    other, so that a newcomer's first run takes most of a minute one by one; drawn once, a second. The state after it
    is the same, which `makemigrations --check` and the tests see.
    """

    reversible = True

    def __init__(self, operations: list[Operation]) -> None:
        self.operations = operations

    def deconstruct(self) -> tuple[str, list[Any], dict[str, Any]]:
        return (self.__class__.__qualname__, [], {"operations": self.operations})

    def state_forwards(self, app_label: str, state: Any) -> None:
        state.__dict__.pop("apps", None)  # what is not drawn is not drawn anew; it is, whole, when next asked for
        for operation in self.operations:
            operation.state_forwards(app_label, state)

    def database_forwards(self, app_label: str, schema_editor: Any, from_state: Any, to_state: Any) -> None:
        for model in self._models(app_label, to_state):
            if self.allow_migrate_model(schema_editor.connection.alias, model):
                schema_editor.create_model(model)

    def database_backwards(self, app_label: str, schema_editor: Any, from_state: Any, to_state: Any) -> None:
        for model in reversed(self._models(app_label, from_state)):
            if self.allow_migrate_model(schema_editor.connection.alias, model):
                schema_editor.delete_model(model)

    def describe(self) -> str:
        return f"Make {sum(isinstance(each, CreateModel) for each in self.operations)} tables"

    def _models(self, app_label: str, state: Any) -> list[Any]:
        made = [each.name for each in self.operations if isinstance(each, CreateModel)]
        return [state.apps.get_model(app_label, name) for name in made]
