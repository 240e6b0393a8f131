"""Whether the database is of this version."""

from __future__ import annotations

from django.db import connection
from django.db.migrations.executor import MigrationExecutor


def steps_to_come() -> int:
    """How many migrations are not done yet. Raises OperationalError where the database cannot be reached."""
    executor = MigrationExecutor(connection)
    return len(executor.migration_plan(executor.loader.graph.leaf_nodes()))
