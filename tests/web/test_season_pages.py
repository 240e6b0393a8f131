"""Pages of seasons and of the bookkeeper: shown, sent once, refused in words, and sheets that calculate nothing."""

from __future__ import annotations

import csv
import io
from datetime import UTC, date, datetime
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from openpyxl import load_workbook

from tests.web.tallow_creek import signed_in
from yard.models import (
    Boat,
    ExtraWork,
    Job,
    JobKind,
    JobWork,
    MaterialUsed,
    Order,
    Person,
    Season,
    YardSettings,
    YearEnd,
)
from yard.services.year_end import carry_out

AT = datetime(2027, 5, 6, 14, tzinfo=UTC)
DAY = date(2027, 5, 4)
RANGE = {"from": "2027-05-01", "to": "2027-05-31"}


@pytest.fixture
def spring(db: None) -> Season:
    """Wren's order of spring: a halyard done with its hours, a wire not begun; a material and two extras."""
    YardSettings.objects.create(name="Tallow Creek", time_zone="UTC", clock_frozen_at=AT)
    season = Season.objects.create(name="Spring 2027", starts_on=date(2027, 1, 1), ends_on=date(2027, 8, 1))
    Season.objects.create(name="Autumn 2027", starts_on=date(2027, 8, 1), ends_on=date(2028, 1, 1))
    boat = Boat.objects.create(ref="wren", name="=Wren", length_m=7.0, beam_m=2.3, draft_m=1.1)
    kind = JobKind.objects.create(key="halyard", name="Halyard", short_name="hal", letter="H", trade="rig")
    order = Order.objects.create(ref="27-001", boat=boat, name="Rigging", season=season, made_at=AT)
    done = {"state": "done", "actual_starts_at": AT, "actual_ends_at": AT, "worked_min": 90}
    job = Job.objects.create(order=order, kind=kind, key="halyard", name="New halyard", **done)
    Job.objects.create(order=order, kind=kind, key="wire", name="New wire", sequence=1)
    jo = Person.objects.create(name="Jo Hand", short_name="Jo")
    JobWork.objects.create(job=job, person=jo, worked_on=DAY, worked_min=90)
    MaterialUsed.objects.create(job=job, name="+cmd|' /C calc'!A0", quantity=12, unit="m", used_on=DAY, noted_at=AT)
    ExtraWork.objects.create(job=job, what="A block", extra_min=30, agreed="phone", done_on=DAY, noted_at=AT)
    ExtraWork.objects.create(job=job, what="Not asked", extra_min=30, done_on=DAY, noted_at=AT)
    return season


@pytest.fixture
def ada(cast: Any) -> Client:
    return signed_in(cast.ada)


def _ended(ada: Client, season: Season) -> YearEnd:
    page = ada.get(f"/seasons/{season.pk}/end/").context["page"]
    sent = {"form_key": str(page.key), "order": [str(pk) for pk in page.choices.orders]}
    for _ in range(2):  # a double press
        answer = ada.post(f"/seasons/{season.pk}/end/", sent)
    row = YearEnd.objects.get()
    assert answer.headers["Location"] == f"/seasons/ends/{row.pk}/"
    return row


def test_ended_and_taken_back_on_its_pages(ada: Client, spring: Season) -> None:
    assert "Nothing is in the way" in ada.get(f"/seasons/{spring.pk}/end/").content.decode()
    row = _ended(ada, spring)
    assert "waits for the worker" in ada.get(f"/seasons/ends/{row.pk}/").content.decode()
    carry_out(row.pk, clock=lambda: AT)
    told = ada.get(f"/seasons/ends/{row.pk}/").content.decode()
    assert "Spring 2027 is closed." in told
    assert "27-001 Rigging" in told
    assert "closed on 6 May 2027" in ada.get("/seasons/").content.decode()
    answer = ada.post(f"/seasons/ends/{row.pk}/back/", {"why": "too early"}, follow=True)
    assert "Spring 2027 is open, and what was carried over is back." in answer.content.decode()
    assert Order.objects.get().season == spring


def test_what_is_in_the_way_is_said_with_the_ticks_kept(ada: Client, spring: Season) -> None:
    answer = ada.post(f"/seasons/{spring.pk}/end/", {})
    told = answer.content.decode()
    assert (answer.status_code, YearEnd.objects.count()) == (422, 0)
    assert "Order 27-001 (Rigging) is not finished: New wire." in told
    assert 'name="order" value="' in told
    assert " checked" not in told


def test_a_closed_season_answers_in_words_whatever_page_sends(ada: Client, spring: Season) -> None:
    Season.objects.filter(pk=spring.pk).update(closed_at=AT)
    order = Order.objects.get()
    answer = ada.post(f"/orders/{order.pk}/withdraw/", {"reason": "x", "version": order.version}, follow=True)
    assert "Spring 2027 is closed since 6 May 2027" in answer.content.decode()
    assert Order.objects.get().state == "open"


def test_the_door_behind_all_pages(ada: Client, spring: Season, monkeypatch: pytest.MonkeyPatch) -> None:
    """A view that knows nothing of closed seasons: the page that it came from says why."""
    Season.objects.filter(pk=spring.pk).update(closed_at=AT)
    order = Order.objects.get()
    monkeypatch.setattr("yard.services.change_order.demand_open", lambda order: None)
    sent = {"reason": "x", "version": order.version}
    answer = ada.post(f"/orders/{order.pk}/withdraw/", sent, headers={"Referer": "http://testserver/orders/?q=1"})
    assert answer.headers["Location"] == "/orders/?q=1"
    answer = ada.post(f"/orders/{order.pk}/withdraw/", sent, headers={"Referer": "http://elsewhere/orders/"})
    assert answer.headers["Location"] == "/seasons/"
    assert "Nothing was saved. Spring 2027 is closed" in ada.get("/seasons/").content.decode()


def test_opened_again_with_a_reason_that_the_list_tells(ada: Client, spring: Season) -> None:
    spring.closed_at = AT
    spring.save()
    sent = {"version": spring.version, "why": ""}
    assert "Say why" in ada.post(f"/seasons/{spring.pk}/open/", sent, follow=True).content.decode()
    told = ada.post(f"/seasons/{spring.pk}/open/", sent | {"why": "an invoice"}, follow=True).content.decode()
    assert "opened again: an invoice" in told


def test_a_season_is_added_and_may_not_lie_over_another(ada: Client, spring: Season) -> None:
    sent = {"name": "Spring 2028", "starts_on": "2027-12-01", "ends_on": "2028-08-01", "form_key": ""}
    told = ada.post("/seasons/new/", sent).content.decode()
    assert "Autumn 2027 has some of these days" in told
    ada.post("/seasons/new/", sent | {"starts_on": "2028-01-01"})
    assert Season.objects.filter(name="Spring 2028").exists()


def test_without_seasons_the_pages_say_what_to_do(ada: Client, db: None) -> None:
    YardSettings.objects.create(name="Tallow Creek", time_zone="UTC", clock_frozen_at=AT)
    assert "No season is on file yet." in ada.get("/seasons/").content.decode()
    assert "nothing to compare" in ada.get("/seasons/compare/").content.decode()
    assert "Nothing was written down on these days" in ada.get("/books/").content.decode()


# ---- compared


def test_compared_by_the_day_of_the_work(ada: Client, spring: Season) -> None:
    Order.objects.update(state="done", promised_date=date(2027, 5, 2))
    page = ada.get("/seasons/compare/").context["page"]
    lines = {line.what: line.cells for line in page.lines}
    # One job of 90 min by one person; ended on 6 May, promised for the 2nd; 30 agreed minutes of two extras.
    assert lines["Hours worked"] == ("1.5",)
    assert lines["Hours of the rig"] == ("1.5",)
    assert lines["Done after the promised date"] == ("1 of 1",)
    assert lines["Days late in all"] == ("4",)
    assert lines["Extras agreed"] == ("1, 0.5 h",)
    assert [line.cells for line in page.kinds] == [("1.5",)]
    assert "1.5 h, 1 boat," in ada.get("/seasons/compare/").content.decode()


def test_as_many_queries_for_two_seasons_as_for_one(ada: Client, spring: Season) -> None:
    counts = []
    for seasons in ([spring.pk], [spring.pk], list(Season.objects.values_list("pk", flat=True))):
        with CaptureQueriesContext(connection) as asked:
            ada.get("/seasons/compare/", {"season": seasons})
        counts.append(len(asked))
    assert counts[1] == counts[2] <= 13


# ---- the bookkeeper


def test_sums_by_boat_order_and_person(ada: Client, spring: Season) -> None:
    page = ada.get("/books/", RANGE).context["page"]
    assert (page.hours, page.extras_h, page.books.not_agreed) == (1.5, 0.5, 1)
    found = {
        tally.name: [(row.name, row.hours, row.extras_h, row.materials) for row in tally.rows] for tally in page.tallies
    }
    assert found["boats"] == [("=Wren", 1.5, 0.5, 1)]
    assert found["orders"] == [("27-001 Rigging, =Wren", 1.5, 0.5, 1)]
    assert found["people"] == [("Jo Hand", 1.5, 0.0, 0), ("nobody named", 0.0, 0.5, 1)]


def test_who_notes_a_material_is_the_person_who_works_and_boats_of_one_name_are_two(
    ada: Client, spring: Season, cast: Any
) -> None:
    Person.objects.filter(name="Jo Hand").update(user=cast.ben)
    MaterialUsed.objects.update(noted_by=cast.ben)
    other = Boat.objects.create(ref="wren-2", name="=Wren", length_m=5, beam_m=2, draft_m=0.5)
    order = Order.objects.create(ref="27-099", name="Rigging", boat=other, season=spring, made_at=AT)
    more = Job.objects.create(order=order, key="more", name="More", kind=JobKind.objects.get())
    MaterialUsed.objects.create(job=more, name="tape", quantity=1, unit="m", used_on=DAY, noted_at=AT)
    tallies = {tally.name: tally.rows for tally in ada.get("/books/", RANGE).context["page"].tallies}
    assert [row.name for row in tallies["boats"]] == ["=Wren (wren)", "=Wren (wren-2)"]
    assert [(row.name, row.hours, row.materials) for row in tallies["people"]] == [
        ("Jo Hand", 1.5, 1),
        ("nobody named", 0.0, 1),
    ]


@pytest.mark.parametrize(("first", "last", "hours"), [("04", "04", 1.5), ("01", "03", 0), ("05", "09", 0)])
def test_both_days_of_the_range_count(ada: Client, spring: Season, first: str, last: str, hours: float) -> None:
    page = ada.get("/books/", {"from": f"2027-05-{first}", "to": f"2027-05-{last}"}).context["page"]
    assert page.hours == hours


@pytest.mark.parametrize(
    "wrong",
    [
        {"from": "2027-06-01", "to": "2027-05-01"},
        {"from": "x", "to": ""},
        {"from": "2027-02-30", "to": "2027-03-01"},
        {"from": "2021-02-01", "to": "2027-03-01"},
    ],
)
def test_a_range_that_cannot_be_is_said(ada: Client, spring: Season, wrong: dict[str, str]) -> None:
    assert ada.get("/books/", wrong).status_code == 422
    assert ada.get("/books/books.xlsx", wrong).status_code == 404


def test_csv_calculates_nothing(ada: Client, spring: Season) -> None:
    answer = ada.get("/books/materials.csv", RANGE)
    rows = list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"))))
    assert [(row["boat"], row["material"], row["quantity"]) for row in rows] == [
        ("'=Wren", "'+cmd|' /C calc'!A0", "12.0")
    ]
    assert "materials-2027-05-01-to-2027-05-31.csv" in answer.headers["Content-Disposition"]
    assert ada.get("/books/nothing.csv", RANGE).status_code == 404


def test_xlsx_has_all_sheets_and_calculates_nothing(ada: Client, spring: Season) -> None:
    book = load_workbook(io.BytesIO(ada.get("/books/books.xlsx", RANGE).content))
    assert book.sheetnames == ["Hours", "Materials", "Extras agreed", "By boat", "By order", "By person"]
    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row]
    assert "f" not in {cell.data_type for cell in cells}
    hours = [[cell.value for cell in row] for row in book["Hours"].iter_rows(min_row=2)]
    assert hours == [
        [
            datetime(2027, 5, 4),
            "=Wren",
            "wren",
            "27-001",
            "Rigging",
            "Spring 2027",
            "New halyard",
            "Halyard",
            "Jo Hand",
            1.5,
            "New halyard",
        ]
    ]


def test_crew_gets_no_books(ben: Client, spring: Season) -> None:
    assert [ben.get(f"/books/{name}").status_code for name in ("", "hours.csv", "books.xlsx")] == [403] * 3
