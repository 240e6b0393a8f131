"""Migrations may run while processes of the program before are at work; what does not bear that has its reason here."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import migrations, models
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.state import ProjectState

from tests.operation.migration_order import breaks

LAST_WITHOUT = "0028_workboats_and_owners_runs"
"""To here one process worked on a database, and was stopped for each migration."""

REASONS: dict[tuple[str, str], str] = {}
"""By migration and the sentence that `breaks` says: why it may be done so all the same."""


@pytest.fixture(autouse=True)
def with_migrations(settings: Any) -> None:
    """A run of tests makes its tables without them, and hides them for that."""
    settings.MIGRATION_MODULES = {}


def test_no_migration_takes_from_a_running_program_what_it_reads_or_writes() -> None:
    loader = MigrationLoader(None, replace_migrations=True)
    newer = [key for key in loader.disk_migrations if key[0] == "yard" and key[1] > LAST_WITHOUT]
    found = {
        (key[1], sentence)
        for key in newer
        for sentence in breaks(loader.disk_migrations[key], loader.project_state(key, at_end=False))
    }
    assert newer
    assert found - REASONS.keys() == set(), "see “Migrations beside running processes” in DEVELOPERS.md"
    assert REASONS.keys() <= found, "a reason for what is not done"


def state() -> ProjectState:
    made = ProjectState()
    fields = [("id", models.BigAutoField(primary_key=True)), ("name", models.CharField(max_length=40, null=True))]
    migrations.CreateModel("Boat", fields).state_forwards("yard", made)
    return made


LENGTH = models.IntegerField(default=7)
DROP = migrations.RunSQL("ALTER TABLE yard_boat DROP COLUMN name")


@pytest.mark.parametrize(
    ("operation", "says"),
    [
        (migrations.RemoveField("boat", "name"), "still reads it"),
        (migrations.RenameField("boat", "name", "called"), "still reads it"),
        (migrations.DeleteModel("Boat"), "still reads it"),
        (migrations.RenameModel("Boat", "Hull"), "still reads it"),
        (migrations.AlterModelTable("Boat", "hulls"), "still reads it"),
        (migrations.AddField("boat", "length_m", LENGTH), "give it a db_default"),
        (migrations.AlterField("boat", "name", models.CharField(max_length=40)), "rows without it"),
        (migrations.AlterField("boat", "name", models.CharField(max_length=20, null=True)), "longer ones"),
        (migrations.AlterField("boat", "name", models.IntegerField(null=True)), "writes a CharField"),
        (migrations.AlterField("boat", "name", models.CharField(max_length=40, null=True, unique=True)), "same twice"),
        (migrations.AddConstraint("boat", models.UniqueConstraint(fields=["name"], name="once")), "refuses"),
        (migrations.SeparateDatabaseAndState(database_operations=[DROP]), "behind the models"),
    ],
    ids=lambda value: type(value).__name__ if not isinstance(value, str) else "",
)
def test_what_a_running_program_does_not_bear(operation: Any, says: str) -> None:
    (sentence,) = breaks(step(operation), state())
    assert says in sentence


@pytest.mark.parametrize(
    "operations",
    [
        [migrations.AddField("boat", "length_m", models.IntegerField(null=True))],
        [migrations.AddField("boat", "length_m", models.IntegerField(db_default=7))],
        [migrations.AlterField("boat", "name", models.CharField(max_length=60, null=True))],
        [migrations.SeparateDatabaseAndState(state_operations=[migrations.RemoveField("boat", "name")])],
        [migrations.CreateModel("Oar", [("id", models.BigAutoField(primary_key=True))]), migrations.DeleteModel("Oar")],
        [
            migrations.CreateModel("Oar", [("id", models.BigAutoField(primary_key=True))]),
            migrations.AddField("oar", "length_m", LENGTH),
        ],
    ],
    ids=["null", "db_default", "wider", "only the models", "new and gone", "of a new table"],
)
def test_what_it_bears(operations: list[Any]) -> None:
    assert breaks(step(*operations), state()) == []


def step(*operations: Any) -> migrations.Migration:
    made = migrations.Migration("0099_step", "yard")
    made.operations = list(operations)
    return made
