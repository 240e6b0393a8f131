"""Where letters go is read from the environment."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

ASK = (
    "from yard import settings as s;"
    " print(s.EMAIL_BACKEND, s.EMAIL_HOST, s.EMAIL_PORT, s.EMAIL_USE_TLS, s.EMAIL_USE_SSL)"
)


def asked(tmp_path, **more: str) -> subprocess.CompletedProcess[str]:
    kept = {name: value for name, value in os.environ.items() if not name.startswith("YARD_")}
    return subprocess.run(
        [sys.executable, "-c", ASK], env=kept | {"YARD_DATA": str(tmp_path)} | more, capture_output=True, text=True
    )


@pytest.mark.parametrize(
    ("more", "found"),
    [
        ({}, "django.core.mail.backends.filebased.EmailBackend  587 True False"),
        ({"YARD_SMTP_HOST": "mail"}, "django.core.mail.backends.smtp.EmailBackend mail 587 True False"),
        (
            {"YARD_SMTP_HOST": "mail", "YARD_SMTP_PORT": "465", "YARD_SMTP_TLS": "tls"},
            "django.core.mail.backends.smtp.EmailBackend mail 465 False True",
        ),
        (
            {"YARD_SMTP_HOST": "mail", "YARD_SMTP_PORT": "25", "YARD_SMTP_TLS": "none"},
            "django.core.mail.backends.smtp.EmailBackend mail 25 False False",
        ),
    ],
)
def test_files_by_default_and_smtp_where_a_host_is_named(tmp_path, more: dict[str, str], found: str) -> None:
    assert asked(tmp_path, **more).stdout.strip() == found


def test_a_mistyped_protection_is_not_taken_for_none(tmp_path) -> None:
    said = asked(tmp_path, YARD_SMTP_HOST="mail", YARD_SMTP_TLS="ssl")
    assert said.returncode != 0
    assert "it is starttls, tls or none" in said.stderr
