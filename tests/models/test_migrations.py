"""The migrations as one lead to what they lead to one by one."""

from __future__ import annotations

from typing import Any

import pytest
from django.db.migrations.autodetector import MigrationAutodetector
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.state import ProjectState

LAST, AS_ONE = "0025_seasons_closed_option_sheets_and_trips", "0001_squashed_0025_until_the_years_end"


@pytest.fixture(autouse=True)
def with_migrations(settings: Any) -> None:
    """A run of tests makes its tables without them, and hides them for that."""
    settings.MIGRATION_MODULES = {}


def state_at(name: str, *, as_one: bool) -> ProjectState:
    return MigrationLoader(None, replace_migrations=as_one).project_state(("yard", name))


def test_as_one_they_leave_the_models_as_one_by_one() -> None:
    one_by_one, as_one = state_at(LAST, as_one=False), state_at(AS_ONE, as_one=True)
    ours = {name for name in one_by_one.models if name[0] == "yard"}
    assert len(ours) > 100
    assert ours == {name for name in as_one.models if name[0] == "yard"}
    assert MigrationAutodetector(one_by_one, as_one)._detect_changes() == {}
    before = state_at("0024_store_plans_and_autumn_rules", as_one=False)
    assert MigrationAutodetector(before, as_one)._detect_changes() != {}  # so it would tell


def test_each_of_them_is_in_it() -> None:
    loader = MigrationLoader(None, replace_migrations=False)
    on_disk = {name for app, name in loader.disk_migrations if app == "yard" and name <= LAST} - {AS_ONE}
    assert {name for _, name in loader.disk_migrations["yard", AS_ONE].replaces} == on_disk
