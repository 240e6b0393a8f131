"""Notes, photographs and measurements on the pages of a boat and an order, and the store's page."""

from __future__ import annotations

from datetime import UTC, datetime
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import Image

from yard.models import Boat, Measurement, Memo, Order, Photograph, Place, Season, Whereabouts, YardSettings

NOW = datetime(2027, 5, 6, 14, tzinfo=UTC)


@pytest.fixture
def teal(db, settings, tmp_path) -> Boat:
    settings.MEDIA_ROOT = tmp_path
    YardSettings.objects.create(name="Creek", time_zone="America/New_York", clock_frozen_at=NOW, units="feet")
    return Boat.objects.create(ref="teal", name="Teal", length_m=9, beam_m=3)


def client_of(user) -> Client:
    client = Client()
    client.force_login(user, "yard.web.access.RoleBackend")
    return client


def picture(name: str = "a.jpg") -> SimpleUploadedFile:
    written = BytesIO()
    Image.new("RGB", (40, 30)).save(written, "JPEG")
    return SimpleUploadedFile(name, written.getvalue(), "image/jpeg")


def test_a_photograph_is_served_to_whoever_may_view_and_to_nobody_else(teal, cast):
    ben = client_of(cast.ben)
    ben.post(reverse("boat_note", args=[teal.pk]), {"about": "boat", "text": "chafe", "photograph": picture("x.html")})
    row = Photograph.objects.get()
    for name in ("photograph", "photograph_small"):
        address = reverse(name, args=[row.pk])
        assert Client().get(address).status_code == 302
        shown = client_of(cast.dee).get(address)
        assert (shown.status_code, shown.headers["Content-Type"]) == (200, "image/jpeg")
        assert shown.headers["X-Content-Type-Options"] == "nosniff"
        assert "private" in shown.headers["Cache-Control"]
    assert Client().get(f"/photographs/{row.file.name}").status_code in (302, 404)  # the folder itself is not served
    ben.post(reverse("record_taken_back", args=["photograph", row.pk]))
    assert client_of(cast.dee).get(reverse("photograph", args=[row.pk])).status_code == 404


def test_what_cannot_be_kept_is_said_and_what_was_typed_stays(teal, cast):
    ben = client_of(cast.ben)
    wrong = SimpleUploadedFile("a.jpg", b"<svg onload=alert(1)>", "image/jpeg")
    answer = ben.post(reverse("boat_note", args=[teal.pk]), {"about": "boat", "text": "port side", "photograph": wrong})
    assert answer.status_code == 422
    assert "no JPEG, PNG or WebP" in answer.content.decode()
    assert "port side" in answer.content.decode()
    empty = ben.post(reverse("boat_note", args=[teal.pk]), {"about": "boat", "text": " "})
    assert (empty.status_code, "Write something" in empty.content.decode()) == (422, True)
    other = Order.objects.create(ref="O-9", walk_in_name="Noel", name="Repair", made_at=NOW)
    stranger = ben.post(reverse("boat_note", args=[teal.pk]), {"about": f"order-{other.pk}", "text": "x"})
    assert stranger.status_code == 422
    assert not Memo.objects.exists()
    assert not Photograph.objects.exists()


def test_words_too_long_for_a_caption_are_kept_whole(teal, cast):
    words = "word " * 80
    client_of(cast.ben).post(
        reverse("boat_note", args=[teal.pk]), {"about": "boat", "text": words, "photograph": picture()}
    )
    assert Memo.objects.get().text == words.strip()
    assert Photograph.objects.get().caption


def test_a_length_is_typed_and_read_in_the_yards_unit_and_kept_in_metres(teal, cast):
    ben = client_of(cast.ben)
    sent = {"about": "boat", "name": "boom to sole", "value": "6.5", "unit": "m", "note": ""}
    ben.post(reverse("boat_measure", args=[teal.pk]), sent)
    assert Measurement.objects.get().value == pytest.approx(6.5 * 0.3048)  # the international foot
    assert "boom to sole 6.50 ft" in ben.get(reverse("boat", args=[teal.pk])).content.decode()


def test_ones_own_note_is_taken_back_and_another_persons_only_by_the_office(teal, cast):
    row = Memo.objects.create(boat=teal, text="stiff zip", made_by=cast.ada, made_at=NOW)
    address = reverse("record_taken_back", args=["memo", row.pk])
    assert client_of(cast.ben).post(address).status_code == 403
    assert client_of(cast.cy).post(address).status_code == 302
    row.refresh_from_db()
    assert (row.taken_back_at, row.taken_back_by) == (NOW, cast.cy)
    shown = client_of(cast.dee).get(reverse("boat", args=[teal.pk])).content.decode()
    assert "<s>stiff zip</s>" in shown  # it stays on file


def test_an_orders_note_stands_on_its_page_and_on_hers(teal, cast):
    order = Order.objects.create(ref="O-1", boat=teal, name="Spring", made_at=NOW)
    sent = {"about": f"order-{order.pk}", "text": "owner brings the key"}
    client_of(cast.ben).post(reverse("order_note", args=[order.pk]), sent)
    for name, pk in (("order", order.pk), ("boat", teal.pk)):
        assert "owner brings the key" in client_of(cast.dee).get(reverse(name, args=[pk])).content.decode()


def test_order_and_boat_lead_to_each_other_and_to_a_new_order(teal, cast):
    order, client = Order.objects.create(ref="O-1", boat=teal, name="Spring", made_at=NOW), client_of(cast.cy)
    of_order, of_boat = reverse("order", args=[order.pk]), reverse("boat", args=[teal.pk])
    hers = client.get(of_boat).content.decode()
    assert f'href="{of_boat}"' in client.get(of_order).content.decode()
    assert f'href="{of_boat}"' in client.get(reverse("orders")).content.decode()
    assert f'href="{of_order}"' in hers
    assert f'href="{reverse("order_new_for", args=[teal.pk])}"' in hers
    Order.objects.all().delete()
    Boat.objects.all().delete()
    empty = client.get(reverse("boats")).content.decode()
    assert all(f'href="{reverse(name)}"' in empty.partition("No boats yet")[2] for name in ("lists", "order_new"))


def test_a_viewer_is_given_no_form(teal, cast):
    assert "Keep it" not in client_of(cast.dee).get(reverse("boat", args=[teal.pk])).content.decode()
    assert "Keep it" in client_of(cast.ben).get(reverse("boat", args=[teal.pk])).content.decode()


def test_the_store_with_as_many_queries_for_many_boats(
    teal, cast, django_assert_num_queries, django_assert_max_num_queries
):
    client, row = client_of(cast.dee), Place.objects.create(ref="r1", name="Row 1", kind="store_row", capacity=4)
    assert "there is nothing to draw" not in client.get(reverse("store")).content.decode()
    Whereabouts.objects.create(boat=teal, kind="store_row", place=row, position=1, since=NOW)
    with django_assert_max_num_queries(10) as few:
        client.get(reverse("store"))
    for number in range(5):
        boat = Boat.objects.create(ref=f"b{number}", name=f"Boat{number}", length_m=9, beam_m=3)
        Whereabouts.objects.create(boat=boat, kind="store_row", place=row, position=number + 2, since=NOW)
    with django_assert_num_queries(len(few)):
        assert "Boat4" in client.get(reverse("store")).content.decode()


def test_an_empty_store_says_so(teal, cast):
    assert "there is nothing to draw" in client_of(cast.dee).get(reverse("store")).content.decode()


def test_an_order_of_a_closed_season_shows_its_notes_and_no_form(teal, cast):
    season = Season.objects.create(name="Spring 2027", starts_on="2027-01-01", ends_on="2027-07-01")
    order = Order.objects.create(ref="27-001", boat=teal, season=season, name="Spring", made_at=NOW)
    note = Memo.objects.create(boat=teal, order=order, text="chafe at the bow", made_by=cast.ben, made_at=NOW)
    Season.objects.update(closed_at=NOW)
    client = client_of(cast.ben)
    page = client.get(f"/orders/{order.pk}/").content.decode()
    assert "chafe at the bow" in page
    assert "Spring 2027 is closed: what is kept here stays readable" in page
    assert f"/orders/{order.pk}/note/" not in page
    client.post(reverse("record_taken_back", args=["memo", note.pk]))
    assert Memo.objects.get().taken_back_at is None
