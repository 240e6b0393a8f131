"""Keys and versions that are none: a raised digit, or more digits than Python reads, are nobody's row, and no fault."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from django.test import Client
from django.urls import reverse

from yard.models import Boat, Item, Order, Whereabouts, YardSettings
from yard.web.request import number_in

NOW = datetime(2027, 5, 6, 14, tzinfo=UTC)
NO_NUMBERS = ("²", "9" * 5000, "-1", "1.0", " ", "1e3", "٣")


@pytest.mark.parametrize("text", ["", *NO_NUMBERS])
def test_what_is_no_key_is_the_key_of_none(text):
    assert number_in(text) == 0


def test_a_key_is_read():
    assert (number_in("7"), number_in("999999999")) == (7, 999_999_999)


@pytest.mark.parametrize("text", NO_NUMBERS)
def test_no_page_falls_over_it_and_nothing_is_changed(cast, text):
    YardSettings.objects.create(name="Creek", time_zone="America/New_York", clock_frozen_at=NOW)
    wren = Boat.objects.create(ref="wren", name="Wren", length_m=7.0, beam_m=2.3)
    sail = Item.objects.create(boat=wren, kind="sail", name="Main")
    order = Order.objects.create(ref="1", boat=wren, name="Refit", made_at=NOW)
    ada = Client()
    ada.force_login(cast.ada, "yard.web.access.RoleBackend")
    number = {"version": text, "seen": text, "where": f"mooring:{text}", "order": text, "name": "Jib", "kind": "sail"}
    for name, of in (
        ("boat_archive", wren.pk),
        ("boat_lies", wren.pk),
        ("thing", sail.pk),
        ("thing_change", sail.pk),
        ("order_withdraw", order.pk),
    ):
        assert ada.post(reverse(name, args=[of]), number | {"archived": "yes"}).status_code < 500, name
    for name in ("orders_again", "yard_settings", "place_words"):
        assert ada.post(reverse(name), number).status_code < 500, name
    for address in (f"{reverse('thing_new')}?boat={text}", f"{reverse('share_new')}?owner={text}&boat={text}"):
        assert ada.get(address).status_code == 200
    for row in (wren, sail, order):
        row.refresh_from_db()
    assert (wren.archived, sail.name, order.state, Whereabouts.objects.count()) == (False, "Main", "open", 0)
