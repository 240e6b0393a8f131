"""Moorings and their tackle: the list, one mooring's page, the forms, two people at once, the way back."""

from __future__ import annotations

from datetime import date

import pytest
from django.test import Client
from django.urls import reverse

from tests.web.made_creek import BACKEND, NOW, text_of
from yard.models import Boat, Mooring, TacklePart, Whereabouts

TYPED = {
    "ref": "M-12",
    "depth_m_at_datum": "6 ft",
    "route_shoalest_m_at_datum": "-1'6\"",
    "latitude": "40°09.0' N",
    "longitude": "74°42.0' W",
    "exposure": "south-west",
    "bottom": "mud",
    "chain_spread_m": "4.5 m",
    "permit_number": "2027-114",
    "permit_expires_on": "2027-12-31",
}


@pytest.fixture
def cy(creek, cast, client) -> Client:
    client.force_login(cast.cy, BACKEND)
    return client


@pytest.fixture
def wren(cy) -> Boat:
    return Boat.objects.create(ref="wren", name="Wren", length_m=7, beam_m=2)


@pytest.fixture
def mooring(cy, wren) -> Mooring:
    cy.post(reverse("mooring_new"), TYPED | {"permit_boat": wren.pk})
    return Mooring.objects.get()


def test_added_as_typed_in_feet_inches_metres_degrees_and_minutes(mooring, wren):
    assert mooring.depth_m_at_datum == pytest.approx(6 * 0.3048, abs=1e-4)  # the international foot is 0.3048 m
    assert mooring.route_shoalest_m_at_datum == pytest.approx(-1.5 * 0.3048, abs=1e-4)
    assert (mooring.latitude, mooring.longitude) == pytest.approx((40.15, -74.7), abs=1e-6)
    assert (mooring.permit_boat, mooring.bottom, mooring.chain_spread_m) == (wren, "mud", 4.5)


def test_its_page_says_what_dries_the_swing_and_who_lies_there(cy, mooring, wren):
    """4.5 m of chain and 7 m of boat; the pendant is not on file, and the sum says so."""
    Whereabouts.objects.create(boat=wren, kind="mooring", mooring=mooring, since=NOW)
    words = text_of(cy.get(reverse("mooring", args=[mooring.pk])))
    assert "Depth at MLLW 1.83 m" in words
    assert "Shoalest on the way at MLLW dries 0.46 m" in words
    assert "Swing 11.5 m without pendant, which is not on file" in words
    assert "Lies on it now Wren" in words
    assert "Permit to 31 Dec 2027, 2027-114" in words


def test_who_only_looks_sees_it_and_changes_nothing(mooring, cast):
    dee = Client()
    dee.force_login(cast.dee, BACKEND)
    page = dee.get(reverse("mooring", args=[mooring.pk]))
    assert "Change" not in text_of(page)
    assert "Add a part" not in text_of(page)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"depth_m_at_datum": "deep"}, "write it as"),
        ({"latitude": "north"}, "write degrees, as 40.1533"),
        ({"longitude": "74.7"}, "west is negative: was a minus left out?"),
        ({"permit_expires_on": "1027-12-31"}, "The year 1027 cannot be right"),
        ({"ref": "M 12"}, "letters, numbers, underscores or hyphens"),
    ],
)
def test_refused_beside_the_field_and_what_was_typed_stays(cy, mooring, typed, words):
    answer = cy.post(reverse("mooring_change", args=[mooring.pk]), TYPED | {"version": mooring.version} | typed)
    assert answer.status_code == 422
    assert words in text_of(answer)
    assert next(iter(typed.values())) in answer.content.decode()
    assert Mooring.objects.get().version == mooring.version


def test_saved_as_it_was_read_changes_nothing(cy, mooring):
    Mooring.objects.update(depth_m_at_datum=1.8291234)
    form = cy.get(reverse("mooring_change", args=[mooring.pk])).context["form"]
    read = {name: form[name].value() for name in form.fields if name != "temporary"}
    sent = {name: value.isoformat() if isinstance(value, date) else value or "" for name, value in read.items()}
    assert cy.post(reverse("mooring_change", args=[mooring.pk]), sent).status_code == 302
    now = Mooring.objects.get()
    assert (now.depth_m_at_datum, now.version) == (1.8291234, mooring.version)


def test_two_people_at_once_and_the_way_back(cy, mooring, wren):
    address = reverse("mooring_change", args=[mooring.pk])
    seen = TYPED | {"version": mooring.version, "permit_boat": wren.pk}
    cy.post(address, seen | {"permit_number": "2027-200"})
    answer = cy.post(address, seen | {"permit_number": "2027-300"})
    assert answer.status_code == 409
    assert "2027-200" in text_of(answer)
    assert Mooring.objects.get().permit_number == "2027-200"
    assert "Permit number: 2027-114 → 2027-200" in text_of(
        cy.get(reverse("fact_history", args=["mooring", mooring.pk]))
    )
    first = mooring.history.order_by("history_id").first()
    cy.post(
        reverse("fact_put_back", args=["mooring", mooring.pk, first.history_id]),
        {"version": Mooring.objects.get().version},
    )
    assert Mooring.objects.get().permit_number == "2027-114"


def test_a_part_of_its_tackle_is_laid_once_changed_and_taken_up(cy, mooring):
    key = "0d4ef2a6-6d0c-4a5c-8f0a-2a1f6f5f7a11"
    part = {"kind": "top_chain", "size": "3/8 in", "length_m": "20 ft", "laid_on": "2025-04-20", "form_key": key}
    for _ in range(2):
        cy.post(reverse("tackle_new", args=[mooring.pk]), part)
    row = TacklePart.objects.get()
    assert (row.mooring, row.length_m) == (mooring, pytest.approx(6.096, abs=1e-4))
    address = reverse("tackle_change", args=[row.pk])
    bad = cy.post(address, part | {"version": row.version, "inspected_on": "2024-04-20"})
    assert "inspected before it was laid" in text_of(bad)
    cy.post(address, part | {"version": row.version, "condition": "replace"})
    assert "to be replaced" in text_of(cy.get(reverse("mooring", args=[mooring.pk])))
    assert [each.record.ref for each in cy.get(reverse("moorings"), {"needs": "tackle"}).context["table"].rows] == [
        "M-12"
    ]
    row.refresh_from_db()
    cy.post(address, part | {"version": row.version, "taken_up_on": "2027-05-01"})
    words = text_of(cy.get(reverse("mooring", args=[mooring.pk])))
    assert "No part of its tackle is on file" in words
    assert "Top chain 3/8 in: taken up 1 May 2027" in words


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ({}, ["M-12", "Y-1"]),
        ({"find": "wren"}, ["M-12"]),
        ({"find": "2027-114"}, ["M-12"]),
        ({"needs": "permit"}, []),
        ({"needs": "inspection"}, ["Y-1"]),
        ({"needs": "unset"}, ["M-12", "Y-1"]),
        ({"temporary": "true"}, ["Y-1"]),
        ({"sort": "-depth"}, ["M-12", "Y-1"]),
    ],
)
def test_found_narrowed_and_sorted(cy, mooring, asked, found):
    Mooring.objects.create(ref="Y-1", temporary=True, tackle_inspection_due_on=date(2027, 5, 20), depth_m_at_datum=1.0)
    assert [row.record.ref for row in cy.get(reverse("moorings"), asked).context["table"].rows] == found


def test_the_sheet_and_the_empty_list(cy, mooring):
    sheet = cy.get(reverse("moorings"), {"columns": ["boat", "depth"], "as": "csv"}).content.decode("utf-8-sig")
    assert sheet.splitlines() == ['Mooring,Boat,"Depth, m"', "M-12,Wren,1.8"]
    Mooring.objects.all().delete()
    assert "No mooring is on file yet. Add the first" in text_of(cy.get(reverse("moorings")))


def test_as_many_queries_for_twenty_moorings_as_for_one(cy, mooring, django_assert_num_queries):
    with django_assert_num_queries(8):
        cy.get(reverse("moorings"))
    for number in range(19):
        boat = Boat.objects.create(ref=f"b-{number}", name=f"B{number}", length_m=7, beam_m=2)
        Mooring.objects.create(ref=f"N-{number}", permit_boat=boat)
    with django_assert_num_queries(8):
        cy.get(reverse("moorings"))


def test_query_count_of_one_mooring(cy, mooring, django_assert_max_num_queries):
    with django_assert_max_num_queries(9):
        cy.get(reverse("mooring", args=[mooring.pk]))
