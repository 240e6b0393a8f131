"""What is exported and imported again changes nothing; what is imported is saved whole, and taken back whole."""

from __future__ import annotations

import csv
import io

import pytest

from tests.sheets.sheet_samples import NOW, csv_of, faults, make_yard, save, send, states, xlsx_of
from yard.models import (
    Boat,
    BoatOwner,
    FactsRevision,
    HeadingMemory,
    Item,
    Mooring,
    Order,
    Owner,
    Person,
    Place,
    SheetImport,
)
from yard.queries.list_values import list_rows, ref_of
from yard.services.import_sheet import ImportRefused, preview_of, save_import, take_back
from yard.sheets.columns import CellRefused
from yard.sheets.hours import clock
from yard.sheets.lists import LISTS
from yard.sheets.writing import Table, write_csv, write_xlsx

pytestmark = pytest.mark.django_db


def exported(name: str, write, *, feet: bool) -> bytes:
    of = LISTS[name]
    return write(Table(of.title, of.columns, tuple(values for _, values in list_rows(of)), feet))


@pytest.mark.parametrize("name", LISTS)
@pytest.mark.parametrize("write", [write_csv, write_xlsx])
@pytest.mark.parametrize("feet", [True, False])
def test_exported_and_imported_again_changes_nothing(name, write, feet):
    make_yard()
    sent = send(name, exported(name, write, feet=feet))
    preview = preview_of(sent, private=True)
    assert {row.state for row in preview.rows} == {"unchanged"}, [row.faults or row.changes for row in preview.rows]
    assert len(preview.rows) == len(list_rows(LISTS[name])) > 0
    assert preview.questions == ()
    with pytest.raises(ImportRefused, match="nothing to save"):
        save(sent)


def test_every_exported_cell_is_guarded_against_formulas():
    make_yard()
    for name in LISTS:
        for row in csv.reader(io.StringIO(exported(name, write_csv, feet=True).decode("utf-8-sig"))):
            for cell in row:
                number = cell.lstrip("-").replace(".", "", 1).isdecimal()
                assert number or not cell.startswith(("=", "+", "-", "@")), (name, cell)


def test_a_new_boat_comes_in_with_feet_and_inches_and_goes_again():
    make_yard()
    before = FactsRevision.objects.values_list("count", flat=True).first() or 0
    sent = send(
        "boats",
        csv_of(["Boat", "LOA", "Beam", "Draft", "Owner"], ["Dunlin", "28'6\"", "9 ft 2 in", "1.2 m", "Ruth Hale"]),
    )
    assert states(sent) == ["new"]
    save(sent)
    dunlin = Boat.objects.get(ref="dunlin")
    # 28 ft 6 in is 28.5 x 0.3048 m; 9 ft 2 in is 110 x 0.0254 m.
    assert (dunlin.length_m, dunlin.beam_m, dunlin.draft_m) == pytest.approx((8.6868, 2.794, 1.2))
    assert dunlin.ownerships.get().owner.ref == "hale"
    assert dunlin.history.get().history_change_reason == "from the sheet sheet.csv"
    assert FactsRevision.objects.get().count == before + 1
    take_back(sent, by=None, now=NOW)
    assert not Boat.objects.filter(ref="dunlin").exists()
    assert BoatOwner.objects.count() == 1
    assert SheetImport.objects.get(pk=sent.pk).state == "taken_back"


CHANGED = {
    "boats": (["ref", "draft (m)", "planked", "notes"], ["wren", 1.4, "yes", "new keel"]),
    "owners": (["ref", "phone", "prefers"], ["n{ann}", "207 555 0199", "letter"]),
    "moorings": (
        ["ref", "permit for boat", "set on", "depth (ft)", "tackle parts"],
        ["M-1", "=Knot", "2027-04-20", 6, "anchor: mushroom 300 lb, laid 12 April 2021; chain: 1/2 in, 30 ft, good"],
    ),
    "people": (
        ["name", "skills", "license", "usual hours", "longest day, min"],
        ["Tom Reed", "rigger (helps)", "Rigger: Rig 9, until 2029-01-31", "Mon-Thu 08:00-16:00", 480],
    ),
    "places": (["ref", "worked by", "by night"], ["sail-store", "?", "yes"]),
    "orders": (["ref", "wanted", "notes", "to mooring"], ["27-001", "6 May 2027", "early", "M-1"]),
    "inventory": (
        ["boat", "kind", "name", "where", "condition", "luff (m)", "line it takes (m)", "last measured"],
        ["wren", "sail", "mainsail", "sail-store", "damp", 8.6, 9.2, "2027-03-02"],
    ),
}


@pytest.mark.parametrize("name", CHANGED)
def test_what_is_changed_is_shown_saved_and_taken_back(name):
    make_yard()
    headings, cells = CHANGED[name]
    before = list_rows(LISTS[name])
    ann = Owner.objects.get(name="Ann Doe").pk
    sent = send(name, csv_of(headings, [str(cell).format(ann=ann) for cell in cells]))
    if name == "places":
        sent.choices["empty_clears"] = True
        sent.save()
    [row] = preview_of(sent, private=True).rows
    assert row.state == "changed", row.faults
    changed = {column.key for column, _, _ in row.changes}
    assert (
        len(changed) == len([cell for cell in cells[1:] if cell not in ("sail", "mainsail", "sail-store")])
        or name == "places"
    )
    save(sent)
    assert states(send(name, csv_of(headings, [str(cell).format(ann=ann) for cell in cells]))) == ["unchanged"]
    after = {row.pk: values for row, values in list_rows(LISTS[name])}
    differs = {key for row, values in before for key, value in values.items() if after[row.pk][key] != value}
    assert differs == changed
    take_back(sent, by=None, now=NOW)
    assert [(row.pk, values) for row, values in list_rows(LISTS[name])] == [(row.pk, values) for row, values in before]


NEW = {
    "owners": ([["name", "phone"], ["Zoë Lind", "+46 70 555"]], Owner),
    "moorings": (
        [["no", "lat", "long", "boat", "parts"], ["M-2", "40°09.2' N", "74°42.1' W", "wren", "block: granite"]],
        Mooring,
    ),
    "people": (
        [["name", "skills", "licences", "hours"], ["Ines Moor", "rigger", "rigger: R-1", "Mon-Fri 8-16"]],
        Person,
    ),
    "places": ([["name", "type", "worked by"], ["North berth", "berth", "Tom Reed"]], Place),
    "orders": ([["boat", "what", "wanted"], ["wren", "Varnish", "2027-05-01"], ["=Knot", "Haul", ""]], Order),
    "inventory": ([["boat", "type", "item", "where"], ["wren", "sail", "jib", "aboard"]], Item),
}


@pytest.mark.parametrize("name", NEW)
def test_new_rows_come_in_and_go_again(name):
    make_yard()
    rows, model = NEW[name]
    before = set(model.objects.values_list("pk", flat=True))
    sent = send(name, csv_of(*rows))
    assert set(states(sent)) == {"new"}, faults(sent)
    save(sent)
    assert model.objects.count() == len(before) + len(rows) - 1
    assert set(states(send(name, csv_of(*rows)))) == {"unchanged"}
    take_back(sent, by=None, now=NOW)
    assert set(model.objects.values_list("pk", flat=True)) == before


def test_later_edits_stand_in_the_way_of_taking_back():
    make_yard()
    sent = save(
        send(
            "boats",
            csv_of(["ref", "name", "length (m)", "beam (m)"], ["d", "Dunlin", 7, 2], ["wren", "Wren II", "", ""]),
        )
    )
    Order.objects.create(ref="x", boat=Boat.objects.get(ref="d"), name="Varnish", made_at=NOW)
    with pytest.raises(ImportRefused, match="Dunlin has orders since"):
        take_back(sent, by=None, now=NOW)
    Order.objects.filter(ref="x").delete()
    wren = Boat.objects.get(ref="wren")
    wren.name = "Wren III"
    wren.save()
    with pytest.raises(ImportRefused, match="Wren II: name was changed again"):
        take_back(sent, by=None, now=NOW)
    assert Boat.objects.filter(ref="d").exists()
    wren.name = "Wren II"
    wren.save()
    take_back(sent, by=None, now=NOW)
    assert Boat.objects.get(ref="wren").name == "Wren"
    with pytest.raises(ImportRefused, match="taken back"):
        take_back(sent, by=None, now=NOW)


def test_a_row_that_is_wrong_keeps_all_from_being_saved():
    make_yard()
    sent = send(
        "boats", csv_of(["name", "length", "beam", "draft"], ["A", "8 m", "2 m", "1 m"], ["B", "8 m", "2 m", "45 ft"])
    )
    assert states(sent) == ["new", "wrong"]
    assert faults(sent) == [(3, "draft", "a draft of 45 ft cannot be right", "did you mean 4.5 ft?")]
    with pytest.raises(ImportRefused, match="1 row is wrong"):
        save(sent)
    assert Boat.objects.count() == 2


def test_a_preview_gone_stale_is_not_saved():
    make_yard()
    sent = send("boats", csv_of(["ref", "draft (m)"], ["wren", 1.5]))
    seen = preview_of(sent, private=True).fingerprint
    Boat.objects.filter(ref="wren").update(draft_m=1.6)
    with pytest.raises(ImportRefused, match="changed since"):
        save_import(sent, seen, private=True, by=None, now=NOW)
    assert Boat.objects.get(ref="wren").draft_m == 1.6
    assert SheetImport.objects.get(pk=sent.pk).state == "sent"


def test_saved_twice_is_refused():
    make_yard()
    sent = save(send("owners", csv_of(["name"], ["Lou Hart"])))
    sent.state = "sent"
    with pytest.raises(ImportRefused, match="saved already"):
        save(sent)
    assert Owner.objects.filter(name="Lou Hart").count() == 1


@pytest.mark.parametrize(
    ("name", "rows", "expected"),
    [
        ("boats", [["name", "length", "beam"], ["A", "28", "9 ft"]], (2, "length", "the number has no unit")),
        (
            "boats",
            [["name", "length", "beam"], ["A", "9 ft", "28 ft"]],
            (2, "beam", "her beam is more than her length"),
        ),
        ("boats", [["name", "kind"], ["A", "sail"]], (2, "length", "a new boat needs this")),
        ("boats", [["ref", "owner"], ["wren", "Ann Doe"]], (2, "owner", "she belongs to hale")),
        ("boats", [["ref", "owner"], ["knot", "Bob"]], (2, "owner", "there is no owner “Bob” on file")),
        (
            "boats",
            [["ref", "name", "length", "beam"], ["a b", "A", "9 m", "2 m"]],
            (2, "ref", "a ref has letters, figures, - and _ only, at most 30"),
        ),
        ("owners", [["name", "email"], ["A", "not-an-address"]], (2, "email", "Enter a valid email address")),
        ("owners", [["ref", "name"], ["n99999", "A"]], (2, "ref", "no owner on file has this number")),
        ("owners", [["name"], ["Ann Doe"], ["ann  doe"]], (3, "name", "line 2 is about the same owner")),
        ("orders", [["what"], ["Varnish"]], (2, "boat", "neither a boat nor a walk-in is named")),
        (
            "orders",
            [["ref", "earliest", "latest"], ["27-001", "2027-05-06", "2027-05-01"]],
            (2, "latest", "the latest date lies before the earliest"),
        ),
        ("orders", [["ref", "wanted"], ["27-001", "05/06/2027"]], (2, "wanted", "day or month first?")),
        (
            "orders",
            [["ref", "boat"], ["27-001", "knot"]],
            (2, "boat", "a sheet does not change this once it is on file"),
        ),
        ("orders", [["ref", "state"], ["27-001", "done"]], (2, "state", "a sheet does not change this")),
        (
            "people",
            [["name", "short name"], ["Tom Other", "Tom"]],
            (2, "short name", "somebody else here goes by this short name"),
        ),
        ("people", [["name", "hours"], ["A", "Mon 9-8"]], (2, "hours", "09:00 to 08:00 ends before it starts")),
        ("moorings", [["no", "lat"], ["M-3", "95"]], (2, "lat", "95 is out of range")),
        ("inventory", [["kind", "name"], ["sail", "jib"]], (2, "boat", "nobody's thing")),
        (
            "inventory",
            [["boat", "kind", "name", "luff (m)"], ["wren", "cover", "dodger", "2"]],
            (2, "luff (m)", "a luff, of what is no sail"),
        ),
    ],
)
def test_wrong_rows_name_line_field_and_remedy(name, rows, expected):
    make_yard()
    found = faults(send(name, csv_of(*rows)))
    assert expected in [one[:3] for one in found]
    assert all(one[3] for one in found)


def test_two_of_one_name_ask_for_the_ref():
    make_yard()
    Owner.objects.create(ref="doe-2", name="Ann Doe")
    [(line, heading, wrong, remedy)] = faults(send("owners", csv_of(["name", "phone"], ["Ann Doe", "1"])))
    assert (line, heading, wrong) == (2, "name", "2 on file are called so")
    assert "doe-2" in remedy


def test_who_was_merged_is_no_longer_meant_by_the_name_and_a_change_asks_for_the_other():
    make_yard()
    doe = Owner.objects.get(name="Ann Doe")
    Owner.objects.create(ref="doe-2", name="Ann Doe", archived=True, merged_into=doe)
    rows = preview_of(send("owners", csv_of(["name", "phone"], ["Ann Doe", "401 555 0142"])), private=True).rows
    assert [(row.ref, row.faults) for row in rows] == [(ref_of(doe), ())]
    by_ref = send("owners", csv_of(["ref", "name", "phone"], ["doe-2", "Ann Doe", "401 555 0142"]))
    assert faults(by_ref) == [
        (2, "ref", "doe-2 was found to be Ann Doe and merged", f"write the ref {ref_of(doe)}, or leave this line out")
    ]


def test_a_columns_own_dates_tell_their_order():
    make_yard()
    rows = [["ref", "tackle set on"], ["M-1", "03/04/2027"], ["M-9", "23/04/2027"]]
    sent = send("moorings", csv_of(*rows))
    assert states(sent) == ["changed", "new"]
    save(sent)
    assert Mooring.objects.get(ref="M-1").tackle_set_on.isoformat() == "2027-04-03"


def test_private_columns_are_neither_read_nor_asked_of_those_who_may_not_see_owners():
    make_yard()
    sent = send("people", csv_of(["name", "phone", "longest day, min"], ["Tom Reed", "1", 480]))
    [row] = preview_of(sent, private=False).rows
    assert [column.key for column, _, _ in row.changes] == ["longest_day_min"]
    assert LISTS["owners"].open_to(private=False) == ()


def test_merged_cells_blank_lines_titles_and_group_headings():
    make_yard()
    data = xlsx_of(
        [
            ["Spring list 2027"],
            [],
            ["Boat", "LOA (ft)", "Beam (ft)", "Kind"],
            ["Motor boats"],
            ["Teal", 22, 8, "motor"],
            ["Scoter", 24, 8.5, None],
            [],
            ["Gull", 21, 8, None],
        ],
        "A1:D1",
        "D5:D8",
    )
    sent = send("boats", data, "list.xlsx")
    preview = preview_of(sent, private=True)
    assert [(row.line, row.state, row.merged["kind"]) for row in preview.rows] == [
        (5, "new", "motor"),
        (6, "new", "motor"),
        (8, "new", "motor"),
    ]
    assert preview.left_out == ((4, "Motor boats"),)
    assert "D5:D8" in preview.remarks[0]


def test_a_preview_costs_as_many_queries_for_twenty_as_for_ten(django_assert_max_num_queries):
    make_yard()
    for many in (10, 20):
        rows = [[f"Boat {number}", "8 m", "2 m", "Ruth Hale"] for number in range(many)]
        sent = send("boats", csv_of(["name", "length", "beam", "owner"], *rows))
        with django_assert_max_num_queries(4):
            preview_of(sent, private=True)


def test_headings_are_remembered_by_their_words():
    make_yard()
    HeadingMemory.objects.create(of="boats", words="lengde", column="length_m", read_as="ft")
    sent = send("boats", csv_of(["Name", "Lengde", "Beam"], ["A", 28, "9 ft"]))
    assert states(sent) == ["new"]


RUNNING = ["ref", "charged at", "tows", "row length (ft)", "headroom"]


@pytest.mark.parametrize("write", [csv_of, lambda *rows: xlsx_of([*map(list, rows)])])
def test_a_workboats_day_and_a_rows_measures_come_in_and_go_again(write):
    """Read as people type them; what a row never had is none again when the sheet is taken back."""
    make_yard()
    Place.objects.create(ref="row-2", name="Row 2", kind="store_row")
    before = list_rows(LISTS["places"])
    lines = (["launch", "1:30 pm", "yes", "", ""], ["row-1", "", "", "72", ""], ["row-2", "", "", "60", "21 ft"])
    sent = send("places", write(RUNNING, *lines))
    assert states(sent) == ["changed"] * 3, faults(sent)
    save(sent)
    launch, one, two = (Place.objects.get(ref=ref) for ref in ("launch", "row-1", "row-2"))
    assert (f"{launch.charged_at:%H:%M}", launch.tows, launch.runs_min) == ("13:30", True, 240)
    # a foot is 0.3048 m
    assert (one.stack.length_m, one.stack.height_m) == pytest.approx((21.9456, 6))
    assert (two.stack.length_m, two.stack.height_m) == pytest.approx((18.288, 6.4008))
    assert one.stack.history.first().history_change_reason.startswith("from the sheet")
    take_back(sent, by=None, now=NOW)
    assert [values for _, values in list_rows(LISTS["places"])] == [values for _, values in before]


@pytest.mark.parametrize(
    ("headings", "cells", "told"),
    [
        (["ref", "charged at"], ["launch", "quarter past"], ("charged at", "is not a time of day")),
        (["ref", "charged at"], ["launch", "12:10"], ("charged at", "not on a quarter of an hour")),
        (["ref", "charged at"], ["sail-store", "12:00"], ("charged at", "of what is no workboat")),
        (["ref", "charged at"], ["skiff", "12:00"], ("runs, min", "not how long she runs on it")),
        (["ref", "runs, min"], ["skiff", "240"], ("charge, min", "not how long a charge takes")),
        (["ref", "seats"], ["row-1", "3"], ("seats", "of what is no workboat")),
        (["ref", "length of row"], ["launch", "20 m"], ("length of row", "no row of the store")),
        (["ref", "length of row"], ["row-1", "900 m"], ("length of row", "cannot be right")),
    ],
)
def test_what_a_place_cannot_have_is_told_by_row_and_field(headings, cells, told):
    make_yard()
    Place.objects.create(ref="skiff", name="Skiff", kind="workboat")
    sent = send("places", csv_of(headings, cells))
    [(line, heading, wrong, _remedy)] = faults(sent)
    assert (line, heading) == (2, told[0])
    assert told[1] in wrong


def test_a_time_is_read_as_people_and_programs_write_it():
    for said, means in {
        "12": "12:00",
        "7.30": "07:30",
        "13:45:00": "13:45",
        "12 am": "00:00",
        "1:15PM": "13:15",
    }.items():
        assert clock(said) == means
    for said in ("25", "13 pm", "12:61", "noonish", "-1"):
        with pytest.raises(CellRefused):
            clock(said)
