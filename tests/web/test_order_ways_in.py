"""Somebody at the door in one post, with a photograph and once; last year's orders taken again and taken back."""

from __future__ import annotations

from datetime import UTC, date, datetime
from io import BytesIO
from uuid import uuid4

import pytest
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from tests.services.ordering import ordered
from tests.web.tallow_creek import NOW
from yard.models import Boat, Order, Package, Photograph
from yard.services.order_package import OrderDates

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("tallow", "photographs_here")]


def photograph(name: str = "tear.jpg") -> SimpleUploadedFile:
    sent = BytesIO()
    Image.new("RGB", (40, 30), "red").save(sent, "JPEG")
    return SimpleUploadedFile(name, sent.getvalue(), content_type="image/jpeg")


def typed(**more) -> dict[str, object]:
    package = Package.objects.get(key="sail_repair").pk
    return {"name": "Fay Marsh", "phone": "555 0117", "package": package, "form_key": str(uuid4()), **more}


def test_a_torn_sail_is_one_order_with_its_photograph_however_often_sent(cy):
    sent = typed(bag_tag="R41", price_said="80", wanted="2027-05-20", what="clew torn out")
    places = [cy.post(reverse("walk_in"), sent | {"photograph": photograph()}).headers["Location"] for _ in range(2)]
    order = Order.objects.get()
    assert places == [reverse("order", args=[order.pk])] * 2
    assert (order.boat, order.walk_in_name, order.bag_tag, order.price_said) == (None, "Fay Marsh", "R41", "80")
    assert (order.wanted_date, order.notes, order.jobs.count()) == (date(2027, 5, 20), "clew torn out", 3)
    kept = Photograph.objects.get()
    assert (kept.order, kept.caption) == (order, "clew torn out")
    assert default_storage.exists(kept.file.name)


@pytest.mark.parametrize(
    ("last", "next_one"), [("R41", "R42"), ("099", "100"), ("W-009", "W-010"), ("red", ""), ("", "")]
)
def test_the_next_tag_in_the_box_is_on_the_form(cy, last, next_one):
    Order.objects.create(ref="1", walk_in_name="Lou", bag_tag=last, name="Sail", made_at=NOW)
    page = cy.get(reverse("walk_in")).content.decode()
    field = page.split('name="bag_tag"')[1].split(">")[0]
    assert (f'value="{next_one}"' in field) == bool(next_one)


@pytest.mark.parametrize(
    ("last", "typed_tag", "tag"),
    [("R41", "55", "R55"), ("W0409", "7", "W0417"), ("R41", "G7", "G7"), ("R41", "105", "105"), ("099", "5", "5")],
)
def test_the_last_figures_of_a_tag_are_enough(cy, last, typed_tag, tag):
    Order.objects.create(ref="1", walk_in_name="Lou", bag_tag=last, name="Sail", made_at=NOW)
    told = cy.post(reverse("walk_in"), typed(bag_tag=typed_tag), follow=True).content.decode()
    assert Order.objects.latest("id").bag_tag == tag
    assert f"Fay Marsh, bag {tag}." in told


@pytest.mark.parametrize(
    ("more", "wanted"),
    [
        ({"wanted_in": "7"}, date(2027, 5, 13)),  # a week from Thu 6 May
        ({"wanted_in": "7", "wanted": "2027-05-20"}, date(2027, 5, 20)),  # a day that was typed is the day
        ({"wanted_in": ""}, None),
    ],
)
def test_the_day_is_said_in_one_press_or_typed(cy, more, wanted):
    assert cy.post(reverse("walk_in"), typed() | more).status_code == 302
    assert Order.objects.get().wanted_date == wanted


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"wanted_in": "5"}, "Select a valid choice"),
        ({"name": ""}, "This field is required"),
        ({"wanted": "soon"}, "That is no date"),
        ({"wanted": "2207-05-20"}, "The year 2207 cannot be right"),
        ({"package": ""}, "Choose what is to be done"),
        ({"photograph": SimpleUploadedFile("x.jpg", b"no picture")}, "This is no JPEG, PNG or WebP"),
    ],
)
def test_what_cannot_be_is_said_and_nothing_is_saved(cy, more, says):
    answer = cy.post(reverse("walk_in"), typed() | more)
    assert answer.status_code == 422
    assert says in answer.content.decode()
    assert (Order.objects.count(), Photograph.objects.count()) == (0, 0)


@pytest.fixture
def last_year(wren) -> Order:
    dates = OrderDates(earliest=date(2026, 4, 1), wanted=date(2026, 5, 15), promised=date(2026, 5, 14))
    return ordered(
        wren, "spring_commissioning", options=["sea_trial"], dates=dates, now=datetime(2026, 1, 9, tzinfo=UTC)
    )


def test_last_years_order_is_taken_again_once_with_its_dates_52_weeks_on(cy, last_year):
    page = cy.get(reverse("orders_again")).content.decode()
    assert "1 order of 2026 not taken again" in page
    assert "Fri 14 May 2027" in page  # 15 May 2026 was a Friday; 364 days on
    for _ in range(2):
        cy.post(reverse("orders_again"), {"order": last_year.pk})
    order = Order.objects.get(copied_from=last_year)
    assert (order.earliest_date, order.wanted_date, order.promised_date) == (date(2027, 3, 31), date(2027, 5, 14), None)
    assert (order.unconfirmed, order.options, order.boat) == (True, ["sea_trial"], last_year.boat)
    assert set(order.jobs.values_list("key", flat=True)) == set(last_year.jobs.values_list("key", flat=True))


def test_a_press_is_taken_back_as_a_whole_but_not_what_is_begun(cy, last_year):
    furler = ordered(last_year.boat, "furler", now=datetime(2026, 2, 1, tzinfo=UTC), dates=OrderDates())
    told = cy.post(reverse("orders_again"), {"order": [last_year.pk, furler.pk]}).context["told"]
    begun = told.orders[1].jobs.first()
    begun.state = "started"
    begun.save()
    cy.post(reverse("orders_again"), {"order": [order.pk for order in told.orders], "act": "back"})
    assert [Order.objects.get(pk=order.pk).state for order in told.orders] == ["cancelled", "open"]
    last_year.refresh_from_db()
    assert last_year.state == "open"
    assert cy.post(reverse("orders_again"), {"order": last_year.pk}).context["told"].orders  # and may be taken anew


def test_the_page_asks_as_much_for_ten_orders_as_for_one(cy, last_year, django_assert_num_queries):
    cy.get(reverse("orders_again"))
    for n in range(9):
        boat = Boat.objects.create(ref=f"b{n}", name=f"B{n}", length_m=7.0, beam_m=2.3, draft_m=1.1)
        ordered(boat, "halyard", now=datetime(2026, 2, 1, tzinfo=UTC), dates=OrderDates())
    with django_assert_num_queries(7):
        assert "10 orders of 2026" in cy.get(reverse("orders_again")).content.decode()
