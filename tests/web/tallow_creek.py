"""The yard at Tallow Creek on its Thursday in May, and who of the cast is signed in there."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from django.test import Client

from tests.web.made_creek import BACKEND
from yard.models import YardSettings

NOW = datetime(2027, 5, 6, 14, tzinfo=UTC)


def make_tallow_creek(**more: Any) -> YardSettings:
    return YardSettings.objects.create(
        name="Tallow Creek Yard", time_zone="America/New_York", clock_frozen_at=NOW, **more
    )


def signed_in(user: Any) -> Client:
    client = Client()
    client.force_login(user, BACKEND)
    return client
