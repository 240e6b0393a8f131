"""Databases of earlier states, as the programs of then made them, brought up to date by today's: nothing is lost."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from django.apps import apps

from tests.operation.background import Folder
from tests.operation.landed_states import FOLDER, LARGEST_BYTES, counts, lay_out, states

pytestmark = pytest.mark.once

THE_PROGRAMS_OWN = {"django_migrations", "django_content_type", "auth_permission", "sqlite_sequence", "django_session"}
"""Tables that migrating itself, or the walk through the pages, writes into."""
GIVEN_UP: dict[str, str] = {}
"""By table: where its rows are now, or why they are gone."""
OPENED = """
from django.core.management import call_command
call_command("migrate", verbosity=0)
from django.contrib.auth.models import User
from django.test import Client
from yard.models import Boat, Order, Plan, YardSettings
client = Client(SERVER_NAME="localhost")
client.force_login(User.objects.get(username="ada"), "yard.web.access.RoleBackend")
day = YardSettings.objects.get().clock_frozen_at.date()
plan, boat, order = Plan.objects.get(state="posted"), Boat.objects.first(), Order.objects.first()
pages = ["/", f"/days/{day}/", "/boats/", f"/boats/{boat.pk}/", "/orders/", f"/orders/{order.pk}/",
         "/crew/", "/plans/", f"/plans/{plan.pk}/", "/yard/"]
wrong = {page: client.get(page, follow=True).status_code for page in pages}
print({page: status for page, status in wrong.items() if status != 200})
"""


def test_each_is_small_and_there_are_some() -> None:
    assert len(states()) >= 3
    assert max(file.stat().st_size for file in FOLDER.iterdir()) <= LARGEST_BYTES


@pytest.mark.parametrize("state", states())
def test_it_is_brought_up_to_date_whole_and_its_pages_open(state: str, tmp_path: Path) -> None:
    path = tmp_path / "yard.sqlite3"
    lay_out(state, path)
    before = counts(path)
    assert before["yard_boat"] == 25, "the example yard of then"
    newest = f"{state[-4:]}_"
    with closing(sqlite3.connect(path)) as file:
        names = [name for (name,) in file.execute("SELECT name FROM django_migrations WHERE app = 'yard'")]
    assert max(name for name in names if "squashed" not in name).startswith(newest)

    folder = Folder(tmp_path, settings="tests.settings")
    assert folder.python(OPENED).strip().splitlines()[-1] == "{}"

    after = counts(path)
    kept = before.keys() - THE_PROGRAMS_OWN - GIVEN_UP.keys()
    assert {table: before[table] for table in kept} == {table: after.get(table) for table in kept}
    with closing(sqlite3.connect(path)) as file:
        assert file.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert file.execute("PRAGMA foreign_key_check").fetchall() == []
        for model in apps.get_app_config("yard").get_models(include_auto_created=True):
            columns = {row[1] for row in file.execute(f'PRAGMA table_info("{model._meta.db_table}")')}
            assert columns == {field.column for field in model._meta.local_concrete_fields}, model
