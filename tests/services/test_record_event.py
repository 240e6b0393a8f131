"""Every kind of event: written by one mechanism, who and when kept, and put back as it was."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from django.contrib.auth.models import User
from django.utils import timezone

from tests.conftest import Cast
from tests.web.made_creek import FRIDAY, NOW, THURSDAY, at, job, kind, launch, make_creek, person, post
from yard.models import (
    Closure,
    DatedHours,
    Event,
    Fact,
    Job,
    JobLink,
    JobWay,
    JobWork,
    Order,
    Place,
    PlannedJob,
    Whereabouts,
    YardSettings,
)
from yard.services.happenings import (
    Accepted,
    Closed,
    Done,
    EventRefused,
    FactTold,
    Failed,
    Hours,
    LiesTonight,
    NewDate,
    NewJob,
    Slipped,
    Split,
    Started,
    Stopped,
    Took,
    Urgent,
)
from yard.services.record_event import record_event, take_back, waiting_events

pytestmark = pytest.mark.django_db


@pytest.fixture
def creek(db: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[YardSettings]:
    """The yard with its made tide, on a folder of its own, in New York's time."""
    monkeypatch.chdir(tmp_path)
    with timezone.override("America/New_York"):
        yield make_creek(tmp_path)


@pytest.fixture
def row(creek: YardSettings) -> PlannedJob:
    """Dunlin's mast, planned for an hour, before a job that tunes it."""
    plan, ben = post(), person("Ben")
    row = job(plan, "Dunlin", "Step", THURSDAY, "11:00", "12:00", ben, outdoor=True)
    after = job(plan, "Dunlin", "Tune", FRIDAY, "09:00", "10:00", ben)
    for one in (row.job, after.job):
        JobWay.objects.create(job=one, duration_min=60, crew=[{"skill": "rigger", "level": 1, "count": 1}])
    JobLink.objects.create(before=row.job, after=after.job)
    return row


def everything() -> dict[str, Any]:
    """All that an event may change, without versions and histories."""
    return {
        model.__name__: sorted(
            tuple((k, v) for k, v in one.items() if k != "version") for one in model.objects.values()
        )
        for model in (Closure, DatedHours, Fact, Job, JobLink, JobWay, JobWork, Order, Whereabouts)
    }


def happenings(row: PlannedJob) -> dict[str, Any]:
    order, starts = row.job.order, at(FRIDAY, "08:00")
    fact = Fact.objects.create(kind="cloth", name="cloth", order=order, set_at=NOW)
    smith = person("Smith", weekdays=range(0))
    visit = DatedHours.objects.create(person=smith, kind="here", starts_at=starts, ends_at=starts + timedelta(hours=8))
    berth = Place.objects.create(ref="b2", name="Berth 2", kind="berth")
    lies = LiesTonight(order.boat, berth)
    suggested = Closure.objects.create(
        covers="water", starts_at=starts, ends_at=starts + timedelta(hours=2), reason="gale", made_at=NOW
    )
    return {
        "closure": Closed("outdoors", starts, starts + timedelta(hours=9), "gale"),
        "accepted": Accepted(suggested),
        "away": Hours("away", (smith,), starts, starts + timedelta(hours=8), "ill"),
        "extra": Hours("here", (smith,), starts, starts + timedelta(hours=8), "the evening tide"),
        "slip": Slipped(visit, starts + timedelta(days=3), starts + timedelta(days=3, hours=8), "his truck"),
        "started": Started(row.job, NOW),
        "longer": Took(row.job, 120, "a seized bolt"),
        "stopped": Stopped(row.job, "wind", 30, lies),
        "done": Done(row.job, NOW),
        "failed": Failed(row.job, "cracked toggle", (NewJob("new toggle", row.job.kind, 90, "toggle", FRIDAY),), lies),
        "split": Split(row.job, 30, "the light goes"),
        "fact": FactTold(fact, date(2027, 5, 20), "the sailmaker"),
        "date": NewDate(order, date(2027, 5, 21)),
        "urgent": Urgent(order, "sold, goes by road"),
    }


KINDS = [
    *("closure", "accepted", "away", "extra", "slip", "started", "longer", "stopped", "done", "failed", "split"),
    *("fact", "date", "urgent"),
]


@pytest.mark.parametrize("name", KINDS)
def test_each_is_written_with_who_and_when_and_taken_back(row: PlannedJob, cast: Cast, name: str) -> None:
    what = happenings(row)[name]
    before = everything()
    event = record_event(what, by=cast.ben, now=NOW, form_key=uuid4())
    assert (event.recorded_by, event.recorded_at) == (cast.ben, NOW)
    assert event.says
    assert everything() != before
    take_back(event, by=cast.ada, now=NOW + timedelta(hours=1))
    after = everything()
    if name == "closure":  # a closure that was made stays on file, withdrawn
        assert Closure.objects.filter(state="withdrawn").count() == 1
        before.pop("Closure"), after.pop("Closure")
    assert after == before
    event.refresh_from_db()
    assert event.withdrawn_by == cast.ada


@pytest.mark.parametrize("name", KINDS)
def test_a_form_pressed_twice_is_one_event(row: PlannedJob, name: str) -> None:
    what, key = happenings(row)[name], uuid4()
    first = record_event(what, by=None, now=NOW, form_key=key)
    assert record_event(what, by=None, now=NOW, form_key=key) == first
    assert Event.objects.count() == 1


def test_a_fault_brings_new_jobs_before_the_one_that_failed(row: PlannedJob) -> None:
    berth = Place.objects.create(ref="b2", name="Berth 2", kind="berth")
    new = (NewJob("new toggle", row.job.kind, 90, "toggle", FRIDAY), NewJob("look at the rest", row.job.kind, 30))
    lies = LiesTonight(row.job.order.boat, berth)
    event = record_event(Failed(row.job, "cracked toggle", new, lies), by=None, now=NOW)
    before = JobLink.objects.filter(after=row.job).values_list("before__name", flat=True)
    assert set(before) == {"new toggle", "look at the rest"}
    toggle = Job.objects.get(name="new toggle")
    assert [fact.expected_date for fact in toggle.facts.all()] == [FRIDAY]
    assert toggle.ways.get().crew == [{"skill": "rigger", "level": 1, "count": 1}]
    assert Whereabouts.objects.get().place == berth
    assert event.says == "Dunlin, Step: to be done again, cracked toggle; first new toggle and look at the rest"


def test_a_split_keeps_what_comes_after_after_the_rest(row: PlannedJob) -> None:
    record_event(Split(row.job, 15, "the light goes"), by=None, now=NOW)
    rest = Job.objects.get(split_of=row.job)
    assert JobLink.objects.get(before=rest).after.name == "Tune"
    assert JobLink.objects.get(after=rest).before == row.job
    assert (row.job.ways.get().duration_min, rest.ways.get().duration_min) == (15, 45)


@pytest.mark.parametrize("minutes", [0, 20, 60, 75])
def test_a_split_takes_whole_quarters_within_the_job(row: PlannedJob, minutes: int) -> None:
    with pytest.raises(EventRefused, match="whole quarters"):
        record_event(Split(row.job, minutes, "x"), by=None, now=NOW)
    assert Job.objects.count() == 2


def test_a_launch_is_one_booking(row: PlannedJob) -> None:
    tern = launch(row.plan, "Tern", THURSDAY, "09:00")
    tern.job.kind.parts = [{"name": "load", "minutes": 30, "water": False}]
    tern.job.kind.save()
    with pytest.raises(EventRefused, match="one booking"):
        record_event(Split(tern.job, 15, "x"), by=None, now=NOW)


def test_work_made_by_an_event_that_is_posted_since_is_not_taken_away(row: PlannedJob) -> None:
    event = record_event(Split(row.job, 15, "the light goes"), by=None, now=NOW)
    rest = Job.objects.get(split_of=row.job)
    PlannedJob.objects.create(plan=row.plan, job=rest, starts_at=NOW, ends_at=NOW + timedelta(hours=1))
    with pytest.raises(EventRefused, match="planned or begun since"):
        take_back(event, by=None, now=NOW)
    assert JobLink.objects.filter(before=rest).exists()  # all or nothing


def test_what_is_done_is_neither_done_again_nor_stopped(row: PlannedJob) -> None:
    record_event(Done(row.job, NOW), by=None, now=NOW)
    row.job.refresh_from_db()
    for what in (Done(row.job, NOW), Stopped(row.job, "wind"), Took(row.job, 30, "x"), Split(row.job, 15, "x")):
        with pytest.raises(EventRefused, match="done already"):
            record_event(what, by=None, now=NOW)


def test_done_before_its_planned_end_is_early(row: PlannedJob) -> None:
    event = record_event(Done(row.job, at(THURSDAY, "09:30")), by=None, now=NOW)
    assert event.says == "Dunlin, Step: done early"
    assert JobWork.objects.get().worked_min == 60


def test_what_the_crew_told_waits_for_a_proposal(row: PlannedJob) -> None:
    stopped = record_event(Stopped(row.job, "wind"), by=None, now=NOW)
    record_event(Done(Job.objects.get(name="Tune"), NOW), by=None, now=NOW)
    assert waiting_events() == [stopped]
    take_back(stopped, by=None, now=NOW)
    assert waiting_events() == []


def test_a_slip_needs_an_agreed_visit(row: PlannedJob) -> None:
    away = DatedHours.objects.create(person=person("Ann"), kind="away", starts_at=NOW, ends_at=NOW + timedelta(hours=2))
    with pytest.raises(EventRefused, match="agreed"):
        record_event(Slipped(away, NOW, NOW + timedelta(hours=1), "x"), by=None, now=NOW)


def test_the_history_says_who_and_why(row: PlannedJob) -> None:
    user = User.objects.create_user("eve")
    record_event(Took(row.job, 120, "a seized bolt"), by=user, now=NOW)
    last = row.job.history.first()
    assert (last.history_user, last.history_change_reason) == (user, "Dunlin, Step: 2 h left, a seized bolt")


def test_both_clock_changes(row: PlannedJob) -> None:
    """A closure of a whole day is 23 hours long in March and 25 in November."""
    for day, hours in ((date(2027, 3, 14), 23), (date(2027, 11, 7), 25)):
        starts, ends = at(day, "00:00"), at(day + timedelta(days=1), "00:00")
        record_event(Closed("outdoors", starts, ends, f"{day}"), by=None, now=NOW)
        shut = Closure.objects.get(reason=f"{day}")
        assert shut.ends_at - shut.starts_at == timedelta(hours=hours)


def test_a_started_job_that_stops_is_open_with_what_is_left(row: PlannedJob) -> None:
    record_event(Started(row.job, at(THURSDAY, "09:00")), by=None, now=NOW)
    record_event(Stopped(row.job, "rain", 45), by=None, now=NOW)
    row.job.refresh_from_db()
    assert (row.job.state, row.job.left_min, row.job.actual_starts_at) == ("open", 45, None)
    assert kind("step-fitted").pausing == "fitted"
