"""Pages of canvas orders, from an empty order to cloth that is cut; who is told when somebody else was quicker."""

from __future__ import annotations

from decimal import Decimal
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from tests.services.canvas_yard import NOW, CanvasYard, canvas_order, canvas_yard, panel
from yard.models import (
    Boat,
    CanvasOption,
    CanvasPanel,
    CanvasPiece,
    CanvasProgress,
    Fact,
    Material,
    Measurement,
    Order,
    Purchase,
    Stock,
    Supplier,
    TakeOff,
)
from yard.services import buying, take_off

pytestmark = pytest.mark.django_db


@pytest.fixture
def yard() -> CanvasYard:
    return canvas_yard()


def words(page) -> str:
    return page.content.decode()


def panel_form(yard: CanvasYard, **more) -> dict[str, object]:
    values = {
        "name": "top",
        "material": yard.cloth.pk,
        "count": 2,
        "length_mm": "2 m",
        "measured_as": "",
        "width_mm": "48 in",
        "ends_mm": "40 mm",
        "sides_mm": "",
        "match_at_mm": "",
        "grain": "along",
        "form_key": str(uuid4()),
    }
    return values | more


def test_a_cutting_plan_for_two_pieces_says_whose_each_panel_is(yard, cy, ben):
    for name in ("dodger", "bimini"):
        cy.post(
            reverse("canvas_piece_new", args=[yard.order.pk]),
            {"name": name, "kind": "dodger", "form_key": str(uuid4())},
        )
        ben.post(reverse("canvas_panel_new", args=[CanvasPiece.objects.get(name=name).pk]), panel_form(yard))
    page = words(ben.post(reverse("take_off_make", args=[yard.order.pk, yard.cloth.pk]), follow=True))
    assert "dodger: top 1" in page
    assert "bimini: top 1" in page


def test_from_a_piece_to_a_cutting_plan_to_cloth_that_is_here(yard, cy, ben):
    sent = {"name": "dodger", "kind": "dodger", "form_key": str(uuid4())}
    for _ in range(2):
        assert cy.post(reverse("canvas_piece_new", args=[yard.order.pk]), sent).status_code == 302
    piece = CanvasPiece.objects.get(name="dodger")
    sent = panel_form(yard)
    for _ in range(2):
        assert ben.post(reverse("canvas_panel_new", args=[piece.pk]), sent).status_code == 302
    row = CanvasPanel.objects.get()
    assert (row.length_mm, row.width_mm, row.ends_mm, row.sides_mm, row.count) == (2000, 1219, 40, 0, 2)
    for _ in range(2):
        made = ben.post(reverse("take_off_make", args=[yard.order.pk, yard.cloth.pk]), follow=True)
    off = TakeOff.objects.get()
    assert made.redirect_chain[-1][0] == reverse("take_off", args=[off.pk])
    for told in ("<svg", "1 top 1", "4.55 yd", "Drawn to scale", "The same as a table"):
        assert told in words(made)  # 2 x 2080 = 4160 mm = 4.549 yd
    for _ in range(2):
        ben.post(reverse("take_off_act", args=[off.pk]), {"act": "buy", "version": off.version})
    line = Purchase.objects.get()
    shown = words(ben.get(reverse("buying")))
    assert "Harbour Cloth" in shown
    assert "to be sure" in shown
    for _ in range(2):
        ben.post(reverse("buying_line", args=[line.pk]), {"act": "here", "version": line.version})
    assert Stock.objects.count() == 1
    assert Fact.objects.get(pk=yard.fact.pk).state == "here"
    line.refresh_from_db()
    ben.post(reverse("buying_line", args=[line.pk]), {"act": "cut", "used": "4.16 m", "version": line.version})
    assert Stock.objects.get().length_mm == 4200 - 4160


def test_a_panel_takes_its_length_from_her_measurements(yard, ben):
    for value in (2.1, 2.25):
        Measurement.objects.create(boat=yard.boat, name="boom to sole", value=value, unit="m", made_at=NOW)
    page = words(ben.get(reverse("canvas_panel_new", args=[yard.piece.pk])))
    assert "boom to sole: 88 5/8 in" in page  # 2250 / 25.4 = 88.58
    sent = panel_form(yard, length_mm="", measured_as="boom to sole")
    ben.post(reverse("canvas_panel_new", args=[yard.piece.pk]), sent)
    assert CanvasPanel.objects.get().length_mm == 2250


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"length_mm": ""}, "Type the length"),
        ({"width_mm": "wide"}, "cannot be read as a length"),
        ({"width_mm": "0 mm"}, "greater than or equal to 1"),
        ({"length_mm": "900 m"}, "More than a hundred metres"),
        ({"count": "0"}, "greater than or equal to 1"),
        ({"grain": "any", "matched": "on"}, "cannot be turned"),
    ],
)
def test_what_cannot_be_a_panel_is_told_at_its_field(yard, ben, change, told):
    page = ben.post(reverse("canvas_panel_new", args=[yard.piece.pk]), panel_form(yard, **change))
    assert page.status_code == 422
    assert told in words(page)
    assert not CanvasPanel.objects.exists()


def test_a_panel_that_is_left_as_shown_keeps_its_millimetres_and_the_second_of_two_is_told(yard, ben):
    row = panel(yard)
    address = reverse("canvas_panel_change", args=[row.pk])
    shown = {
        "name": "top",
        "material": yard.cloth.pk,
        "count": 1,
        "length_mm": "78 3/4 in",  # 2000 / 25.4 = 78.74
        "width_mm": "55 1/8 in",
        "ends_mm": "1 5/8 in",
        "sides_mm": "5/8 in",
        "match_at_mm": "",
        "measured_as": "",
        "grain": "along",
        "version": row.version,
    }
    assert 'value="78 3/4 in"' in words(ben.get(address))
    assert ben.post(address, shown | {"name": "top, port"}).status_code == 302
    row.refresh_from_db()
    assert (row.name, row.length_mm, row.width_mm, row.ends_mm) == ("top, port", 2000, 1400, 40)
    late = ben.post(address, shown | {"name": "top, starboard"})
    assert late.status_code == 409
    assert "somebody else changed this meanwhile" in words(late)


def test_progress_is_ticked_on_the_orders_page(yard, ben):
    address = reverse("canvas_said", args=[yard.piece.pk])
    for _ in range(2):
        ben.post(address, {"stage": "measured"})
    assert CanvasProgress.objects.get().stage == "measured"
    assert "approved" in words(ben.get(reverse("canvas")))
    ben.post(address, {"stage": "measured", "back": "yes"})
    assert CanvasProgress.objects.get().taken_back_at is not None
    told = ben.post(address, {"stage": "sunk"}, follow=True)
    assert "ticked off on the buying list" in words(told)


def test_a_withdrawn_order_is_read_and_not_changed(yard, ben):
    Order.objects.filter(pk=yard.order.pk).update(state="cancelled")
    told = ben.post(reverse("canvas_said", args=[yard.piece.pk]), {"stage": "measured"}, follow=True)
    assert "put it back before changing it" in words(told)
    assert not CanvasProgress.objects.exists()


def test_nothing_of_a_withdrawn_order_is_changed_by_any_of_its_forms(yard, cy):
    row = panel(yard)
    off = take_off.make_take_off(yard.order, yard.cloth, by=None, now=NOW)
    Order.objects.filter(pk=yard.order.pk).update(state="cancelled")
    piece = {"name": "dodger", "kind": "dodger", "version": 1, "form_key": str(uuid4())}
    cut = panel_form(yard, name="side", version=row.version)
    forms = [
        ("canvas_piece_new", [yard.order.pk], piece),
        ("canvas_piece_change", [yard.piece.pk], piece),
        ("canvas_piece_archive", [yard.piece.pk], {"archived": "yes", "version": 1}),
        ("canvas_options_of", [yard.piece.pk], {"option": [], "version": 1}),
        ("canvas_panel_new", [yard.piece.pk], cut),
        ("canvas_panel_change", [row.pk], cut),
        ("canvas_panel_out", [row.pk], {"version": row.version}),
        ("take_off_make", [yard.order.pk, yard.cloth.pk], {}),
        *(("take_off_act", [off.pk], {"act": act, "version": off.version}) for act in ("longer", "rows", "buy")),
    ]
    kept = [list(model.objects.values()) for model in (CanvasPiece, CanvasPanel, TakeOff, Purchase)]
    for name, args, sent in forms:
        told = cy.post(reverse(name, args=args), sent, follow=True)
        assert "put it back before changing it" in words(told), name
    assert [list(model.objects.values()) for model in (CanvasPiece, CanvasPanel, TakeOff, Purchase)] == kept


def test_cloth_of_a_withdrawn_order_stays_on_the_list_until_somebody_frees_it(yard, ben):
    panel(yard)
    off = take_off.make_take_off(yard.order, yard.cloth, by=None, now=NOW)
    line = buying.put_on_list(off, by=None, now=NOW)
    address = reverse("buying_line", args=[line.pk])
    Order.objects.filter(pk=yard.order.pk).update(state="cancelled")
    assert "27-0001" not in words(ben.get(reverse("buying")))  # nobody orders it now
    Order.objects.filter(pk=yard.order.pk).update(state="open")
    ben.post(address, {"act": "here", "version": line.version})
    Order.objects.filter(pk=yard.order.pk).update(state="cancelled")
    assert "Its order is cancelled: “Not wanted” frees it for others" in words(ben.get(reverse("buying")))
    line.refresh_from_db()
    ben.post(address, {"act": "cancel", "version": line.version}, follow=True)
    assert buying.free_of(Stock.objects.get()) == 2100
    assert "27-0001" not in words(ben.get(reverse("buying")))


def test_a_cutting_plan_whose_panels_changed_or_whose_button_is_unknown_puts_nothing_on_the_list(yard, ben):
    panel(yard)
    row = take_off.make_take_off(yard.order, yard.cloth, by=None, now=NOW)
    address = reverse("take_off_act", args=[row.pk])
    told = ben.post(address, {"act": "sink", "version": row.version}, follow=True)
    assert "press one of the buttons" in words(told)
    panel(yard, "side")
    told = ben.post(address, {"act": "buy", "version": row.version}, follow=True)
    assert "take it off again first" in words(told)
    assert not Purchase.objects.exists()


def test_options_are_brought_in_once_and_chosen(yard, cy):
    for _ in range(2):
        cy.post(reverse("canvas_options_shipped"))
    assert CanvasOption.objects.count() == 6
    address = reverse("canvas_options_of", args=[yard.piece.pk])
    told = cy.post(address, {"option": ["zips"], "version": 1}, follow=True)
    assert "1.5 h more of Sew" in words(told)
    stale = cy.post(address, {"option": [], "version": 1}, follow=True)
    assert "Somebody changed this meanwhile" in words(stale)


def test_a_material_a_supplier_and_stock_are_kept_with_their_history(yard, cy, ben):
    cy.post(
        reverse("supplier_new"),
        {
            "name": "Foam & Sons",
            "lead_days_least": 2,
            "lead_days_usual": 1,
            "lead_days_most": 9,
            "source": "they said",
        },
    )
    assert not Supplier.objects.filter(name="Foam & Sons").exists()  # usually 1, at the least 2
    sent = {"kind": "cloth", "name": "sand", "width_mm": "60 in", "sold_by_mm": "1 yd", "spare_pct": 5}
    sent |= {"source": "maker's card", "price": "28.50", "form_key": str(uuid4()), "join_mm": "1/2 in"}
    for _ in range(2):
        assert cy.post(reverse("material_new"), sent).status_code == 302
    sand = Material.objects.get(name="sand")
    assert (sand.width_mm, sand.sold_by_mm, sand.join_mm) == (1524, 914, 13)
    assert str(sand.price) == "31.17"  # 28.50 a yard; a metre is 1.0936 yards (the international yard, 0.9144 m)
    foam = cy.post(reverse("material_new"), sent | {"kind": "foam", "name": "f", "form_key": str(uuid4())})
    assert "length and the thickness of its sheet" in words(foam)
    ben.post(reverse("stock_new", args=[sand.pk]), {"label": "roll 3", "length_mm": "12 yd", "form_key": str(uuid4())})
    stock = Stock.objects.get()
    assert stock.length_mm == 10973
    wrong = {"label": "roll 3", "length_mm": "", "sheets": 4, "version": stock.version}
    assert "measured along the roll" in words(ben.post(reverse("stock_change", args=[stock.pk]), wrong))
    page = words(ben.get(reverse("materials")))
    assert "roll 60 in wide" in page
    assert '28.50 <span class="small soft">a yard</span>' in page
    assert "12.00 yd" in page
    again = cy.get(reverse("material_change", args=[sand.pk]))
    assert "What was on file" in words(again)
    form = again.context["form"]
    kept = {key: form[key].value() for key in form.fields if form[key].value() not in (None, "")}
    assert kept["price"] == Decimal("28.50")
    Material.objects.filter(pk=sand.pk).update(price="31.175")  # finer than a cent: stays where nobody touches it
    cy.post(reverse("material_change", args=[sand.pk]), kept | {"notes": "by the half yard"})
    sand.refresh_from_db()
    assert (sand.notes, str(sand.price)) == ("by the half yard", "31.17")


def test_an_option_pressed_twice_is_one_and_its_history_speaks_of_hours(yard, cy):
    sent = {"name": "Bolt rope", "job_key": "sew", "extra_min": "45 min", "cloth_pct": 0, "source": "our own hours"}
    sent |= {"form_key": str(uuid4())}
    for _ in range(2):
        assert cy.post(reverse("canvas_option_new"), sent).status_code == 302
    option = CanvasOption.objects.get()
    assert (option.key, option.extra_min) == ("bolt-rope", 45)
    address = reverse("canvas_option_change", args=[option.pk])
    assert 'value="0.75 h"' in words(cy.get(address))
    assert cy.post(address, sent | {"extra_min": "", "version": option.version}).status_code == 302
    told = words(cy.get(reverse("fact_history", args=["canvas_option", option.pk])))
    assert "Hours more: 0.75 h → –" in told


def test_lengths_of_a_history_are_said_as_a_tape_says_them(yard, cy):
    row = panel(yard)
    shown = panel_form(yard, count=1, length_mm="2.1 m", width_mm="1400 mm", sides_mm="15 mm", version=row.version)
    assert cy.post(reverse("canvas_panel_change", args=[row.pk]), shown).status_code == 302
    told = words(cy.get(reverse("canvas_panel_change", args=[row.pk])))
    assert "Finished length: 78 3/4 in → 82 5/8 in" in told  # 2000 and 2100 / 25.4 = 78.74 and 82.68
    assert cy.get(reverse("fact_history", args=["canvas_panel", row.pk])).status_code == 200


def test_who_is_put_away_is_still_offered_where_the_row_names_them(yard, cy):
    sewer = Supplier.objects.create(name="Sewn Elsewhere", source="made for tests", archived=True)
    CanvasPiece.objects.filter(pk=yard.piece.pk).update(sent_to=sewer)
    assert "Sewn Elsewhere" in words(cy.get(reverse("canvas_piece_change", args=[yard.piece.pk])))
    assert "Sewn Elsewhere" not in words(cy.get(reverse("canvas_piece_new", args=[yard.order.pk])))


def test_what_is_on_the_buying_list_is_not_put_away(yard, cy):
    panel(yard)
    buying.put_on_list(take_off.make_take_off(yard.order, yard.cloth, by=None, now=NOW), by=None, now=NOW)
    sent = {"archived": "yes", "version": yard.cloth.version}
    told = cy.post(reverse("material_archive", args=[yard.cloth.pk]), sent, follow=True)
    assert "on the buying list for 27-0001" in words(told)


def test_a_cutting_plan_whose_panels_changed_says_so(yard, ben):
    panel(yard)
    row = take_off.make_take_off(yard.order, yard.cloth, by=None, now=NOW)
    panel(yard, "side")
    assert "changed since" in words(ben.get(reverse("take_off", args=[row.pk])))


def test_rows_right_across_may_be_chosen(yard, ben):
    panel(yard, "a", length_mm=900, width_mm=700)
    panel(yard, "b", length_mm=400, width_mm=600)
    row = take_off.make_take_off(yard.order, yard.cloth, by=None, now=NOW)
    ben.post(reverse("take_off_act", args=[row.pk]), {"act": "rows", "version": row.version})
    row.refresh_from_db()
    assert row.plan["chosen"] == "rows"
    told = ben.post(reverse("take_off_act", args=[row.pk]), {"act": "nested", "version": 1}, follow=True)
    assert "Somebody changed this meanwhile" in words(told)


def test_panels_of_last_time_are_offered_and_taken(yard, ben):
    panel(yard)
    later, _, _ = canvas_order(yard.boat, "27-0002")
    again = CanvasPiece.objects.create(order=later, name="cover again")
    assert "27-0001: cover" in words(ben.get(reverse("canvas_order", args=[later.pk])))
    ben.post(reverse("canvas_copy", args=[again.pk]), {"from": yard.piece.pk})
    assert again.panels.count() == 1
    told = ben.post(reverse("canvas_copy", args=[again.pk]), {"from": "999"}, follow=True)
    assert "Choose the piece" in words(told)


@pytest.mark.parametrize("name", ["canvas", "buying", "materials"])
def test_lists_take_as_many_queries_for_six_orders_as_for_two(yard, ben, name):
    counts = []
    for more in (1, 4):
        for _ in range(more):
            number = Order.objects.count() + 1
            boat = Boat.objects.create(ref=f"b{number}", name=f"Boat {number}", length_m=7, beam_m=2)
            order, _, _ = canvas_order(boat, f"27-1{number:03}")
            piece = CanvasPiece.objects.create(order=order, name="cover")
            panel(yard, piece=piece)
            buying.put_on_list(take_off.make_take_off(order, yard.cloth, by=None, now=NOW), by=None, now=NOW)
        with CaptureQueriesContext(
            connection,
        ) as caught:
            assert ben.get(reverse(name)).status_code == 200
        counts.append(len(caught))
    assert counts[0] == counts[1]
    assert counts[0] <= 20


def test_every_page_opens_empty(yard, cy):
    for name in (
        "canvas",
        "buying",
        "materials",
        "canvas_options",
        "supplier_new",
        "material_new",
        "canvas_option_new",
    ):
        assert cy.get(reverse(name)).status_code == 200, name
    assert cy.get(reverse("canvas") + f"?boat={yard.boat.pk}").status_code == 200
    assert cy.get(reverse("canvas") + "?boat=x").status_code == 404
    assert cy.get(reverse("canvas_order", args=[yard.order.pk])).status_code == 200
