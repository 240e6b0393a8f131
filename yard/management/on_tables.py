"""Commands that read the yard's rows: where its tables are missing or behind the code, they say so and what to do."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import OperationalError, connection
from django.db.migrations.executor import MigrationExecutor
from django.utils.translation import gettext as _
from django.utils.translation import ngettext


class OnTables(BaseCommand):
    """A command that runs on tables as the code knows them, and refuses in a sentence where they are not."""

    def execute(self, *args: Any, **options: Any) -> str | None:
        _refuse_old_tables()
        return super().execute(*args, **options)


def _refuse_old_tables() -> None:
    try:
        executor = MigrationExecutor(connection)
    except OperationalError as error:
        raise CommandError(_("The database cannot be reached: {error}").format(error=error).strip()) from error
    steps = executor.migration_plan(executor.loader.graph.leaf_nodes())
    if not steps:
        return
    if not executor.loader.applied_migrations:
        raise CommandError(_("There is no yard here yet. Make its tables first: manage.py migrate"))
    raise CommandError(
        ngettext(
            "The database is {n} step behind this version. Bring it up to date: manage.py migrate",
            "The database is {n} steps behind this version. Bring it up to date: manage.py migrate",
            len(steps),
        ).format(n=len(steps))
    )
