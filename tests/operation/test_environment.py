"""A setting that is wrong is refused at the start, in one sentence that names it and what it may be."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.exceptions import ImproperlyConfigured

from tests.operation.background import ROOT
from yard import environment, settings
from yard.checks import settings_are_known

SECRET = "postgres://yard:hunter2@db/yard"


@pytest.mark.parametrize(
    ("name", "value", "read", "says"),
    [
        ("YARD_HTTPS", "true", environment.flag, "say 1 for yes or 0 for no"),
        ("YARD_SMTP_PORT", "smtp", lambda name: environment.whole_number(name, 587, least=1, most=65535), "1 to 65535"),
        ("YARD_SMTP_PORT", "70000", lambda name: environment.whole_number(name, 587, least=1, most=65535), "'70000'"),
        ("YARD_HOSTS", "https://yard.example.org", lambda name: environment.hosts(name, "x"), "names alone, by comma"),
        ("YARD_HOSTS", "yard.example.org,", lambda name: environment.hosts(name, "x"), "names alone"),
        ("YARD_ADDRESS", "yard.example.org", environment.address, "begins with https://"),
        ("YARD_SECRET_KEY", "hunter2", environment.secret_key, "has 7 letters, of 32 at least"),
        ("DATABASE_URL", "hunter2", lambda name: environment.database(name, ""), "say sqlite:///path or postgres://"),
        ("DATABASE_URL", "mysql://yard:hunter2@db/yard", lambda name: environment.database(name, ""), "knows: say"),
        (
            "DATABASE_URL",
            "postgres://yard:hunter2@db",
            lambda name: environment.database(name, ""),
            "names no database",
        ),
    ],
)
def test_a_wrong_setting(monkeypatch: pytest.MonkeyPatch, name: str, value: str, read, says: str) -> None:
    monkeypatch.setenv(name, value)
    with pytest.raises(ImproperlyConfigured, match=name) as refused:
        read(name)
    assert says in str(refused.value)
    assert "hunter2" not in str(refused.value), "a secret is not said again"


def test_right_ones(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("YARD_HTTPS", "1")
    monkeypatch.setenv("YARD_HOSTS", "yard.example.org, 192.0.2.7")
    monkeypatch.setenv("DATABASE_URL", SECRET)
    assert environment.flag("YARD_HTTPS")
    assert environment.hosts("YARD_HOSTS", "") == ["yard.example.org", "192.0.2.7"]
    assert environment.database("DATABASE_URL", "")["NAME"] == "yard"
    assert environment.whole_number("YARD_NONE_SUCH", 3, least=1, most=9) == 3


def test_what_is_written_wrong_is_pointed_out(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("YARD_HOST", "yard.example.org")
    (warning,) = settings_are_known()
    assert "There is no setting YARD_HOST: is YARD_HOSTS meant?" in warning.msg


def test_every_setting_that_is_told_of_is_known() -> None:
    told = set(re.findall(r"\bYARD_[A-Z_]+", settings.__doc__ or ""))
    assert "YARD_HTTPS" in told
    assert told <= environment.KNOWN


def test_a_data_folder_that_cannot_be(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    with pytest.raises(ImproperlyConfigured, match=r"YARD_DATA: .*file/data cannot be made"):
        environment.folder(tmp_path / "file" / "data", "YARD_DATA")


def test_the_command_line_says_it_in_one_line(tmp_path: Path) -> None:
    settings = os.environ | {"YARD_DATA": str(tmp_path), "DJANGO_SETTINGS_MODULE": "yard.settings", "YARD_HTTPS": "yes"}
    ran = subprocess.run(
        [sys.executable, str(ROOT / "manage.py"), "check"], env=settings, capture_output=True, text=True, timeout=120
    )
    assert ran.returncode == 1
    assert ran.stderr == "A setting is not understood. YARD_HTTPS is 'yes': say 1 for yes or 0 for no.\n"
