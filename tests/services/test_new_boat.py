"""The new boat: what can be chosen together, what it makes, and a trip whose date does not move."""

from __future__ import annotations

from collections.abc import Collection
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.contrib.auth.models import User

from yard.models import (
    Boat,
    Fact,
    Job,
    JobLink,
    Material,
    OptionSheet,
    Order,
    Person,
    PersonSkill,
    Pin,
    Place,
    Plan,
    PlannedJob,
    Purchase,
    SheetChoice,
    Skill,
    StaleRow,
    Stock,
    Trip,
)
from yard.services.change_order import Sender, withdraw
from yard.services.check_trips import trip_faults
from yard.services.new_boat import (
    NewBoatRefused,
    SheetInvalid,
    TripAsked,
    TripRefused,
    book_trip,
    bring_in_sheets,
    call_off,
    change_choice,
    faults_of,
    order_new_boat,
    read_sheet,
    sums_of,
)
from yard.services.new_boat.sheet_choice import faults_in_sheet
from yard.services.new_boat.sheet_values import HoursLine, MaterialLine, OptionValue, SheetFile, SheetHead
from yard.services.order_package import OrderDates, OrderRefused

NOW = datetime(2027, 3, 1, 14, tzinfo=UTC)
LEAVES = datetime(2027, 5, 13, 12, tzinfo=UTC)

# ---- a sheet, without a database


def option(key: str, **more: Any) -> OptionValue:
    return OptionValue(key=key, name=key.title(), source="a test", **more)


SHEET = SheetFile(
    sheet=SheetHead(
        key="dinghy", name="Dinghy", package="new_boat", source="a test", one_of=("Hull",), base_price=Decimal(1000)
    ),
    option=(
        option("white", group="Hull"),
        option("navy", group="Hull", price=Decimal("150.50"), hours=(HoursLine(job="finish", minutes=480),)),
        option("sprit", price=Decimal(90), hours=(HoursLine(job="finish", minutes=120),)),
        option("jib", needs=("sprit",), brings=("furler",), materials=(MaterialLine(material="Furler", quantity=1),)),
        option("teak", excludes=("bare",)),
        option("bare"),
    ),
)


def test_what_can_be_together() -> None:
    assert faults_of(SHEET, {"white", "sprit", "jib"}) == ()


@pytest.mark.parametrize(
    ("chosen", "words"),
    [
        ({"white", "teak", "bare"}, "“Teak” cannot be with “Bare”: take one of the two off."),
        ({"white", "jib"}, "“Jib” needs “Sprit”: take that too, or leave “Jib” out."),
        (set(), "Nothing is chosen for “Hull”: take one of “White” or “Navy”."),
        ({"white", "navy"}, "“White” and “Navy” are both chosen for “Hull”: keep one of them."),
        ({"white", "gold"}, "“gold” is not on the sheet “Dinghy” any more: leave it out."),
    ],
)
def test_what_cannot_names_both_and_the_remedy(chosen: Collection[str], words: str) -> None:
    assert faults_of(SHEET, chosen) == (words,)


def test_sums() -> None:
    """1000 + 150.50 + 90; 8 h and 2 h of finishing."""
    sums = sums_of(SHEET, {"navy", "sprit", "jib"})
    assert (sums.price, sums.minutes, sums.materials) == (Decimal("1240.50"), {"finish": 600}, {"Furler": 1})
    assert sums.brings == {"furler"}


@pytest.mark.parametrize(
    ("row", "words"),
    [
        (option("x", needs=("y",)), "“X”, needs: no option of this sheet has the key “y”."),
        (option("x", excludes=("x",)), "“X”, excludes: it names itself; take that out."),
        (option("x", needs=("bare",), excludes=("bare",)), "“X” both needs and excludes “Bare”: keep one."),
        (option("x", brings=("wings",)), "“X”, brings: the package has no option “wings”; it has “furler”."),
        (
            option("x", hours=(HoursLine(job="fly", minutes=15),)),
            "“X”, hours: the package has no job “fly”; it has “finish”.",
        ),
        (
            option("x", hours=(HoursLine(job="finish", minutes=20),)),
            "“X”, hours of “finish”: give whole quarters of an hour.",
        ),
        (
            option("x", materials=(MaterialLine(material="Teak", quantity=0),)),
            "“X”, materials: Teak needs a quantity above nothing.",
        ),
    ],
)
def test_a_sheet_that_cannot_be_names_the_row_and_the_remedy(row: OptionValue, words: str) -> None:
    sheet = SheetFile(sheet=SHEET.sheet, option=(*SHEET.option, row))
    assert faults_in_sheet(sheet, jobs={"finish": ""}, options=["furler"]) == (words,)


def test_a_file_that_cannot_be_read_says_where() -> None:
    head = '[sheet]\nkey="a"\nname="A"\npackage="p"\nsource="s"\n'
    with pytest.raises(SheetInvalid, match=r"dinghy.toml: .*colour"):
        read_sheet(head + '[[option]]\nkey="k"\nname="K"\nsource="s"\ncolour="red"', name="dinghy.toml")


# ---- chosen, it is work

USUAL = {"white", "by_road"}


class Yard:
    def __init__(self) -> None:
        self.ada, self.ben = (User.objects.create(username=name) for name in ("ada", "ben"))
        bring_in_sheets(by=self.ada, now=NOW)
        self.sheet = OptionSheet.objects.get()
        self.tern = Boat.objects.create(ref="tern", name="Tern", length_m=5.5, beam_m=2.1, draft_m=0.9)
        Place.objects.create(ref="truck", name="Truck", kind="truck", capacity=1)
        Place.objects.create(ref="trailer", name="Trailer", kind="trailer", capacity=1)
        self.jo, self.ann, self.tim = (
            Person.objects.create(name=name, short_name=name) for name in ("Jo", "Ann", "Tim")
        )
        for person, key in ((self.jo, "driver"), (self.ann, "hand"), (self.tim, "hand")):
            PersonSkill.objects.create(person=person, skill=Skill.objects.get(key=key), level=2)

    def choose(self, *keys: str, **more: Any) -> SheetChoice:
        given: dict[str, Any] = {"dates": OrderDates(), "by": self.ada, "now": NOW} | more
        return order_new_boat(self.tern, self.sheet, USUAL | set(keys), **given)

    def trip(self, **more: Any) -> TripAsked:
        given: dict[str, Any] = {
            "leaves_at": LEAVES,
            "drive_min": 120,
            "check_in_by": LEAVES + timedelta(minutes=150),
            "returns_at": LEAVES + timedelta(days=1, hours=6),
            "people": (self.jo, self.ann),
            "places": tuple(Place.objects.filter(kind__in=["truck", "trailer"])),
            "permit": "R-17",
        }
        return TripAsked(**given | more)


@pytest.fixture
def yard(packages: None) -> Yard:
    return Yard()


def finish_min(order: Order) -> list[int]:
    return list(order.jobs.get(key="finish").ways.order_by("sequence").values_list("duration_min", flat=True))


@pytest.mark.django_db
def test_choosing_makes_jobs_hours_and_the_buying_list(yard: Yard) -> None:
    Stock.objects.create(material=Material.objects.get(name="Headsail furler"), sheets=1)
    key = uuid4()
    choice = yard.choose("bowsprit", "furling_jib", "cover", form_key=key)
    order = choice.order
    states = dict(order.purchases.values_list("material__name", "state"))
    assert {"furler", "pattern", "cut", "sew", "fit"} <= set(order.jobs.values_list("key", flat=True))
    assert finish_min(order) == [960 + 120, 480 + 120]
    assert states == {"Headsail furler": "here", "Bowsprit with fittings": "to_order", "Cover cloth, 1.5 m": "to_order"}
    assert choice.price == Decimal("28500.00") + 890 + 1650 + 1750 + 750
    assert Fact.objects.get(order=order, kind="cloth").state == "expected"
    assert JobLink.objects.filter(before__key="fit", after__key="load", after__order=order).exists()
    assert yard.choose("bowsprit", form_key=key) == choice  # the same form sent twice
    assert Order.objects.count() == 1


@pytest.mark.django_db
def test_contradictory_options_save_nothing(yard: Yard) -> None:
    with pytest.raises(NewBoatRefused, match="“Furling headsail” needs “Bowsprit”"):
        yard.choose("furling_jib")
    with pytest.raises(NewBoatRefused, match="cannot be with “Delivered by road”"):
        yard.choose("cover", "cover_rig_up")
    assert (Order.objects.count(), Purchase.objects.count()) == (0, 0)


@pytest.mark.django_db
def test_chosen_otherwise_jobs_hours_and_list_follow(yard: Yard) -> None:
    choice = yard.choose("bowsprit", "cover")
    Purchase.objects.filter(material__name__startswith="Cover").update(
        state="ordered", ordered_on=NOW.date(), expected_date=NOW.date()
    )
    keys = USUAL - {"white"} | {"navy", "cushions"}
    stays = change_choice(choice, keys, seen_version=choice.version, by=yard.ben, now=NOW)
    order = Order.objects.get()
    assert finish_min(order) == [960 + 480, 480 + 480]
    assert order.jobs.get(key="sew").state == "cancelled"
    assert order.jobs.get(key="cushion_sew").state == "open"
    assert stays == (f"Cover cloth, 1.5 m for {order.ref} is ordered already and stays on the list",)
    assert Purchase.objects.get(material__name__startswith="Bowsprit").state == "cancelled"
    assert SheetChoice.objects.get().price == Decimal("28500.00") + 1450 + 980 + 750
    with pytest.raises(StaleRow):
        change_choice(choice, USUAL, seen_version=choice.version, by=yard.ada, now=NOW)


@pytest.mark.django_db
def test_what_is_begun_keeps_its_option(yard: Yard) -> None:
    choice = yard.choose("cover")
    Job.objects.filter(key="cut").update(state="started", actual_starts_at=NOW)
    with pytest.raises(OrderRefused, match="its option stays on"):
        change_choice(choice, USUAL, seen_version=choice.version, by=yard.ada, now=NOW)


# ---- a trip


@pytest.mark.django_db
def test_booked_until_they_are_back(yard: Yard) -> None:
    order = yard.choose().order
    key = uuid4()
    trip = book_trip(order, yard.trip(), form_key=key, by=yard.ada, now=NOW)
    assert book_trip(order, yard.trip(), form_key=key, by=yard.ada, now=NOW) == trip
    out, back = Pin.objects.order_by("starts_at")
    assert (out.job.key, out.starts_at, back.job.key, back.ends_at) == (
        "road_out",
        LEAVES,
        "road_back",
        trip.returns_at,
    )
    assert out.ends_at == back.starts_at == trip.returns_at - timedelta(minutes=180)
    for pin in (out, back):
        assert set(pin.people.all()) == {yard.jo, yard.ann}
        assert pin.places.count() == 2
    order.refresh_from_db()
    assert order.fixed_delivery_at == LEAVES


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"drive_min": 180}, "leave 30 min earlier"),
        ({"returns_at": LEAVES + timedelta(minutes=60)}, "cannot be back by"),
        ({"leaves_at": NOW - timedelta(days=1)}, "has passed"),
        ({"places": ()}, "No trailer is named"),
    ],
)
def test_a_trip_that_cannot_be_says_why(yard: Yard, wrong: dict[str, Any], words: str) -> None:
    order = yard.choose().order
    with pytest.raises(TripRefused, match=words):
        book_trip(order, yard.trip(**wrong), by=yard.ada, now=NOW)
    assert not Trip.objects.exists()


@pytest.mark.django_db
def test_who_cannot_drive_and_who_is_away_are_named(yard: Yard) -> None:
    order = yard.choose().order
    with pytest.raises(TripRefused, match="Ann, Tim cannot do it"):
        book_trip(order, yard.trip(people=(yard.ann, yard.tim)), by=yard.ada, now=NOW)
    book_trip(order, yard.trip(), by=yard.ada, now=NOW)
    other = Boat.objects.create(ref="gull", name="Gull", length_m=5.5, beam_m=2.1, draft_m=0.9)
    second = order_new_boat(other, yard.sheet, USUAL, dates=OrderDates(), by=yard.ada, now=NOW).order
    with pytest.raises(TripRefused, match=f"{order.ref} has its trip .* are away with it"):
        book_trip(second, yard.trip(), by=yard.ada, now=NOW)


@pytest.mark.django_db
def test_changed_called_off_and_the_second_is_told(yard: Yard) -> None:
    order = yard.choose().order
    trip = book_trip(order, yard.trip(), by=yard.ada, now=NOW)
    with pytest.raises(StaleRow):
        book_trip(order, yard.trip(), by=yard.ben, now=NOW)
    later = yard.trip(returns_at=LEAVES + timedelta(days=2))
    trip = book_trip(order, later, seen=trip, seen_version=trip.version, by=yard.ben, now=NOW)
    assert Pin.objects.filter(withdrawn_at=None).count() == 2
    with pytest.raises(TripRefused, match="Say why"):
        call_off(trip, why="", seen_version=trip.version, by=yard.ada, now=NOW)
    call_off(trip, why="no ferry", seen_version=trip.version, by=yard.ada, now=NOW)
    assert not Pin.objects.filter(withdrawn_at=None).exists()


@pytest.mark.django_db
def test_a_booked_trip_keeps_its_option_and_a_withdrawn_order_books_nobody(yard: Yard) -> None:
    choice = yard.choose()
    trip = book_trip(choice.order, yard.trip(), by=yard.ada, now=NOW)
    with pytest.raises(OrderRefused, match="is her booked trip: call the trip off first"):
        change_choice(choice, {"white", "fetched"}, seen_version=choice.version, by=yard.ada, now=NOW)
    order = Order.objects.get()
    withdraw(order, reason="sold", sender=Sender(yard.ada, NOW, order.version))
    other = Boat.objects.create(ref="gull", name="Gull", length_m=5.5, beam_m=2.1, draft_m=0.9)
    second = order_new_boat(other, yard.sheet, USUAL, dates=OrderDates(), by=yard.ada, now=NOW).order
    assert book_trip(second, yard.trip(), by=yard.ada, now=NOW) != trip


# ---- the check at the door: trivial, kept, broken


def planned(
    plan: Plan, job: Job, starts: datetime, minutes: int, people: Collection[Person], places: Collection[Place]
) -> PlannedJob:
    ends = starts + timedelta(minutes=minutes)
    row = PlannedJob.objects.create(plan=plan, job=job, starts_at=starts, ends_at=ends)
    for person in people:
        row.planned_people.create(person=person, name=person.short_name)
    for place in places:
        row.planned_places.create(place=place)
    return row


def kept_plan(yard: Yard) -> Plan:
    """Her trip as it is booked, and work of another order for Tim while it is out."""
    order = yard.choose().order
    trip = book_trip(order, yard.trip(), by=yard.ada, now=NOW)
    plan = Plan.objects.create(made_at=NOW, facts_revision=0)
    crew, with_what = list(trip.people.all()), list(trip.places.all())
    planned(plan, order.jobs.get(key="finish"), LEAVES - timedelta(days=2), 480, [yard.tim], [])
    planned(plan, order.jobs.get(key="road_out"), LEAVES, 180, crew, with_what)
    other = Boat.objects.create(ref="gull", name="Gull", length_m=5.5, beam_m=2.1, draft_m=0.9)
    second = order_new_boat(other, yard.sheet, USUAL, dates=OrderDates(), by=yard.ada, now=NOW).order
    planned(plan, second.jobs.get(key="finish"), LEAVES + timedelta(hours=20), 240, [yard.tim], [])
    return plan


def said(plan: Plan) -> list[str]:
    return [fault.message for fault in trip_faults(plan)]


@pytest.mark.django_db
def test_check_trivial(yard: Yard) -> None:
    """No trip is booked."""
    plan = Plan.objects.create(made_at=NOW, facts_revision=0)
    planned(plan, yard.choose().order.jobs.get(key="finish"), LEAVES, 480, [yard.jo], [])
    assert said(plan) == []


@pytest.mark.django_db
def test_check_kept_and_each_way_of_breaking_it(yard: Yard) -> None:
    plan = kept_plan(yard)
    assert said(plan) == []
    out = plan.planned_jobs.get(job__key="road_out")
    late = plan.planned_jobs.exclude(job__order=out.job.order).get()
    finish = PlannedJob.objects.filter(plan=plan, job__order=out.job.order, job__key="finish")
    # moved by a quarter
    PlannedJob.objects.filter(pk=out.pk).update(starts_at=LEAVES + timedelta(minutes=15))
    assert ["does not move" in words for words in said(plan)] == [True]
    PlannedJob.objects.filter(pk=out.pk).update(starts_at=LEAVES)
    # without its driver
    out.planned_people.get(person=yard.jo).delete()
    assert said(plan) == ["“Deliver by road or ferry” goes without Jo"]
    out.planned_people.create(person=yard.jo, name="Jo")
    # somebody of the trip at other work before they are back
    late.planned_people.create(person=yard.jo, name="Jo")
    assert said(plan) == [f"“Finish work” of {late.job.order.ref} wants Jo, away with {out.job.order.ref}"]
    late.planned_people.get(person=yard.jo).delete()
    # work on her that is not done when she leaves
    finish.update(ends_at=LEAVES + timedelta(hours=1))
    assert said(plan) == ["“Finish work” is not done when she leaves"]
    finish.update(ends_at=LEAVES)
    # late for the check-in
    Trip.objects.update(drive_min=200)
    assert said(plan) == [f"the trip of {out.job.order.ref} is 50 min late for its check-in"]
    Trip.objects.update(drive_min=120)
    # the permit comes too late
    Fact.objects.filter(order=out.job.order, kind="permit").update(expected_date=LEAVES.date() + timedelta(days=1))
    assert ["road permit and escort is expected" in words for words in said(plan)] == [True]
