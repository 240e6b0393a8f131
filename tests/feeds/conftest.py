"""The yard, and a client that reads its calendars as calendar programs do: without a session."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.contrib.auth.models import Group, User
from django.core.cache import cache
from django.test import Client

from tests.feeds.feed_yard import NOW, FeedYard, make_feed_yard
from yard.models import CalendarAddress
from yard.services.feeds.addresses import Rights, Shows, Wish, make_address, token_of


@pytest.fixture
def feed_yard(db: None) -> FeedYard:
    cache.clear()
    return make_feed_yard()


@pytest.fixture
def planner(feed_yard: FeedYard) -> Rights:
    user = User.objects.create_user("ada", password=None, first_name="Ada")
    user.groups.add(Group.objects.get(name="planner"))
    return Rights(user, plans=True, sees_owners=True)


MakeAddress = Callable[..., CalendarAddress]


@pytest.fixture
def make(planner: Rights) -> MakeAddress:
    """`make("person", arne, parts=["closures"], alarm_min=30)`: an address of the planner's."""

    def made(kind: str, subject: Any = None, *, by: Rights = planner, **wish: Any) -> CalendarAddress:
        name = wish.pop("name", "a calendar")
        return make_address(Wish(kind, name, subject, Shows(**wish)), by=by, now=NOW)

    return made


@pytest.fixture
def path() -> Callable[[CalendarAddress], str]:
    return lambda address: f"/calendar/{token_of(address)}.ics"


@pytest.fixture
def reader() -> Client:
    return Client(headers={"User-Agent": "Mozilla/5.0 Thunderbird/140.0"})
