"""Owners: the list, one owner's page with numbers to call and text, the form, two people at once, shares, history."""

from __future__ import annotations

from datetime import date

import pytest
from django.test import Client
from django.urls import reverse

from tests.web.made_creek import BACKEND, NOW, text_of
from yard.models import Boat, BoatOwner, Fact, FactsRevision, Order, Owner, Telling

TYPED = {"name": "Ann Hale", "prefers": "call", "phone": "+1 401 555 0142", "other_phones": "", "language": "pt"}


@pytest.fixture
def cy(creek, cast, client) -> Client:
    client.force_login(cast.cy, BACKEND)
    return client


@pytest.fixture
def ann(cy) -> Owner:
    cy.post(reverse("owner_new"), TYPED)
    return Owner.objects.get()


@pytest.fixture
def wren(ann) -> Boat:
    her = Boat.objects.create(ref="wren", name="Wren", length_m=7, beam_m=2, in_a_storm="double")
    BoatOwner.objects.create(
        boat=her, owner=ann, starts_on=date(2027, 1, 1), told_first=True, insurance_expires_on=date(2027, 5, 1)
    )
    return her


def test_added_with_a_name_and_a_number(ann):
    assert (ann.name, ann.ref, ann.phone, ann.language) == ("Ann Hale", "ann-hale", "+1 401 555 0142", "pt")
    assert ann.history.get().history_user.username == "cy"


def test_pressed_twice_it_is_one_owner(cy):
    key = cy.get(reverse("owner_new")).context["form"]["form_key"].value()
    for _ in range(2):
        cy.post(reverse("owner_new"), TYPED | {"form_key": str(key)})
    assert Owner.objects.count() == 1


def test_refused_beside_the_field_and_nothing_saved(cy, ann):
    before = FactsRevision.objects.get(pk=1).count
    for address in (reverse("owner_new"), reverse("owner_change", args=[ann.pk])):
        answer = cy.post(address, TYPED | {"version": ann.version, "phone": "0142"})
        assert answer.status_code == 422
        assert "is the area code, or a digit, missing?" in text_of(answer)
    assert Owner.objects.get().phone == "+1 401 555 0142"
    assert FactsRevision.objects.get(pk=1).count == before


def test_every_number_calls_and_texts_with_one_tap(cy, ann, wren):
    Owner.objects.filter(pk=ann.pk).update(other_phones="(401) 555-0177, at work\nnobody knows")
    page = cy.get(reverse("owner", args=[ann.pk])).content.decode()
    for number in ("+14015550142", "4015550177"):
        assert f'href="tel:{number}"' in page
        assert f'href="sms:{number}"' in page
    assert "at work" in page
    listed = cy.get(reverse("owners")).content.decode()
    assert 'href="tel:+14015550142"' in listed
    assert 'href="sms:+14015550142"' in listed


def test_a_walk_ins_number_calls_and_texts_too(cy):
    order = Order.objects.create(
        ref="27-001", name="Sail repair", walk_in_name="Fay Marsh", walk_in_phone="401 555 0117", made_at=NOW
    )
    for address in (reverse("order", args=[order.pk]), reverse("orders")):
        page = cy.get(address).content.decode()
        assert 'href="tel:4015550117"' in page
        assert 'href="sms:4015550117"' in page


def test_the_page_says_boats_storm_insurance_and_what_was_said(cy, ann, wren):
    order = wren.orders.create(ref="27-001", name="Spring", made_at=NOW)
    Telling.objects.create(
        order=order, boat=wren, owner=ann, state="day", told_date=date(2027, 5, 20), how="call", told_at=NOW
    )
    words = text_of(cy.get(reverse("owner", args=[ann.pk])))
    assert "Wren called first" in words
    assert "ran out 1 May 2027" in words
    assert "double the pendants" in words
    assert "provisional day, Thu 20 May, by phone, Wren" in words


def test_two_people_at_once_overwrite_nothing_silently(cy, ann):
    address = reverse("owner_change", args=[ann.pk])
    seen = TYPED | {"version": ann.version}
    cy.post(address, seen | {"notes": "rings after six"})
    answer = cy.post(address, seen | {"notes": "never on Sunday"})
    assert answer.status_code == 409
    words = text_of(answer)
    assert "somebody else changed this meanwhile" in words
    assert "rings after six" in words
    assert Owner.objects.get().notes == "rings after six"
    cy.post(address, seen | {"notes": "never on Sunday", "version": Owner.objects.get().version})
    assert Owner.objects.get().notes == "never on Sunday"


def test_the_way_back_from_the_history(cy, ann):
    cy.post(reverse("owner_change", args=[ann.pk]), TYPED | {"version": ann.version, "phone": "401 555 0199"})
    page = cy.get(reverse("owner_change", args=[ann.pk]))
    assert "Phone: +1 401 555 0142 → 401 555 0199" in text_of(page)
    assert "Cy: phone changed" in text_of(page)
    first = ann.history.order_by("history_id").first()
    back = reverse("fact_put_back", args=["owner", ann.pk, first.history_id])
    cy.post(back, {"version": ann.version})  # a stale page
    assert Owner.objects.get().phone == "401 555 0199"
    cy.post(back, {"version": Owner.objects.get().version})
    assert Owner.objects.get().phone == "+1 401 555 0142"
    assert cy.post(reverse("fact_put_back", args=["owner", ann.pk, 99999]), {"version": 1}).status_code == 404


def test_archived_without_a_boat_and_listed_apart(cy, ann, wren):
    address = reverse("owner_archive", args=[ann.pk])
    refused = cy.post(address, {"version": ann.version, "archived": "yes"}, follow=True)
    assert "Still owner of Wren" in refused.content.decode()
    BoatOwner.objects.update(ends_on=date(2027, 5, 1))
    cy.post(address, {"version": ann.version, "archived": "yes"})
    assert Owner.objects.get().archived
    assert "Ann Hale" not in text_of(cy.get(reverse("owners")))
    assert "Ann Hale" in text_of(cy.get(reverse("owners"), {"gone": "yes"}))


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ({"find": "ann"}, ["Ann Hale"]),
        ({"find": "wren"}, ["Ann Hale"]),
        ({"find": "401-555"}, ["Ann Hale", "Bo Reed"]),
        ({"find": "0177"}, ["Bo Reed"]),
        ({"lacks": "phone"}, ["Dan Vale"]),
        ({"lacks": "email"}, ["Ann Hale", "Dan Vale"]),
        ({"lacks": "insurance"}, ["Ann Hale"]),
        ({"lacks": "boat"}, ["Bo Reed", "Dan Vale"]),
        ({"prefers": "letter"}, ["Dan Vale"]),
        ({"sort": "-name"}, ["Dan Vale", "Bo Reed", "Ann Hale"]),
        ({"sort": "boats"}, ["Ann Hale", "Bo Reed", "Dan Vale"]),
    ],
)
def test_found_narrowed_and_sorted(cy, ann, wren, asked, found):
    Owner.objects.create(name="Bo Reed", other_phones="401 555 0177 at work", email="bo@creek.example")
    Owner.objects.create(name="Dan Vale", prefers="letter")
    answer = cy.get(reverse("owners"), asked)
    assert [row.record.owner.name for row in answer.context["table"].rows] == found


def test_columns_are_chosen_and_the_sheet_has_the_same(cy, ann, wren):
    asked = {"columns": ["boats", "phone"], "find": "ann"}
    heads = text_of(cy.get(reverse("owners"), asked))
    assert "Reached best by a call" not in heads
    sheet = cy.get(reverse("owners"), asked | {"as": "csv"}).content.decode("utf-8-sig").splitlines()
    assert sheet == ["Owner,Boats,Telephone", "Ann Hale,Wren,'+1 401 555 0142"]  # the apostrophe guards a plus


def test_an_empty_list_says_what_to_do(cy):
    assert "No owner is on file yet. Add the first" in text_of(cy.get(reverse("owners")))


def test_a_share_is_added_changed_and_told_of(cy, ann, wren):
    bo = Owner.objects.create(name="Bo Reed")
    page = cy.get(reverse("share_new"), {"boat": wren.pk})
    assert page.context["whose"]["boat"].value() == str(wren.pk)
    typed = {"owner": bo.pk, "boat": wren.pk, "starts_on": "2027-05-01"}
    typed["form_key"] = page.context["form"]["form_key"].value()
    for _ in range(2):
        answer = cy.post(reverse("share_new"), typed)
        assert answer.url == reverse("owner", args=[bo.pk])
    share = BoatOwner.objects.get(owner=bo)
    assert share.history.get().history_user.username == "cy"
    address = reverse("share_change", args=[share.pk])
    sent = {"version": share.version, "starts_on": "2027-05-01"}
    assert cy.post(address, sent | {"told_first": "on"}).status_code == 422
    assert cy.post(address, sent | {"insurance_expires_on": "2072-05-01"}).status_code == 422
    cy.post(address, sent | {"insurance_expires_on": "2028-05-01"})
    share.refresh_from_db()
    assert share.insurance_expires_on == date(2028, 5, 1)
    assert "Insured until: – → 1 May 2028" in text_of(cy.get(reverse("fact_history", args=["share", share.pk])))


def test_owners_are_for_those_who_may_see_them(ann, cast, wren):
    ben = Client()
    ben.force_login(cast.ben, BACKEND)
    assert ben.get(reverse("fact_history", args=["owner", ann.pk])).status_code == 404
    assert ben.get(reverse("fact_history", args=["boat", wren.pk])).status_code == 200
    assert ben.get(reverse("fact_history", args=["nothing", wren.pk])).status_code == 404


def test_the_history_of_a_fact_and_its_way_back(cy, wren):
    fact = Fact.objects.create(kind="permit", name="permit", boat=wren, set_at=NOW)
    said = {"version": fact.version, "since": "2027-05-06"}
    cy.post(reverse("fact_said", args=[fact.pk, "here"]), said)
    words = text_of(cy.get(reverse("fact_history", args=["fact", fact.pk])))
    assert "Cy: said on her page: here" in words
    assert "State: unknown → here" in words
    first = fact.history.order_by("history_id").first()
    fact.refresh_from_db()
    cy.post(reverse("fact_put_back", args=["fact", fact.pk, first.history_id]), {"version": fact.version})
    fact.refresh_from_db()
    assert (fact.state, fact.here_since, fact.set_by.username) == ("unknown", None, "cy")


def test_as_many_queries_for_twenty_owners_as_for_two(cy, ann, wren, django_assert_num_queries):
    def add(count: int) -> None:
        for number in range(count):
            who = Owner.objects.create(name=f"Owner {number}", ref=f"o-{Owner.objects.count()}")
            BoatOwner.objects.create(boat=wren, owner=who, starts_on=date(2027, 1, 1))

    add(1)
    with django_assert_num_queries(8):
        cy.get(reverse("owners"))
    add(18)
    with django_assert_num_queries(8):
        cy.get(reverse("owners"))


def test_query_counts_of_one_owner(cy, ann, wren, django_assert_max_num_queries):
    with django_assert_max_num_queries(14):
        cy.get(reverse("owner", args=[ann.pk]))
    with django_assert_max_num_queries(8):
        cy.get(reverse("owner_change", args=[ann.pk]))
