"""What happened is written down on a page, and the proposal is read, accepted, dropped, changed and undone on one."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from tests.conftest import Cast
from yard.models import (
    Boat,
    Closure,
    DatedHours,
    Event,
    Job,
    JobKind,
    LeftOut,
    Order,
    Person,
    Plan,
    PlannedJob,
    PlannedPerson,
    PlanRun,
    Proposal,
    ProposedPlan,
    Telling,
    YardSettings,
)
from yard.queries.plan_difference import Reason
from yard.web.proposals.page import one_told_of

pytestmark = pytest.mark.django_db
NOON = datetime(2027, 5, 6, 16, tzinfo=UTC)  # 12:00 in New York


@pytest.fixture
def yard(db: None) -> YardSettings:
    return YardSettings.objects.create(name="Test Yard", time_zone="America/New_York", clock_frozen_at=NOON)


def a_plan(state: str, number: int | None, based_on: Plan | None = None) -> Plan:
    return Plan.objects.create(
        state=state,
        number=number,
        made_at=NOON,
        posted_at=NOON if number else None,
        facts_revision=0,
        late_days=0,
        unplaced=0,
        based_on=based_on,
    )


def boats(count: int) -> list[Job]:
    kind, _ = JobKind.objects.get_or_create(key="rig", defaults={"name": "Step the mast"})
    jobs = []
    for number in range(Boat.objects.count(), Boat.objects.count() + count):
        boat = Boat.objects.create(ref=f"B{number}", name=f"Boat {number}", length_m=9.0, beam_m=3.0)
        order = Order.objects.create(ref=f"R{number}", boat=boat, name="Spring", made_at=NOON)
        jobs.append(Job.objects.create(order=order, kind=kind, key="rig", name="step the mast", outdoor=True))
    return jobs


def wrote(row: Closure) -> dict[str, object]:
    return {"model": "Closure", "pk": row.pk, "before": None, "after": {}}


def ready(count: int, by: object = None) -> Proposal:
    """Each boat's mast moves from 7 May, which a gale shuts, to 8 May."""
    posted = a_plan("posted", 14)
    draft = a_plan("draft", None, based_on=posted)
    jo, _ = Person.objects.get_or_create(name="Jo", short_name="Jo")
    start = datetime(2027, 5, 7, 13, tzinfo=UTC)
    for job in boats(count):
        for plan, day in ((posted, 0), (draft, 1)):
            at = start + timedelta(days=day)
            row = PlannedJob.objects.create(plan=plan, job=job, starts_at=at, ends_at=at + timedelta(hours=1))
            PlannedPerson.objects.create(planned_job=row, person=jo, name="Jo")
    shut = Closure.objects.create(
        covers="outdoors",
        starts_at=start,
        ends_at=start + timedelta(hours=9),
        reason="gale",
        state="accepted",
        made_at=NOON,
    )
    proposal = Proposal.objects.create(based_on=posted, asked_at=NOON, state="ready", must_move=[{"boat": 1, "job": 1}])
    proposal.events.add(Event.objects.create(kind="closure", says="gale", rows=[wrote(shut)], recorded_at=NOON))
    ProposedPlan.objects.create(
        proposal=proposal,
        plan=draft,
        rank=0,
        proposed=True,
        firm_moved=0,
        boats_moved=count,
        jobs_moved=count,
        people_changed=1,
        promises_lost=0,
    )
    return proposal


def test_what_could_not_stay_is_said_before_anything_else(client: Client, cast: Cast, yard: YardSettings) -> None:
    client.force_login(cast.ada)
    proposal = ready(2)
    wren, teal = Boat.objects.order_by("pk")
    says = "Haul (Teal): waits for Haul (Wren), which is not planned (Wren stands in front of her)"
    proposal.wishes = {"keep_boats": [wren.pk, teal.pk], "leave_people": [Person.objects.get().pk]}
    proposal.not_kept = [{"boat": teal.pk, "job": 1, "rule": "waits", "says": says}]
    proposal.save()
    text = page(client, proposal)
    assert f"<li>{says}</li>" in text
    assert f"as you asked: {wren.name}, Jo." in text


def page(client: Client, proposal: Proposal) -> str:
    return client.get(reverse("proposal", args=[proposal.pk])).content.decode()


def test_the_verdict_is_the_heading_and_every_row_has_its_reason(
    client: Client, cast: Cast, yard: YardSettings
) -> None:
    client.force_login(cast.ada)
    text = page(client, ready(2))
    assert "With Friday 7 May closed (gale), 2 boats move to another day and no promised date is lost" in text
    assert text.count("closed: gale") == 4  # by boat, and in the table of jobs
    assert "<s>Fri 7 May</s>" in text
    assert "Sat 8 May" in text
    assert "1 must move in any plan" in text
    assert "Accept and post" in text


def test_what_was_closed_after_a_plan_was_made_is_no_reason_in_it(
    client: Client, cast: Cast, yard: YardSettings
) -> None:
    client.force_login(cast.ada)
    proposal = ready(1)
    Closure.objects.update(decided_at=NOON)
    assert "closed: gale" in page(client, proposal)
    Closure.objects.update(decided_at=NOON + timedelta(hours=1))
    assert "closed: gale" not in page(client, proposal)


def test_days_in_hand_stand_beside_the_day_before_and_after(client: Client, cast: Cast, yard: YardSettings) -> None:
    """Promised by Saturday 8 May: done on Friday a day is in hand, done on Saturday none is."""
    client.force_login(cast.ada)
    proposal = ready(2)
    Order.objects.filter(ref="R0").update(promised_date=date(2027, 5, 8))
    text = page(client, proposal)
    assert text.count("1 day in hand, then no day in hand") == 1  # the other order has no date
    Order.objects.filter(ref="R0").update(promised_date=date(2027, 5, 6))
    assert "1 day late, then 2 days late" in page(client, proposal)


def test_what_was_told_of_an_order_that_stays_is_no_news(client: Client, cast: Cast, yard: YardSettings) -> None:
    client.force_login(cast.ada)
    proposal = ready(1)
    boat = Boat.objects.get()
    cushions = Order.objects.create(ref="C", boat=boat, name="Cushions", made_at=NOON)
    row = {"how": "call", "told_at": NOON, "told_by": cast.ada, "told_date": date(2027, 4, 5)}
    Telling.objects.create(order=cushions, state="done", **row)
    assert "Mon 5 Apr" not in page(client, proposal)
    Telling.objects.create(order=Order.objects.get(ref="R0"), state="firm", **row)
    assert "firm Mon 5 Apr" in page(client, proposal)


def test_a_closure_that_leaves_no_day_says_what_cannot_be_kept_and_which_rule_stops_it(
    client: Client, cast: Cast, yard: YardSettings
) -> None:
    client.force_login(cast.ada)
    proposal = ready(2)
    draft = proposal.choices.get().plan
    draft.planned_jobs.all().delete()
    Plan.objects.filter(pk=draft.pk).update(unplaced=2)
    for boat in Boat.objects.all():
        reason = "Step the mast: no hours outdoors are left before its last day"
        LeftOut.objects.create(plan=draft, boat=boat, rule="windows", reason=reason)
    text = page(client, proposal)
    assert "and 2 cannot be planned any more" in text
    assert text.count("no hours outdoors are left before its last day") == 4  # by boat, and in the table of jobs
    assert text.count('<b class="late">no place</b>') == 2
    assert text.count('<b class="late">no day</b>') == 2


def test_a_viewer_reads_and_decides_nothing(client: Client, cast: Cast, yard: YardSettings) -> None:
    client.force_login(cast.dee)
    text = page(client, ready(1))
    assert "Accept and post" not in text
    assert "Ask again" not in text


def test_as_many_queries_for_ten_boats_as_for_two(client: Client, cast: Cast, yard: YardSettings) -> None:
    client.force_login(cast.ada)
    two = ready(2)
    with CaptureQueriesContext(connection) as few:
        page(client, two)
    Plan.objects.all().update(state="withdrawn")
    Closure.objects.all().delete()
    Plan.objects.all().update(number=None)
    ten = ready(10)
    with CaptureQueriesContext(connection) as many:
        page(client, ten)
    assert len(few) == len(many) <= 34


def test_a_proposal_is_stale_once_another_plan_hangs_there(client: Client, cast: Cast, yard: YardSettings) -> None:
    client.force_login(cast.ada)
    proposal = ready(1)
    Plan.objects.filter(pk=proposal.based_on.pk).update(state="superseded")
    newer = a_plan("posted", 15)
    newer.posted_by = cast.cy
    newer.save()
    text = page(client, proposal)
    assert "Plan 15 was posted by Cy since: make it again." in text
    assert "Accept and post" not in text
    told = client.post(reverse("proposal_accept", args=[proposal.pk]), {"choice": 0}, follow=True).content.decode()
    assert "make it again" in told
    newer.refresh_from_db()
    assert newer.state == "posted"


def test_dropped_it_says_so_and_the_plan_stays(client: Client, cast: Cast, yard: YardSettings) -> None:
    client.force_login(cast.ada)
    proposal = ready(1)
    told = client.post(reverse("proposal_drop", args=[proposal.pk]), follow=True).content.decode()
    assert "Dropped" in told
    again = client.post(reverse("proposal_drop", args=[proposal.pk]), follow=True).content.decode()
    assert "nothing was changed" in again
    proposal.based_on.refresh_from_db()
    assert proposal.based_on.state == "posted"


def closing(**said: object) -> dict[str, object]:
    given = {"day": "2027-05-07", "starts": "06:00", "ends": "18:00", "covers": "outdoors", "reason": "gale"} | said
    return {"form": "close", **{f"close-{name}": value for name, value in given.items()}}


def test_a_day_is_closed_and_a_proposal_is_asked_for(client: Client, cast: Cast, yard: YardSettings) -> None:
    client.force_login(cast.ada)
    a_plan("posted", 14)
    answer = client.post(reverse("proposal_new"), closing())
    proposal = Proposal.objects.get()
    assert answer.headers["Location"] == reverse("proposal", args=[proposal.pk])
    row = Closure.objects.get()
    assert (row.starts_at, row.ends_at) == (datetime(2027, 5, 7, 10, tzinfo=UTC), datetime(2027, 5, 7, 22, tzinfo=UTC))
    assert (row.state, row.decided_by, proposal.asked_by) == ("accepted", cast.ada, cast.ada)
    assert "Making a proposal" in page(client, proposal)


@pytest.mark.parametrize(
    ("day", "hours"),
    [
        (date(2027, 3, 14), 11),  # New York, the clocks skip 02:00 to 03:00: 00:00 EST to 12:00 EDT
        (date(2027, 11, 7), 13),  # the hour from 01:00 comes twice: 00:00 EDT to 12:00 EST
    ],
)
def test_a_closure_over_a_clock_change_has_its_real_hours(
    client: Client, cast: Cast, yard: YardSettings, day: date, hours: int
) -> None:
    client.force_login(cast.ada)
    client.post(reverse("proposal_new"), closing(day=day.isoformat(), starts="00:00", ends="12:00"))
    row = Closure.objects.get()
    assert row.ends_at - row.starts_at == timedelta(hours=hours)


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ({"ends": "05:00"}, "It ends before it starts"),
        ({"reason": ""}, "This field is required"),
        ({"starts": "06:07"}, "quarter"),
        ({"covers": "place-999"}, "Select a valid choice"),
    ],
)
def test_what_is_wrong_is_said_and_nothing_is_saved(
    client: Client, cast: Cast, yard: YardSettings, said: dict[str, object], told: str
) -> None:
    client.force_login(cast.ada)
    text = client.post(reverse("proposal_new"), closing(**said)).content.decode()
    assert told in text
    assert not Closure.objects.exists()
    assert not Event.objects.exists()


def test_without_a_plan_the_event_is_kept_and_the_page_says_what_to_do(
    client: Client, cast: Cast, yard: YardSettings
) -> None:
    client.force_login(cast.ada)
    text = client.post(reverse("proposal_new"), closing()).content.decode()
    assert "plan the season first" in text
    assert Event.objects.count() == 1


def test_asked_again_with_a_wish_it_is_another_proposal(client: Client, cast: Cast, yard: YardSettings) -> None:
    client.force_login(cast.ada)
    proposal = ready(2)
    boat = Boat.objects.order_by("pk")[0]
    client.post(reverse("proposal_again", args=[proposal.pk]), {"keep_boats": [boat.pk], "leave_people": ["x"]})
    again = Proposal.objects.exclude(pk=proposal.pk).get()
    assert again.wishes == {"keep_boats": [boat.pk], "leave_people": []}
    assert (again.again_for, list(again.events.all())) == (proposal, list(proposal.events.all()))


def test_while_it_is_made_the_page_asks_each_second_and_then_loads_anew(
    client: Client, cast: Cast, yard: YardSettings
) -> None:
    client.force_login(cast.ada)
    proposal = ready(1)
    asked = {"headers": {"HX-Request": "true"}}
    assert client.get(reverse("proposal", args=[proposal.pk]), **asked).headers["HX-Refresh"] == "true"
    run = PlanRun.objects.create(asked_at=timezone.now())
    Proposal.objects.filter(pk=proposal.pk).update(state="asked", run=run)
    waiting = client.get(reverse("proposal", args=[proposal.pk]), **asked)
    assert "HX-Refresh" not in waiting.headers
    assert "every 1s" in waiting.content.decode()


def test_an_event_is_taken_back_once(client: Client, cast: Cast, yard: YardSettings) -> None:
    client.force_login(cast.ada)
    a_plan("posted", 14)
    client.post(reverse("proposal_new"), closing())
    event = Event.objects.get()
    client.post(reverse("event_take_back", args=[event.pk]))
    assert Closure.objects.get().state == "withdrawn"
    told = client.post(reverse("event_take_back", args=[event.pk]), follow=True).content.decode()
    assert "taken back already" in told
    event.refresh_from_db()
    assert event.withdrawn_by == cast.ada
    assert event.withdrawn_at is not None


def told(job: Job) -> dict[str, dict[str, object]]:
    """What is written on each form about a job, and the kind of event that comes of it."""
    start = datetime(2027, 5, 10, 12, tzinfo=UTC)
    smith = Person.objects.create(name="Smith", short_name="Smith", contractor=True)
    visit = DatedHours.objects.create(person=smith, kind="here", starts_at=start, ends_at=start + timedelta(hours=8))
    span = {"day": "2027-05-11", "starts": "08:00", "ends": "16:00", "reason": "his truck"}
    fault = {"first_name": "new toggle", "first_h": "1.5", "part": "toggle", "part_date": "2027-05-20"}
    return {
        "longer": {"job": job.pk, "left_h": "2.5", "reason": "a seized bolt"},
        "stopped": {"job": job.pk, "left_h": "", "reason": "wind"},
        "done": {"job": job.pk, "day": "2027-05-06", "ended": "11:30"},
        "failed": {"job": job.pk, "reason": "cracked toggle"} | fault,
        "slip": {"visit": visit.pk} | span,
        "date": {"order": job.order_id, "wanted_date": "2027-06-01"},
        "urgent": {"order": job.order_id, "reason": "sold"},
    }


@pytest.mark.parametrize("name", ["longer", "stopped", "done", "failed", "slip", "date", "urgent"])
def test_each_thing_that_happens_has_its_form_and_asks_once(
    client: Client, cast: Cast, yard: YardSettings, name: str
) -> None:
    client.force_login(cast.ada)
    posted, (job,) = a_plan("posted", 14), boats(1)
    PlannedJob.objects.create(plan=posted, job=job, starts_at=NOON, ends_at=NOON + timedelta(hours=1))
    sent = {f"{name}-{key}": value for key, value in told(job)[name].items()}
    sent |= {"form": name, "form_key": "6f1c1d1e-0000-4000-8000-000000000001"}
    for _ in range(2):  # pressed twice
        answer = client.post(reverse("proposal_new"), sent)
        assert answer.status_code == 302, answer.content.decode()
    event = Event.objects.get()
    assert (event.kind, event.recorded_by) == (name, cast.ada)
    assert Proposal.objects.get().events.get() == event


def test_a_correction_takes_the_first_back_and_says_so(client: Client, cast: Cast, yard: YardSettings) -> None:
    client.force_login(cast.ada)
    a_plan("posted", 14)
    client.post(reverse("proposal_new"), closing())
    wrong = Event.objects.get()
    assert "corrects “" in client.get(reverse("proposal_new"), {"corrects": wrong.pk}).content.decode()
    client.post(reverse("proposal_new"), closing() | {"corrects": str(wrong.pk), "close-reason": "fog"})
    wrong.refresh_from_db()
    assert wrong.withdrawn_by == cast.ada
    assert Event.objects.exclude(pk=wrong.pk).get().corrects == wrong


def test_what_the_crew_told_is_proposed_for_in_one_press(client: Client, cast: Cast, yard: YardSettings) -> None:
    client.force_login(cast.ada)
    a_plan("posted", 14)
    for number in range(2):
        Event.objects.create(kind="stopped", says=f"Boat {number}: wind", recorded_at=NOON)
    assert "2 written down and not yet proposed" in client.get(reverse("proposal_new")).content.decode()
    client.post(reverse("proposal_for_waiting"))
    assert Proposal.objects.get().events.count() == 2


def test_a_suggested_closure_is_accepted_by_one_of_two(client: Client, cast: Cast, yard: YardSettings) -> None:
    client.force_login(cast.ada)
    a_plan("posted", 14)
    shut = Closure.objects.create(
        covers="water", starts_at=NOON, ends_at=NOON + timedelta(hours=3), reason="gale", made_at=NOON
    )
    accept = reverse("closure_decide", args=[shut.pk, "accept"])
    assert "Suggested closures" in client.get(reverse("proposal_new")).content.decode()
    assert client.post(accept, {"version": shut.version}).headers["Location"].startswith("/proposals/")
    second = client.post(reverse("closure_decide", args=[shut.pk, "drop"]), {"version": shut.version}, follow=True)
    assert "is accepted already" in second.content.decode()
    assert (Closure.objects.get().state, Proposal.objects.count()) == ("accepted", 1)


def test_of_jobs_that_wait_for_one_another_one_is_told_of():
    """Known by the kind of reason, whatever the yard's language writes and quotes."""
    wash, paint = (Reason(f"wartet auf „{name}“", cause="waits") for name in ("wash", "paint"))
    ill, away = (Reason(f"{name} ist nicht da", cause="away") for name in ("Ada", "Ben"))
    assert one_told_of(wash) == one_told_of(paint)
    assert len({one_told_of(each) for each in (wash, ill, away)}) == 3
