"""An order's own jobs on their pages: changed, added, taken out and brought back for her alone, and drawn."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from tests.services.ordering import ordered
from tests.web.test_package_changes import typed
from yard.models import JobLink, Order, Package
from yard.services.change_order_jobs import order_content

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("tallow")]


@pytest.fixture
def order(wren) -> Order:
    return ordered(wren, "spring_commissioning")


def url_of(order: Order, key: str) -> str:
    return reverse("order_job", args=[order.pk, order.jobs.get(key=key).pk])


def send(cy: Client, url: str, **more: Any):
    page = cy.get(url)
    return cy.post(url, typed(page, **more) | {"source": "for her alone"})


def links(order: Order) -> set[tuple[str, str, int]]:
    rows = JobLink.objects.filter(before__order=order, after__order=order)
    return set(rows.values_list("before__key", "after__key", "min_wait_min"))


@pytest.mark.parametrize("key", ["wash", "launch", "step"])
def test_a_job_saved_as_it_was_shown_stays(cy, order, key):
    before = order_content(order)
    assert send(cy, url_of(order, key)).status_code == 302
    assert order_content(order) == before


def test_hours_and_a_predecessor_are_hers_alone(cy, order):
    more = {"ways-0-hours": "5 h", "links-1-before": "rig_look", "links-1-least": "1 h", "links-1-source": "x"}
    assert send(cy, url_of(order, "wash"), **more).status_code == 302
    assert order.jobs.get(key="wash").ways.first().duration_min == 300
    assert ("rig_look", "wash", 60) in links(order)
    package = Package.objects.get(key="spring_commissioning")
    assert package.jobs.get(key="wash").ways.first().duration_min == 180
    assert "Wash changed for her alone" in cy.get(reverse("order", args=[order.pk])).content.decode()


def test_a_job_is_added_taken_out_and_brought_back(cy, order):
    more = {"name": "Zincs", "kind": "finish", "ways-0-hours": "1", "ways-0-count_1": "1", "ways-0-skill_1": "hand"}
    url = reverse("order_job_new", args=[order.pk])
    assert send(cy, url, **more, **{"links-0-before": "wash"}).status_code == 302
    job = order.jobs.get(key="zincs")
    assert ("wash", "zincs", 0) in links(order)
    out = reverse("order_job_out", args=[order.pk, job.pk])
    for act, state in (("out", "cancelled"), ("back", "open")):
        cy.post(out, {"version": Order.objects.get(pk=order.pk).version, "act": act})
        job.refresh_from_db()
        assert job.state == state


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"links-0-before": "deliver"}, "in a circle"),
        ({"ways-0-hours": "50 min"}, "not a whole number of quarters"),
        ({"name": ""}, "This field is required"),
    ],
)
def test_what_cannot_be_is_said_and_nothing_is_saved(cy, order, more, says):
    before = order_content(order)
    answer = send(cy, url_of(order, "wash"), **more)
    assert answer.status_code == 422
    assert says in answer.content.decode()
    assert order_content(order) == before


def test_what_is_begun_and_a_stale_page_are_refused(cy, order):
    url = url_of(order, "wash")
    page = cy.get(url)
    sent = typed(page, **{"ways-0-hours": "5 h"}) | {"source": "x", "version": 99}
    assert "Somebody changed this order meanwhile" in cy.post(url, sent).content.decode()
    order.jobs.filter(key="wash").update(state="started")
    order.refresh_from_db()
    assert "it is not changed any more" in cy.post(url, sent | {"version": order.version}).content.decode()
    assert order.jobs.get(key="wash").ways.first().duration_min == 180


def test_the_orders_page_draws_her_jobs_and_opens_a_note_on_one(cy, order):
    job = order.jobs.get(key="wash")
    page = cy.get(reverse("order", args=[order.pk]), {"about": f"job-{job.pk}"}).content.decode()
    assert 'class="net-pic"' in page
    assert '<div id="note" class="notenow">' in page
    assert f'<option value="job-{job.pk}" selected>' in page
    assert f"?about=job-{job.pk}#note" in page
