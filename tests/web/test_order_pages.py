"""Orders on their pages: taken whole or not at all, listed, changed, withdrawn; packages listed and drawn."""

from __future__ import annotations

import html
import re
from datetime import date
from uuid import uuid4

import pytest
from django.urls import reverse

from tests.services.ordering import ordered
from tests.services.package_walk import PACKAGES
from tests.web.tallow_creek import signed_in
from yard.models import Boat, BoatOwner, Job, JobWay, Order, Owner, Package
from yard.web.orders.form import boats_named

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("tallow")]


def said(answer) -> str:
    body = answer.content.decode().rpartition("</header>")[2]
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", body)).split())


def sent(key: str = "furler", **more) -> dict[str, object]:
    package = Package.objects.get(key=key)
    return {"package": package.pk, "shown": package.pk, "goes_first": "1", "form_key": str(uuid4()), **more}


def test_a_known_boat_in_one_post(wren, cy, cast):
    answer = cy.post(reverse("order_new"), sent(boat="Wren (wren)", wanted="2027-06-04", what="new furler"))
    order = Order.objects.get()
    assert answer.headers["Location"] == reverse("order", args=[order.pk])
    assert (order.boat, order.wanted_date, order.notes, order.made_by) == (
        wren,
        date(2027, 6, 4),
        "new furler",
        cast.cy,
    )
    assert list(order.jobs.values_list("key", flat=True)) == ["prepare", "fit"]


def test_the_same_form_twice_is_one_order(wren, cy):
    form = sent(boat="wren")
    places = [cy.post(reverse("order_new"), form).headers["Location"] for _ in range(2)]
    assert places[0] == places[1]
    assert Order.objects.count() == 1
    cy.post(reverse("order_new"), sent(boat="wren"))
    assert Order.objects.count() == 2


def test_options_are_those_that_were_ticked(wren, cy):
    cy.post(reverse("order_new"), sent("spring_commissioning", boat="wren", option=["sea_trial"]))
    assert Order.objects.get().options == ["sea_trial"]


def test_without_script_the_jobs_are_shown_before_anything_is_saved(wren, cy):
    form = sent("spring_commissioning", boat="wren") | {"shown": ""}
    answer = cy.post(reverse("order_new"), form)
    assert answer.status_code == 422
    assert "Look at the jobs of spring commissioning, then save" in said(answer)
    assert "Fit covers and cushions 1 h 30 min" in said(answer)
    assert not Order.objects.exists()


def test_a_walk_in(cy, dee):
    cy.post(
        reverse("order_new"),
        sent("sail_repair", walk_in_name="Fay Marsh", walk_in_phone="555 0117", price_said="80", bag_tag="R41"),
    )
    order = Order.objects.get()
    assert (order.boat, order.walk_in_name, order.bag_tag) == (None, "Fay Marsh", "R41")
    for page in (reverse("orders"), reverse("order", args=[order.pk])):
        assert "Fay Marsh" in said(cy.get(page))
        assert "Fay Marsh" not in said(dee.get(page))
        assert "0117" not in dee.get(page).content.decode()


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"boat": "Wrem"}, "No boat is called “Wrem”. Did you mean Wren?"),
        ({"boat": "W"}, "“W” may be 2 boats: Wren (wren), Wren (wren-2)"),
        ({}, "Name the boat, or the person who walked in."),
        ({"boat": "wren", "walk_in_name": "Fay"}, "leave one empty"),
        ({"walk_in_name": "Fay"}, "Furler is work on a boat: enter the boat first."),
        ({"boat": "wren", "wanted": "soon"}, "That is no date: write 14 May 2027"),
        ({"boat": "wren", "wanted": "2207-05-14"}, "The year 2207 cannot be right: it is 2027 now."),
        ({"boat": "wren", "earliest": "2027-06-04", "latest": "2027-06-01"}, "give a day from 4 June on"),
        ({"boat": "wren", "package": ""}, "Choose what is ordered."),
        ({"boat": "wren", "option": ["gold"]}, "gold"),
        ({"boat": "wren", "fixed_delivery_at": "noon"}, "Write the road or ferry date as"),
    ],
)
def test_what_cannot_be_is_said_with_its_remedy_and_nothing_is_saved(wren, cy, more, says):
    Boat.objects.create(ref="wren-2", name="Wren", length_m=8.0, beam_m=2.5)
    answer = cy.post(reverse("order_new"), sent() | more)
    assert answer.status_code == 422
    assert says in said(answer)
    assert "Nothing was saved" in said(answer)
    assert not Order.objects.exists()


@pytest.mark.parametrize("day", ["2027-06-04", "4 June 2027", "Jun 4, 2027", "June 4 2027"])
def test_dates_as_people_write_them(wren, cy, day):
    cy.post(reverse("order_new"), sent(boat="wren", promised=day))
    assert Order.objects.get().promised_date == date(2027, 6, 4)


def test_a_boat_is_named_by_label_mark_name_or_the_beginning(wren):
    tern = Boat(ref="t-1", name="Tern", length_m=8, beam_m=2)
    for typed in ("Tern", "  tern ", "t-1", "Tern (t-1)", "te"):
        assert boats_named([wren, tern], typed) == [tern]
    assert boats_named([wren, tern], "") == []


def test_the_preview_saves_nothing_and_knows_a_planked_hull(wren, cy):
    wren.planked = True
    wren.save()
    package = Package.objects.get(key="spring_commissioning")
    page = said(cy.get(reverse("order_work"), {"boat": "Wren", "package": package.pk}))
    assert "14 jobs" in page  # the thirteen usual ones, and the planks take up
    assert "Planks take up overnight 14 h" in page
    assert "16 h to 14 days after First coat" in page
    assert "mooring permit: expected in 60 days, the yard's guess" in page
    assert "draft: unknown" not in page  # her draft is known
    assert not Order.objects.exists()


def test_the_pages_open_with_boat_and_package_named(wren, cy):
    page = cy.get(reverse("order_new_for", args=[wren.pk])).content.decode()
    assert 'value="Wren (wren)"' in page
    assert "Choose a package" in said(cy.get(reverse("order_new")))


def test_one_order_is_changed_withdrawn_and_put_back(wren, cy):
    order = ordered(wren, "spring_commissioning")

    def post(name: str, *more, **form):
        version = Order.objects.get().version
        return said(cy.post(reverse(name, args=[order.pk, *more]), {"version": version, **form}, follow=True))

    assert "It is changed" in post("order_options", option=["sea_trial"])
    assert Job.objects.get(key="sea_trial").state == "open"
    assert "It is changed" in post("order_dates", promised="2027-06-11", goes_first="3")
    way = JobWay.objects.filter(job__key="wash").first()
    assert "It is changed" in post("order_hours", way.pk, hours="4.5")
    assert JobWay.objects.get(pk=way.pk).duration_min == 270
    assert "Nothing was changed" in post("order_hours", way.pk, hours="long")
    assert "Say why" in post("order_withdraw", reason="")
    page = post("order_withdraw", reason="she is sold")
    assert "This order is withdrawn: she is sold" in page
    assert "Put it back" in page
    assert "Put it back" not in post("order_put_back")
    row = Order.objects.get()
    assert (row.state, row.promised_date, row.goes_first) == ("open", date(2027, 6, 11), 3)


def test_a_stale_page_changes_nothing(wren, cy):
    order = ordered(wren, "halyard")
    address = reverse("order_dates", args=[order.pk])
    cy.post(address, {"version": 1, "promised": "2027-06-11", "goes_first": "1"})
    page = said(cy.post(address, {"version": 1, "promised": "2027-07-01", "goes_first": "1"}, follow=True))
    assert "Somebody changed this order meanwhile" in page
    assert Order.objects.get().promised_date == date(2027, 6, 11)


def test_bad_dates_stand_on_the_page_again(wren, cy):
    order = ordered(wren, "halyard")
    form = {"version": 1, "earliest": "2027-06-11", "latest": "2027-06-01", "goes_first": "1"}
    answer = cy.post(reverse("order_dates", args=[order.pk]), form)
    assert (answer.status_code, "give a day from 11 June on" in said(answer)) == (422, True)
    assert 'value="2027-06-01"' in answer.content.decode()


def test_another_orders_hours_are_not_found(wren, cy):
    one, other = ordered(wren, "halyard"), ordered(wren, "halyard")
    way = JobWay.objects.filter(job__order=other).first()
    assert cy.post(reverse("order_hours", args=[one.pk, way.pk]), {"version": 1, "hours": "2"}).status_code == 404


def test_who_may_plan_is_offered_it(wren, cast, cy):
    order = ordered(wren, "halyard")
    address = reverse("order", args=[order.pk])
    assert "Plan it now" in said(signed_in(cast.ada).get(address))
    assert "Plan it now" not in said(cy.get(address))


def test_the_list_finds_narrows_and_hides_owners(wren, cy, dee):
    owner = Owner.objects.create(name="Greta Eastlake")
    BoatOwner.objects.create(boat=wren, owner=owner, starts_on=date(2020, 1, 1))
    ordered(wren, "spring_commissioning")
    ordered(wren, "halyard")
    assert "2 open orders" in said(cy.get(reverse("orders")))
    assert "Greta Eastlake" in said(cy.get(reverse("orders")))
    assert "Greta Eastlake" not in said(dee.get(reverse("orders")))
    assert "2 open orders" in said(cy.get(reverse("orders"), {"q": "greta"}))
    assert "0 open orders" in said(dee.get(reverse("orders"), {"q": "greta"}))
    assert "1 open order " in said(cy.get(reverse("orders"), {"waits": "no"}))
    package = Package.objects.get(key="halyard").pk
    assert "1 open order " in said(cy.get(reverse("orders"), {"package": package}))
    assert "No open order of this kind" in said(cy.get(reverse("orders"), {"q": "zebra"}))


def test_queries_do_not_grow_with_orders_or_jobs(cy, django_assert_num_queries):
    def order_for(name: str) -> None:
        boat = Boat.objects.create(ref=name, name=name, length_m=7.0, beam_m=2.3)
        owner = Owner.objects.create(name=name)
        BoatOwner.objects.create(boat=boat, owner=owner, starts_on=date(2020, 1, 1))
        ordered(boat, "spring_commissioning")

    order_for("a")
    pages = {reverse("orders"): LIST_QUERIES, reverse("order_new"): NEW_QUERIES}
    for count in (1, 4):
        for address, queries in pages.items():
            with django_assert_num_queries(queries):
                cy.get(address)
        for number in range(count):
            order_for(f"b{count}{number}")


LIST_QUERIES = 12
NEW_QUERIES = 9


def test_packages_are_listed_and_drawn(dee, django_assert_num_queries):
    assert "Spring commissioning" in said(dee.get(reverse("packages")))
    package = Package.objects.get(key="spring_commissioning")
    page = said(dee.get(reverse("package", args=[package.pk])))
    assert "Spring commissioning: 13 jobs, at least 45 h 15 min" in page
    assert "Bilge check on the second day" in page
    assert "The longest way" in page
    bare = said(dee.get(reverse("package", args=[package.pk]), {"chosen": "1"}))
    assert "Spring commissioning: 9 jobs" in bare
    assert dee.get(reverse("package", args=[99999])).status_code == 404


@pytest.mark.parametrize("key", [name for name in PACKAGES if name != "spring_commissioning"])
def test_every_shipped_package_has_its_page(dee, key):
    package = Package.objects.get(key=key)
    options = list(package.options.values_list("key", flat=True))
    answer = dee.get(reverse("package", args=[package.pk]), {"chosen": "1", "option": options})
    assert answer.status_code == 200
    for job in package.jobs.all():
        assert job.name in html.unescape(answer.content.decode())


def test_when_it_could_be_done_is_answered_on_the_page_and_nothing_is_saved(cy, wren):
    """No plan hangs there, so no day can be told; a stranger and an unknown package are told what is missing."""
    package = Package.objects.get(key="halyard")
    page = cy.post("/orders/new/", {"boat": "Wren", "package": package.pk, "goes_first": "1", "when": "1"})
    assert page.status_code == 200
    assert "No plan is posted yet" in page.content.decode()
    assert cy.post("/orders/new/", {"package": package.pk, "goes_first": "1", "when": "1"}).status_code in (200, 422)
    assert cy.post("/orders/new/", {"boat": "Wren", "when": "1"}).status_code == 422
    assert not Order.objects.exists()
