"""A yard's own list of 300 boats through the browser; the pages by axe, by keyboard and on a phone."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from tests.looks import faults_at_every_size
from tests.sheets.sheet_samples import csv_of, make_yard, send
from tests.sheets.typed_list import MANY, boats, workbook
from yard.models import Boat, HeadingMemory, YardSettings

SHEET = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@pytest.fixture
def yard(cast):
    return make_yard()


def test_three_hundred_boats_as_a_yard_types_them(browser, cast, db):
    YardSettings.objects.create(name="Tallow Creek Yard", time_zone="America/New_York")
    browser.sign_in(cast.cy)

    def first_try(page):
        page.goto(browser.url + "/lists/")
        page.get_by_role("link", name="Import boats").click()
        page.get_by_label("The sheet, CSV or XLSX").set_input_files(
            {"name": "our boats.xlsx", "mimeType": SHEET, "buffer": workbook(refs=False)}
        )
        page.get_by_role("button", name="Read the sheet").click()
        expect(page.get_by_role("heading", level=1)).to_have_text("2 rows to correct")
        expect(page.get_by_role("button", name="Save all")).to_have_count(0)
        expect(page.get_by_text("is about the same boat")).to_have_count(2)

    browser.ui(first_try)
    assert Boat.objects.count() == 0

    def second_try(page):
        page.get_by_role("link", name="send it again").click()
        page.get_by_label("The sheet, CSV or XLSX").set_input_files(
            {"name": "our boats.xlsx", "mimeType": SHEET, "buffer": workbook(refs=True)}
        )
        page.get_by_role("button", name="Read the sheet").click()
        expect(page.get_by_role("heading", level=1)).to_have_text(f"{MANY} new, 0 changed")
        page.get_by_role("button", name=f"Save all {MANY}").click()
        expect(page.get_by_role("heading", level=1)).to_have_text(f"Saved: {MANY} new, 0 changed")

    browser.ui(second_try)
    kinds = {"sail": "sail", "power": "motor", "dinghy": "open"}
    stored = {(boat.name, boat.ref if boat.name in ("Wren", "Gull") else ""): boat for boat in Boat.objects.all()}
    assert len(stored) == MANY
    for typed in boats():
        boat = stored[typed.name, typed.ref]
        # Written to a hundredth of a millimetre at least; an inch is 0.0254 m, exactly.
        assert boat.length_m == pytest.approx(typed.length_in * 0.0254, abs=1e-4), typed
        assert boat.beam_m == pytest.approx(typed.beam_in * 0.0254, abs=1e-4), typed
        assert (boat.draft_m is None) == (typed.draft_in is None), typed
        if typed.draft_in is not None:
            assert boat.draft_m == pytest.approx(typed.draft_in * 0.0254, abs=1e-4), typed
        assert boat.kind == kinds[typed.kind], typed

    def back(page):
        page.get_by_role("button", name="Take the whole sheet back").click()
        expect(page.get_by_role("heading", level=1)).to_have_text("Taken back as a whole")

    browser.ui(back)
    assert Boat.objects.count() == 0


def test_strange_headings_are_matched_once_by_keyboard_and_remembered(browser, cast, yard):
    browser.sign_in(cast.ada)
    data = csv_of(["Skuta", "Lengde", "Bredde"], ["Lerke", "28", "9"])
    file = {"name": "list.csv", "mimeType": "text/csv", "buffer": data}

    def walk(page):
        page.goto(browser.url + "/lists/boats/import/")
        page.get_by_label("The sheet, CSV or XLSX").set_input_files(file)
        page.get_by_role("button", name="Read the sheet").focus()
        page.keyboard.press("Enter")
        expect(page.get_by_role("heading", level=1)).to_have_text("Which column is which?")
        for heading, column in (("Skuta", "name"), ("Lengde", "length"), ("Bredde", "beam")):
            page.get_by_label(f"{heading} is", exact=True).focus()
            page.keyboard.type(column)
        for heading in ("Lengde", "Bredde"):
            page.get_by_label(f"Numbers and dates of {heading}").select_option("ft")
        page.get_by_role("button", name="See every row").focus()
        page.keyboard.press("Enter")
        expect(page.get_by_role("heading", level=1)).to_have_text("1 new, 0 changed")
        page.goto(browser.url + "/lists/boats/import/")
        page.get_by_label("The sheet, CSV or XLSX").set_input_files(file)
        page.get_by_role("button", name="Read the sheet").click()
        expect(page.get_by_role("heading", level=1)).to_have_text("1 new, 0 changed")

    browser.ui(walk)
    assert HeadingMemory.objects.get(of="boats", words="lengde").read_as == "ft"


def test_accessible_and_no_wider_than_the_screen(new_browser, cast, yard):
    wrong = send(
        "boats",
        csv_of(["ref", "name", "LOA", "Zzz", "set"], ["wren", "Wren II", "8.7 m", "1", "x"], ["", "A", "28", "", ""]),
    )
    saved = send("owners", csv_of(["name"], ["Lou Hart"]))
    browser = new_browser()
    browser.sign_in(cast.ada)
    addresses = [
        "/lists/",
        "/lists/boats/import/",
        f"/lists/sent/{wrong.pk}/columns/",
        f"/lists/sent/{wrong.pk}/?show=all",
        f"/lists/sent/{saved.pk}/",
    ]
    for path in addresses:
        browser.open(path)
        assert browser.ui(faults_at_every_size) == []
    assert browser.complaints == []
