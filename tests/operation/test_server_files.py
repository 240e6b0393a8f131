"""The files of .server/ name what there is: commands, settings, paths of one another."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest
from django.core.management import get_commands

ROOT = Path(__file__).resolve().parents[2]
FILES = sorted((ROOT / ".server").iterdir())
TEXT = {file.name: file.read_text(encoding="utf-8") for file in FILES}


def test_every_command_that_is_named_is_there():
    named = {name for text in TEXT.values() for name in re.findall(r"manage\.py (\w+)", text)}
    assert {"serve", "backup", "restore"} <= named
    assert named <= set(get_commands())


def test_every_setting_that_is_named_is_one():
    known = set(re.findall(r"\b(?:YARD_\w+|DATABASE_URL)", (ROOT / "yard" / "settings.py").read_text(encoding="utf-8")))
    named = {name for text in TEXT.values() for name in re.findall(r"\b(?:YARD_\w+|DATABASE_URL)\b", text)}
    assert named
    assert named <= known


def test_every_file_is_told_of():
    assert {name for name in TEXT if name != "README.md" and name not in TEXT["README.md"]} == set()


@pytest.mark.skipif(shutil.which("systemd-analyze") is None, reason="Debian without systemd cannot judge its units")
def test_the_units_are_units(tmp_path):
    units = [name for name in TEXT if name.endswith((".service", ".timer"))]
    assert len(units) == 5
    for name in units:
        text = re.sub(r"/srv/yard/program/\.venv/bin/python", "/bin/true", TEXT[name])  # the program is not there
        (tmp_path / name).write_text(re.sub(r"^(User|Group)=.*\n", "", text, flags=re.M), encoding="utf-8")
    told = subprocess.run(
        [
            "systemd-analyze",
            "verify",
            "--man=no",
            *(str(tmp_path / name) for name in units),
        ],
        capture_output=True,
        text=True,
        timeout=60,
    )
    ours = [line for line in told.stderr.splitlines() if str(tmp_path) in line or "yard" in line]
    assert ours == []
