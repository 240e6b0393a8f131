"""Axe on every page of canvas and cloth, on a desk and on a phone, each opened once."""

from __future__ import annotations

from datetime import date

from django.urls import reverse

from tests.looks import DESK, faults_at_every_size
from tests.services.canvas_yard import NOW, canvas_order, canvas_yard, panel
from yard.models import CanvasPiece, Stock, Supplier
from yard.services import buying, take_off
from yard.services.canvas_options import bring_in_options


def test_accessible(new_browser, cast):
    """An order with a piece of cloth and one of foam, one sewn elsewhere, one line to buy and one to be cut."""
    yard = canvas_yard()
    bring_in_options(by=None, now=NOW)
    sewer = Supplier.objects.create(name="Sewn Elsewhere", source="made for tests")
    sent = CanvasPiece.objects.create(
        order=yard.order, name="hood", sent_to=sewer, sent_on=date(2027, 1, 4), back_by_date=date(2027, 1, 29)
    )
    Stock.objects.create(material=yard.cloth, label="roll 3", length_mm=9000)
    row = panel(yard)
    panel(yard, "window", taken_out_at=NOW)
    panel(yard, "pad", material=yard.foam, length_mm=900, width_mm=600, grain="any")
    before, _, _ = canvas_order(yard.boat, "27-0002")
    panel(yard, piece=CanvasPiece.objects.create(order=before, name="cover before"))
    offs = [take_off.make_take_off(yard.order, each, by=None, now=NOW) for each in (yard.cloth, yard.foam)]
    for off in offs:
        buying.put_on_list(off, by=None, now=NOW)
    browser = new_browser(viewport=DESK)
    browser.sign_in(cast.ada)
    pages = ["canvas", "buying", "materials", "canvas_options"]
    addresses = [reverse(name) for name in pages]
    addresses.append(reverse("canvas_order", args=[yard.order.pk]))
    addresses += [reverse("take_off", args=[off.pk]) for off in offs]
    addresses += [reverse("canvas_panel_change", args=[row.pk]), reverse("canvas_piece_change", args=[sent.pk])]
    addresses.append(reverse("material_change", args=[yard.cloth.pk]))
    found: list[str] = []
    for address in addresses:
        browser.open(address)
        found += browser.ui(faults_at_every_size)
    assert found == []
