"""A change of a package offered to orders: what each would get, taken, left; what is begun or hers alone stays."""

from __future__ import annotations

from dataclasses import replace

import msgspec
import pytest

from tests.services.ordering import JANUARY, ordered
from yard.models import Boat, Fact, Job, JobLink, JobWay, Order, Package, StaleRow
from yard.services.change_order import Sender, set_hours
from yard.services.change_package import change_package
from yard.services.keeping import Writer
from yard.services.offer_package import leave, offers_of, take
from yard.services.order_package import OrderRefused
from yard.services.package_edits import JobSheet, broken_in_two, sheet_of, with_facts, with_job, without_job
from yard.services.package_files import CrewLine, Link, Way
from yard.services.package_files import Job as JobValue

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("packages")]


@pytest.fixture
def spring() -> Package:
    return Package.objects.get(key="spring_commissioning")


@pytest.fixture
def order(spring) -> Order:
    return ordered(boat("wren"), "spring_commissioning")


def boat(name: str) -> Boat:
    return Boat.objects.create(ref=name, name=name.title(), length_m=7.0, beam_m=2.3, draft_m=1.1)


def change(package: Package, edit) -> int:
    version = Package.objects.get(pk=package.pk).version
    told = change_package(
        package.pk, edit, seen_version=version, reason="x", writer=Writer(None, JANUARY, JANUARY.date())
    )
    return told.edition.number


def with_wash(**fields):
    def edit(file):
        sheet = sheet_of(file, "wash")
        return with_job(file, replace(sheet, job=msgspec.structs.replace(sheet.job, **fields)))

    return edit


FOUR_HOURS = with_wash(ways=(Way(minutes=240, crew=(CrewLine(skill="hand"),), boat_at="ashore"),))


def sender(order: Order) -> Sender:
    return Sender(None, JANUARY, Order.objects.get(pk=order.pk).version)


def told(package: Package) -> dict[str, list[tuple[str, str, str]]]:
    return {
        offer.order.ref: [(each.difference.part, "/".join(each.difference.key), each.stays) for each in offer.offered]
        for offer in offers_of(package)
    }


def test_nothing_is_offered_before_anything_changed(spring, order):
    assert offers_of(spring) == ()


def test_hours_are_offered_and_taken_and_then_not_offered_again(spring, order):
    number = change(spring, FOUR_HOURS)
    assert told(spring) == {order.ref: [("ways", "wash", "")]}
    take(order, number=number, sender=sender(order))
    ways = JobWay.objects.filter(job__order=order, job__key="wash")
    assert list(ways.values_list("duration_min", flat=True)) == [240]
    assert offers_of(spring) == ()
    assert ways.get().history.first().history_change_reason == f"edition {number} of the package taken"


def test_what_is_left_is_offered_no_more(spring, order):
    number = change(spring, FOUR_HOURS)
    leave(order, number=number, sender=sender(order))
    assert offers_of(spring) == ()
    assert JobWay.objects.filter(job__order=order, job__key="wash").count() == 2


@pytest.mark.parametrize("state", ["started", "done"])
def test_a_job_that_is_begun_stays(spring, order, state):
    ended = JANUARY if state == "done" else None
    Job.objects.filter(order=order, key="wash").update(state=state, actual_ends_at=ended)
    number = change(spring, FOUR_HOURS)
    assert told(spring) == {order.ref: [("ways", "wash", "begun")]}
    take(order, number=number, sender=sender(order))
    assert JobWay.objects.filter(job__order=order, job__key="wash").count() == 2


def test_hours_of_her_own_stay(spring, order):
    way = JobWay.objects.filter(job__order=order, job__key="wash").first()
    set_hours(way, 300, sender=sender(order))
    number = change(spring, FOUR_HOURS)
    assert told(spring) == {order.ref: [("ways", "wash", "hers")]}
    take(order, number=number, sender=sender(order))
    way.refresh_from_db()
    assert way.duration_min == 300


def test_a_taken_change_gives_the_order_that_is_taken_afresh(spring, order):
    """A new job with a wait, a job gone, a break point and a fact: as if she were ordered today."""

    def edit(file):
        job = JobValue(key="zinc", kind="finish", name="Zincs", source="common practice", ways=(Way(minutes=30),))
        follows = (Link(before="wash", after="zinc", reason="dry", source="common practice", min_wait_min=60),)
        file = with_job(without_job(file, "tune"), JobSheet(job, follows, frozenset()))
        file = broken_in_two(file, "first_coat")
        more = {"key": "zincs", "name": "zincs", "kind": "cloth", "jobs": ("zinc",), "of_boat": False}
        return with_facts(file, [*file.fact, msgspec.structs.replace(file.fact[0], **more)])

    number = change(spring, edit)
    take(order, number=number, sender=sender(order))
    fresh = ordered(boat("tern"), "spring_commissioning")
    for one in (standing, network, facts, stays):
        assert one(order) == one(fresh)
    assert offers_of(spring) == ()


def standing(order):
    return set(order.jobs.exclude(state="cancelled").values_list("key", "name", "split_of__key"))


def network(order):
    links = JobLink.objects.filter(before__order=order, after__order=order).exclude(before__state="cancelled")
    return set(
        links.exclude(after__state="cancelled").values_list("before__key", "after__key", "min_wait_min", "max_wait_min")
    )


def facts(order):
    rows = Fact.objects.filter(jobs__order=order).exclude(jobs__state="cancelled")
    return set(rows.values_list("name", "jobs__key"))


def stays(order):
    return set(order.stays.values_list("from_job__key", "until_job__key", "place_kind"))


def test_an_option_that_is_off_brings_nothing(spring, order):
    """The sea trial is off in this order: its name is no business of hers."""

    def edit(file):
        sheet = sheet_of(file, "sea_trial")
        return with_job(file, replace(sheet, job=msgspec.structs.replace(sheet.job, name="Long sea trial")))

    change(spring, edit)
    assert offers_of(spring) == ()


def test_two_people_and_a_package_changed_again_are_told(spring, order):
    number = change(spring, FOUR_HOURS)
    with pytest.raises(StaleRow):
        take(order, number=number, sender=Sender(None, JANUARY, 99))
    change(spring, with_wash(name="Scrub"))
    with pytest.raises(OrderRefused, match="was changed again meanwhile"):
        take(order, number=number, sender=sender(order))
