"""Merging and selling on their pages: side by side, chosen, done once, told, and taken back."""

from __future__ import annotations

from datetime import date

import pytest
from django.test import Client
from django.urls import reverse

from tests.web.made_creek import BACKEND, NOW, text_of
from yard.models import Boat, BoatOwner, Memo, Mooring, Order, Owner, ToldApart, WholeChange


@pytest.fixture
def cy(creek, cast, client) -> Client:
    client.force_login(cast.cy, BACKEND)
    return client


@pytest.fixture
def ann(db) -> Owner:
    return Owner.objects.create(name="Ann Hale", ref="hale")


@pytest.fixture
def teal(ann) -> Boat:
    her = Boat.objects.create(ref="teal", name="Teal", length_m=8.5, beam_m=2.8, notes="stiff zip")
    BoatOwner.objects.create(boat=her, owner=ann, starts_on=date(2027, 1, 1), told_first=True)
    return her


@pytest.fixture
def twin(db) -> Boat:
    her = Boat.objects.create(ref="teal-2", name="teal", length_m=8.6, beam_m=2.8, sail_number="114", notes="leaks")
    Memo.objects.create(boat=her, text="patterned in the autumn", made_at=NOW)
    return her


def sent_from(page) -> dict[str, str]:
    """What the page of two side by side sends where nobody touches it."""
    found = page.context["page"]
    fixed = {"with": found.gone.pk, "kept_version": found.kept.version, "gone_version": found.gone.version}
    return {**fixed, "form_key": str(found.form_key), **{f"take-{side.key}": side.takes for side in found.sides}}


def test_she_looks_like_another_and_the_hint_leads_to_both(cy, teal, twin):
    words = text_of(cy.get(reverse("boat_change", args=[teal.pk])))
    assert "On file twice? teal (teal-2) has the same name, and as long" in words
    assert "Teal (teal) and teal (teal-2)" in text_of(cy.get(reverse("duplicates")))
    assert "teal (teal-2), the same name" in text_of(cy.get(reverse("boat_merge", args=[teal.pk])))
    side = text_of(cy.get(reverse("boat_merge", args=[teal.pk]), {"with": twin.pk}))
    assert "Notes: 1" in side
    cy.post(reverse("told_apart", args=["boat", twin.pk, teal.pk]))
    assert ToldApart.objects.count() == 1
    assert "On file twice?" not in text_of(cy.get(reverse("boat_change", args=[teal.pk])))
    assert cy.post(reverse("told_apart", args=["mooring", 1, 2])).status_code == 404


def test_what_is_empty_is_taken_from_the_other_and_texts_are_joined(cy, teal, twin):
    address = reverse("boat_merge", args=[teal.pk])
    sent = sent_from(cy.get(address, {"with": twin.pk}))
    assert (sent["take-sail_number"], sent["take-notes"], sent["take-name"]) == ("gone", "both", "kept")
    for _ in range(2):  # a double press
        assert cy.post(address, sent).url == reverse("boat", args=[teal.pk])
    teal.refresh_from_db()
    assert (teal.sail_number, teal.notes) == ("114", "stiff zip\nleaks")
    assert WholeChange.objects.count() == 1
    assert "everything that hung here is there" in text_of(cy.get(reverse("boat", args=[twin.pk])))
    back = cy.post(
        reverse("boat_archive", args=[twin.pk]),
        {"version": Boat.objects.get(pk=twin.pk).version, "archived": "no"},
        follow=True,
    )
    assert "take the merge back" in back.content.decode()


def test_merged_and_taken_back_on_the_page_of_the_change(cy, teal, twin):
    cy.post(
        reverse("boat_merge", args=[teal.pk]),
        sent_from(cy.get(reverse("boat_merge", args=[teal.pk]), {"with": twin.pk})),
    )
    change = WholeChange.objects.get()
    address = reverse("whole_change", args=[change.pk])
    words = text_of(cy.get(address))
    assert "1 note: changed" in words
    assert "Take it back as a whole" in words
    Boat.objects.filter(pk=teal.pk).update(notes="other words")
    assert "notes was changed since; put that back first" in text_of(cy.get(address))
    cy.post(reverse("whole_change_back", args=[change.pk]))
    assert WholeChange.objects.get().taken_back_at is None
    Boat.objects.filter(pk=teal.pk).update(notes="stiff zip\nleaks")
    cy.post(reverse("whole_change_back", args=[change.pk]))
    assert WholeChange.objects.get().taken_back_at == NOW
    assert not Boat.objects.get(pk=twin.pk).archived
    assert Memo.objects.get().boat == twin
    assert "Taken back Thu 6 May 2027" in text_of(cy.get(address))


def test_a_stale_page_merges_nothing(cy, teal, twin):
    address = reverse("boat_merge", args=[teal.pk])
    sent = sent_from(cy.get(address, {"with": twin.pk}))
    for version in ("99", "x"):
        answer = cy.post(address, sent | {"gone_version": version})
        assert answer.status_code == 422
        assert "was changed meanwhile" in text_of(answer)
    assert cy.get(address, {"with": "x"}).status_code == 404
    assert not WholeChange.objects.exists()


def test_two_owners_are_merged(cy, ann, teal):
    other = Owner.objects.create(name="Ann Hales", ref="hales", email="ann@creek.example", phone="401 555 0142")
    address = reverse("owner_merge", args=[ann.pk])
    assert "nearly the same name" in text_of(cy.get(reverse("owner", args=[ann.pk])))
    cy.post(address, sent_from(cy.get(address, {"with": other.pk})))
    ann.refresh_from_db()
    assert (ann.email, ann.phone) == ("ann@creek.example", "401 555 0142")
    assert "Found to be the same as Ann Hale" in text_of(cy.get(reverse("owner", args=[other.pk])))
    assert "Ann Hales (hales) merged into Ann Hale (hale)" in text_of(cy.get(reverse("owner", args=[ann.pk])))


def sale_of(page, **more) -> dict[str, object]:
    """What the sale's page sends where nobody touches it but to name somebody new."""
    form = page.context["form"]
    read = {name: form[name].value() for name in form.fields}
    plain = {key: value.isoformat() if isinstance(value, date) else value for key, value in read.items() if value}
    return plain | {"form_key": str(read["form_key"]), "new_name": "Dan Vale", "new_phone": "401 555 0177"} | more


def test_sold_to_somebody_new_and_taken_back(cy, teal, ann):
    mooring = Mooring.objects.create(ref="M-12", permit_boat=teal, permit_number="2027-114")
    order = Order.objects.create(ref="27-001", boat=teal, name="Spring", made_at=NOW)
    address = reverse("boat_sell", args=[teal.pk])
    page = cy.get(address)
    assert "Spring, 27-001" in text_of(page)
    sent = sale_of(page, withdrawn=[order.pk])
    for _ in range(2):
        assert cy.post(address, sent).status_code == 302
    dan = Owner.objects.get(name="Dan Vale")
    assert [(row.owner, row.ends_on) for row in teal.ownerships.order_by("starts_on")] == [
        (ann, date(2027, 5, 6)),
        (dan, None),
    ]
    mooring.refresh_from_db()
    order.refresh_from_db()
    assert (mooring.permit_number, order.state) == ("", Order.State.CANCELLED)
    assert f'href="{reverse("owner", args=[dan.pk])}"' in cy.get(reverse("boat", args=[teal.pk])).content.decode()
    assert "Before Teal from 1 Jan 2027 to 6 May 2027" in text_of(cy.get(reverse("owner", args=[ann.pk])))
    cy.post(reverse("whole_change_back", args=[WholeChange.objects.get().pk]))
    assert not Owner.objects.filter(name="Dan Vale").exists()
    order.refresh_from_db()
    assert order.state == Order.State.OPEN
    assert BoatOwner.objects.get().ends_on is None


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"new_name": ""}, "Say who bought her"),
        ({"sold_on": ""}, "This field is required"),
        ({"sellers": []}, "Say whose share was sold"),
        ({"new_phone": "0177"}, "is the area code, or a digit, missing?"),
        ({"version": "0"}, "Somebody changed her meanwhile"),
    ],
)
def test_a_sale_is_refused_and_nothing_is_saved(cy, teal, more, words):
    address = reverse("boat_sell", args=[teal.pk])
    answer = cy.post(address, sale_of(cy.get(address), **more))
    assert answer.status_code == 422
    assert words in text_of(answer)
    assert not WholeChange.objects.exists()
    assert not Owner.objects.filter(name="Dan Vale").exists()


def test_query_counts(cy, teal, twin, django_assert_max_num_queries):
    for address, most in (
        (reverse("duplicates"), 9),
        (reverse("boat_sell", args=[teal.pk]), 12),
        (reverse("boat_merge", args=[teal.pk]) + f"?with={twin.pk}", 29),
    ):
        with django_assert_max_num_queries(most):
            cy.get(address)
