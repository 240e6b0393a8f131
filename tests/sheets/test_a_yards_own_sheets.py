"""Sheets as a yard has them before it knows this tool: boats with owners' names, orders by the name of the work."""

from __future__ import annotations

from typing import Any

import pytest
from django.urls import reverse

from tests.sheets.sheet_samples import NOW, csv_of, make_yard, save, send, states
from tests.web.tallow_creek import signed_in
from yard.models import Job, JobKind, Order, Owner, Package, PackageJob, PackageWay
from yard.services.import_sheet import ImportRefused, owners_not_on_file, preview_of, put_owners_on_file

BOATS = ["Boat", "LOA ft", "Beam ft", "Owner"]
ORDERS = ["Boat", "Work", "Wanted"]

pytestmark = pytest.mark.django_db


@pytest.fixture
def haul_out() -> Package:
    make_yard()
    package = Package.objects.create(key="hull_wash", name="Hull wash")
    kind = JobKind.objects.create(key="hosing", name="Hosing", short_name="hose", letter="H", trade="yard")
    job = PackageJob.objects.create(package=package, key="hosing", name="Hosing", kind=kind)
    PackageWay.objects.create(job=job, duration_min=60)
    return package


def test_owners_whom_nobody_has_on_file_are_told_once_and_put_there_at_a_word():
    make_yard()
    sent = send(
        "boats",
        csv_of(BOATS, ["Dunlin", 25, 8, "Max  Orr"], ["Plover", 21, 7, "max orr"], ["Teal", 22, 7, "Ruth Hale"]),
    )
    assert states(sent) == ["wrong", "wrong", "new"]
    assert owners_not_on_file(sent) == ("Max Orr",)
    put_owners_on_file(sent, by=None, now=NOW)
    made = Owner.objects.get(name="Max Orr")
    assert made.history.get().history_change_reason == "named in sheet.csv"
    assert states(sent) == ["new"] * 3
    save(sent)
    assert {each.boat.name for each in made.ownerships.all()} == {"Dunlin", "Plover"}
    with pytest.raises(ImportRefused):
        put_owners_on_file(sent, by=None, now=NOW)


def test_no_owner_is_made_of_a_number_a_question_mark_or_another_list():
    make_yard()
    sent = send("boats", csv_of(BOATS, ["Dunlin", 25, 8, "n99"], ["Plover", 21, 7, "?"], ["Teal", 22, 7, "x" * 200]))
    assert owners_not_on_file(sent) == ()
    assert owners_not_on_file(send("moorings", csv_of(["ref", "depth (m)"], ["M-9", 3]))) == ()
    with pytest.raises(ImportRefused, match="on file already"):
        put_owners_on_file(sent, by=None, now=NOW)


def test_the_page_offers_it_and_crew_may_not(cast: Any):
    make_yard()
    sent = send("boats", csv_of(BOATS, ["Dunlin", 25, 8, "Max Orr"]))
    ada, page = signed_in(cast.ada), reverse("list_preview", args=[sent.pk])
    assert "1 owner of these boats is not on file:</b> Max Orr" in ada.get(page).content.decode()
    assert signed_in(cast.ben).post(reverse("list_owners", args=[sent.pk])).status_code == 403
    told = ada.post(reverse("list_owners", args=[sent.pk]), follow=True).content.decode()
    assert "Save all 1" in told
    assert "not on file:" not in told


def test_an_order_called_like_a_package_is_an_order_of_it_and_the_sheet_sent_again_changes_nothing(haul_out: Package):
    rows = csv_of(ORDERS, ["Wren", "hull  WASH", "2027-05-20"])
    sent = send("orders", rows)
    save(sent)
    order = Order.objects.get(package=haul_out)
    assert Job.objects.filter(order=order).count() == 1
    assert states(send("orders", rows)) == ["unchanged"]


def test_an_order_without_a_package_is_said_to_come_without_jobs(haul_out: Package):
    sent = send("orders", csv_of(ORDERS, ["Wren", "hull wash", "2027-05-20"], ["Wren", "Look at it", "2027-05-20"]))
    remarks = " ".join(preview_of(sent, private=True).remarks)
    assert "1 new order names no work package: it comes without jobs" in remarks


def test_one_that_is_on_file_without_the_package_stays_so(haul_out: Package):
    plain = Order.objects.get(ref="27-001")
    Order.objects.filter(pk=plain.pk).update(name="Hull wash", package=None, package_edition=None)
    again = csv_of(ORDERS, [plain.boat.name if plain.boat else "", "Hull wash", "2027-05-21"])
    (row,) = preview_of(send("orders", again), private=True).rows
    assert (row.pk, row.state, row.faults) == (plain.pk, "changed", ())
