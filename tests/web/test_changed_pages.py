"""What changed since yesterday, and one boat's history: planned, moved, why, by whom, told."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from tests.conftest import Cast
from tests.web.made_creek import BACKEND, FRIDAY, MONDAY, NOW, THURSDAY, at, job, person, post, text_of
from yard.models import Boat, Event, Job, Person, Plan, PlannedJob, PlannedPerson, Proposal, Telling, YardSettings
from yard.services.happenings import Closed
from yard.services.record_event import record_event

pytestmark = pytest.mark.django_db


def moved(cast: Cast, boats: int = 1) -> Plan:
    """Plan 7 of yesterday; a gale closed Friday, and plan 8 of this morning has the masts on Monday."""
    old, ben = post(7), person("Ben")
    rows = [job(old, f"Dunlin {n}", "Step", FRIDAY, "11:00", "12:00", ben, outdoor=True) for n in range(boats)]
    Plan.objects.filter(pk=old.pk).update(
        state="superseded", posted_at=at(THURSDAY, "00:00") - timedelta(hours=9), posted_by=cast.cy
    )
    gale = Closed("outdoors", at(FRIDAY, "06:00"), at(FRIDAY, "18:00"), "gale")
    event = record_event(gale, by=cast.ada, now=at(THURSDAY, "08:00"))
    new = Plan.objects.create(
        number=8, state="posted", made_at=NOW, posted_at=at(THURSDAY, "09:00"), posted_by=cast.ada, facts_revision=0
    )
    for row in rows:
        other = PlannedJob.objects.create(
            plan=new, job=row.job, starts_at=at(MONDAY, "09:00"), ends_at=at(MONDAY, "10:00")
        )
        PlannedPerson.objects.create(planned_job=other, person=ben, name="Ben")
    Proposal.objects.create(based_on=old, posted=new, state="accepted", asked_at=NOW).events.set([event])
    return new


def test_since_yesterday_names_what_moved_why_and_by_whom(creek: YardSettings, cast: Cast, client: Client) -> None:
    moved(cast)
    client.force_login(cast.ada, BACKEND)
    text = text_of(client.get("/changed/"))
    assert "1 boat changed since Wednesday 5 May" in text
    assert "Plan 7 hung then, plan 8 hangs now." in text
    assert "Dunlin 0 Fri 7 May Mon 10 May 1 job: closed: gale" in text
    assert "Step: Fri 7 May 11:00 Mon 10 May 09:00, closed: gale" in text
    assert "Ada plan plan 8 posted all outdoor work: gale" in text


def test_what_was_finished_since_is_not_without_a_place(creek: YardSettings, cast: Cast, client: Client) -> None:
    new = moved(cast)
    row = new.planned_jobs.get()
    row.delete()
    client.force_login(cast.ada, BACKEND)
    assert "no place was found for it" in text_of(client.get("/changed/"))
    Job.objects.filter(pk=row.job_id).update(state="done", actual_ends_at=NOW)
    assert "no place was found for it" not in text_of(client.get("/changed/"))


def test_nothing_changed_is_said(creek: YardSettings, cast: Cast, client: Client) -> None:
    client.force_login(cast.dee, BACKEND)
    assert "Nothing changed since Wednesday 5 May" in text_of(client.get("/changed/"))
    assert client.get("/changed/", {"since": "x"}).status_code == 404


def test_a_boats_history_from_plan_to_plan(creek: YardSettings, cast: Cast, client: Client) -> None:
    plan = moved(cast)
    boat = Boat.objects.get()
    Telling.objects.create(
        order=boat.orders.get(),
        boat=boat,
        state="day",
        told_date=MONDAY,
        how="call",
        told_at=NOW,
        told_by=cast.cy,
        plan=plan,
    )
    client.force_login(cast.ada, BACKEND)
    text = text_of(client.get(f"/boats/{boat.pk}/past/"))
    assert "moved Step: Fri 7 May 11:00 to Mon 10 May 09:00 (plan 8) all outdoor work: gale Ada" in text
    assert "planned Step: Fri 7 May 11:00 (plan 7) Cy" in text
    assert "told provisional day Mon 10 May, told 6 May 2027" in text
    client.force_login(cast.dee, BACKEND)
    assert " told " not in text_of(client.get(f"/boats/{boat.pk}/past/"))


def test_as_many_queries_for_ten_boats_as_for_two(creek: YardSettings, cast: Cast, client: Client) -> None:
    client.force_login(cast.ada, BACKEND)
    counts = []
    for boats in (2, 10):
        moved(cast, boats)
        with CaptureQueriesContext(connection) as asked:
            client.get("/changed/")
        counts.append(len(asked))
        Proposal.objects.all().delete()
        PlannedJob.objects.all().delete()
        Plan.objects.all().delete()
        Event.objects.all().delete()
        Person.objects.all().update(archived=True)
    assert counts[0] == counts[1] <= 32
