"""Commands on a folder without a yard, and on one that an earlier version left: a sentence that says what to do."""

import os
import re
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


def manage(data: Path, *command: str) -> subprocess.CompletedProcess[str]:
    environment = {
        name: value for name, value in os.environ.items() if not name.startswith(("YARD_", "DATABASE_URL", "DJANGO_"))
    }
    return subprocess.run(
        [sys.executable, "manage.py", *command],
        env=environment | {"YARD_DATA": str(data)},
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.mark.once
def test_a_command_on_no_yard_says_to_make_its_tables(tmp_path):
    ran = manage(tmp_path, "example", "--size", "S", "--day", "winter")
    assert (ran.returncode, ran.stderr.strip()) == (
        1,
        "CommandError: There is no yard here yet. Make its tables first: manage.py migrate",
    )


@pytest.mark.once
def test_a_command_on_an_earlier_versions_tables_says_to_bring_them_up_to_date(tmp_path):
    with sqlite3.connect(tmp_path / "yard.sqlite3") as rows:
        rows.execute("create table django_migrations (id integer primary key, app text, name text, applied text)")
        rows.execute("insert into django_migrations (app, name, applied) values ('yard', '0001_initial', '2027-01-14')")
    ran = manage(tmp_path, "check_plan")
    assert ran.returncode == 1
    assert re.search(r"is \d+ steps behind this version. Bring it up to date: manage.py migrate$", ran.stderr.strip())
    assert "Traceback" not in ran.stderr
