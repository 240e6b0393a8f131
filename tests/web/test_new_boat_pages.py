"""Pages of the new boat: the sheet edited, chosen with its sums, taken once, printed, and her trip booked."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import pytest
from django.test import Client
from django.utils import translation

from tests.web.tallow_creek import signed_in
from yard.models import (
    Boat,
    OptionSheet,
    Order,
    Person,
    PersonSkill,
    Place,
    SheetChoice,
    SheetOption,
    Skill,
    Trip,
    YardSettings,
)
from yard.web.new_boat.lines import HoursField, hours_shown

AT = datetime(2027, 3, 1, 14, tzinfo=UTC)
USUAL = ["white", "by_road"]


@pytest.fixture
def sheet(packages: None, cast: Any) -> OptionSheet:
    YardSettings.objects.create(name="Tallow Creek", time_zone="UTC", clock_frozen_at=AT)
    Boat.objects.create(ref="tern", name="Tern", length_m=5.5, beam_m=2.1, draft_m=0.9)
    signed_in(cast.ada).post("/new-boats/shipped/")
    return OptionSheet.objects.get()


@pytest.fixture
def ada(cast: Any) -> Client:
    return signed_in(cast.ada)


def _chosen(ada: Client, sheet: OptionSheet, *keys: str, act: str = "take") -> Any:
    key = ada.get(f"/new-boats/{sheet.pk}/choose/").context["form"].initial["form_key"]
    sent = {"option": [*USUAL, *keys], "boat": str(Boat.objects.get(ref="tern").pk), "form_key": str(key), "act": act}
    return ada.post(f"/new-boats/{sheet.pk}/choose/", sent), sent


def test_the_shipped_sheet_comes_once_and_is_shown(ada: Client, sheet: OptionSheet) -> None:
    told = ada.post("/new-boats/shipped/", follow=True).content.decode()
    assert "All of them are on file already." in told
    page = ada.get(f"/new-boats/{sheet.pk}/").content.decode()
    assert "Furling headsail" in page
    assert "needs Bowsprit" in page
    assert "not with Trim without wood" in page


def test_sums_follow_the_ticks_and_nothing_is_saved(ada: Client, sheet: OptionSheet) -> None:
    answer, _ = _chosen(ada, sheet, "furling_jib", act="look")
    told = answer.content.decode()
    assert (answer.status_code, Order.objects.count()) == (200, 0)
    assert "30900.00" in told  # 28500 + 1650 + 750
    assert "“Furling headsail” needs “Bowsprit”: take that too" in told
    assert "Headsail furler: 1" in told


def test_what_options_come_to_is_asked_of_no_boat_but_an_order_is(ada: Client, sheet: OptionSheet) -> None:
    sent = {"option": USUAL, "act": "look"}
    page = ada.post(f"/new-boats/{sheet.pk}/choose/", sent).content.decode()
    assert "Choose the boat" not in page
    for act in ("take", "when"):
        refused = ada.post(f"/new-boats/{sheet.pk}/choose/", sent | {"act": act})
        assert (refused.status_code, "Choose the boat it is for." in refused.content.decode()) == (422, True)


def test_taken_once_and_printed(ada: Client, sheet: OptionSheet) -> None:
    answer, sent = _chosen(ada, sheet, "bowsprit", "furling_jib")
    again = ada.post(f"/new-boats/{sheet.pk}/choose/", sent)
    order = Order.objects.get()
    assert answer.headers["Location"] == again.headers["Location"] == f"/orders/{order.pk}/sheet/"
    told = ada.get(f"/orders/{order.pk}/sheet/").content.decode()
    assert "31790.00" in told
    assert "signed by the owner" in told
    assert "Her options sheet" in ada.get(f"/orders/{order.pk}/").content.decode()


def test_a_contradiction_is_refused_with_the_ticks_kept(ada: Client, sheet: OptionSheet) -> None:
    answer, _ = _chosen(ada, sheet, "teak", "no_wood")
    told = answer.content.decode()
    assert (answer.status_code, Order.objects.count()) == (422, 0)
    assert "“Varnished teak trim” cannot be with “Trim without wood”: take one of the two off." in told
    assert 'value="no_wood" checked' in told


def test_without_a_plan_no_day_is_told_and_why(ada: Client, sheet: OptionSheet) -> None:
    answer, _ = _chosen(ada, sheet, act="when")
    assert "No day can be told." in answer.content.decode()
    assert Order.objects.count() == 0


def test_chosen_otherwise_and_the_second_is_told(ada: Client, sheet: OptionSheet) -> None:
    _chosen(ada, sheet, "bowsprit")
    choice = SheetChoice.objects.get()
    sent = {"version": choice.version, "option": [*USUAL, "cover"]}
    ada.post(f"/orders/{choice.order_id}/sheet/", sent)
    assert SheetChoice.objects.get().options == ["white", "cover", "by_road"]
    answer = ada.post(f"/orders/{choice.order_id}/sheet/", sent)
    assert answer.status_code == 422
    assert "Somebody changed her options meanwhile" in answer.content.decode()


def test_an_option_is_edited_on_its_page(ada: Client, sheet: OptionSheet) -> None:
    row = SheetOption.objects.get(key="teak")
    form = ada.get(f"/new-boats/options/{row.pk}/").context["form"]
    sent = {name: form[name].value() for name in form.fields} | {"on_by_default": ""}
    assert (sent["hours"], sent["materials"], sent["excludes"]) == ("finish: 3", "Teak trim, set: 1", "no_wood")
    wrong = ada.post(f"/new-boats/options/{row.pk}/", sent | {"hours": "polish: 2"})
    assert "the package has no job “polish”" in wrong.content.decode()
    unread = ada.post(f"/new-boats/options/{row.pk}/", sent | {"materials": "Gold leaf: 1"})
    assert "“Gold leaf” is no material on file" in unread.content.decode()
    ada.post(f"/new-boats/options/{row.pk}/", sent | {"hours": "finish: 4.5", "materials": "Cover cloth, 1.5 m: 2.5 m"})
    row.refresh_from_db()
    assert (row.hours, row.materials) == (
        [{"job": "finish", "minutes": 270}],
        [{"material": "Cover cloth, 1.5 m", "quantity": 2500}],
    )


def test_a_trip_is_booked_and_refused_in_words(ada: Client, sheet: OptionSheet, ben: Client) -> None:
    _chosen(ada, sheet)
    order = Order.objects.get()
    people = []
    for name, key in (("Jo", "driver"), ("Ann", "hand")):
        person = Person.objects.create(name=name, short_name=name)
        PersonSkill.objects.create(person=person, skill=Skill.objects.get(key=key), level=2)
        people.append(str(person.pk))
    kinds = ("truck", "trailer")
    places = [str(Place.objects.create(ref=kind, name=kind.title(), kind=kind).pk) for kind in kinds]
    sent = {
        "leaves_at": "2027-05-13T08:00",
        "drive_min": "120",
        "check_in_by": "2027-05-13T09:30",
        "returns_at": "2027-05-14T15:00",
        "people": people,
        "places": places,
    }
    wrong = ada.post(f"/orders/{order.pk}/trip/", sent)
    assert "it closes at Thu 13 May, 09:30: leave 30 min earlier" in wrong.content.decode()
    assert not Trip.objects.exists()
    ada.post(f"/orders/{order.pk}/trip/", sent | {"check_in_by": "2027-05-13T10:30"})
    trip = Trip.objects.get()
    assert "Thu 13 May, 08:00" in ben.get(f"/orders/{order.pk}/trip/").content.decode()
    assert ben.post(f"/orders/{order.pk}/trip/", sent).status_code == 403
    ada.post(f"/trips/{trip.pk}/off/", {"version": trip.version, "why": "no ferry"})
    assert "no ferry" in ada.get(f"/orders/{order.pk}/trip/").content.decode()


def test_hours_are_read_as_they_are_shown_and_with_a_point():
    """German writes a comma (DIN 1333)."""
    finish = [{"job": "finish", "minutes": 450}, {"job": "rig", "minutes": -30}]
    assert hours_shown(finish) == "finish: 7.5\nrig: -0.5"
    with translation.override("de"):
        assert hours_shown(finish) == "finish: 7,5\nrig: -0,5"
        assert HoursField().clean(hours_shown(finish)) == HoursField().clean("finish: 7.5 h\nrig: -0.5") == finish
