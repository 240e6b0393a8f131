"""A storm: the list by standing instruction and tide, ticked off once, the message, and taken back."""

from __future__ import annotations

from datetime import timedelta
from uuid import uuid4

import pytest
from django.test import Client

from tests.conftest import Cast
from tests.web.made_creek import BACKEND, FRIDAY, NOW, THURSDAY, at, person, post, text_of
from yard.models import (
    Boat,
    BoatOwner,
    Closure,
    Job,
    JobKind,
    LeftOut,
    Mooring,
    Order,
    Owner,
    Package,
    PackageJob,
    PackageWay,
    Place,
    Plan,
    PlannedJob,
    PlannedPerson,
    PlannedPlace,
    Proposal,
    ProposedPlan,
    Storm,
    StormLine,
    Whereabouts,
    YardSettings,
)
from yard.services.happenings import EventRefused
from yard.services.storm import Warned, order_again, take_back_storm, warn
from yard.services.taps import tick_line

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


@pytest.mark.parametrize(("covers", "floats"), [("outdoors", False), ("water", False), ("place", True)])
def test_a_tide_in_closed_hours_hauls_nobody(creek: YardSettings, covers: str, floats: bool) -> None:
    """Thursday's noon is shut, and with it the one tide in light; one place that is shut shuts no tide."""
    afloat("Auk", "haul")
    place = Place.objects.create(ref="deck", name="Deck", kind="wash_deck") if covers == "place" else None
    Closure.objects.create(
        covers=covers,
        place=place,
        starts_at=at(THURSDAY, "11:00"),
        ends_at=at(THURSDAY, "15:00"),
        reason="gale",
        state="accepted",
        made_at=NOW,
    )
    line = lines(storm())["Auk"]
    assert (line.tide_at is not None) is floats
    assert ("hours that are closed" in line.why_not) is not floats


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
    order_again(made, by=None, now=at(THURSDAY, "14:00"))
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


def yard_hauls(with_collect: bool = True) -> None:
    """A package of the yard that hauls, a boat on a mooring being collected first."""
    package = Package.objects.create(key="lay-up", name="Lay-up")
    made = [("collect", "Collect", 90, ["workboat"])] if with_collect else []
    for sequence, (key, name, minutes, places) in enumerate([*made, ("haul", "Haul", 90, ["trailer", "ramp"])]):
        kind = JobKind.objects.create(
            key=key,
            name=name,
            short_name=key,
            letter=name[0],
            trade="launch",
            outdoor=True,
            needs_light=True,
            needs_boat=True,
            water_need="ramp" if key == "haul" else "mooring",
        )
        row = PackageJob.objects.create(package=package, key=key, kind=kind, name=name, sequence=sequence)
        PackageWay.objects.create(job=row, duration_min=minutes, place_kinds=places, crew=[])


def test_hauling_is_ordered_as_work_for_those_whom_a_tide_floats(creek: YardSettings) -> None:
    yard_hauls()
    afloat("Auk", "haul")
    afloat("Brant", "haul", mooring=False)
    afloat("Coot", "haul", draft_m=None)
    afloat("Dab", "strip")
    found = lines(storm())
    assert found["Coot"].order is None
    assert found["Dab"].order is None
    auk, brant = found["Auk"].order, found["Brant"].order
    assert auk is not None
    assert brant is not None
    assert (auk.name, auk.promised_date, auk.goes_first) == ("Haul before north-easter", THURSDAY, 3)
    assert [job.key for job in auk.jobs.all()] == ["collect", "haul"]  # she is brought in first
    assert [job.key for job in brant.jobs.all()] == ["haul"]
    haul = auk.jobs.get(key="haul")
    assert (haul.finish_by_date, haul.needs_light) == (THURSDAY, True)  # it comes on Friday at six
    assert haul.ways.get().place_kinds == ["trailer", "ramp"]
    assert haul.links_before.get().before.key == "collect"


def test_night_tides_need_no_light_and_she_whom_another_order_hauls_is_ordered_once(creek: YardSettings) -> None:
    yard_hauls(with_collect=False)
    boat = afloat("Auk", "haul", draft_m=0.3)
    other = afloat("Brant", "haul", draft_m=0.3)
    order = Order.objects.create(ref="x", boat=other, name="Lay-up", made_at=NOW)
    Job.objects.create(order=order, kind=JobKind.objects.get(key="haul"), key="haul", name="Haul")
    found = lines(storm(night_tides=True))
    assert not Job.objects.get(order__boat=boat).needs_light
    assert found["Brant"].order is None


def test_what_was_not_hauled_is_withdrawn_when_it_is_over_or_taken_back(creek: YardSettings, cast: Cast) -> None:
    yard_hauls()
    afloat("Auk", "haul")
    afloat("Brant", "haul")
    made = storm()
    tick_line(lines(made)["Auk"], by=None, at=NOW, now=NOW, off=False)
    assert set(Job.objects.filter(order__boat__name="Auk").values_list("state", flat=True)) == {"done"}
    take_back_storm(made, by=cast.ada, now=NOW)
    states = {order.boat.name: order.state for order in Order.objects.select_related("boat")}
    assert states["Brant"] == "cancelled"
    assert states["Auk"] != "cancelled"


def test_a_tick_that_is_taken_off_opens_the_work_again(creek: YardSettings) -> None:
    yard_hauls()
    afloat("Auk", "haul")
    line = lines(storm())["Auk"]
    tick_line(line, by=None, at=NOW, now=NOW, off=False)
    tick_line(line, by=None, at=NOW, now=NOW, off=True)
    assert set(Job.objects.values_list("state", flat=True)) == {"open"}


def test_ordered_again_nobody_is_ordered_twice(creek: YardSettings) -> None:
    yard_hauls()
    afloat("Auk", "haul")
    made = storm()
    order_again(made, by=None, now=NOW)
    assert lines(made)["Auk"].order == Order.objects.get()


def test_the_page_says_who_hauls_her_and_how_many_have_people(creek: YardSettings, cast: Cast, client: Client) -> None:
    plan = post()
    yard_hauls(with_collect=False)
    for name in ("Auk", "Brant"):
        afloat(name, "haul")
    made = storm()
    client.force_login(cast.ada, BACKEND)
    address = f"/today/storms/{made.pk}/"
    assert "0 of 2 are booked in the plan on the wall." in text_of(client.get(address))
    ben = person("Ben")
    row = PlannedJob.objects.create(
        plan=plan,
        job=Job.objects.get(order__boat__name="Auk"),
        starts_at=at(THURSDAY, "11:15"),
        ends_at=at(THURSDAY, "12:45"),
    )
    PlannedPerson.objects.create(planned_job=row, person=ben, name="Ben")
    PlannedPlace.objects.create(planned_job=row, place=Place.objects.create(ref="t", name="Trailer", kind="trailer"))
    text = text_of(client.get(address))
    assert "Haul: Thu 6 May 11:15 to 12:45, Ben, Trailer" in text
    assert "1 of 2 are booked in the plan on the wall." in text
    proposal = Proposal.objects.create(based_on=plan, asked_at=NOW, state="ready")
    proposal.events.add(made.event)
    draft = Plan.objects.create(state="draft", made_at=NOW, facts_revision=0)
    ProposedPlan.objects.create(
        proposal=proposal,
        plan=draft,
        rank=0,
        proposed=True,
        firm_moved=0,
        boats_moved=0,
        jobs_moved=0,
        people_changed=0,
        promises_lost=0,
    )
    LeftOut.objects.create(
        plan=draft, boat=Boat.objects.get(name="Brant"), rule="hours", reason="Haul: nobody works at that hour"
    )
    text = text_of(client.get(address))
    assert "By tide, crew and trailer 1 of the 2 that are to be hauled can be in time; 1 cannot" in text
    assert "the proposal has people, ramp and trailer for 1 of them" in text
    assert "found no crew, trailer and tide for it in time" in text
    assert "Why not: Haul: nobody works at that hour" in text
    assert "We haul, as the tides allow: Auk." in text
    assert "strip her and double her pendants instead: Brant." in text
    Proposal.objects.update(state="failed")
    assert "No proposal was made for the others: order the rest again." in text_of(client.get(address))


def test_a_yard_that_hauls_nobody_says_so(creek: YardSettings, cast: Cast, client: Client) -> None:
    afloat("Auk", "haul")
    client.force_login(cast.ada, BACKEND)
    text = text_of(client.get(f"/today/storms/{storm().pk}/"))
    assert "None of them is ordered as work" in text
