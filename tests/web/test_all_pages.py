"""The page of all pages: what a person may open, and that a phone's bar leads to the rest."""

from __future__ import annotations

import re

import pytest
from django.urls import get_resolver

from yard.models import YardSettings
from yard.web.context import ON_A_PHONE, TABS

pytestmark = pytest.mark.django_db
BACKEND = "yard.web.access.RoleBackend"


def links(client, user) -> list[str]:
    client.force_login(user, BACKEND)
    main = client.get("/more/").content.decode().split("<main")[1]
    return re.findall(r'<li><a href="([^"]+)"', main)


def test_each_role_finds_its_pages_and_each_opens(client, cast):
    YardSettings.objects.create(name="Tallow Creek Yard", time_zone="America/New_York")
    found = {user.username: links(client, user) for user in (cast.ada, cast.cy, cast.ben, cast.dee)}
    assert "/yard/accounts/" in found["ada"]
    assert "/yard/accounts/" not in found["cy"]
    assert "/letters/" in found["cy"]
    assert "/letters/" not in found["ben"]
    for user in (cast.ada, cast.dee):
        client.force_login(user, BACKEND)
        assert {client.get(address, follow=True).status_code for address in found[user.username]} == {200}


def test_every_page_that_asks_for_nothing_can_be_found(client, cast):
    """An address without arguments that a planner may GET stands on the page, but for parts of other pages."""
    parts = {
        "healthz",
        "sign_in",
        "sign_out",
        "order_work",
        "season_run",
        "more",
        "phone_worker",
        "when_ready",
        "words",
    }
    parts |= {"words", "sign_in_code", "confirm", "second_factor"}  # steps on the way, which begin at a button
    named = {
        "/" + str(pattern.pattern)
        for pattern in get_resolver().url_patterns
        if pattern.name not in parts and not pattern.pattern.converters and "GET" in pattern.callback.verbs
    }
    assert named <= set(links(client, cast.ada))


def test_what_a_phones_bar_leaves_out_is_behind_more(client, cast):
    client.force_login(cast.ada, BACKEND)
    bar = client.get("/boats/").content.decode().split("<nav")[1].split("</nav>")[0]
    shown = re.findall(r'<li><a href="([^"]+)"', bar)
    assert len(shown) == len(ON_A_PHONE)
    left_out = re.findall(r'<li class="desk"><a href="([^"]+)"', bar)
    assert len(shown) + len(left_out) == len(TABS)
    assert set(left_out) <= set(links(client, cast.ada))
