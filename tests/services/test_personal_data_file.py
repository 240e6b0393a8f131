"""What was erased is not left in the files of the database either. A module by itself: it must commit."""

from __future__ import annotations

import secrets
from datetime import UTC, datetime
from pathlib import Path

import pytest
from django.contrib.auth.models import User
from django.db import connection

from yard.models import Boat, Memo, Owner, OwnerPage
from yard.services.personal_data.erase import erase

NOW = datetime(2027, 5, 6, 14, tzinfo=UTC)
NAME, PHONE = "Marguerite O'Dowd", "(401) 555-0142"


@pytest.mark.django_db(transaction=True)
@pytest.mark.skipif(connection.vendor != "sqlite", reason="the file is SQLite's")
def test_the_databases_own_file_holds_her_no_more():
    """Deleted rows, overwritten rows and the log before the commit: the bytes of all files of the database."""
    her = Owner.objects.create(name=NAME, phone=PHONE, notes="Lighthouse keeper. " * 400)
    boat = Boat.objects.create(ref="knot", name="Knot", length_m=7, beam_m=2.4)
    for _ in range(40):
        OwnerPage.objects.create(owner=her, token_sha256=secrets.token_hex(), made_at=NOW, withdrawn_at=NOW)
        Memo.objects.create(boat=boat, text=f"{NAME} rang. " * 50, made_at=NOW)
    path = Path(connection.settings_dict["NAME"])
    files = [path, path.with_name(f"{path.name}-wal")]

    def held() -> list[bytes]:
        found = b"".join(each.read_bytes() for each in files if each.exists())
        return [each for each in (NAME.encode(), PHONE.encode(), b"Lighthouse keeper") if each in found]

    assert len(held()) == 3
    erase(her, typed=NAME, photographs=False, by=User.objects.create(username="ada"), now=NOW)
    assert held() == []
