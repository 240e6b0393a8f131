"""What is said of an order is changed on one form: with what it was, a way back, and a word to the second of two."""

from __future__ import annotations

import pytest
from django.urls import reverse

from tests.services.ordering import ordered
from tests.web.made_creek import text_of
from yard.models import Order
from yard.services.order_package import Terms, WalkIn

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("tallow")]


@pytest.fixture
def torn(tallow) -> Order:
    """Of a walk-in, whose number was mistyped."""
    walk_in = WalkIn(name="Fay Marsh", phone="401 555 0171", bag_tag="R41", price_said="80")
    return ordered(None, "sail_repair", terms=Terms(walk_in=walk_in))


def typed(order: Order, **more: object) -> dict[str, object]:
    said = {"walk_in_name": "Fay Marsh", "walk_in_phone": "401 555 0117", "bag_tag": "R41", "price_said": "80"}
    dates = {"earliest_date": "2027-04-01", "wanted_date": "2027-05-14", "latest_date": "2027-05-28"}
    return said | dates | {"goes_first": "1", "notes": "", "version": order.version} | more


def test_changed_with_its_history_and_back_again(cy, torn):
    address = reverse("order_change", args=[torn.pk])
    assert cy.post(address, typed(torn)).headers["Location"] == reverse("order", args=[torn.pk])
    assert Order.objects.get().walk_in_phone == "401 555 0117"
    past = torn.history.order_by("history_id").first()
    page = cy.get(address)
    assert "Telephone: 401 555 0171 → 401 555 0117" in text_of(page)
    back = reverse("fact_put_back", args=["order", torn.pk, past.history_id])
    assert back in page.content.decode()
    cy.post(back, {"version": Order.objects.get().version})
    assert Order.objects.get().walk_in_phone == "401 555 0171"
    assert torn.history.first().history_user.username == "cy"


def test_the_second_of_two_is_told_and_nothing_typed_is_lost(cy, torn):
    address = reverse("order_change", args=[torn.pk])
    cy.post(address, typed(torn))
    answer = cy.post(address, typed(torn, walk_in_phone="401 555 0199"))
    assert answer.status_code == 409
    assert "somebody else changed this meanwhile" in text_of(answer)
    assert answer.context["form"]["walk_in_phone"].value() == "401 555 0199"
    assert Order.objects.get().walk_in_phone == "401 555 0117"


def test_what_cannot_be_is_refused_and_so_is_a_closed_order(cy, torn):
    address = reverse("order_change", args=[torn.pk])
    wrong = cy.post(address, typed(torn, latest_date="2027-03-01"))
    assert (wrong.status_code, Order.objects.get().version) == (422, torn.version)
    Order.objects.update(state="done")
    closed = cy.post(address, typed(torn))
    assert "put it back before changing it" in text_of(closed)


def test_of_a_boat_on_file_nothing_is_asked_that_is_said_of_a_walk_in(cy, wren):
    order = ordered(wren, "halyard")
    page = cy.get(reverse("order_change", args=[order.pk]))
    assert "walk_in_phone" not in page.context["form"].fields
    assert "Who walked in" not in text_of(page)


def test_dates_of_the_orders_own_page_say_what_they_were(cy, wren):
    order = ordered(wren, "halyard")
    sent = {"wanted": "2027-05-14", "promised": "2027-05-20", "goes_first": "1", "version": order.version}
    cy.post(reverse("order_dates", args=[order.pk]), sent)
    assert "Promised: – → 20 May 2027" in text_of(cy.get(reverse("order_change", args=[order.pk])))
