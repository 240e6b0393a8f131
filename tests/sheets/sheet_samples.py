"""A small made yard, and sheets made for it, for the tests of lists in and out."""

from __future__ import annotations

import csv
import io
from datetime import UTC, datetime

from openpyxl import Workbook

from yard.models import (
    Boat,
    BoatOwner,
    Item,
    ItemWhereabouts,
    Mooring,
    Order,
    Owner,
    Person,
    PersonSkill,
    Place,
    SheetImport,
    Skill,
    StackMeasure,
    TacklePart,
    WeeklyHours,
    YardSettings,
)
from yard.services.import_sheet import preview_of, save_import, send_sheet
from yard.sheets.lists import LISTS

NOW = datetime(2027, 1, 14, 15, tzinfo=UTC)


def make_launch() -> Place:
    """A workboat that runs on a charge, is charged in the day too, and tows nothing."""
    return Place.objects.create(
        ref="launch",
        name="Launch",
        kind="workboat",
        seats=5,
        runs_min=240,
        charge_min=60,
        charged_at="12:15",
        tows=False,
    )


def make_yard(units: str = "feet") -> YardSettings:
    """One row or two of each list."""
    yard = YardSettings.objects.create(
        name="Tallow Creek Yard", time_zone="America/New_York", units=units, clock_frozen_at=NOW
    )
    wren = Boat.objects.create(ref="wren", name="Wren", length_m=8.6868, beam_m=2.7, draft_m=1.3, displacement_kg=3200)
    Boat.objects.create(ref="knot", name="=Knot", length_m=6.1, beam_m=2.2, notes="+1 spare\nkeys with @tom")
    hale = Owner.objects.create(ref="hale", name="Ruth Hale", phone="+1 207 555 0142", prefers="text")
    Owner.objects.create(name="Ann Doe")
    BoatOwner.objects.create(boat=wren, owner=hale, starts_on=NOW.date(), told_first=True)
    one = Mooring.objects.create(
        ref="M-1",
        latitude=40.1533,
        longitude=-74.7012,
        depth_m_at_datum=-0.5,
        permit_boat=wren,
        tackle_set_on=NOW.date(),
    )
    TacklePart.objects.create(mooring=one, kind="anchor", size="mushroom 300 lb", laid_on="2021-04-12")
    TacklePart.objects.create(
        mooring=one, kind="top_chain", size="3/8 in", length_m=9.144, condition="worn", note="a, b"
    )
    tom = Person.objects.create(name="Tom Reed", short_name="Tom", phone="207 555 0163")
    rigger = Skill.objects.create(key="rigger", name="Rigger")
    PersonSkill.objects.create(person=tom, skill=rigger, level=3, licence="Rig 7; second", licence_until="2028-03-01")
    for day in range(5):
        WeeklyHours.objects.create(person=tom, weekday=day, starts="07:00", ends="15:30")
    store = Place.objects.create(ref="sail-store", name="Sail store", kind="sail_store", max_length_m=12)
    store.operators.add(tom)
    make_launch()
    row = Place.objects.create(ref="row-1", name="Row 1", kind="store_row", capacity=3)
    StackMeasure.objects.create(place=row, length_m=18.288, height_m=6)
    order = Order.objects.create(ref="27-001", boat=wren, name="Spring", wanted_date=NOW.date(), made_at=NOW)
    main = Item.objects.create(boat=wren, kind="sail", name="mainsail", area_m2=25.2, bag_tag="-S1")
    Item.objects.create(order=order, kind="other", name="-- bag")
    ItemWhereabouts.objects.create(item=main, kind="place", place=store, condition="dry", since=NOW)
    return yard


def csv_of(*rows: list[object]) -> bytes:
    out = io.StringIO()
    csv.writer(out).writerows(rows)
    return out.getvalue().encode()


def xlsx_of(rows: list[list[object]], *merged: str) -> bytes:
    book = Workbook()
    for row in rows:
        book.active.append(row)
    for area in merged:
        book.active.merge_cells(area)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def send(name: str, data: bytes, file_name: str = "sheet.csv") -> SheetImport:
    of = LISTS[name]
    return send_sheet(of, data, file_name, columns=of.open_to(private=True), by=None, now=NOW)


def save(sent: SheetImport) -> SheetImport:
    return save_import(sent, preview_of(sent, private=True).fingerprint, private=True, by=None, now=NOW)


def states(sent: SheetImport) -> list[str]:
    return [row.state for row in preview_of(sent, private=True).rows]


def faults(sent: SheetImport) -> list[tuple[int, str, str, str]]:
    """Line, heading, what is wrong, remedy."""
    rows = preview_of(sent, private=True).rows
    return [(one.line, one.heading, one.wrong, one.remedy) for row in rows for one in row.faults]
