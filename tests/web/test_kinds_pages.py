"""Kinds of job kept on pages: added, changed with what it reaches, two people, history and the way back."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from tests.web.tallow_creek import NOW
from yard.models import Job, JobKind, Order, Package, PackageJob, YardSettings

pytestmark = pytest.mark.django_db
TYPED = {
    "name": "Polish the topsides",
    "short_name": "polish",
    "letter": "PO",
    "trade": "yard",
    "pausing": "fitted",
    "weather_class": "coating",
    "water_need": "none",
    "outdoor": "on",
    "needs_light": "on",
    "needs_boat": "on",
    "cautions": "Eyes covered; lean nothing on the jackstands.",
}


@pytest.fixture(autouse=True)
def yard() -> YardSettings:
    return YardSettings.objects.create(name="Creek", time_zone="America/New_York", clock_frozen_at=NOW)


@pytest.fixture
def kind(cy) -> JobKind:
    cy.post(reverse("kind_new"), TYPED)
    return JobKind.objects.get()


def change(cy: Client, kind: JobKind, **typed: str) -> int:
    sent = {**TYPED, "version": str(kind.version), **typed}
    return cy.post(reverse("kind_change", args=[kind.pk]), sent).status_code


def test_a_kind_is_added_and_its_key_stays_when_its_name_changes(cy, kind):
    assert (kind.key, kind.outdoor, kind.not_alone, kind.weather_class) == (
        "polish_the_topsides",
        True,
        False,
        "coating",
    )
    assert change(cy, kind, name="Polish", why="shorter", parts="wash down, 30 min\nrub, 45 min") == 302
    kind.refresh_from_db()
    assert (kind.key, kind.name) == ("polish_the_topsides", "Polish")
    assert [part["minutes"] for part in kind.parts] == [30, 45]
    page = cy.get(reverse("kind_change", args=[kind.pk])).content.decode()
    assert "Name: Polish the topsides → Polish" in page
    assert "shorter" in page


def test_what_cannot_be_is_said_at_its_field_and_nothing_is_saved(cy, kind):
    for typed, words in (
        ({"outdoor": ""}, "Only outdoor work has weather limits."),
        ({"outdoor": "", "weather_class": "none", "water_need": "ramp"}, "Work that needs water is out of doors"),
        ({"needs_boat": "", "shares_boat": "on"}, "only where the work is done on her"),
        ({"parts": "rub"}, "write a part as"),
        ({"parts": "rub, 20 min"}, "quarters"),
        ({"letter": ""}, "required"),
    ):
        sent = {**TYPED, "version": str(kind.version), **typed}
        answer = cy.post(reverse("kind_change", args=[kind.pk]), {key: each for key, each in sent.items() if each})
        assert (answer.status_code, words in answer.content.decode()) == (422, True), typed
    kind.refresh_from_db()
    assert kind.version == 1
    assert cy.post(reverse("kind_new"), TYPED).status_code == 422  # the same name twice


def test_of_two_people_the_second_is_told_and_decides(cy, kind):
    assert change(cy, kind, cautions="Gloves.") == 302
    assert change(cy, kind, cautions="Mask.") == 409
    kind.refresh_from_db()
    assert kind.cautions == "Gloves."
    assert change(cy, kind, cautions="Mask.") == 302  # what was typed, over the version that is on file now


def test_the_way_back(cy, kind):
    change(cy, kind, cautions="Gloves.")
    kind.refresh_from_db()
    first = kind.history.order_by("history_id").first()
    cy.post(reverse("kind_put_back", args=[kind.pk, first.history_id]), {"version": kind.version})
    kind.refresh_from_db()
    assert kind.cautions == TYPED["cautions"]
    cy.post(reverse("kind_put_back", args=[kind.pk, first.history_id]), {"version": 1})  # a stale page
    assert kind.history.count() == 3


def test_an_order_keeps_its_copy_and_open_jobs_read_who_may_not_be_alone(cy, kind):
    order = Order.objects.create(ref="27-001", walk_in_name="Ann", name="Polish", made_at=NOW)
    job = Job.objects.create(order=order, kind=kind, key="p", name="Polish", cautions=kind.cautions)
    change(cy, kind, cautions="Mask.", not_alone="on")
    job.refresh_from_db()
    assert (job.cautions, job.kind.not_alone) == (TYPED["cautions"], True)


def test_the_list_counts_what_each_is_used_for_in_as_many_queries_for_many(cy, kind, django_assert_num_queries):
    package = Package.objects.create(key="p", name="Polish")
    PackageJob.objects.create(package=package, kind=kind, key="p", name="Polish", source="common practice")
    page = cy.get(reverse("kinds")).content.decode()
    assert "daylight, weather for coating" in page
    for number in range(8):
        JobKind.objects.create(key=f"k{number}", name=f"Kind {number}", short_name="k", letter="K", trade="yard")
    with django_assert_num_queries(6):
        cy.get(reverse("kinds"))
