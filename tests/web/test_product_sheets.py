"""Product data sheets: typed in the yard's degrees, used by orders, and a change reaches the waits that use them.

The products are invented; that 0 degrees Celsius is 32 Fahrenheit and 100 is 212 is the scales' own definition.
"""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from tests.services.ordering import ordered
from tests.web.tallow_creek import NOW
from yard.models import Boat, FactsRevision, Job, JobLink, Order, ProductSheet, YardSettings
from yard.services.product_sheets import wait_min
from yard.web.products.form import celsius_of, degrees

pytestmark = pytest.mark.django_db
TYPED = {
    "kind": "paint", "name": "Heron Red", "source": "Heron's sheet 7, invented", "min_temp_c": "50", "max_temp_c": "90",
    "max_humidity_pct": "85", "min_dew_spread_c": "5", "overcoat_max_min": "3 days", "max_wait_min": "60 days",
    "waits-TOTAL_FORMS": "3", "waits-INITIAL_FORMS": "0",
    "waits-0-use": "overcoat", "waits-0-temp": "50", "waits-0-wait": "8 h",
    "waits-1-use": "dry", "waits-1-temp": "50", "waits-1-wait": "24 h",
    "waits-2-use": "dry", "waits-2-temp": "70", "waits-2-wait": "12 h",
}  # fmt: skip


@pytest.fixture(autouse=True)
def yard(packages: None) -> YardSettings:
    return YardSettings.objects.create(
        name="Creek", time_zone="America/New_York", clock_frozen_at=NOW, units=YardSettings.Units.FEET
    )


@pytest.fixture
def red(cy) -> ProductSheet:
    cy.post(reverse("product_new"), TYPED)
    return ProductSheet.objects.get()


@pytest.fixture
def order(wren) -> Order:
    return ordered(wren, "spring_commissioning", options=["second_coat"])


def use(cy: Client, sheet: ProductSheet, order: Order) -> None:
    order.refresh_from_db()
    sent = {"order": order.pk, f"version-{order.pk}": order.version}
    cy.post(reverse("product_use", args=[sheet.pk]), sent)


def waits(order: Order) -> dict[tuple[str, str], tuple[int, int | None]]:
    links = JobLink.objects.filter(after__order=order, product_kind="paint")
    return {(link.before.key, link.after.key): (link.min_wait_min, link.max_wait_min) for link in links}


@pytest.mark.parametrize(("celsius", "fahrenheit"), [(0, 32), (100, 212), (-40, -40)])
def test_degrees_there_and_back(yard, celsius, fahrenheit):
    assert degrees(celsius, yard) == pytest.approx(fahrenheit)
    assert celsius_of(fahrenheit, yard) == pytest.approx(celsius)


def test_typed_in_fahrenheit_kept_in_celsius(red):
    assert (red.min_temp_c, red.max_temp_c, red.max_humidity_pct) == (10.0, 32.22, 85)
    assert red.min_dew_spread_c == pytest.approx(5 / 1.8, abs=0.01)  # a difference has no zero to shift
    assert (red.overcoat_max_min, red.max_wait_min) == (3 * 24 * 60, 60 * 24 * 60)
    assert list(red.waits.values_list("use", "from_temp_c", "min_wait_min")) == [
        ("dry", 10.0, 1440), ("dry", 21.11, 720), ("overcoat", 10.0, 480),
    ]  # fmt: skip


@pytest.mark.parametrize(("planned", "least"), [(None, 1440), (10.0, 1440), (20.0, 1440), (25.0, 720), (-5.0, 1440)])
def test_the_wait_is_that_of_the_planned_temperature_else_the_longest(red, planned, least):
    red.planned_temp_c = planned
    assert wait_min(red, "dry") == least


def test_a_sheet_saved_as_it_was_shown_stays(cy, red):
    before = list(red.waits.values_list())
    page = cy.get(reverse("product_change", args=[red.pk])).context["form"]
    fields = [*page, *page.waits.management_form, *(field for form in page.waits for field in form)]
    sent = {field.html_name: field.value() for field in fields if field.value() not in (None, False, "")}
    sent |= {"version": red.version, "waits-INITIAL_FORMS": 3}
    assert cy.post(reverse("product_change", args=[red.pk]), sent).status_code == 302
    fresh = ProductSheet.objects.get()
    assert list(fresh.waits.values_list()) == before
    assert (fresh.min_temp_c, fresh.max_temp_c, fresh.min_dew_spread_c) == (10.0, 32.22, red.min_dew_spread_c)


def test_orders_read_their_waits_off_it_and_a_change_reaches_them_with_history(cy, red, order):
    use(cy, red, order)
    assert waits(order) == {("first_coat", "second_coat"): (480, 4320), ("second_coat", "launch"): (1440, 86400)}
    fact = order.facts.get(kind="data_sheet")
    assert (fact.state, fact.expected_date) == ("here", None)
    before = FactsRevision.objects.get().count
    dry = list(red.waits.order_by("use", "from_temp_c"))
    more = {"version": red.version, "waits-INITIAL_FORMS": "0", "waits-1-wait": "36 h"}
    answer = cy.post(reverse("product_change", args=[red.pk]), TYPED | more)
    assert answer.status_code == 302
    assert waits(order)["second_coat", "launch"] == (36 * 60, 86400)
    assert FactsRevision.objects.get().count == before + 1
    link = JobLink.objects.get(after__order=order, before__key="second_coat")
    assert link.history.first().history_change_reason == "data sheet: Heron Red"
    assert link.history.first().history_user.username == "cy"
    assert dry[0].history.count() == 2


def test_a_wait_before_a_job_that_is_begun_stays(cy, red, order):
    use(cy, red, order)
    Job.objects.filter(order=order, key="launch").update(state="started")
    cy.post(reverse("product_change", args=[red.pk]), TYPED | {"version": red.version, "waits-1-wait": "36 h"})
    assert waits(order)["second_coat", "launch"] == (1440, 86400)


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"name": ""}, "This field is required"),
        ({"max_humidity_pct": "850"}, "less than or equal to 100"),
        ({"min_temp_c": "95"}, "lies below the coldest"),
        ({"waits-0-temp": "500"}, "was it typed in Fahrenheit?"),
        ({"waits-0-wait": ""}, "Say both, or clear both."),
        ({"max_wait_min": "6 h"}, "The longest wait is shorter than a least one"),
        ({"waits-2-temp": "50"}, "One temperature stands twice"),
    ],
)
def test_what_cannot_be_is_said_and_nothing_is_saved(cy, more, says):
    answer = cy.post(reverse("product_new"), TYPED | more)
    assert answer.status_code == 422
    assert says in answer.content.decode()
    assert not ProductSheet.objects.exists()


def test_two_people_at_one_sheet(cy, red):
    url = reverse("product_change", args=[red.pk])
    cy.post(url, TYPED | {"version": red.version, "notes": "stir well"})
    answer = cy.post(url, TYPED | {"version": red.version, "notes": "thin it"})
    assert answer.status_code == 409
    assert "somebody else changed this sheet meanwhile" in answer.content.decode()
    assert ProductSheet.objects.get().notes == "stir well"


def test_an_order_without_such_a_wait_is_told(cy, red):
    tern = Boat.objects.create(ref="tern", name="Tern", length_m=7.0, beam_m=2.3, draft_m=1.1)
    use(cy, red, ordered(tern, "halyard"))
    assert "still waits for a bottom paint" in cy.get(reverse("products")).content.decode()
