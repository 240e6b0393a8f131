"""Lists with chosen columns, as sheets, and views of them under a name: whose they are, and that none is doubled."""

from __future__ import annotations

import csv
from datetime import UTC, datetime
from urllib.parse import parse_qsl

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import translation

from yard.models import Boat, Item, SavedView, YardSettings
from yard.web.lists.tools import LISTS, asked_in
from yard.web.tables.boats import BoatTable
from yard.web.tables.moorings import MooringTable

BACKEND = "yard.web.access.RoleBackend"
SPARS = "find=&kind=mast&columns=only&columns=since&page=3&csrfmiddlewaretoken=x&evil=%3Cscript%3E&sort=-boat"


def of(user) -> Client:
    client = Client()
    client.force_login(user, BACKEND)
    return client


@pytest.fixture
def ben(cast) -> Client:
    YardSettings.objects.create(name="Creek", clock_frozen_at=datetime(2027, 5, 6, 14, tzinfo=UTC))
    teal = Boat.objects.create(ref="teal", name="Teal", length_m=9, beam_m=3)
    Item.objects.create(boat=teal, kind="mast", name="mast")
    Item.objects.create(boat=teal, kind="sail", name="=genoa", bag_tag="S-1")
    return of(cast.ben)


def keep(client: Client, name: str, **more: str):
    return client.post(reverse("view_keep", args=["things"]), {"name": name, "asked": SPARS} | more, follow=True)


def test_what_is_kept_is_what_the_list_knows_in_one_order():
    asked = asked_in("things", SPARS)
    assert parse_qsl(asked) == [("kind", "mast"), ("sort", "-boat"), ("columns", "only"), ("columns", "since")]
    assert asked_in("things", "sort=-boat&columns=since&columns=only&kind=mast") == asked
    assert asked_in("things", asked) == asked


def test_kept_once_shown_and_opened_as_it_was(ben):
    for _ in range(2):  # pressed twice
        page = keep(ben, " Spars ").content.decode()
    view = SavedView.objects.get()
    assert (view.name, view.shared) == ("Spars", False)
    assert 'aria-current="page">Spars' in page
    assert "genoa" not in page
    heads = page[page.index("<thead>") : page.index("</thead>")]
    assert "Since" in heads
    assert "Bag tag" in heads  # is no column that may be left out
    assert "Last washed" not in heads


def test_a_double_name_is_told_and_nothing_is_lost(ben, cast):
    keep(ben, "Spars")
    answer = ben.post(reverse("view_keep", args=["things"]), {"name": "SPARS", "asked": "kind=sail"}, follow=True)
    assert "There is a view “Spars” of this list already, your own: choose another name." in answer.content.decode()
    assert "genoa" in answer.content.decode()  # what was shown is shown still
    cy = of(cast.cy)
    assert "is kept for the whole yard" in keep(cy, "Spars", shared="yes").content.decode()
    assert "shared by Cy" in keep(of(cast.ada), "spars").content.decode()
    assert SavedView.objects.count() == 2


def test_own_views_are_ones_own_and_shared_ones_the_offices_to_change(ben, cast):
    keep(ben, "Mine", shared="yes")  # the crew may not share
    mine = SavedView.objects.get()
    assert not mine.shared
    dee, cy = of(cast.dee), of(cast.cy)
    assert dee.post(reverse("view_drop", args=[mine.pk])).status_code == 404
    keep(cy, "Everybody's", shared="yes")
    shared = SavedView.objects.get(shared=True)
    page = ben.get(reverse("things")).content.decode()
    assert "Everybody&#x27;s" in page
    assert reverse("view_drop", args=[shared.pk]) not in page
    assert ben.post(reverse("view_drop", args=[shared.pk])).status_code == 403
    of(cast.ada).post(reverse("view_drop", args=[shared.pk]))
    assert list(SavedView.objects.all()) == [mine]


def test_renamed_by_the_version_that_was_read(ben):
    keep(ben, "Spars")
    view = SavedView.objects.get()
    address = reverse("view_rename", args=[view.pk])
    ben.post(address, {"name": "Masts", "version": view.version})
    stale = ben.post(address, {"name": "Poles", "version": view.version}, follow=True)
    assert "somebody else changed this view meanwhile" in stale.content.decode()
    assert SavedView.objects.get().name == "Masts"
    assert "Give the view a name" in ben.post(address, {"name": "  ", "version": 2}, follow=True).content.decode()
    ben.post(reverse("view_drop", args=[view.pk]))
    assert not SavedView.objects.exists()


@pytest.mark.parametrize("of_list", LISTS)
def test_every_list_is_a_sheet_and_stays_whole_with_a_view(ben, cast, of_list):
    cy = of(cast.cy)
    address = reverse(LISTS[of_list].address)
    page = cy.get(address, {"columns": "only"})
    assert page.status_code == 200
    assert reverse("view_keep", args=[of_list]) in page.content.decode() or of_list == "people"
    sheet = cy.get(address, {"as": "csv"}).content.decode("utf-8-sig")
    few = cy.get(address, {"as": "csv", "columns": "only"}).content.decode("utf-8-sig")
    assert len(next(csv.reader(few.splitlines()))) < len(next(csv.reader(sheet.splitlines())))
    assert cy.get(address, {"columns": "no-such", "sort": "no-such", "page": "99"}).status_code == 200


def test_a_sheet_is_guarded_and_names_no_page_of_the_site(ben):
    rows = list(csv.reader(ben.get(reverse("things"), {"as": "csv"}).content.decode("utf-8-sig").splitlines()))
    assert [row[0] for row in rows] == ["Thing", "mast", "'=genoa"]
    assert ben.post(reverse("view_keep", args=["no-such"]), {"name": "x"}).status_code == 404


def test_a_sheet_has_a_point_where_the_page_has_the_languages_own_sign():
    """German writes a comma (DIN 1333); programs that open a sheet read a point."""
    yard = YardSettings(units=YardSettings.Units.METRES)
    boats = BoatTable([], yard=yard, with_owners=False)
    moorings = MooringTable([], yard=yard, today=datetime(2027, 5, 6, tzinfo=UTC).date())
    with translation.override("de"):
        assert (boats.render_length(8.2), boats.value_length(8.2)) == ("8,2", "8.2")
        assert (boats.render_draft(1.4), boats.value_draft(1.4)) == ("1,4", "1.4")
        assert (moorings.render_depth(-0.3), moorings.value_depth(-0.3)) == ("-0,3", "-0.3")
        assert (moorings.render_shoalest(2.5), moorings.value_shoalest(2.5)) == ("2,5", "2.5")
