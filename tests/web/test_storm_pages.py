"""A storm: the list by standing instruction and tide, ticked off once, the message, and taken back."""

from __future__ import annotations

from datetime import timedelta
from uuid import uuid4

import pytest
from django.test import Client

from tests.conftest import Cast
from tests.web.made_creek import BACKEND, FRIDAY, NOW, THURSDAY, at, post, text_of
from yard.models import (
    Boat,
    BoatOwner,
    Closure,
    Mooring,
    Owner,
    Place,
    Proposal,
    Storm,
    StormLine,
    Whereabouts,
    YardSettings,
)
from yard.services.happenings import EventRefused
from yard.services.storm import Warned, order_again, take_back_storm, warn

pytestmark = pytest.mark.django_db


def afloat(name: str, todo: str, draft_m: float | None = 1.2, mooring: bool = True) -> Boat:
    boat = Boat.objects.create(ref=name.lower(), name=name, length_m=8, beam_m=2, draft_m=draft_m, in_a_storm=todo)
    if mooring:
        where = {"kind": "mooring", "mooring": Mooring.objects.create(ref=f"m-{name.lower()}")}
    else:
        where = {
            "kind": "berth",
            "place": Place.objects.create(ref=f"b-{name.lower()}", name=f"Berth {name}", kind="berth"),
        }
    Whereabouts.objects.create(boat=boat, since=NOW - timedelta(days=2), **where)
    return boat


def storm(**more: object) -> Storm:
    """Warned of at 10:00 on Thursday; the made tide is high at noon (3 m) and at midnight (2 m)."""
    values = {"name": "north-easter", "comes_at": at(FRIDAY, "06:00"), "closed_until": at(FRIDAY, "18:00")}
    return warn(Warned(**(values | more)), by=None, now=NOW)


def lines(of: Storm) -> dict[str, StormLine]:
    return {line.boat.name: line for line in of.lines.select_related("boat")}


def test_hauling_by_exposure_and_the_tides_that_are_left(creek: YardSettings) -> None:
    for name in ("Auk", "Brant", "Coot"):
        afloat(name, "haul")
    afloat("Dab", "haul", mooring=False)
    afloat("Eider", "strip")
    afloat("Fulmar", "ask")
    found = lines(storm(hauls_per_tide=3))
    noon = at(THURSDAY, "12:00")
    assert [found[name].tide_at for name in ("Auk", "Brant", "Coot")] == [noon] * 3
    assert found["Dab"].tide_at is None  # she lies at a berth, and the one tide is full
    assert "full" in found["Dab"].why_not
    assert (found["Eider"].todo, found["Eider"].why_not) == ("strip", "")


def test_a_night_tide_where_the_yard_allows_it_floats_whom_it_floats(creek: YardSettings) -> None:
    for name in ("Auk", "Brant"):
        afloat(name, "haul", draft_m=0.3)
    afloat("Coot", "haul", draft_m=1.2)
    found = lines(storm(hauls_per_tide=1, night_tides=True))
    # 2 m at midnight float a draft of 0.3 m (0.25 + 0.5 + 0.3 + 0.3 = 1.35 m) and not one of 1.2 m (2.25 m).
    assert found["Coot"].tide_at == at(THURSDAY, "12:00")
    assert sorted(found[name].tide_at is not None for name in ("Auk", "Brant")) == [False, True]


def test_an_unknown_draft_is_said(creek: YardSettings) -> None:
    afloat("Auk", "haul", draft_m=None)
    assert lines(storm())["Auk"].why_not == "her draft is unknown"


def test_she_who_stands_ashore_is_not_on_the_list(creek: YardSettings) -> None:
    boat = afloat("Auk", "haul")
    Whereabouts.objects.create(
        boat=boat, kind="apron", place=Place.objects.create(ref="a", name="Apron", kind="apron"), since=NOW
    )
    assert lines(storm()) == {}


def test_the_rest_is_ordered_again_and_what_is_done_stays(creek: YardSettings) -> None:
    afloat("Auk", "haul")
    afloat("Brant", "haul")
    made = storm()
    StormLine.objects.filter(boat__name="Auk").update(done_at=NOW)
    order_again(made, now=at(THURSDAY, "14:00"))
    found = lines(made)
    assert found["Auk"].done_at == NOW
    assert "no tide is left" in found["Brant"].why_not


def test_taken_back_opens_the_hours_again(creek: YardSettings, cast: Cast) -> None:
    made = storm()
    assert Closure.objects.get().state == "accepted"
    take_back_storm(made, by=cast.ada, now=NOW)
    assert Closure.objects.get().state == "withdrawn"
    storm(name="the next")  # another may be warned of


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"comes_at": NOW}, "to come"),
        ({"closed_until": at(THURSDAY, "23:00")}, "after the storm"),
        ({"hauls_per_tide": 0}, "1 to 20"),
    ],
)
def test_a_warning_that_cannot_be_is_refused(creek: YardSettings, more: dict[str, object], says: str) -> None:
    with pytest.raises(EventRefused, match=says):
        storm(**more)
    assert not Storm.objects.exists()


def test_only_one_at_a_time(creek: YardSettings) -> None:
    storm()
    with pytest.raises(EventRefused, match="open already"):
        storm()


def test_the_page_is_honest_and_its_message_names_everybody(creek: YardSettings, cast: Cast, client: Client) -> None:
    post()
    for name in ("Auk", "Brant"):
        boat = afloat(name, "haul")
        owner = Owner.objects.create(name=f"Owner of {name}", email=f"{name.lower()}@example.org")
        BoatOwner.objects.create(boat=boat, owner=owner, starts_on=THURSDAY)
    client.force_login(cast.ada, BACKEND)
    sent = {
        "name": "north-easter",
        "day": str(FRIDAY),
        "at": "06:00",
        "until": str(FRIDAY + timedelta(days=1)),
        "hauls_per_tide": "1",
    }
    text = text_of(client.post("/storms/", sent, follow=True))
    assert "1 of the 2 that are to be hauled can be in time; 1 cannot" in text
    assert "We haul, as the tides allow: Auk." in text
    assert "We cannot haul in time, and strip her and double her pendants instead: Brant." in text
    assert "auk@example.org; brant@example.org" in text
    assert Proposal.objects.count() == 1
    client.force_login(cast.ben, BACKEND)
    assert "auk@example.org" not in text_of(client.get(f"/today/storms/{Storm.objects.get().pk}/"))


def test_ticked_off_by_the_same_taps(creek: YardSettings, cast: Cast, client: Client) -> None:
    afloat("Auk", "double")
    line = lines(storm())["Auk"]
    client.force_login(cast.ben, BACKEND)
    sent = {"kind": "storm", "line": line.pk, "key": str(uuid4())}
    for _ in range(2):
        answer = client.post("/today/tap/", sent, headers={"accept": "application/json"})
    assert answer.json()["says"] == "Auk: done"
    line.refresh_from_db()
    assert (line.done_at, line.done_by) == (NOW, cast.ben)
    client.post("/today/tap/", {"kind": "storm", "line": line.pk, "key": str(uuid4()), "words": "off"})
    line.refresh_from_db()
    assert line.done_at is None
