"""A new yard's first page: her floating days before anything is kept, then what a first plan needs."""

from __future__ import annotations

import html
import re
from datetime import UTC, datetime
from unittest.mock import patch

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from yard.models import JobKind, Package, Person, Place, ShopHours, Skill, YardSettings
from yard.queries.first_steps import first_steps

pytestmark = pytest.mark.django_db
NOW = datetime(2027, 1, 20, 15, tzinfo=UTC)
TRENTON = {"place": "Trenton", "units": "feet", "toe": "0.2", "trailer": "1.2", "draft": "4'6\""}


@pytest.fixture
def ada(cast):
    client = Client()
    with patch.object(timezone, "now", lambda: NOW):
        client.force_login(cast.ada, "yard.web.access.RoleBackend")
        yield client


def asked(client, **more) -> str:
    return client.get(reverse("start"), TRENTON | more).content.decode()


def test_an_empty_yard_asks_for_four_things_and_leads_there(ada):
    assert "Begin here" in ada.get(reverse("season")).content.decode()
    page = ada.get(reverse("start")).content.decode()
    assert "When does she float?" in page
    assert "late" not in page.split("<main")[1].split("</main")[0]


def test_her_days_are_shown_and_nothing_is_kept(ada):
    page = asked(ada)
    assert "of 120 days" in page
    assert [month in page for month in ("January", "February", "March", "April", "May")] == [True] * 4 + [False]
    assert "she needs 6.9 ft rising and 7.4 ft falling" in page  # 0.2 + 1.2 + 4.5 + the usual margins, 1 and 1.5 ft
    assert not YardSettings.objects.exists()


def test_a_position_finds_the_station_beside_it_and_offers_the_next(ada):
    page = asked(ada, place="41.5, -71.32", units="metres", toe="-0,5", draft="1.4")
    assert "in light at Newport, RI" in page
    assert "Sachuest, RI" in page
    assert "in light at Sachuest" in asked(ada, place="41.5, -71.32", station="8451351", units="metres", draft="1.4")


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"place": "zzzqq"}, "No tide station is called that."),
        ({"place": "95, 10"}, "is no place"),
        ({"place": ""}, "This field is required."),
        ({"draft": "45"}, "check the unit"),
        ({"draft": "deep"}, "This is not a measure"),
        ({"toe": ""}, "This field is required."),
        ({"units": "fathoms"}, "not one of the available choices"),
    ],
)
def test_what_cannot_be_is_said_beside_its_field(ada, more, said):
    answer = ada.get(reverse("start"), TRENTON | more)
    assert answer.status_code == 422
    assert said in answer.content.decode()


def test_kept_as_it_was_shown_with_usual_hours_and_then_the_steps(ada):
    form = asked(ada).split('<form method="post" class="pk-form')[1].split("</form")[0]
    sent = dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)"', form))
    assert sent["station"] == "8539993"
    sent = {name: html.unescape(value) for name, value in sent.items() if name != "csrfmiddlewaretoken"}
    refused = ada.post(reverse("start"), sent)
    assert "Say what the yard is called." in refused.content.decode()
    kept = ada.post(reverse("start"), sent | {"name": "Heron Creek"}, follow=True).content.decode()
    yard = YardSettings.objects.get()
    kept_as = (yard.name, yard.tide_station, yard.time_zone, yard.units)
    assert kept_as == ("Heron Creek", "8539993", "America/New_York", "feet")
    assert (yard.ramp_toe_m_above_datum, yard.trailer_height_m) == pytest.approx((0.2 * 0.3048, 1.2 * 0.3048), abs=1e-4)
    assert yard.latitude == pytest.approx(40.19, abs=0.01)
    assert ShopHours.objects.count() == 10
    assert "What a first plan needs" in kept
    assert "When does she float?" not in kept
    again = ada.post(reverse("start"), sent | {"name": "Another"}, follow=True)
    assert (again.status_code, YardSettings.objects.get().name) == (200, "Heron Creek")


def test_usual_packages_and_places_come_once_and_leave_what_is_there(ada):
    Place.objects.create(ref="slip", name="Slipway", kind="ramp", capacity=2)
    for _ in range(2):
        assert ada.post(reverse("start_bring_in", args=["packages"])).status_code == 302
        assert ada.post(reverse("start_bring_in", args=["places"])).status_code == 302
    assert Package.objects.filter(key="spring_commissioning").count() == 1
    assert Skill.objects.exists()
    assert [(each.name, each.capacity) for each in Place.objects.filter(kind="ramp")] == [("Slipway", 2)]
    kinds = list(Place.objects.values_list("kind", flat=True))
    assert sorted(kinds) == sorted(set(kinds)), "one of each kind"
    assert ada.post(reverse("start_bring_in", args=["boats"])).status_code == 404


def test_every_place_that_a_package_asks_for_comes(ada):
    ada.post(reverse("start_bring_in", args=["packages"]))
    ada.post(reverse("start_bring_in", args=["places"]))
    asked_for = set()
    for package in Package.objects.filter(key__in=("spring_commissioning", "sail_clean", "canvas_order")):
        for job in package.jobs.all():
            for way in job.ways.all():
                asked_for |= set(way.place_kinds)
    assert asked_for
    assert asked_for <= set(Place.objects.values_list("kind", flat=True)) | {"slings", "shed", "store_row"}


def test_a_person_counts_as_working_with_a_skill_and_hours(ada):
    ben = Person.objects.create(name="Ben Ash", short_name="Ben")
    assert (first_steps().people, first_steps().working) == (1, 0)
    skill = Skill.objects.create(key="rigger", name="Rigger")
    ben.skills.create(skill=skill, level=2)
    ben.weekly_hours.create(weekday=0, starts="08:00", ends="16:00")
    assert first_steps().working == 1
    assert JobKind.objects.count() == 0
