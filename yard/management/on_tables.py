"""Commands that read the yard's rows: where its tables are missing or behind the code, they say so and what to do."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import OperationalError, connection
from django.db.migrations.executor import MigrationExecutor


class OnTables(BaseCommand):
    """A command that runs on tables as the code knows them, and refuses in a sentence where they are not."""

    def execute(self, *args: Any, **options: Any) -> str | None:
        _refuse_old_tables()
        return super().execute(*args, **options)


def _refuse_old_tables() -> None:
    try:
        executor = MigrationExecutor(connection)
    except OperationalError as error:
        raise CommandError(f"The database cannot be reached: {error}".strip()) from error
    steps = executor.migration_plan(executor.loader.graph.leaf_nodes())
    if not steps:
        return
    if not executor.loader.applied_migrations:
        raise CommandError("There is no yard here yet. Make its tables first: manage.py migrate")
    behind = f"{len(steps)} step{'' if len(steps) == 1 else 's'} behind this version"
    raise CommandError(f"The database is {behind}. Bring it up to date: manage.py migrate")
