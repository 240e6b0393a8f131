"""Moorings and the parts of their tackle: kept, refused in the trade's words, and what a permit entered settles."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.contrib.auth.models import User

from tests.services.ordering import ordered
from yard.models import Boat, Fact, FactKind, Mooring, Order, TacklePart, Whereabouts, YardSettings
from yard.services.keep_mooring import MOORING, TACKLE, miles_from_yard
from yard.services.keeping import Kept, Refused, Writer, add, archive, change, put_back

pytestmark = pytest.mark.django_db
NOW = datetime(2027, 5, 6, 14, tzinfo=UTC)
TODAY = date(2027, 5, 6)


@pytest.fixture
def writer() -> Writer:
    return Writer(User.objects.create(username="cy"), NOW, TODAY)


@pytest.fixture
def wren() -> Boat:
    return Boat.objects.create(ref="wren", name="Wren", length_m=7.0, beam_m=2.3, draft_m=1.1)


def laid(writer: Writer, **values: Any) -> Mooring:
    outcome = add(MOORING, {"ref": "M-12"} | values, writer=writer)
    assert isinstance(outcome, Kept), outcome
    return outcome.row


def test_a_number_is_enough(writer):
    mooring = laid(writer)
    assert (mooring.ref, mooring.depth_m_at_datum, mooring.history.count()) == ("M-12", None, 1)


@pytest.mark.parametrize(
    ("values", "field", "words"),
    [
        ({"depth_m_at_datum": 80.0}, "depth_m_at_datum", "80 m cannot be right here: what dries is negative"),
        ({"route_shoalest_m_at_datum": -30.0}, "route_shoalest_m_at_datum", "cannot be right"),
        ({"underside_m_above_datum": -2.0}, "underside_m_above_datum", "measured up from the datum"),
        ({"chain_spread_m": 300.0}, "chain_spread_m", "check the unit"),
        ({"latitude": 40.15}, "longitude", "give the other one too"),
        ({"latitude": 40.15, "longitude": 74.7}, "latitude", "west is negative: was a minus left out?"),
        ({"latitude": 42.0, "longitude": -74.7}, "latitude", "check the figures"),
        (
            {"tackle_inspected_on": TODAY, "tackle_inspection_due_on": date(2026, 5, 1)},
            "tackle_inspection_due_on",
            "lies before the last one",
        ),
        ({"ref": ""}, "ref", "blank"),
    ],
)
def test_refused_in_the_trades_words(writer, values, field, words):
    YardSettings.objects.create(name="Creek", latitude=40.15, longitude=-74.7)
    outcome = add(MOORING, {"ref": "M-12"} | values, writer=writer)
    assert isinstance(outcome, Refused)
    assert words in " ".join(outcome.words[field])
    assert not Mooring.objects.exists()


def test_a_minute_of_latitude_is_a_nautical_mile():
    """What the mile was made to be; on the mean sphere it is 1853.2 m instead of 1852, so 10 minutes are 10.007."""
    YardSettings.objects.create(name="Creek", latitude=40.0, longitude=-74.7)
    there = Mooring(latitude=40.0 + 10 / 60, longitude=-74.7)
    assert miles_from_yard(there) == pytest.approx(10.0, abs=0.01)
    assert miles_from_yard(Mooring()) is None


def test_two_moorings_of_one_number_are_refused(writer):
    laid(writer)
    outcome = add(MOORING, {"ref": "M-12"}, writer=writer)
    assert isinstance(outcome, Refused)
    assert "already exists" in outcome.words["ref"][0]


def test_kept_while_a_boat_lies_on_it_or_an_order_goes_to_it(writer, wren):
    mooring = laid(writer)
    Whereabouts.objects.create(boat=wren, kind="mooring", mooring=mooring, since=NOW)
    lies = archive(MOORING, mooring.pk, True, seen_version=mooring.version, writer=writer)
    assert isinstance(lies, Refused)
    assert "Wren lies on it" in lies.words[""][0]
    Whereabouts.objects.create(boat=wren, kind="away", since=NOW + timedelta(hours=1))
    Order.objects.create(ref="27-001", boat=wren, name="Spring", to_mooring=mooring, made_at=NOW)
    goes = archive(MOORING, mooring.pk, True, seen_version=mooring.version, writer=writer)
    assert isinstance(goes, Refused)
    assert "give 27-001 another mooring first" in goes.words[""][0]
    Order.objects.update(state=Order.State.CANCELLED)
    assert isinstance(archive(MOORING, mooring.pk, True, seen_version=mooring.version, writer=writer), Kept)


@pytest.mark.usefixtures("packages")
def test_a_permit_that_lasts_is_waited_for_no_more(writer, wren):
    """The order is wanted by 14 and at the latest on 28 May: a permit that ends before that settles nothing."""
    ordered(wren, "spring_commissioning")
    mooring = laid(writer)
    permit = Fact.objects.get(kind=FactKind.PERMIT)
    assert permit.state != Fact.State.HERE
    soon = {"permit_boat": wren, "permit_expires_on": date(2027, 5, 20)}
    outcome = change(MOORING, mooring.pk, soon, seen_version=mooring.version, writer=writer)
    permit.refresh_from_db()
    assert permit.state != Fact.State.HERE
    assert isinstance(outcome, Kept)
    lasting = {"permit_expires_on": date(2027, 12, 31), "permit_number": "2027-114"}
    change(MOORING, mooring.pk, lasting, seen_version=outcome.row.version, writer=writer)
    permit.refresh_from_db()
    assert (permit.state, permit.here_since, permit.expected_date) == (Fact.State.HERE, TODAY, None)
    assert permit.history.first().history_change_reason == "mooring M-12: permit entered"


@pytest.mark.usefixtures("packages")
def test_another_moorings_permit_settles_nothing(writer, wren):
    order = ordered(wren, "spring_commissioning")
    Order.objects.filter(pk=order.pk).update(to_mooring=laid(writer, ref="M-14"))
    laid(writer)
    mooring = Mooring.objects.get(ref="M-12")
    change(
        MOORING,
        mooring.pk,
        {"permit_boat": wren, "permit_expires_on": date(2027, 12, 31)},
        seen_version=mooring.version,
        writer=writer,
    )
    assert Fact.objects.get(kind=FactKind.PERMIT).state != Fact.State.HERE


def test_the_permit_of_then_is_brought_back_with_its_boat(writer, wren):
    mooring = laid(writer, permit_boat=wren, permit_number="2027-114", permit_expires_on=date(2027, 12, 31))
    was = mooring.history.get().history_id
    gone = {"permit_boat": None, "permit_number": "", "permit_expires_on": None}
    outcome = change(MOORING, mooring.pk, gone, seen_version=mooring.version, writer=writer, reason="sold away")
    assert isinstance(outcome, Kept)
    back = put_back(MOORING, mooring.pk, was, seen_version=outcome.row.version, writer=writer)
    assert isinstance(back, Kept)
    mooring.refresh_from_db()
    assert (mooring.permit_boat, mooring.permit_number) == (wren, "2027-114")
    wren.delete()
    again = put_back(MOORING, mooring.pk, was, seen_version=mooring.version + 1, writer=writer)
    assert isinstance(again, Refused)
    assert "permit for of then is no longer on file" in again.words[""][0]


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"laid_on": TODAY, "inspected_on": date(2026, 5, 1)}, "inspected before it was laid"),
        ({"laid_on": TODAY, "taken_up_on": date(2026, 5, 1)}, "taken up before it was laid"),
        ({"length_m": 900.0}, "No part of a mooring is that long"),
        ({"kind": "string"}, "not a valid choice"),
    ],
)
def test_tackle_is_refused_in_the_trades_words(writer, values, words):
    mooring = laid(writer)
    outcome = add(TACKLE, {"kind": "top_chain", "size": "3/8 in"} | values, writer=writer, mooring=mooring)
    assert isinstance(outcome, Refused)
    assert words in " ".join(each for row in outcome.words.values() for each in row)
    assert not TacklePart.objects.exists()


def test_parts_keep_their_dates_and_their_history(writer):
    mooring = laid(writer)
    made = add(TACKLE, {"kind": "anchor", "size": "500 lb", "laid_on": TODAY}, writer=writer, mooring=mooring)
    assert isinstance(made, Kept)
    part = made.row
    up = change(TACKLE, part.pk, {"taken_up_on": TODAY}, seen_version=part.version, writer=writer)
    assert isinstance(up, Kept)
    assert str(part) == "anchor or block 500 lb"
    assert part.history.first().history_change_reason == "taken up changed"
    Mooring.objects.update(archived=True)
    late = add(TACKLE, {"kind": "buoy"}, writer=writer, mooring=Mooring.objects.get())
    assert isinstance(late, Refused)
