"""Canvas of the example: cut from cloth that the yard has or waits for, as the facts of its orders say already."""

from __future__ import annotations

import pytest

from yard.cutting.check import roll_faults, sheet_faults
from yard.cutting.values import CuttingPlan
from yard.models import CanvasPanel, CanvasPiece, Fact, FactKind, Order, Purchase, Stock, TakeOff
from yard.queries.cloth import stock_rows
from yard.services.take_off import is_old, plan_of

pytestmark = pytest.mark.django_db


def test_every_canvas_order_of_the_example_has_its_pieces(january):
    orders = Order.objects.filter(package__key__in=["canvas_order", "cushions", "canvas_sent_out"])
    made = orders.exclude(boat=None).exclude(state=Order.State.CANCELLED)
    assert made.exists()
    assert set(made.values_list("pk", flat=True)) == set(CanvasPiece.objects.values_list("order", flat=True))
    for row in [*CanvasPiece.objects.all(), *CanvasPanel.objects.all(), *Stock.objects.all(), *Purchase.objects.all()]:
        row.full_clean()


def test_its_cutting_plans_hold_and_are_of_the_panels_on_file(january):
    offs = TakeOff.objects.select_related("order", "material")
    assert offs
    for row in offs:
        plan = plan_of(row)
        assert (roll_faults(plan) if isinstance(plan, CuttingPlan) else sheet_faults(plan)) == []
        assert not is_old(row)


def test_what_is_bought_says_of_an_orders_cloth_what_its_fact_says(january):
    """The plan reads the fact, the buying list the lines: the example must not tell two stories."""
    facts = Fact.objects.filter(kind=FactKind.CLOTH, jobs__order__purchases__isnull=False).distinct()
    assert facts
    for fact in facts:
        lines = Purchase.objects.filter(order__jobs__facts=fact).distinct()
        here = all(line.state in (Purchase.State.HERE, Purchase.State.CUT) for line in lines)
        assert here == (fact.state == Fact.State.HERE)
        ordered = lines.filter(state=Purchase.State.ORDERED)
        assert {line.expected_date for line in ordered} <= {fact.expected_date}
    assert all(row.free >= 0 for row in stock_rows(archived=False))
