"""The store plan's page and autumn's: what they say, who may press what, two people, and that queries do not grow."""

from __future__ import annotations

import re

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from tests.services.autumn_yard import NOW, AutumnYard, make_autumn, make_rack
from yard.models import (
    AutumnRules,
    Boat,
    Job,
    Place,
    Plan,
    PlannedJob,
    StackMeasure,
    StowPlan,
    Whereabouts,
    YardSettings,
)

BACKEND = "yard.web.access.RoleBackend"


@pytest.fixture
def creek(db: None) -> AutumnYard:
    made = make_autumn()
    YardSettings.objects.update(clock_frozen_at=NOW)
    return made


def client_of(user: User) -> Client:
    client = Client()
    client.force_login(user, BACKEND)
    return client


def text(client: Client, name: str, **query: str) -> str:
    shown = client.get(reverse(name), query, follow=True)
    assert shown.status_code == 200
    return re.sub(r"\s+", " ", shown.content.decode())


def press(client: Client, what: str, kind: str = "boats", **more: object) -> str:
    sent = client.post(reverse("store_plan_act", args=[kind]), {"act": what, **more}, follow=True)
    assert sent.status_code == 200
    return sent.content.decode()


def test_planned_accepted_and_taken_back(creek: AutumnYard, cast) -> None:
    ada, dee = client_of(cast.ada), client_of(cast.dee)
    assert "Nothing is planned yet" in text(dee, "store_plan")
    assert "Planned. Look at it" in press(ada, "plan")
    page = text(ada, "store_plan")
    assert "Spring needs no extra move in this order." in page
    assert "Fewer than none there cannot be." in page
    assert "It waits for a word" in page
    assert page.count('data-label="In her way" class="whole">nobody') == 3
    assert "leaves 1st" in page
    plan = StowPlan.objects.get()
    seen = {"plan": plan.pk, "version": plan.version}
    assert "Accepted: the season is planned so" in press(ada, "accept", **seen)
    assert "Somebody changed this meanwhile" in press(ada, "take_back", **seen)  # the version that was read has passed
    plan.refresh_from_db()
    assert "Taken back" in press(ada, "take_back", plan=plan.pk, version=plan.version)
    assert "What was done to it" in text(dee, "store_plan")
    assert 'name="act"' not in text(dee, "store_plan")


def test_accepted_twice_is_accepted_once(creek: AutumnYard, cast) -> None:
    ada = client_of(cast.ada)
    press(ada, "plan")
    plan = StowPlan.objects.get()
    press(ada, "accept", plan=plan.pk, version=plan.version)
    assert "waits no longer for a word" in press(ada, "accept", plan=plan.pk, version=plan.version)
    assert StowPlan.objects.filter(state="accepted").count() == 1
    assert client_of(cast.ben).post(reverse("store_plan_act", args=["boats"]), {"act": "plan"}).status_code == 403
    assert ada.post(reverse("store_plan_act", args=["sails"]), {"act": "plan"}).status_code == 404
    assert "press one of the page" in press(ada, "burn")


def test_an_old_plan_says_so_and_an_empty_yard_why(creek: AutumnYard, cast) -> None:
    ada = client_of(cast.ada)
    press(ada, "plan")
    Boat.objects.filter(name="Wren").update(length_m=8.5)
    assert "Boats, dates or limits changed since" in text(ada, "store_plan")
    assert "No rack says what it takes" in press(ada, "plan", kind="spars")
    make_rack()
    press(ada, "plan", kind="spars")
    assert "3 masts, planned" in text(ada, "spar_plan")
    Place.objects.filter(kind="store_row").update(archived=True)
    assert "no row of the store" in press(ada, "plan")


def test_hauls_that_moved_are_told_and_filled_again(creek: AutumnYard, cast) -> None:
    """Smew comes before Wren after all, and Teal last: who reads sees it, who plans fills again, with both counts."""
    ada, dee = client_of(cast.ada), client_of(cast.dee)
    press(ada, "plan")
    plan = StowPlan.objects.get()
    press(ada, "accept", plan=plan.pk, version=plan.version)
    assert "Hauls have moved since" not in text(dee, "store_plan")
    assert "No posted plan hauls a boat" in press(ada, "fill_again")
    wall = Plan.objects.create(number=4, state="posted", made_at=NOW, posted_at=NOW, facts_revision=0)
    for boat, day in enumerate((20, 22, 12)):
        at = NOW.replace(day=day, hour=14)
        PlannedJob.objects.create(plan=wall, job=creek.job(boat, "haul"), starts_at=at, ends_at=at.replace(hour=15))
    told = "Plan 4 hauls 3 boats on other days than this plan has: put in as they come, spring would need 1 extra move"
    assert f"{told} instead of 0." in text(dee, "store_plan")
    assert "Fill again" not in text(dee, "store_plan")
    press(ada, "fill_again")
    page = text(ada, "store_plan")
    assert (
        "Spring needs no extra move in this order.</b> Filled again by the hauls of plan 4; in the accepted rows,"
        in page
    )
    assert "put in as they come, it would be 1 extra move." in page
    assert "Hauls have moved since" not in page


def test_who_stands_in_the_way_is_named_with_the_moves(creek: AutumnYard, cast) -> None:
    """Only one row of the store is left, and Teal, who leaves first, must come first."""
    creek.rows[1].delete()
    Place.objects.update(capacity=3)
    first = creek.job(1, "haul").order
    first.latest_date = first.wanted_date = first.earliest_date
    first.save()
    others = [creek.orders[0], creek.orders[2]]
    for order in others:
        order.earliest_date = order.wanted_date
        order.save()
    Place.objects.create(ref="apron", name="Apron", kind="apron", capacity=2)
    ada = client_of(cast.ada)
    press(ada, "plan")
    page = text(ada, "store_plan")
    assert "Spring needs 2 extra moves in this order." in page
    assert "No way of filling it needs fewer: that is proved." in page
    assert "Extra moves in spring, in their order" in page
    assert "Teal can leave" in page


def test_rules_are_saved_and_what_is_wrong_is_said(creek: AutumnYard, cast) -> None:
    ada = client_of(cast.ada)
    sent = {
        "version": 0, "hauls_a_day": 4, "gap": "2.0", "freeze_station": "new-bedford-ma", "freeze_below_f": 32,
        "freeze_in_100": 10, "freeze_own_day": "", "freeze_binds": "on",
    }  # fmt: skip
    wrong = ada.post(reverse("autumn"), sent | {"freeze_own_day": "15 Nov"})
    assert (wrong.status_code, "15 Nov" in wrong.content.decode()) == (422, True)
    assert not AutumnRules.objects.exists()
    ada.post(reverse("autumn"), sent)
    rules = AutumnRules.objects.get()
    assert (rules.hauls_a_day, round(rules.gap_m, 4), rules.freeze_binds) == (4, 0.6096, True)
    stale = ada.post(reverse("autumn"), sent | {"hauls_a_day": 9})
    assert (stale.status_code, "Somebody changed this meanwhile" in stale.content.decode()) == (422, True)
    page = text(ada, "autumn")
    assert "Last day before it freezes: <b>Fri 22 Oct</b>; by then it has frozen in 10 in 100 autumns" in page
    assert "University of Massachusetts Extension" in page
    Job.objects.filter(key="winterise").update(finish_by_date="2027-11-20")
    assert "<b>3</b> have another last day than that" in text(ada, "autumn")
    ada.post(reverse("autumn"), {"act": "bring"})
    assert "another last day" not in text(ada, "autumn")


def test_what_a_row_takes(creek: AutumnYard, cast) -> None:
    cy, address = client_of(cast.cy), reverse("stack_measure", args=[creek.rows[0].pk])
    cy.post(address, {"version": 0, "length": "60", "headroom": ""})
    stack = StackMeasure.objects.get()
    assert stack.length_m == pytest.approx(60 * 0.3048)
    wrong = cy.post(address, {"version": stack.version, "length": "-3", "headroom": ""})
    assert (wrong.status_code, 'value="-3"' in wrong.content.decode()) == (422, True)
    assert cy.post(address, {"version": 0, "length": "61", "headroom": ""}).status_code == 422
    assert StackMeasure.objects.get().length_m == pytest.approx(60 * 0.3048)
    ramp = Place.objects.create(ref="ramp", name="Ramp", kind="ramp")
    assert cy.post(reverse("stack_measure", args=[ramp.pk]), {"version": 0}).status_code == 404


def test_queries_do_not_grow_with_boats(creek: AutumnYard, cast, django_assert_max_num_queries) -> None:
    ada = client_of(cast.ada)
    for number in range(6):
        boat = Boat.objects.create(ref=f"idle-{number}", name=f"Idle {number}", length_m=5.0, beam_m=2.0)
        Whereabouts.objects.create(
            boat=boat, kind="store_row", place=creek.rows[number % 2], position=number // 2 + 1, since=NOW
        )
    Place.objects.filter(kind="store_row").update(capacity=9)
    press(ada, "plan")
    with django_assert_max_num_queries(38):
        ada.get(reverse("store_plan"))
    with django_assert_max_num_queries(24):
        ada.get(reverse("autumn"))
