"""A changed package taken line by line: one taken, one left, each taken back; what was begun since stays."""

from __future__ import annotations

from dataclasses import replace

import msgspec
import pytest
from django.test import Client
from django.urls import reverse

from tests.services.ordering import JANUARY, ordered
from yard.models import Boat, Fact, Job, JobLink, JobWay, Order, Package, StaleRow, YardSettings
from yard.services.change_order import Sender, set_hours
from yard.services.change_package import change_package
from yard.services.keeping import Writer
from yard.services.offer_lines import decide_line
from yard.services.offer_package import offers_of, take
from yard.services.order_package import OrderRefused
from yard.services.package_edits import JobSheet, sheet_of, with_job
from yard.services.package_files import CrewLine, Link, Way
from yard.services.package_files import Job as JobValue

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("packages")]
WASH, POLISH, WAIT = "ways:wash", "job:polish", "link:wash/first_coat"


@pytest.fixture
def spring() -> Package:
    return Package.objects.get(key="spring_commissioning")


@pytest.fixture
def order(spring) -> Order:
    wren = Boat.objects.create(ref="wren", name="Wren", length_m=7.0, beam_m=2.3, draft_m=1.1)
    return ordered(wren, "spring_commissioning")


@pytest.fixture
def number(spring, order) -> int:
    """The package changed after she was ordered: washing takes 4 h, dries an hour, and a polish comes after it."""

    def edit(file):
        sheet = sheet_of(file, "wash")
        hours = (Way(minutes=240, crew=(CrewLine(skill="hand"),), boat_at="ashore"),)
        file = with_job(file, replace(sheet, job=msgspec.structs.replace(sheet.job, ways=hours)))
        coat = sheet_of(file, "first_coat")
        waits = tuple(
            msgspec.structs.replace(link, min_wait_min=60, reason="dries", source="common practice")
            for link in coat.follows
        )
        file = with_job(file, replace(coat, follows=waits))
        polish = JobValue(
            key="polish",
            kind="wash",
            name="Polish",
            source="common practice",
            ways=(Way(minutes=60, crew=(CrewLine(skill="hand"),)),),
        )
        follows = (Link(before="wash", after="polish", source="", reason=""),)
        return with_job(file, JobSheet(polish, follows, frozenset()))

    version = Package.objects.get(pk=spring.pk).version
    told = change_package(
        spring.pk, edit, seen_version=version, reason="x", writer=Writer(None, JANUARY, JANUARY.date())
    )
    return told.edition.number


def sender(order: Order) -> Sender:
    return Sender(None, JANUARY, Order.objects.get(pk=order.pk).version)


def decide(order: Order, name: str, act, number: int) -> None:
    decide_line(Order.objects.get(pk=order.pk), name, act, number=number, sender=sender(order))


def told(spring: Package) -> tuple[set[str], set[str], set[str]]:
    """(offered, taken, left) by name of the line; nothing where no order differs."""
    for offer in offers_of(spring):
        return (
            {each.difference.name for each in offer.offered},
            {each.name for each in offer.taken},
            {each.name for each in offer.left},
        )
    return set(), set(), set()


def stands(order: Order) -> tuple[list[int], int, list[str]]:
    """Hours of the wash, the wait after it, and whether she is polished."""
    wash = JobWay.objects.filter(job__order=order, job__key="wash").order_by("sequence")
    wait = JobLink.objects.get(before__key="wash", after__key="first_coat", after__order=order)
    polish = Job.objects.filter(order=order, key="polish").values_list("state", flat=True)
    return list(wash.values_list("duration_min", flat=True)), wait.min_wait_min, list(polish)


def test_one_line_is_taken_and_the_others_stay_offered(spring, order, number):
    before = stands(order)
    assert told(spring) == ({WASH, POLISH, WAIT, "link:wash/polish"}, set(), set())
    decide(order, WASH, "take", number)
    assert stands(order) == ([240], before[1], [])
    assert told(spring) == ({POLISH, WAIT, "link:wash/polish"}, {WASH}, set())
    decide(order, WASH, "take", number)  # pressed twice
    assert Order.objects.get(pk=order.pk).package_lines == {"edition": number, "taken": [WASH], "left": []}


def test_every_line_is_taken_back_as_it_was(spring, order, number):
    before = stands(order)
    for name in (WASH, POLISH, WAIT):
        decide(order, name, "take", number)
    assert stands(order) == ([240], 60, ["open"])
    polish = Job.objects.get(order=order, key="polish")
    assert polish.links_before.count() == 1
    for name in (WASH, POLISH, WAIT):
        decide(order, name, "back", number)
    hours, wait, polished = stands(order)
    assert ((hours, wait), polished) == (before[:2], ["cancelled"])
    assert told(spring)[1:] == (set(), set())
    assert Order.objects.get(pk=order.pk).package_lines == {}


def test_a_line_left_is_not_brought_by_taking_the_rest_and_can_be_offered_again(spring, order, number):
    decide(order, WASH, "leave", number)
    assert told(spring)[2] == {WASH}
    decide(order, WASH, "back", number)
    assert told(spring)[2] == set()
    decide(order, WASH, "leave", number)
    hours = stands(order)[0]
    take(Order.objects.get(pk=order.pk), number=number, sender=sender(order))
    assert stands(order) == (hours, 60, ["open"])
    assert told(spring) == (set(), set(), set())
    assert Order.objects.get(pk=order.pk).package_lines == {}


def test_what_was_changed_for_her_or_begun_since_is_not_taken_back(spring, order, number):
    decide(order, WASH, "take", number)
    way = JobWay.objects.get(job__order=order, job__key="wash")
    set_hours(way, 300, sender=sender(order))
    with pytest.raises(OrderRefused, match="changed for her alone since"):
        decide(order, WASH, "back", number)
    decide(order, POLISH, "take", number)
    Job.objects.filter(order=order, key="polish").update(state="started")
    with pytest.raises(OrderRefused, match="begun"):
        decide(order, POLISH, "back", number)
    assert stands(order)[2] == ["started"]


def test_a_line_of_an_edition_that_is_not_the_newest_and_a_stale_page_are_refused(spring, order, number):
    with pytest.raises(OrderRefused):
        decide(order, "ways:nothing", "take", number)
    with pytest.raises(OrderRefused):
        decide(order, WASH, "take", number - 1)
    with pytest.raises(StaleRow):
        decide_line(order, WASH, "take", number=number, sender=Sender(None, JANUARY, 99))
    assert stands(order)[0] != [240]


def test_facts_that_nobody_took_do_not_come_with_a_line(spring, order, number):
    facts = set(Fact.objects.values_list("name", flat=True))
    decide(order, POLISH, "take", number)
    assert set(Fact.objects.values_list("name", flat=True)) == facts


def test_on_the_page_a_line_has_its_buttons_and_its_way_back(spring, order, number, cast):
    YardSettings.objects.create(name="Creek", time_zone="America/New_York", clock_frozen_at=JANUARY)
    client = Client()
    client.force_login(cast.cy, "yard.web.access.RoleBackend")
    address = reverse("package_offers", args=[spring.pk])

    def press(button: str) -> str:
        assert f'value="{button}"' in client.get(address).content.decode()
        version = Order.objects.get(pk=order.pk).version
        sent = {"line": button, "edition": number, f"version-{order.pk}": version}
        return client.post(address, sent, follow=True).content.decode()

    assert "that line is taken" in press(f"take|{order.pk}|{WASH}")
    assert "(taken)" in client.get(address).content.decode()
    assert "is offered again" in press(f"back|{order.pk}|{WASH}")
    assert "that line is left" in press(f"leave|{order.pk}|{WAIT}")
