"""Adding a boat, changing her, two people at once, putting her away, and the way back."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from django.test import Client
from django.urls import reverse

from yard.models import Boat, Fact, FactsRevision, Order, YardSettings

NOW = datetime(2027, 5, 6, 14, tzinfo=UTC)
TYPED = {"name": "Teal", "kind": "sail", "length_m": "28'6\"", "beam_m": "2.9 m", "draft_m": "4.5", "in_a_storm": "ask"}


@pytest.fixture
def client(cast) -> Client:
    YardSettings.objects.create(name="Creek", time_zone="America/New_York", clock_frozen_at=NOW, units="feet")
    client = Client()
    client.force_login(cast.cy, "yard.web.access.RoleBackend")
    return client


@pytest.fixture
def teal(client) -> Boat:
    client.post(reverse("boat_new"), TYPED)
    return Boat.objects.get()


def count() -> int:
    return FactsRevision.objects.values_list("count", flat=True).get(pk=1)


def sent(boat: Boat, **more: str) -> dict[str, str]:
    return TYPED | {"version": str(boat.version)} | more


def test_added_as_typed_in_feet_and_inches_or_metres(teal):
    assert teal.length_m == pytest.approx(28.5 * 0.3048, abs=1e-4)  # the international foot is 0.3048 m
    assert (teal.beam_m, teal.ref) == (2.9, "teal")
    assert teal.draft_m == pytest.approx(4.5 * 0.3048, abs=1e-4)
    assert teal.displacement_kg is None
    assert teal.history.get().history_user.username == "cy"


def test_a_second_boat_of_the_name_gets_a_ref_of_her_own(client, teal):
    client.post(reverse("boat_new"), TYPED)
    assert set(Boat.objects.values_list("ref", flat=True)) == {"teal", "teal-2"}


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"draft_m": "45"}, "A draft of 45 ft: did you mean 4.5 ft?"),
        ({"length_m": ""}, "This field is required"),
        ({"length_m": "long"}, "write it as 28"),
        ({"beam_m": "30 ft", "length_m": "29 ft"}, "were length and beam swapped?"),
        ({"displacement_kg": "3.2 kg"}, "was it typed in tonnes?"),
        ({"kind": "submarine"}, "Select a valid choice"),
    ],
)
def test_refused_in_the_trades_words_and_nothing_saved(client, teal, typed, words):
    before = count()
    for address in (reverse("boat_new"), reverse("boat_change", args=[teal.pk])):
        answer = client.post(address, sent(teal, **typed))
        assert answer.status_code == 422
        assert words in answer.content.decode()
    assert Boat.objects.get() == teal
    assert Boat.objects.get().version == teal.version
    assert count() == before


def test_two_people_at_once_overwrite_nothing_silently(client, teal):
    address = reverse("boat_change", args=[teal.pk])
    client.post(address, sent(teal, design="Sloop of the creek"))
    answer = client.post(address, sent(teal, design="Yawl of the bay"))  # read before the first was saved
    page = answer.content.decode()
    assert answer.status_code == 409
    assert "Sloop of the creek" in page
    assert "Yawl of the bay" in page
    now = Boat.objects.get()
    assert now.design == "Sloop of the creek"
    assert f'name="version" value="{now.version}"' in page
    client.post(address, sent(now, design="Yawl of the bay"))
    assert Boat.objects.get().design == "Yawl of the bay"
    assert "Sloop of the creek" in [row.design for row in now.history.all()]


def test_a_page_saved_as_it_was_read_changes_nothing(client, teal):
    Boat.objects.filter(pk=teal.pk).update(length_m=8.68712345)
    form, before = client.get(reverse("boat_change", args=[teal.pk])).context["form"], count()
    as_read = {name: form[name].value() or "" for name in form.fields if name != "planked"}
    assert client.post(reverse("boat_change", args=[teal.pk]), as_read).status_code == 302
    assert Boat.objects.get().length_m == 8.68712345
    assert Boat.objects.get().version == teal.version
    assert count() == before


def test_a_draft_that_is_written_is_waited_for_no_more(client, teal):
    fact = Fact.objects.create(kind="draft", name="draft", boat=teal, set_at=NOW)
    client.post(reverse("boat_change", args=[teal.pk]), sent(teal, draft_m="5 ft"))
    fact.refresh_from_db()
    assert fact.state == Fact.State.HERE


def test_the_way_back_is_in_her_history(client, teal):
    client.post(reverse("boat_change", args=[teal.pk]), sent(teal, notes="leaks", beam_m="3 m"))
    page = client.get(reverse("boat_change", args=[teal.pk])).content.decode()
    assert "Notes: – → leaks" in page
    assert "Cy" in page
    first = teal.history.order_by("history_id").first()
    back = reverse("fact_put_back", args=["boat", teal.pk, first.history_id])
    client.post(back, {"version": teal.version})  # a stale page
    assert Boat.objects.get().notes == "leaks"
    client.post(back, {"version": Boat.objects.get().version})
    now = Boat.objects.get()
    assert (now.notes, now.beam_m, now.history.count()) == ("", 2.9, 3)
    assert client.post(reverse("fact_put_back", args=["boat", teal.pk, 9999]), {"version": 1}).status_code == 404


def test_archived_only_without_open_orders_and_brought_back(client, teal):
    order = Order.objects.create(ref="O-1", boat=teal, name="Spring", made_at=NOW)
    address = reverse("boat_archive", args=[teal.pk])
    refused = client.post(address, {"version": teal.version, "archived": "yes"}, follow=True).content.decode()
    assert "Finish or withdraw her open orders first: O-1." in refused
    Order.objects.filter(pk=order.pk).update(state=Order.State.CANCELLED)
    client.post(address, {"version": "0", "archived": "yes"})
    assert not Boat.objects.get().archived
    client.post(address, {"version": teal.version, "archived": "yes"})
    assert Boat.objects.get().archived
    assert "Bring this boat back" in client.get(reverse("boat_change", args=[teal.pk])).content.decode()
    client.post(address, {"version": Boat.objects.get().version, "archived": "no"})
    assert not Boat.objects.get().archived


def test_query_count_of_her_form(client, teal, django_assert_max_num_queries):
    with django_assert_max_num_queries(12):
        client.get(reverse("boat_change", args=[teal.pk]))


def test_pressed_twice_she_is_one_boat(client):
    key = client.get(reverse("boat_new")).context["form"]["form_key"].value()
    for _ in range(2):
        answer = client.post(reverse("boat_new"), TYPED | {"form_key": str(key)})
        assert answer.url == reverse("boat", args=[Boat.objects.get().pk])
    client.post(reverse("boat_new"), TYPED | {"form_key": "0d4ef2a6-6d0c-4a5c-8f0a-2a1f6f5f7a11"})
    assert Boat.objects.count() == 2
