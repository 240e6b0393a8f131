"""Sails on pages: dry or damp in the tap that ends unbending, "dry" on the line, warnings, winter washing, history."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from uuid import uuid4

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from tests.conftest import Cast
from tests.web.made_creek import BACKEND, NOW, THURSDAY, job, kind, person, post, text_of
from yard.models import (
    Boat,
    Fact,
    Item,
    ItemWhereabouts,
    Job,
    JobThing,
    JobWay,
    Order,
    Package,
    PackageJob,
    PackageWay,
    Person,
    Place,
    PlannedJob,
    PlanRun,
    Proposal,
    RepairList,
    YardSettings,
)
from yard.services.repair_lists import Line, add_line, answer, begin_list, make_jobs
from yard.services.winter_washing import order_washing

pytestmark = pytest.mark.django_db
TAP, CLOSE = "/today/tap/", f"/today/close/{THURSDAY}/"
HOUR = timedelta(hours=1)


@pytest.fixture
def ben(cast: Cast, client: Client, creek: YardSettings) -> Client:
    """Ben of the crew, with a telephone; the yard has a sail store and drying lines."""
    Place.objects.create(ref="store", name="Sail store", kind="sail_store")
    Place.objects.create(ref="lines", name="Drying lines", kind="drying_line", line_m=40)
    for key in ("sail_dry", "unbend", "sail_wash", "sail_inspect", "sail_repair", "sail_store"):
        kind(key)
    client.force_login(cast.ben, BACKEND)
    return client


@pytest.fixture
def unbending(ben: Client, cast: Cast) -> PlannedJob:
    """Tern's sails come off on Thursday morning, by Ben."""
    who = person("Ben")
    who.user = cast.ben
    who.save()
    return planned("unbend", who)


def planned(of: str, *people: Person, boat: str = "Tern") -> PlannedJob:
    row = job(post(), boat, "Unbend", THURSDAY, "08:00", "09:15", *people)
    Job.objects.filter(pk=row.job_id).update(kind=kind(of))
    row.job.refresh_from_db()
    hull = Boat.objects.get(name=boat)
    for name in ("jib", "mainsail"):
        Item.objects.create(boat=hull, kind="sail", name=name, area_m2=20)
    return row


def tap(client: Client, work: Job, **more: str):
    sent = {"kind": "finished", "key": str(uuid4()), "job": str(work.pk), **more}
    return client.post(TAP, sent, headers={"accept": "application/json"}).json()


def lies(item: Item, condition: str, hours_ago: float, place: str = "store") -> None:
    spot = Place.objects.get(ref=place)
    since = NOW - hours_ago * HOUR
    ItemWhereabouts.objects.create(item=item, kind="place", place=spot, condition=condition, since=since)


def test_one_tap_says_that_they_came_off_damp_and_asks_for_a_line(ben: Client, unbending: PlannedJob) -> None:
    page = text_of(ben.get("/today/"))
    assert "the sails came off" in page
    told = tap(ben, unbending.job, sails="damp")
    assert told["says"] == "Tern, Unbend: done; damp, on a line within 24 h: jib, mainsail"
    drying = Job.objects.get(key="dry_damp")
    assert drying.order == unbending.job.order
    assert drying.links_before.get().max_wait_min == 1440
    assert Proposal.objects.count() == PlanRun.objects.count() == 1
    assert "Damp in the bag Tern , jib : 24 h left, on a line by Fri 7 May, 10:00 , Sail store, damp" in text_of(
        ben.get("/today/")
    )
    sheet = text_of(ben.get(f"/days/{THURSDAY}/"))
    assert "Damp in the bag, on a line within 24 h:" in sheet
    assert "Tern , mainsail" in sheet


def test_each_sail_may_be_said_by_itself_and_none_is_forgotten(ben: Client, unbending: PlannedJob) -> None:
    jib, main = Item.objects.order_by("name")
    assert tap(ben, unbending.job, sails="each", **{f"sail-{jib.pk}": "dry"})["refused"]
    told = tap(ben, unbending.job, sails="each", **{f"sail-{jib.pk}": "dry", f"sail-{main.pk}": "damp"})
    assert told["says"].endswith("within 24 h: mainsail")
    assert [row.condition for row in ItemWhereabouts.objects.order_by("item__name")] == ["dry", "damp"]
    assert [thing.item for thing in Job.objects.get(key="dry_damp").things.all()] == [main]


def test_a_boat_without_sails_on_file_gets_one_so_that_the_word_is_kept(ben: Client, unbending: PlannedJob) -> None:
    Item.objects.all().delete()
    tap(ben, unbending.job, sails="damp")
    assert Item.objects.get().name == "sails"
    assert Job.objects.get(key="dry_damp").things.get().item == Item.objects.get()


def test_dry_asks_for_nothing(ben: Client, unbending: PlannedJob) -> None:
    assert tap(ben, unbending.job, sails="dry")["says"] == "Tern, Unbend: done"
    assert not Job.objects.filter(key="dry_damp").exists()
    assert not Proposal.objects.exists()


def test_closing_the_day_asks_too_and_sails_on_a_line_stay_there(
    cast: Cast, ben: Client, unbending: PlannedJob
) -> None:
    line = job(unbending.plan, "Knot", "Dry", THURSDAY, "08:00", "09:00")
    Job.objects.filter(pk=line.job_id).update(kind=kind("sail_dry"))
    page = ben.get(CLOSE).content.decode()
    assert "on the line until somebody says dry" in page
    pk = unbending.job_id
    ben.post(CLOSE, {"form_key": str(uuid4()), "x": [pk], f"h{pk}": "yes", f"s{pk}": "damp"})
    line.job.refresh_from_db()
    assert line.job.state == "started"
    assert set(ItemWhereabouts.objects.values_list("condition", flat=True)) == {"damp"}
    assert Job.objects.filter(key="dry_damp").exists()


def test_a_sails_page_has_its_years_and_its_line(ben: Client, unbending: PlannedJob) -> None:
    main = Item.objects.get(name="mainsail")
    done = Job.objects.create(
        order=unbending.job.order, kind=kind("sail_wash"), key="w", name="Wash sails", state="done",
        actual_ends_at=NOW - timedelta(days=500),
    )  # fmt: skip
    JobThing.objects.create(job=done, item=main)
    lies(main, "damp", 30)
    page = text_of(ben.get(f"/things/{main.pk}/"))
    assert "Damp in the bag: 6 h too long in the bag." in page
    assert "10.0 m of line, reckoned from its area" in page
    assert "2027 What" not in page
    assert "washed Wash sails" in page
    assert page.index("2027") < page.index("2025")
    sent = {"where": f"place:{Place.objects.get(ref='lines').pk}", "condition": "damp"}
    ben.post(f"/things/{main.pk}/", sent | {"seen": str(main.whereabouts.first().pk)})
    assert "Damp in the bag" not in text_of(ben.get(f"/things/{main.pk}/"))


@pytest.fixture
def washing(creek: YardSettings) -> Package:
    package = Package.objects.create(key="sail_wash_and_repair", name="Sail wash and repair", needs_boat=False)
    for number, key in enumerate(("sail_wash", "sail_dry", "sail_inspect", "sail_repair", "sail_store")):
        row = PackageJob.objects.create(package=package, key=key, kind=kind(key), name=key, sequence=number)
        PackageWay.objects.create(job=row, duration_min=60)
    return package


def test_washing_is_proposed_ordered_once_and_taken_back(
    cast: Cast, ben: Client, unbending: PlannedJob, washing: Package
) -> None:
    Job.objects.all().delete()
    for item in Item.objects.all():
        lies(item, "dry", 100)
    ben.force_login(cast.cy, BACKEND)
    assert "1 to be washed" in text_of(ben.get("/sails/"))
    her = Boat.objects.get(name="Tern")
    sent = {"boat": [her.pk], "back_by": "2028-03-01"}
    assert "1 order made." in text_of(ben.post("/sails/", sent))
    order = Order.objects.get(package=washing)
    assert order.latest_date is not None
    assert {thing.item.name for thing in JobThing.objects.filter(job__order=order)} == {"jib", "mainsail"}
    assert "Tern was left: its sails are in an order already" in text_of(ben.post("/sails/", sent))
    assert Order.objects.filter(package=washing).count() == 1
    ben.post("/sails/", {"act": "back", "order": [order.pk]})
    order.refresh_from_db()
    assert order.state == "cancelled"
    assert "1 to be washed" in text_of(ben.get("/sails/"))
    assert ben.post("/sails/", {"boat": [her.pk], "back_by": "2020-01-01"}).status_code == 302
    october = datetime(2027, 10, 14, 14, tzinfo=UTC)
    (later,) = order_washing([her.pk], back_by=date(2028, 3, 1), by=None, now=october).orders
    assert later.earliest_date == date(2027, 11, 15)  # winter's work, after the haul-out


def test_a_walk_ins_sail_is_proposed_unticked_and_ordered_once(cast: Cast, ben: Client, washing: Package) -> None:
    came_with = Order.objects.create(
        ref="27-W1", name="Torn sail", walk_in_name="Ola Berg", walk_in_phone="207 555 0144", bag_tag="W7", made_at=NOW
    )
    genoa = Item.objects.create(order=came_with, kind="sail", name="genoa", area_m2=18)
    lies(genoa, "dry", 30)
    ben.force_login(cast.cy, BACKEND)
    page = ben.get("/sails/")
    assert "Ola Berg walk-in, 27-W1" in text_of(page)
    assert f'name="walk_in" value="{came_with.pk}">' in page.content.decode()  # not ticked: nobody asked for it
    sent = {"walk_in": [came_with.pk], "back_by": "2028-03-01"}
    assert "1 order made." in text_of(ben.post("/sails/", sent))
    order = Order.objects.get(package=washing)
    assert (order.boat, order.walk_in_name, order.walk_in_phone, order.bag_tag) == (
        None, "Ola Berg", "207 555 0144", "W7",
    )  # fmt: skip
    assert {thing.item for thing in JobThing.objects.filter(job__order=order)} == {genoa}
    assert "Ola Berg was left: its sails are in an order already" in text_of(ben.post("/sails/", sent))
    order.jobs.filter(kind__key="sail_wash").update(state="done", actual_ends_at=NOW)
    Order.objects.filter(pk=order.pk).update(state="done")
    assert "0 to be washed" in text_of(ben.get("/sails/"))


def test_a_withdrawn_walk_in_proposes_nothing(ben: Client) -> None:
    gone = Order.objects.create(ref="27-W2", name="Sail", walk_in_name="Ines", made_at=NOW, state="cancelled")
    lies(Item.objects.create(order=gone, kind="sail", name="jib"), "dry", 30)
    assert "0 to be washed" in text_of(ben.get("/sails/"))


def test_what_is_washed_since_it_came_off_is_proposed_no_more(ben: Client, unbending: PlannedJob) -> None:
    for item in Item.objects.all():
        lies(item, "dry", 100)
    Item.objects.update(washed_on=THURSDAY)
    assert "0 to be washed" in text_of(ben.get("/sails/"))


def test_the_sails_page_asks_as_often_for_many_as_for_one(ben: Client, unbending: PlannedJob) -> None:
    def count() -> int:
        with CaptureQueriesContext(connection) as asked:
            ben.get("/sails/")
        return len(asked)

    for item in Item.objects.all():
        lies(item, "damp", 5)
    few = count()
    for name in ("Knot", "Wren", "Dunlin"):
        hull = Boat.objects.create(ref=name.lower(), name=name, length_m=7, beam_m=2)
        lies(Item.objects.create(boat=hull, kind="sail", name="jib"), "damp", 5)
    assert count() == few


def test_approved_repairs_take_the_place_that_was_kept_for_them(cast: Cast, ben: Client, unbending: PlannedJob) -> None:
    """Wash, inspect, repair, store: the list's jobs come between the inspection and the store."""
    order = unbending.job.order
    order.package = Package.objects.create(key="p", name="P")
    order.save()
    made = {}
    for number, key in enumerate(("sail_inspect", "sail_repair", "sail_store")):
        made[key] = Job.objects.create(order=order, kind=kind(key), key=key, name=key, sequence=number)
        JobWay.objects.create(job=made[key], duration_min=60)
    main = Item.objects.get(name="mainsail")
    row = begin_list(order.boat, "mainsail", found_in=order, thing=main, form_key=None, by=cast.ada, now=NOW)
    lines = [
        add_line(row, Line(words, kind("sail_repair"), 60), form_key=None, by=cast.ada, now=NOW)
        for words in ("Patch the clew", "New telltales")
    ]
    for line, said in zip(lines, ("approved", "declined"), strict=True):
        answer(line, said, said_by="", said_how="", seen_version=line.version, by=cast.ada, now=NOW)
    made["sail_repair"].refresh_from_db()
    assert made["sail_repair"].state == "open"  # one line is approved
    make_jobs(RepairList.objects.get(), seen_version=row.version, by=cast.ada, now=NOW)
    made["sail_repair"].refresh_from_db()
    assert made["sail_repair"].state == "cancelled"
    assert made["sail_repair"].state_note == "its lines are jobs of their own"
    patch = Job.objects.get(name="Patch the clew")
    assert patch.links_before.get().before == made["sail_inspect"]
    assert patch.links_after.get().after == made["sail_store"]
    assert patch.things.get().item == main
    assert not Fact.objects.exists()
