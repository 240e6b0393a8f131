"""The pages on which people, places and things are kept: typed, refused in place, two at once, away, where it is."""

from __future__ import annotations

import sys
from datetime import UTC, date, datetime, time

import pytest
from django.test import Client
from django.urls import reverse

from tests.sheets.sheet_samples import make_launch
from yard.models import (
    Boat,
    Closure,
    DatedHours,
    Item,
    Person,
    PersonSkill,
    Place,
    PlaceKind,
    Skill,
    StackMeasure,
    WeeklyHours,
    YardSettings,
)
from yard.web.days.hours import stretches
from yard.web.keeping.desk import Desk
from yard.web.keeping.wordings import WORDINGS

NOW = datetime(2027, 5, 6, 14, tzinfo=UTC)
BACKEND = "yard.web.access.RoleBackend"


def of(user) -> Client:
    client = Client()
    client.force_login(user, BACKEND)
    return client


@pytest.fixture
def cy(cast) -> Client:
    YardSettings.objects.create(name="Creek", time_zone="America/New_York", clock_frozen_at=NOW, units="feet")
    return of(cast.cy)


@pytest.fixture
def teal(cy) -> Boat:
    return Boat.objects.create(ref="teal", name="Teal", length_m=9, beam_m=3)


@pytest.fixture
def nell(cy) -> Person:
    cy.post(reverse("person_new"), {"name": "Nell Frost"})
    return Person.objects.get()


def test_a_person_by_name_alone_has_the_usual_limits(nell):
    assert (nell.short_name, nell.longest_day_min, nell.least_rest_min) == ("Nell", 600, 660)


def test_a_person_typed_in_hours_and_days(cy, nell):
    rig = Skill.objects.create(key="rig", name="Rigging")
    typed = {
        "name": "Nell Frost",
        "short_name": "Nell",
        "version": nell.version,
        "hours": "Mon-Fri 07:00-12:00, 12:30-15:30; Sat 08:00-12:00",
        "longest_day_min": "9.5",
        "least_rest_min": "11",
        "last_day": "2027-10-29",
        f"skill_{rig.pk}": "3",
        f"licence_{rig.pk}": "slinger 4711",
        f"until_{rig.pk}": "2027-04-30",
    }
    assert cy.post(reverse("person_change", args=[nell.pk]), typed).status_code == 302
    row = Person.objects.get()
    assert (row.longest_day_min, row.leaves_on, row.weekly_hours.count()) == (570, date(2027, 10, 30), 11)
    page = cy.get(reverse("person_change", args=[nell.pk])).content.decode()
    assert "ran out" in page
    assert "Mon-Fri 07:00-12:00, 12:30-15:30; Sat 08:00-12:00" in page
    assert "last day 29 Oct 2027" in page
    as_read = read_form(cy, reverse("person_change", args=[nell.pk]))
    cy.post(reverse("person_change", args=[nell.pk]), as_read)
    assert Person.objects.get().version == row.version  # saved as it was read, nothing is changed


def read_form(client: Client, address: str) -> dict[str, object]:
    """What a browser would send back unchanged."""
    form = client.get(address).context["form"]
    sent = {}
    for name in form.fields:
        value = form[name].value()
        widget = form.fields[name].widget
        if getattr(widget, "input_type", "") == "checkbox" and not getattr(widget, "allow_multiple_selected", False):
            sent |= {name: "on"} if value else {}
        elif value is not None:
            sent[name] = value
    return sent


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"name": ""}, "This field is required"),
        ({"hours": "Mon 7 to"}, "write it as Mon-Fri 07:00-15:30"),
        ({"hours": "Mon 07:10-15:30"}, "not on a quarter of an hour"),
        ({"longest_day_min": "600"}, "was it typed in minutes?"),
        ({"starts_on": "2027-06-02", "last_day": "2027-06-01"}, "The last day lies before the first"),
        ({"contractor": "on", "hours": "Mon 07:00-15:30"}, "agreed dates"),
    ],
)
def test_a_person_is_refused_in_the_trades_words(cy, nell, typed, words):
    sent = {"name": "Nell Frost", "short_name": "Nell", "version": nell.version} | typed
    answer = cy.post(reverse("person_change", args=[nell.pk]), sent)
    assert answer.status_code == 422
    assert words in answer.content.decode().replace("&#x27;", "'")
    assert Person.objects.get().version == nell.version


def test_two_at_once_see_both_values(cy, nell):
    address = reverse("person_change", args=[nell.pk])
    sent = read_form(cy, address)
    cy.post(address, sent | {"notes": "left-handed"})
    answer = cy.post(address, sent | {"notes": "afraid of heights"})
    page = answer.content.decode()
    assert answer.status_code == 409
    assert "left-handed" in page
    assert "afraid of heights" in page
    cy.post(address, sent | {"notes": "afraid of heights", "version": Person.objects.get().version})
    assert Person.objects.get().notes == "afraid of heights"


def test_only_whoever_minds_accounts_links_one(cy, cast, nell):
    address = reverse("person_change", args=[nell.pk])
    assert "Account" not in cy.get(address).content.decode()
    cy.post(address, read_form(cy, address) | {"user": cast.ben.pk})
    assert Person.objects.get().user is None
    ada = of(cast.ada)
    ada.post(address, read_form(ada, address) | {"user": cast.ben.pk})
    assert Person.objects.get().user == cast.ben
    cy.post(address, read_form(cy, address) | {"notes": "x"})  # the office's page leaves the account as it is
    assert Person.objects.get().user == cast.ben


def test_away_for_whole_days_of_the_yards_calendar_and_not_so(cy, nell):
    address = reverse("person_hours", args=[nell.pk])
    for _ in range(2):  # pressed twice
        cy.post(address, {"day": "2027-05-10", "until": "2027-05-14", "reason": "holiday", "kind": "away"})
    row = DatedHours.objects.get()
    assert row.starts_at == datetime(2027, 5, 10, 4, tzinfo=UTC)  # midnight in New York, daylight time
    assert row.ends_at == datetime(2027, 5, 15, 4, tzinfo=UTC)
    page = cy.get(reverse("person_change", args=[nell.pk])).content.decode()
    assert "Mon 10 May to Fri 14 May" in page
    refused = cy.post(address, {"day": "2027-05-10", "starts": "08:10", "reason": "x", "kind": "away"}, follow=True)
    assert "not on a quarter" in refused.content.decode()
    cy.post(reverse("person_hours_drop", args=[row.pk]))
    assert not DatedHours.objects.exists()


def test_a_place_in_feet_with_a_sector_and_shut(cy, nell):
    sent = {"name": "Ramp", "kind": "ramp", "capacity": "1", "wind_factor": "1", "outdoor": "on"}
    sent |= {"max_length_m": "36 ft", "max_displacement_kg": "6 t", "operators": [nell.pk]}
    sent |= {"sector_from_0": "45", "sector_to_0": "135", "sector_gust_0": "18"}
    assert cy.post(reverse("place_new"), sent).status_code == 302
    ramp = Place.objects.get()
    assert ramp.max_length_m == pytest.approx(36 * 0.3048, abs=1e-4)
    assert ramp.wind_limits == [{"from_deg": 45, "to_deg": 135, "gust_kn": 18}]
    assert list(ramp.operators.all()) == [nell]
    address = reverse("place_change", args=[ramp.pk])
    cy.post(address, read_form(cy, address))
    assert Place.objects.get().version == ramp.version
    assert (
        "A limit is above nothing" in cy.post(address, read_form(cy, address) | {"max_draft_m": "0"}).content.decode()
    )
    cy.post(reverse("place_shut", args=[ramp.pk]), {"day": "2027-05-10", "reason": "new rails"})
    assert Closure.objects.get().place == ramp
    listed = cy.get(reverse("places")).content.decode()
    assert "from 45 to 135°: gusts 18 kn" in listed


def test_a_workboats_running_and_a_rows_length_stand_in_the_list(cy):
    make_launch()
    row = Place.objects.create(ref="row-1", name="Row 1", kind="store_row", capacity=3)
    StackMeasure.objects.create(place=row, length_m=18.288)  # 60 ft
    words = cy.get(reverse("places") + "?as=csv").content.decode()
    assert "5 seats; runs 4 h, charged in 1 h; also from 12:15; does not tow" in words
    assert "3, 60.0 ft of row" in cy.get(reverse("places")).content.decode()


def test_a_thing_is_added_moved_and_found_in_its_place_in_two_taps(cy, cast, teal):
    rack = Place.objects.create(ref="rack", name="Sail store", kind=PlaceKind.SAIL_STORE)
    cy.post(reverse("thing_new"), {"boat": teal.pk, "kind": "sail", "name": "genoa", "bag_tag": "S-12"})
    item = Item.objects.get()
    ben = of(cast.ben)
    page = ben.get(reverse("thing", args=[item.pk])).content.decode()
    assert "Sail store" in page
    assert reverse("thing_change", args=[item.pk]) not in page  # the crew says where it is, and no more
    for _ in range(2):
        ben.post(reverse("thing", args=[item.pk]), {"where": f"place:{rack.pk}", "seen": "", "condition": "damp"})
    assert item.whereabouts.get().place == rack
    assert "Sail store, damp" in ben.get(reverse("things")).content.decode()
    later = {"boat": teal.pk, "kind": "sail", "name": "genoa", "washed_on": "2027-05-07", "version": item.version}
    assert "still to come" in cy.post(reverse("thing_change", args=[item.pk]), later).content.decode()


@pytest.mark.parametrize("name", ["person", "place", "thing"])
def test_query_counts_do_not_grow_with_the_history(cy, teal, nell, name, django_assert_max_num_queries):
    place = Place.objects.create(ref="rack", name="Rack", kind="spar_rack")
    item = Item.objects.create(boat=teal, kind="sail", name="genoa")
    row = {"person": nell, "place": place, "thing": item}[name]
    address = reverse(f"{name}_change", args=[row.pk])
    for number in range(6):
        cy.post(address, read_form(cy, address) | {"notes": f"note {number}"})
    with django_assert_max_num_queries(24):
        page = cy.get(address).content.decode()
    assert "note 4 → note 5" in page


def test_a_button_pressed_twice_adds_one(cy, teal):
    for name, model, typed in (
        ("person_new", Person, {"name": "Nell Frost"}),
        ("place_new", Place, {"name": "Berth 1", "kind": "berth", "capacity": "1", "wind_factor": "1"}),
        ("thing_new", Item, {"boat": teal.pk, "kind": "keys", "name": "keys"}),
    ):
        key = {"form_key": cy.get(reverse(name)).context["form"]["form_key"].value()}
        answers = [cy.post(reverse(name), typed | key) for _ in range(2)]
        assert [answer.status_code for answer in answers] == [302, 302]
        assert answers[0]["Location"] == answers[1]["Location"]
        assert model.objects.count() == 1
    # Somebody goes back to the same form and writes something else into it: that is another one.
    cy.post(reverse("thing_new"), {"boat": teal.pk, "kind": "keys", "name": "spare keys"} | key)
    assert Item.objects.count() == 2


def test_first_and_last_day_bound_the_hours_that_pages_show(cy, nell):
    WeeklyHours.objects.create(person=nell, weekday=3, starts=time(7), ends=time(15))  # Thursdays
    Person.objects.update(starts_on=date(2027, 5, 13), leaves_on=date(2027, 5, 21))
    row = Person.objects.get()
    assert [bool(stretches(row, date(2027, 5, day))) for day in (6, 13, 20, 27)] == [False, True, True, False]
    page = cy.get(reverse("person", args=[nell.pk])).content.decode()
    assert "First day: Thu 13 May 2027." in page
    assert "Last day: Thu 20 May 2027." in page


def test_a_licence_that_ran_out_is_told_to_the_office_alone(cy, cast, nell):
    crane = Skill.objects.create(key="crane", name="Gin pole")
    PersonSkill.objects.create(person=nell, skill=crane, licence="card 17", licence_until=date(2027, 5, 5))
    address = reverse("person", args=[nell.pk])
    assert "card 17 ran out on Wed 5 May 2027" in cy.get(address).content.decode()
    assert "card 17" not in of(cast.dee).get(address).content.decode()


def test_what_is_archived_is_found_again_and_brought_back(cy, teal, nell):
    item = Item.objects.create(boat=teal, kind="sail", name="genoa")
    place = Place.objects.create(ref="rack", name="Old rack", kind="spar_rack")
    for name, row in (("person", nell), ("thing", item), ("place", place)):
        cy.post(reverse(f"{name}_archive", args=[row.pk]), {"version": row.version, "archived": "yes"})
    assert "No longer here" in cy.get(reverse("crew")).content.decode()
    for name, words in (("things", "genoa"), ("places", "Old rack")):
        assert words not in cy.get(reverse(name)).content.decode().partition("<table")[2]
        assert words in cy.get(reverse(name), {"gone": "yes"}).content.decode()
    found = cy.get(reverse("find"), {"q": "genoa"}).content.decode()
    assert "archived" in found
    back = {"version": item.version + 1, "archived": "no"}
    cy.post(reverse("thing_archive", args=[item.pk]), back)
    assert not Item.objects.get().archived


def test_more_sectors_than_lines_are_all_kept(cy, teal):
    limits = [{"from_deg": at, "to_deg": at + 20, "gust_kn": 15} for at in range(0, 300, 50)]
    place = Place.objects.create(ref="ramp", name="Ramp", kind="ramp", outdoor=True, wind_limits=limits)
    address = reverse("place_change", args=[place.pk])
    cy.post(address, read_form(cy, address) | {"notes": "steep"})
    row = Place.objects.get()
    assert (row.notes, row.wind_limits) == ("steep", limits)


def test_query_counts_of_the_lists(cy, teal, nell, django_assert_max_num_queries):
    for number in range(12):
        Item.objects.create(boat=teal, kind="sail", name=f"sail {number}")
        Place.objects.create(ref=f"p{number}", name=f"Place {number}", kind="berth")
    for name in ("things", "places", "crew"):
        with django_assert_max_num_queries(16):
            cy.get(reverse(name))


def test_skills_are_added_once_renamed_and_put_away(cy, nell):
    key = cy.get(reverse("skills")).context["form_key"]
    pages = [cy.post(reverse("skills"), {"name": "Varnish", "form_key": key}, follow=True) for _ in range(2)]
    assert all("Varnish is on file." in page.content.decode() for page in pages)
    assert (
        "There is a skill “varnish” already."
        in cy.post(reverse("skills"), {"name": "varnish"}, follow=True).content.decode()
    )
    row = Skill.objects.get()
    cy.post(reverse("skill_change", args=[row.pk]), {"name": "Varnishing", "version": row.version})
    cy.post(reverse("skill_change", args=[row.pk]), {"name": "Stale", "version": row.version})
    assert Skill.objects.get().name == "Varnishing"
    cy.post(reverse("skill_change", args=[row.pk]), {"archived": "yes", "version": Skill.objects.get().version})
    assert Skill.objects.get().archived
    cy.get(reverse("skills"))  # which says what was done
    assert "Varnishing" not in cy.get(reverse("person_change", args=[nell.pk])).content.decode()


def test_every_desk_has_its_sentences_and_none_is_left_over(cy):
    cy.get(reverse("skills"))  # which reads all addresses, and the desks behind them
    modules = [module for name, module in list(sys.modules.items()) if name.startswith("yard.web.")]
    desks = [each for module in modules for each in vars(module).values() if isinstance(each, Desk)]
    assert {desk.one for desk in desks} == set(WORDINGS)
    for desk in desks:
        assert bool(WORDINGS[desk.one].archive) == bool(WORDINGS[desk.one].bring_back) == desk.archives, desk.one
