"""Owners' runs on pages: a day's list, one wish answered, and where a run stands on other people's pages."""

from __future__ import annotations

from datetime import UTC, date, timedelta
from typing import Any
from uuid import uuid4
from zoneinfo import ZoneInfo

import pytest
from django.core.cache import cache
from django.urls import reverse
from django.utils import timezone

from tests.web.made_creek import FRIDAY, NOW, at, job, make_creek, person, post, text_of
from yard.models import (
    Boat,
    BoatOwner,
    HourlyForecast,
    Owner,
    OwnersRun,
    Person,
    PersonSkill,
    Place,
    PlannedPlace,
    RunWish,
    Skill,
    YardSettings,
)
from yard.services.owner_pages.addresses import open_page, token_of
from yard.services.owners_runs import RunAsked, WishAsked, ask_run, book_run

pytestmark = pytest.mark.django_db
DAY = "/runs/2027-05-07/"


@pytest.fixture
def creek(tmp_path: Any, monkeypatch: pytest.MonkeyPatch) -> Any:
    monkeypatch.chdir(tmp_path)
    with timezone.override(ZoneInfo("America/New_York")):
        yield make_creek(tmp_path)


@pytest.fixture
def jo(creek: YardSettings) -> Person:
    who = person("Jo")
    PersonSkill.objects.create(person=who, skill=Skill.objects.create(key="coxswain", name="Workboat coxswain"))
    return who


@pytest.fixture
def boat(creek: YardSettings) -> Place:
    return Place.objects.create(ref="skiff", name="Skiff", kind="workboat", seats=5, runs_min=240, charge_min=480)


def asks(client: Any, **more: Any) -> Any:
    said = {"name": "Ann Hale", "people": 2, "way": "out", "from_at": "10:00", "until_at": "11:00"}
    return client.post(DAY, said | {"form_key": str(uuid4())} | more)


def wish(people: int = 2, name: str = "Ann Hale") -> RunWish:
    said = WishAsked(name=name, people=people, way="out", from_at=at(FRIDAY, "10:00"), until_at=at(FRIDAY, "11:00"))
    return ask_run(said, by=None, now=NOW)


def run(ada: Any, boat: Place, jo: Person, of: RunWish) -> OwnersRun:
    said = RunAsked(place=boat, people=(jo,), leaves_at=at(FRIDAY, "10:00"), back_at=at(FRIDAY, "10:30"))
    return book_run(said, of, seen_version=of.version, by=ada, now=NOW)


def test_an_empty_day_says_what_is_missing(client: Any, cast: Any, creek: YardSettings) -> None:
    client.force_login(cast.dee)
    words = text_of(client.get(DAY))
    assert "no run with owners" in words
    assert "No workboat carries owners yet." in words


def test_today_leads_to_today(client: Any, cast: Any, creek: YardSettings) -> None:
    client.force_login(cast.ben)
    assert client.get("/runs/").url == "/runs/2027-05-06/"


def test_from_the_list_to_a_booked_run(client: Any, cast: Any, boat: Place, jo: Person) -> None:
    """The crew at the float: on the list, the first way taken at a press; then it stands in the day."""
    client.force_login(cast.ben)
    asked = asks(client)
    page = client.get(asked.url)
    assert "3 ways to carry them" in text_of(page)
    offer = page.context["offers"][0][0]
    sent = {
        "act": "book",
        "version": 1,
        "form_key": str(uuid4()),
        "place": boat.pk,
        "people": [jo.pk],
        "leaves_at": f"{timezone.localtime(offer.leaves_at):%H:%M}",
        "back_at": f"{timezone.localtime(offer.back_at):%H:%M}",
    }
    assert client.post(asked.url, sent).url == DAY
    words = text_of(client.get(DAY))
    assert "10:00 to 10:30 Skiff Owners: somebody (2)" in words
    assert "30 min with owners; a charge lasts 4 h" in words
    assert "Ann Hale" not in words  # the crew reads no owner's name
    client.force_login(cast.cy)
    assert "Ann Hale" in text_of(client.get(DAY))


def test_a_wrong_wish_names_the_field(client: Any, cast: Any, boat: Place) -> None:
    client.force_login(cast.ben)
    words = text_of(answer := asks(client, from_at="10:07", people=0))
    assert answer.status_code == 422
    assert "Quarter hours only" in words
    assert not RunWish.objects.exists()


def test_a_wish_of_yesterday_is_refused_in_a_sentence(client: Any, cast: Any, boat: Place) -> None:
    client.force_login(cast.ben)
    said = {"name": "Ann", "people": 1, "way": "out", "from_at": "10:00", "until_at": "11:00"}
    answer = client.post("/runs/2027-05-05/", said)
    assert (answer.status_code, "That hour has passed" in text_of(answer)) == (422, True)


def test_why_it_cannot_be_booked_stands_on_the_page(client: Any, cast: Any, boat: Place, jo: Person) -> None:
    client.force_login(cast.ben)
    one = wish()
    row = job(post(), "Wren", "Deliver", FRIDAY, "10:15", "11:00")
    PlannedPlace.objects.create(planned_job=row, place=boat, unit=1)
    sent = {"act": "book", "version": 1, "place": boat.pk, "people": [jo.pk], "leaves_at": "10:00", "back_at": "10:30"}
    for extra in ({}, {"goes_first": "on"}):  # only who plans lets a run go first
        answer = client.post(f"/runs/wishes/{one.pk}/", sent | extra)
        assert (answer.status_code, "“Deliver”, 10:15 to 11:00" in text_of(answer)) == (422, True)
    client.force_login(cast.ada)
    assert client.post(f"/runs/wishes/{one.pk}/", sent | {"goes_first": "on"}).url == DAY


def test_the_second_answer_is_told(client: Any, cast: Any, boat: Place, jo: Person) -> None:
    one = wish()
    run(cast.ada, boat, jo, one)
    client.force_login(cast.ben)
    answer = client.post(f"/runs/wishes/{one.pk}/", {"act": "decline", "why": "wind", "version": 1})
    assert (answer.status_code, "Somebody answered this meanwhile" in text_of(answer)) == (422, True)
    assert RunWish.objects.get().state == "booked"


def test_along_with_others_and_off_again(client: Any, cast: Any, boat: Place, jo: Person) -> None:
    first, second = wish(), wish(name="Bob")
    made = run(cast.ada, boat, jo, first)
    client.force_login(cast.ben)
    client.post(f"/runs/wishes/{second.pk}/", {"act": "along", "run": made.pk, "version": 1})
    assert "0 seats left" in text_of(client.get(DAY))
    client.post(f"/runs/{made.pk}/off/", {"why": "gale", "version": made.version})
    assert "no run with owners, 2 wait" in text_of(client.get(DAY))


def test_another_hour_on_its_page_and_put_back(
    client: Any, cast: Any, boat: Place, jo: Person, django_assert_num_queries: Any
) -> None:
    """What stands against it is said; a stale page changes nothing; the earlier state is put back at a press."""
    made = run(cast.ada, boat, jo, wish())
    client.force_login(cast.ben)
    address = f"/runs/{made.pk}/"
    sent = {"version": 1, "place": boat.pk, "people": [jo.pk], "leaves_at": "13:00", "back_at": "13:30"}
    answer = client.post(address, sent)
    assert (answer.status_code, "asked to leave between 10:00 and 11:00" in text_of(answer)) == (422, True)
    assert client.post(address, sent | {"agreed": "on"}).url == address
    answer = client.post(address, sent | {"leaves_at": "12:00"})
    assert (answer.status_code, "Somebody changed this meanwhile" in text_of(answer)) == (422, True)
    assert 'value="13:00"' in answer.content.decode()
    with django_assert_num_queries(14):
        page = client.get(address)
    words = text_of(page)
    assert "13:00 to 13:30: Skiff with owners" in words
    assert "Ann Hale" not in words  # the crew reads no owner's name
    past = page.context["history"][1].key
    assert client.post(address, {"act": "back", "past": past, "version": 2}).url == address
    assert "10:00 to 10:30: Skiff with owners" in text_of(client.get(address))
    assert client.post(address, {"act": "back", "past": 10**6, "version": 3}).status_code == 422


def test_a_run_stands_on_the_day_sheet_the_crew_page_and_the_phone(
    client: Any, cast: Any, boat: Place, jo: Person
) -> None:
    run(cast.ada, boat, jo, wish())
    client.force_login(cast.ben)
    assert "1 10:00 10:30 Owners carry somebody (2) Jo Skiff Lifejackets" in text_of(client.get("/days/2027-05-07/"))
    assert "10:00 to 10:30 Owners carry somebody (2) Skiff alone" in text_of(client.get(f"/crew/{jo.pk}/"))
    assert "08:00 to 10:00" in text_of(client.get("/days/2027-05-07/free/"))
    words = text_of(client.get(f"/today/?day=2027-05-07&person={jo.pk}"))
    assert "Owners to carry 10:00 to 10:30 somebody (2) Skiff" in words


def test_wind_over_the_limit_of_work_afloat_is_told_and_moves_nothing(
    client: Any, cast: Any, boat: Place, jo: Person
) -> None:
    """Work afloat bears 15 kn here (common practice); at 10:00 it blows 14, where she goes 1.2 times that, at 13:00 10.

    The boat's own limit for wind from the south is 9 kn; a forecast of last week says nothing.
    """
    Place.objects.update(outdoor=True, wind_factor=1.2)
    made = run(cast.ada, boat, jo, wish())
    blows = [
        {"start": at(FRIDAY, f"{hour}:00").astimezone(UTC).isoformat(), "wind_kn": kn}
        for hour, kn in ((10, 14.0), (13, 10.0))
    ]
    forecast = HourlyForecast.objects.create(
        provider="made",
        raw_sha256="0",
        fetched_at=NOW,
        updated_at=NOW,
        rows=[{**each, "gust_kn": each["wind_kn"], "wind_from_deg": 180.0} for each in blows],
    )
    client.force_login(cast.ben)
    words = "Forecast: wind up to 17 kn, limit 15"
    for page in (DAY, f"/runs/{made.pk}/"):
        assert words in text_of(client.get(page))
    sent = {"version": 1, "place": boat.pk, "people": [jo.pk], "leaves_at": "13:00", "back_at": "13:30"}
    client.post(f"/runs/{made.pk}/", sent | {"agreed": "on"})
    assert "Forecast:" not in text_of(client.get(DAY))
    Place.objects.update(wind_limits=[{"from_deg": 90, "to_deg": 270, "sustained_kn": 9}])
    assert "Forecast: wind up to 12 kn, limit 9" in text_of(client.get(DAY))
    assert OwnersRun.objects.get().leaves_at == at(FRIDAY, "13:00")
    HourlyForecast.objects.filter(pk=forecast.pk).update(updated_at=NOW - timedelta(days=8))
    assert "Forecast:" not in text_of(client.get(DAY))


def test_as_many_queries_for_five_runs_as_for_one(
    client: Any, cast: Any, boat: Place, jo: Person, django_assert_num_queries: Any
) -> None:
    client.force_login(cast.ada)
    Place.objects.update(seats=20, runs_min=None, charge_min=None)
    made = run(cast.ada, boat, jo, wish())
    client.get(DAY)
    counts = []
    for more in (0, 4):
        for _ in range(more):
            OwnersRun.objects.create(place=boat, leaves_at=made.back_at, back_at=at(FRIDAY, "12:00"), booked_at=NOW)
            wish()
        with django_assert_num_queries(counts[0] if counts else 31) as asked:
            client.get(DAY)
        counts.append(len(asked))
    assert counts[0] == counts[1]


def test_a_day_that_is_none(client: Any, cast: Any, creek: YardSettings) -> None:
    client.force_login(cast.dee)
    assert client.get("/runs/yesterday/").status_code == 404
    assert date(2027, 5, 7) == FRIDAY


@pytest.fixture
def ann(creek: YardSettings) -> Owner:
    """Owns Wren, and not Teal."""
    cache.clear()
    who = Owner.objects.create(name="Ann Hale", phone="555 0101")
    wren, _teal = (Boat.objects.create(ref=n.lower(), name=n, length_m=7, beam_m=2) for n in ("Wren", "Teal"))
    BoatOwner.objects.create(boat=wren, owner=who, starts_on=date(2020, 1, 1))
    return who


def own_address(ann: Owner) -> str:
    return reverse("owner_page", kwargs={"token": token_of(open_page(ann, by=None, now=NOW))})


def sent_by_owner(boat: str, **more: Any) -> dict[str, Any]:
    said = {"way": "out", "on": "2027-05-07", "from_at": "10:00", "until_at": "11:00", "people": 2}
    return said | {"kind": "run", "key": str(uuid4()), "boat": Boat.objects.get(name=boat).pk} | more


def test_a_yard_that_carries_nobody_offers_nothing(client: Any, ann: Owner) -> None:
    assert "Out to her, or back" not in client.get(own_address(ann)).content.decode()


def test_an_owner_asks_and_reads_the_answer(client: Any, cast: Any, ann: Owner, boat: Place, jo: Person) -> None:
    """Sent twice it is one wish; what is booked stands on her page, by the hour and without the crew's names."""
    address, said = own_address(ann), sent_by_owner("Wren")
    for _ in range(2):
        assert client.post(address, said).status_code == 302
    one = RunWish.objects.get()
    assert (one.owner, one.asked_by, one.name, one.people) == (ann, None, "Ann Hale", 2)
    assert "the yard has not answered yet" in client.get(address).content.decode()
    run(cast.ada, boat, jo, one)
    words = client.get(address).content.decode()
    assert "Wren, Friday 7 May: out to her at 10:00, 2 people" in words
    assert "Jo" not in words


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"on": ""}, "Say on which day."),
        ({"from_at": "10:07"}, "not on a quarter of an hour"),
        ({"on": "2027-05-05"}, "That hour has passed"),
        ({"key": "no key"}, "valid UUID"),
    ],
)
def test_a_wrong_wish_of_an_owner_is_kept_nowhere(
    client: Any, ann: Owner, boat: Place, said: dict[str, str], words: str
) -> None:
    answer = client.post(own_address(ann), sent_by_owner("Wren", **said))
    assert (answer.status_code, words in answer.content.decode()) == (422, True)
    assert not RunWish.objects.exists()


def test_nobody_asks_for_another_owners_boat(client: Any, ann: Owner, boat: Place) -> None:
    answer = client.post(own_address(ann), sent_by_owner("Teal"))
    assert (answer.status_code, "Choose one of your boats." in answer.content.decode()) == (422, True)


def test_an_owner_asks_only_so_often(client: Any, ann: Owner, boat: Place) -> None:
    for _ in range(6):
        client.post(own_address(ann), sent_by_owner("Wren"))
    assert "call the yard" in client.post(own_address(ann), sent_by_owner("Wren")).content.decode()
    assert RunWish.objects.count() == 6
