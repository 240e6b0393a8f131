"""The page on which a planner reads, takes out and erases the personal data of an owner."""

from __future__ import annotations

import csv
import io
import json
from datetime import date

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from tests.conftest import Cast
from tests.web.tallow_creek import signed_in
from yard.models import Boat, BoatOwner, Memo, Owner, SecurityEvent, YardSettings


@pytest.fixture
def ann(db: None) -> Owner:
    YardSettings.objects.create(name="Tallow Creek")
    owner = Owner.objects.create(name="Ann Hale", ref="hale", phone="401 555 0142", notes="=SUM(A1)")
    boat = Boat.objects.create(ref="wren", name="Wren", length_m=7.0, beam_m=2.3)
    BoatOwner.objects.create(boat=boat, owner=owner, starts_on=date(2026, 1, 1), ends_on=date(2027, 1, 1))
    Memo.objects.create(boat=boat, text="Ann Hale has the key", made_at=timezone.now())
    return owner


@pytest.fixture
def ada(cast: Cast) -> Client:
    return signed_in(cast.ada)


def test_the_page_says_what_is_kept_and_what_becomes_of_it(ada, ann):
    answer = ada.get(f"/owners/{ann.pk}/data/")
    page = answer.content.decode()
    assert "no-store" in answer.headers["Cache-Control"]
    for words in (
        ": 1 place</summary>",
        "Ann Hale has the key",
        "insurance expires on",
        "There is no way back",
        "manage.py backup",
        "accountant",
    ):
        assert words in page
    assert f"/owners/{ann.pk}/data/" in ada.get(f"/owners/{ann.pk}/").content.decode()


def test_queries_do_not_grow_with_rows(ada, ann):
    counts = []
    for _ in range(2):
        for number in range(8):
            Memo.objects.create(text=f"Ann Hale rang, {number}", boat=Boat.objects.get(), made_at=timezone.now())
        with CaptureQueriesContext(
            connection,
        ) as asked:
            assert ada.get(f"/owners/{ann.pk}/data/").status_code == 200
        counts.append(len(asked))
    assert counts[0] == counts[1]


def test_taken_out_as_json_and_as_a_sheet_that_calculates_nothing(ada, ann, cast):
    answer = ada.post(f"/owners/{ann.pk}/data/json/")
    said = json.loads(answer.content)
    assert said["tables"]["yard.owner"][0]["phone"] == "401 555 0142"
    assert answer.headers["Content-Disposition"] == f'attachment; filename="owner-{ann.pk}.json"'
    sheet = ada.post(f"/owners/{ann.pk}/data/csv/").content.decode("utf-8-sig")
    lines = list(csv.reader(io.StringIO(sheet)))
    assert ["yard.owner", str(ann.pk), "notes", "'=SUM(A1)"] in lines
    assert SecurityEvent.objects.filter(kind="owner_read", by=cast.ada, about=f"owner {ann.pk}").count() == 2


def test_erasing_asks_for_the_password_again_and_for_the_name(ada, ann):
    session = ada.session
    session["confirmed_at"] = 0
    session.save()
    for act in ("data/json", "data/csv", "erase"):
        answer = ada.post(f"/owners/{ann.pk}/{act}/", {"typed": "Ann Hale"})
        assert answer.headers["Location"] == f"/account/confirm/?next=%2Fowners%2F{ann.pk}%2Fdata%2F"
    ada.post("/account/confirm/", {"password": "ada-knows-the-tide"})
    refused = ada.post(f"/owners/{ann.pk}/erase/", {"typed": "Ann"})
    assert refused.status_code == 422
    assert "type the name as it stands" in refused.content.decode()
    page = ada.post(f"/owners/{ann.pk}/erase/", {"typed": "Ann Hale"}, follow=True).content.decode()
    assert f"Erased owner {ann.pk}" in page
    assert "Ann Hale" not in page
    assert Memo.objects.get().text == "(erased) has the key"


def test_what_stands_in_the_way_takes_the_forms_place(ada, ann):
    BoatOwner.objects.update(ends_on=None)
    page = ada.get(f"/owners/{ann.pk}/data/").content.decode()
    assert "Still owner of Wren" in page
    assert "for ever" not in page
    assert ada.post(f"/owners/{ann.pk}/erase/", {"typed": "Ann Hale"}).status_code == 422


def test_a_form_of_the_owner_that_was_open_meanwhile_does_not_bring_the_name_back(ada, ann):
    seen = Owner.objects.get(pk=ann.pk).version
    ada.post(f"/owners/{ann.pk}/erase/", {"typed": "Ann Hale"})
    ada.post(f"/owners/{ann.pk}/change/", {"name": "Ann Hale", "prefers": "call", "version": seen})
    assert Owner.objects.get(pk=ann.pk).name == f"Erased owner {ann.pk}"
