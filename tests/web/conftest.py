"""The yard at Made Creek, and who of the cast looks at it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from django.test import Client
from django.utils import timezone

from tests.web.made_creek import BACKEND, make_creek
from yard.models import YardSettings


@pytest.fixture
def creek(db: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[YardSettings]:
    """The yard with its made tide, on a folder of its own, read in New York's time."""
    monkeypatch.chdir(tmp_path)
    with timezone.override("America/New_York"):
        yield make_creek(tmp_path)


@pytest.fixture
def dee(cast, client) -> Client:
    """Dee may look, and no more."""
    client.force_login(cast.dee, BACKEND)
    return client
