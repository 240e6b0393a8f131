"""Trips by road and owners' runs in calendars: of whoever goes, of truck and boat, and of owners."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.test import Client

from tests.feeds import raw
from tests.feeds.feed_yard import FeedYard, at
from yard.models import OwnersRun, Place, RunWish, Trip

pytestmark = pytest.mark.django_db


@pytest.fixture
def read(make, path, reader: Client):
    """`read("person", arne)`: the events of a calendar, newly fetched."""

    def fetched(kind: str, subject=None, **wish) -> list[raw.Part]:
        body = reader.get(path(make(kind, subject, **wish))).content
        return raw.read(body).inside("VEVENT")

    return fetched


@pytest.fixture
def trip(feed_yard: FeedYard) -> Trip:
    """Wagtail leaves on Thursday 13 May at 08:00, check-in until 11:30, back at 17:00; Arne drives the truck."""
    truck = Place.objects.create(ref="truck", name="Truck", kind="truck")
    row = Trip.objects.create(
        order=feed_yard.job("Deliver").order,
        leaves_at=at(13, 8),
        drive_min=120,
        check_in_by=at(13, 11.5),
        returns_at=at(13, 17),
        permit="RP 4711",
        booked_at=feed_yard.now,
    )
    row.people.set([feed_yard.arne])
    row.places.set([truck])
    feed_yard.fact_changed()
    return row


@pytest.fixture
def run(feed_yard: FeedYard) -> OwnersRun:
    """Arne carries two to Wagtail on Friday 7 May from 14:00 to 14:30; Cy asked for it."""
    skiff = Place.objects.create(ref="skiff", name="Skiff", kind="workboat", seats=5)
    row = OwnersRun.objects.create(place=skiff, leaves_at=at(7, 14), back_at=at(7, 14.5), booked_at=feed_yard.now)
    row.people.set([feed_yard.arne])
    RunWish.objects.create(
        run=row,
        state="booked",
        boat=feed_yard.wagtail,
        owner=feed_yard.cy,
        name="Cy Holt",
        people=2,
        from_at=at(7, 14),
        until_at=at(7, 15),
        asked_at=feed_yard.now,
    )
    feed_yard.fact_changed()
    return row


def test_a_trip_stands_with_its_driver_its_truck_and_its_boat(feed_yard: FeedYard, trip: Trip, read) -> None:
    shown = [read("person", feed_yard.arne), read("place", trip.places.get()), read("boat", feed_yard.wagtail)]
    for (found,) in shown:
        assert found.text("SUMMARY") == "Trip by ferry, Wagtail"
        assert found.one("DTSTART").value.endswith("20270513T080000")
        assert found.one("DTEND").value.endswith("20270513T170000")
        words = found.text("DESCRIPTION")
        assert "Check-in closes Thu 13 May, 11:30; there at Thu 13 May, 10:00." in words
        assert "Permit RP 4711." in words
    assert [each.text("SUMMARY") for each in read("person", feed_yard.wren)] == ["Nothing is planned yet"]


def test_the_owner_reads_the_day_and_the_check_in(feed_yard: FeedYard, trip: Trip, read) -> None:
    (found,) = read("owner", feed_yard.cy)
    assert found.text("SUMMARY") == "Delivery by ferry, Wagtail"
    assert found.one("DTSTART").value == "20270513"
    words = found.text("DESCRIPTION")
    assert "She leaves the yard at Thu 13 May, 08:00. The check-in closes Thu 13 May, 11:30." in " ".join(words.split())
    assert "Arne" not in words


def test_the_check_in_is_a_deadline(feed_yard: FeedYard, trip: Trip, read) -> None:
    found = [each for each in read("yard", parts=["deadlines"]) if each.text("SUMMARY").startswith("Check-in")]
    assert [each.one("DTEND").value[-15:] for each in found] == ["20270513T113000"]


def test_a_trip_called_off_is_cancelled(feed_yard: FeedYard, trip: Trip, read) -> None:
    Trip.objects.update(called_off_at=feed_yard.now)
    feed_yard.later(hours=1)
    feed_yard.fact_changed()
    (found,) = read("person", feed_yard.arne)
    assert (found.one("STATUS").value, found.text("SUMMARY")) == ("CANCELLED", "CANCELLED: Trip by ferry, Wagtail")


def test_a_run_names_boats_and_no_owner(feed_yard: FeedYard, run: OwnersRun, read) -> None:
    for (found,) in (read("person", feed_yard.arne), read("place", run.place), read("boat", feed_yard.wagtail)):
        assert found.text("SUMMARY") == "Owners' run: Wagtail (2)"
        assert "Holt" not in found.text("DESCRIPTION")
        assert "lifejackets" in found.text("DESCRIPTION")


def test_who_asked_reads_the_hour(feed_yard: FeedYard, run: OwnersRun, read) -> None:
    (found,) = read("owner", feed_yard.cy)
    assert found.text("SUMMARY") == "Carried out to Wagtail"
    assert found.one("DTSTART").value.endswith("20270507T140000")
    assert read("owner", feed_yard.dee)[0].text("SUMMARY") == "Nothing is planned yet"


def test_a_run_that_moves_keeps_its_identity(feed_yard: FeedYard, run: OwnersRun, read) -> None:
    (before,) = read("person", feed_yard.arne)
    OwnersRun.objects.update(leaves_at=at(7, 15), back_at=at(7, 15.5))
    feed_yard.later(hours=1)
    feed_yard.fact_changed()
    (after,) = read("person", feed_yard.arne)
    assert after.one("UID").value == before.one("UID").value
    assert int(after.one("SEQUENCE").value) == int(before.one("SEQUENCE").value) + 1


def test_what_is_long_over_is_gone(feed_yard: FeedYard, run: OwnersRun, trip: Trip, read) -> None:
    feed_yard.later(days=120)
    feed_yard.fact_changed()
    assert [each.text("SUMMARY") for each in read("person", feed_yard.arne)] == ["Nothing is planned yet"]
    assert run.back_at + timedelta(days=120) > feed_yard.now - timedelta(days=1)
