"""Calendars of two boats that are one, and of a boat that is sold: who reads her jobs from then on."""

from __future__ import annotations

from datetime import date
from uuid import UUID

import pytest
from django.test import Client

from tests.feeds import raw
from tests.feeds.feed_yard import FeedYard, Placed, at
from yard.models import BoatOwner, WholeChange
from yard.services.keeping import Writer
from yard.services.whole_change.merge import Merged, Wish, merge
from yard.services.whole_change.sale import Sale, Sold, sell
from yard.services.whole_change.take_back import take_back

pytestmark = pytest.mark.django_db


@pytest.fixture
def read(reader: Client, path):
    """`read(address)`: titles and identities of what the calendar shows."""

    def titles(address) -> list[tuple[str, UUID]]:
        shown = raw.read(reader.get(path(address)).content).inside("VEVENT")
        return sorted((part.text("SUMMARY"), part.text("UID")) for part in shown)

    return titles


@pytest.fixture
def writer(feed_yard: FeedYard, planner) -> Writer:
    return Writer(planner.user, feed_yard.now, date(2027, 5, 6))


def words(shown: list[tuple[str, UUID]]) -> list[str]:
    return [title for title, _ in shown]


def test_at_the_old_address_stand_the_jobs_of_the_one_that_was_kept(feed_yard, make, read, writer):
    """The address of the boat that is put away shows what the kept one's shows; each job keeps its identity."""
    kept, gone = feed_yard.wagtail, feed_yard.kittiwake
    feed_yard.post(
        Placed(feed_yard.job("Tune", kept), at(10, 9)), Placed(feed_yard.job("Paint", gone, kind="tune"), at(11, 9))
    )
    hers, its = make("boat", kept), make("boat", gone)
    before = read(its)
    assert (words(read(hers)), words(before)) == (["Tune, Wagtail"], ["Paint, Kittiwake"])
    outcome = merge(kept, gone, Wish({}, (kept.version, gone.version)), writer=writer)
    assert isinstance(outcome, Merged)
    feed_yard.refresh()
    assert words(read(hers)) == words(read(its)) == ["Paint, Wagtail", "Tune, Wagtail"]
    assert before[0][1] in {uid for _, uid in read(its)}
    take_back(WholeChange.objects.get(), writer=writer)
    feed_yard.refresh()
    assert "Paint, Kittiwake" in words(read(its))


def test_from_the_sale_on_the_buyer_reads_her_days_and_the_seller_does_not(feed_yard, make, read, writer):
    feed_yard.post(Placed(feed_yard.job("Tune"), at(10, 9)))
    sellers, buyers = make("owner", feed_yard.cy), make("owner", feed_yard.dee)
    (her_day,) = words(read(sellers))
    assert words(read(buyers)) == ["Nothing is planned yet"]
    share = BoatOwner.objects.get(boat=feed_yard.wagtail)
    sale = Sale(
        sold_on=date(2027, 5, 6),
        sellers=frozenset({share.pk}),
        buyer=feed_yard.dee,
        calendars_end=frozenset({sellers.pk}),
    )
    outcome = sell(feed_yard.wagtail, sale, seen_version=feed_yard.wagtail.version, writer=writer)
    assert isinstance(outcome, Sold)
    feed_yard.refresh()
    assert words(read(sellers)) == ["This calendar has been withdrawn"]
    assert words(read(buyers)) == [her_day]
