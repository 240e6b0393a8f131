"""A repair list: begun once, lines with price and photograph, answered one by one, what is approved becomes jobs."""

from __future__ import annotations

from decimal import Decimal
from io import BytesIO
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import Image

from tests.services.ordering import ordered
from tests.web.tallow_creek import NOW
from yard.models import JobKind, Order, Photograph, RepairLine, RepairList
from yard.services.order_package import Terms, WalkIn

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("tallow", "photographs_here")]


@pytest.fixture
def mainsail(cy, wren) -> RepairList:
    sent = {"name": "Mainsail", "form_key": str(uuid4())}
    for _ in range(2):
        cy.post(reverse("repair_list_of_boat", args=[wren.pk]), sent)
    return RepairList.objects.get()


def line(words: str = "clew torn out", **more) -> dict[str, object]:
    kind = JobKind.objects.get(key="sail_repair").pk
    return {"words": words, "hours": "1.5", "price": "120.50", "kind": kind, "form_key": str(uuid4()), **more}


def add(client: Client, to: RepairList, **more):
    return client.post(reverse("repair_list", args=[to.pk]), line(**more))


def say(client: Client, to: RepairList, which: RepairLine, what: str, **more) -> None:
    sent = {"answer": what, "said_by": "Fay", "said_how": "by telephone", "version": which.version, **more}
    client.post(reverse("repair_answer", args=[to.pk, which.pk]), sent)
    which.refresh_from_db()


def test_a_line_is_added_once_with_its_photograph(cy, mainsail):
    picture = BytesIO()
    Image.new("RGB", (20, 20), "red").save(picture, "JPEG")
    sent = line()
    for _ in range(2):
        photograph = SimpleUploadedFile("a.jpg", picture.getvalue(), content_type="image/jpeg")
        cy.post(reverse("repair_list", args=[mainsail.pk]), sent | {"photograph": photograph})
    row = RepairLine.objects.get()
    assert (row.minutes, row.price, row.photograph) == (90, Decimal("120.50"), Photograph.objects.get())
    assert row.photograph.boat == mainsail.boat


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"words": ""}, "This field is required"),
        ({"hours": "50 min"}, "not a whole number of quarters"),
        ({"hours": "soon"}, "is no time"),
        ({"price": "-1"}, "greater than or equal to 0"),
        ({"photograph": SimpleUploadedFile("x.jpg", b"no")}, "This is no JPEG"),
    ],
)
def test_what_cannot_be_is_said_and_nothing_is_saved(cy, mainsail, more, says):
    answer = cy.post(reverse("repair_list", args=[mainsail.pk]), line() | more)
    assert answer.status_code == 422
    assert says in answer.content.decode()
    assert not RepairLine.objects.exists()


def test_answers_line_by_line_and_approved_ones_become_jobs_once(cy, mainsail):
    for words in ("clew torn out", "new window", "batten pockets"):
        add(cy, mainsail, words=words)
    torn, window, pockets = mainsail.lines.order_by("id")
    say(cy, mainsail, torn, "approved")
    say(cy, mainsail, window, "declined")
    say(cy, mainsail, pockets, "asked")
    assert (torn.answer, torn.said_by, torn.said_how, torn.recorded_by.username) == (
        "approved",
        "Fay",
        "by telephone",
        "cy",
    )
    assert torn.history.first().history_change_reason == "approved, by telephone"
    page = cy.get(reverse("repair_list", args=[mainsail.pk])).content.decode()
    assert "In all 361.50, approved 120.50." in page  # three lines of 120.50, one approved
    for _ in range(2):
        cy.post(reverse("repair_jobs", args=[mainsail.pk]), {"version": mainsail.version})
    order = Order.objects.get()
    [job] = order.jobs.all()
    assert (order.name, order.boat, job.name) == ("Repairs: Mainsail", mainsail.boat, "clew torn out")
    way = job.ways.get()
    assert (way.duration_min, way.place_kinds) == (90, ["machine", "loft_floor"])  # as the packages do such work
    say(cy, mainsail, pockets, "approved")
    mainsail.refresh_from_db()
    cy.post(reverse("repair_jobs", args=[mainsail.pk]), {"version": mainsail.version})
    assert Order.objects.get().jobs.count() == 2
    say(cy, mainsail, torn, "declined")
    assert torn.answer == "approved"  # a job already


def test_two_people_and_a_line_taken_out(cy, mainsail):
    add(cy, mainsail)
    row = mainsail.lines.get()
    say(cy, mainsail, row, "declined", version=99)
    assert row.answer == ""
    out = reverse("repair_line_out", args=[mainsail.pk, row.pk])
    cy.post(out, {"version": row.version})
    row.refresh_from_db()
    say(cy, mainsail, row, "approved")
    assert row.answer == ""
    cy.post(out, {"version": row.version})
    row.refresh_from_db()
    assert row.taken_out_at is None


def test_a_walk_ins_list_becomes_an_order_of_the_walk_in(cy, cast):
    order = ordered(None, "sail_repair", terms=Terms(walk_in=WalkIn(name="Fay Marsh", bag_tag="R41")))
    cy.post(reverse("repair_list_of_order", args=[order.pk]), {"name": "Genoa", "form_key": str(uuid4())})
    genoa = RepairList.objects.get()
    add(cy, genoa)
    row = genoa.lines.get()
    say(cy, genoa, row, "approved")
    cy.post(reverse("repair_jobs", args=[genoa.pk]), {"version": genoa.version})
    made = Order.objects.exclude(pk=order.pk).get()
    assert (made.walk_in_name, made.bag_tag) == ("Fay Marsh", "R41")


def test_a_line_of_another_list_is_not_found(cy, mainsail):
    add(cy, mainsail)
    url = reverse("repair_answer", args=[mainsail.pk + 1, mainsail.lines.get().pk])
    assert cy.post(url, {"answer": "approved"}).status_code == 404


def test_the_list_of_lists_asks_as_much_for_ten_as_for_one(cy, mainsail, django_assert_num_queries):
    for n in range(9):
        RepairList.objects.create(boat=mainsail.boat, name=f"list {n}", made_at=NOW)
    cy.get(reverse("repair_lists"))
    with django_assert_num_queries(6):
        cy.get(reverse("repair_lists"))
