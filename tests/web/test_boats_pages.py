"""The list of boats, one boat's page, and what people say there."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest
from django.test import Client
from django.urls import reverse

from yard.models import (
    Boat,
    BoatOwner,
    Fact,
    Item,
    Job,
    JobKind,
    Order,
    Owner,
    Place,
    Plan,
    PlannedJob,
    Proposal,
    Telling,
    YardSettings,
)

NOW = datetime(2027, 5, 6, 14, tzinfo=UTC)  # Thu 6 May, 10:00 in New York


@pytest.fixture
def yard(db) -> YardSettings:
    return YardSettings.objects.create(name="Creek", time_zone="America/New_York", clock_frozen_at=NOW, units="metres")


def client_of(user) -> Client:
    client = Client()
    client.force_login(user, "yard.web.access.RoleBackend")
    return client


def make(name: str, **more) -> Boat:
    """A boat with an owner, an order of one planned job, and a fact that it waits on."""
    boat = Boat.objects.create(ref=name.lower(), name=name, length_m=9, beam_m=3, **{"draft_m": 1.4} | more)
    owner = Owner.objects.create(name=f"Owner of {name}", phone=f"+1 555-{1000 + boat.pk}")
    BoatOwner.objects.create(boat=boat, owner=owner, starts_on=date(2020, 1, 1), told_first=True)
    order = Order.objects.create(
        ref=f"O-{name}", boat=boat, name="Spring", made_at=NOW, promised_date=date(2027, 5, 14)
    )
    kind, _ = JobKind.objects.get_or_create(
        key="sew", defaults={"name": "Sew", "short_name": "sew", "letter": "S", "trade": "loft"}
    )
    job = Job.objects.create(order=order, kind=kind, key="sew", name="Sew the cover")
    fact = Fact.objects.create(kind="cloth", name="cloth", order=order, set_at=NOW)
    fact.jobs.add(job)
    plan, _ = Plan.objects.get_or_create(
        state="posted", defaults={"number": 3, "made_at": NOW, "posted_at": NOW, "facts_revision": 0}
    )
    ends = datetime(2027, 5, 12, 18, tzinfo=UTC)
    PlannedJob.objects.create(plan=plan, job=job, starts_at=ends.replace(hour=14), ends_at=ends, provisional=True)
    return boat


def page(client: Client, boat: Boat) -> str:
    return client.get(reverse("boat", args=[boat.pk])).content.decode()


def test_owners_only_for_whoever_may_see_them(yard, cast):
    boat = make("Teal")
    Telling.objects.create(order=boat.orders.get(), boat=boat, state="nothing", how="call", said="soon", told_at=NOW)
    for user, sees in ((cast.ada, True), (cast.cy, True), (cast.ben, False), (cast.dee, False)):
        client = client_of(user)
        for shown in (page(client, boat), client.get(reverse("boats")).content.decode()):
            assert ("Owner of Teal" in shown) is sees
        assert ("tel:+1555" in page(client, boat)) is sees
        assert ("soon" in page(client, boat)) is sees
        found = client.get(reverse("boats") + "?find=owner").content.decode()
        assert ("Teal" in found) is sees
        sheet = client.get(reverse("boats") + "?as=csv").content.decode()
        assert ("Owner of Teal" in sheet) is sees


def test_a_telephone_number_is_found_however_it_is_spaced(yard, cast):
    boat, other = make("Teal"), make("Smew")
    found = client_of(cast.ada).get(reverse("boats"), {"find": f"(555) {1000 + boat.pk}"}).content.decode()
    assert "Teal" in found
    assert other.name not in found


def test_the_verdict_says_what_she_waits_on(yard, cast):
    shown = page(client_of(cast.dee), make("Teal"))
    assert "Waiting on cloth" in shown
    assert "needed by Wed 12 May" in shown


def test_a_fact_is_here_and_a_stale_page_overwrites_nothing(yard, cast):
    boat = make("Teal")
    fact, client = Fact.objects.get(), client_of(cast.cy)
    address = reverse("fact_said", args=[fact.pk, "here"])
    answer = client.post(address, {"version": fact.version, "since": "2027-05-04"})
    assert answer.status_code == 302
    fact.refresh_from_db()
    assert (fact.state, fact.here_since, fact.set_by) == ("here", date(2027, 5, 4), cast.cy)
    assert fact.history.count() == 3  # made, joined to its job, said
    stale = client.post(reverse("fact_said", args=[fact.pk, "unknown"]), {"version": fact.version - 1})
    assert stale.status_code == 422
    assert "changed meanwhile" in stale.content.decode()
    fact.refresh_from_db()
    assert fact.state == "here"
    assert page(client, boat).count("here since Tue 4 May") == 1


@pytest.mark.parametrize(
    ("saying", "sent", "said"),
    [
        ("here", {"since": "2027-05-07"}, "still to come"),
        ("expected", {"on": "2027-05-05", "guess": "on"}, "has passed"),
        ("expected", {"on": "2027-05-20"}, "who named this day"),
        ("expected", {"on": "soon", "guess": "on"}, "Enter a valid date"),
    ],
)
def test_what_cannot_be_said_of_a_fact_is_named_and_not_saved(yard, cast, saying, sent, said):
    make("Teal")
    fact = Fact.objects.get()
    answer = client_of(cast.cy).post(reverse("fact_said", args=[fact.pk, saying]), {"version": fact.version, **sent})
    assert answer.status_code == 422
    assert said in answer.content.decode()
    fact.refresh_from_db()
    assert (fact.state, fact.version) == ("unknown", 1)


def test_she_stands_here_in_a_row_of_the_store(yard, cast):
    row = Place.objects.create(ref="r1", name="Row 1", kind="store_row", capacity=9)
    first, second, client = make("Teal"), make("Smew"), client_of(cast.ben)
    for boat in (first, second):
        client.post(reverse("boat_lies", args=[boat.pk]), {"where": f"place:{row.pk}", "seen": ""})
    assert [boat.whereabouts.get().position for boat in (first, second)] == [1, 2]
    assert "Smew in front of her" in page(client, first)
    client.post(reverse("boat_lies", args=[first.pk]), {"where": "away", "seen": ""})  # a page from before
    assert first.whereabouts.count() == 1
    client.post(reverse("boat_lies", args=[first.pk]), {"where": "away", "seen": first.whereabouts.get().pk})
    assert first.whereabouts.count() == 2  # the clock stands still, and both rows stay


def test_in_the_way_of_one_that_leaves_first_she_asks_for_a_proposal(yard, cast):
    row = Place.objects.create(ref="r1", name="Row 1", kind="store_row", capacity=9)
    first, second, client = make("Teal"), make("Smew"), client_of(cast.ben)
    Job.objects.update(water_need="ramp")
    PlannedJob.objects.filter(job__order__boat=second).update(
        starts_at=NOW + timedelta(days=20), ends_at=NOW + timedelta(days=20, hours=1)
    )
    client.post(reverse("boat_lies", args=[first.pk]), {"where": f"place:{row.pk}", "seen": ""})
    assert not Proposal.objects.exists()  # nobody stands behind her
    for _ in range(2):  # pressed twice
        client.post(reverse("boat_lies", args=[second.pk]), {"where": f"place:{row.pk}", "seen": ""}, follow=True)
    asked = Proposal.objects.get()
    assert asked.events.get().says == "Smew stands in Row 1, in front of Teal"
    client.post(reverse("boat_lies", args=[first.pk]), {"where": "away", "seen": first.whereabouts.get().pk})
    assert Proposal.objects.count() == 1  # leaving puts nobody in the way


def test_she_leaves_before_whoever_stands_behind_her_and_nothing_is_asked(yard, cast):
    row = Place.objects.create(ref="r1", name="Row 1", kind="store_row", capacity=9)
    first, second, client = make("Teal"), make("Smew"), client_of(cast.ben)
    Job.objects.update(water_need="ramp")
    PlannedJob.objects.filter(job__order__boat=first).update(
        starts_at=NOW + timedelta(days=20), ends_at=NOW + timedelta(days=20, hours=1)
    )
    for boat in (first, second):
        client.post(reverse("boat_lies", args=[boat.pk]), {"where": f"place:{row.pk}", "seen": ""})
    assert not Proposal.objects.exists()


def test_a_thing_lies_here(yard, cast):
    boat = make("Teal")
    item = Item.objects.create(boat=boat, kind="mast", name="mast")
    client_of(cast.ben).post(reverse("thing_lies", args=[item.pk]), {"where": "aboard", "seen": ""})
    assert item.whereabouts.get().said_by == cast.ben


def test_an_unknown_draft_is_asked_for_and_written_in_the_yards_unit(yard, cast):
    YardSettings.objects.update(units="feet")
    boat, client = make("Teal", draft_m=None), client_of(cast.cy)
    assert "Her draft is not known" in page(client, boat)
    address = reverse("boat_draft", args=[boat.pk])
    refused = client.post(address, {"version": 1, "draft": "59"})  # 59 ft is 18 m
    assert (refused.status_code, "does not float here" in refused.content.decode()) == (422, True)
    client.post(address, {"version": 1, "draft": "5"})
    boat.refresh_from_db()
    assert boat.draft_m == pytest.approx(5 * 0.3048)  # the international foot


def test_a_telling_is_noted_once_and_taken_back_on_file(yard, cast):
    boat, client = make("Teal"), client_of(cast.cy)
    sent = {
        "order": boat.orders.get().pk,
        "owner": boat.owners.get().pk,
        "state": "week",
        "day": "2027-05-13",
        "how": "call",
        "at": "2027-05-06T09:30",
        "said": "as we spoke",
    }
    for _ in range(2):
        assert client.post(reverse("boat_told", args=[boat.pk]), sent).status_code == 302
    telling = Telling.objects.get()
    assert (telling.told_date, telling.told_by) == (date(2027, 5, 10), cast.cy)  # the Monday of that week
    firm = client.post(reverse("boat_told", args=[boat.pk]), {**sent, "state": "firm"})
    assert (firm.status_code, "Waiting on cloth" in firm.content.decode()) == (422, True)
    client.post(reverse("telling_taken_back", args=[telling.pk]))
    telling.refresh_from_db()
    assert (telling.taken_back_at, telling.taken_back_by) == (NOW, cast.cy)
    assert "taken back" in page(client, boat)


def test_an_empty_list_and_a_boat_without_an_order_say_so(yard, cast):
    client = client_of(cast.dee)
    assert "No boats yet" in client.get(reverse("boats")).content.decode()
    boat = Boat.objects.create(ref="x", name="Scoter", length_m=9, beam_m=3)
    assert "No open order" in page(client, boat)


@pytest.mark.parametrize(
    "sent", ["per_page=-1", "per_page=0", "page=-1", "page=" + "9" * 5000, "page=x", "all=x&page=7"]
)
def test_no_page_of_a_list_falls_over_what_an_address_asks_for(yard, cast, sent):
    make("Wren")
    assert b"Wren" in client_of(cast.ada).get(f"{reverse('boats')}?{sent}").content


def test_all_boats_on_one_page_and_by_pages_again(yard, cast):
    Boat.objects.bulk_create(Boat(ref=f"b{n}", name=f"Boat {n:03}", length_m=9, beam_m=3) for n in range(60))
    ada = client_of(cast.ada)
    first = ada.get(reverse("boats")).content.decode()
    whole = ada.get(f"{reverse('boats')}?all=1").content.decode()
    assert ("Boat 059" in first, "Boat 059" in whole) == (False, True)
    assert "Printed here: 1 to 50 of 60." in first
    assert "All on one page" in first
    assert "Printed here" not in whole
    assert "By pages again" in whole


def test_as_many_queries_for_many_boats(yard, cast, django_assert_num_queries, django_assert_max_num_queries):
    make("Teal")
    client = client_of(cast.ada)
    with django_assert_max_num_queries(14) as few:
        client.get(reverse("boats"))
    for number in range(8):
        make(f"Boat{number}")
    with django_assert_num_queries(len(few)):
        client.get(reverse("boats"))


def test_as_many_queries_for_many_jobs(yard, cast, django_assert_num_queries, django_assert_max_num_queries):
    boat, client = make("Teal"), client_of(cast.ada)
    with django_assert_max_num_queries(35) as few:
        page(client, boat)
    job = Job.objects.get()
    for number in range(6):
        more = Job.objects.create(order=job.order, kind=job.kind, key=f"sew-{number}", name=f"Sew {number}")
        Fact.objects.create(kind="other", name=f"fact {number}", order=job.order, set_at=NOW).jobs.add(more)
    with django_assert_num_queries(len(few)):
        page(client, boat)
