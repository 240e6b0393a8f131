"""Events and proposals: written down, proposed, accepted once, undone, taken back."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone

from tests.conftest import Cast
from yard.models import Closure, DatedHours, Event, Fact, Order, Person, Plan, PlanRun, Proposal, YardSettings
from yard.planning.progress import Rounds
from yard.planning.reshuffle import Wishes, reshuffle
from yard.queries.plan_difference import boat_moves
from yard.services.check_workboats import workboat_faults
from yard.services.happenings import Closed, EventRefused, FactTold, Hours, NewDate
from yard.services.make_proposal import firm_boats, keep_proposal, wished_of
from yard.services.owners_runs import RunAsked, book_run
from yard.services.owners_runs.room import DayOfBoats
from yard.services.proposals import NothingPosted, ProposalRefused, accept, ask_for_proposal, drop, undo
from yard.services.read_problem import read_problem
from yard.services.record_event import record_event, take_back, waiting_events
from yard.services.save_plan import Making
from yard.services.stored_plan import plan_to_mend

pytestmark = pytest.mark.django_db
ZONE = ZoneInfo("America/New_York")


def clock() -> datetime:
    frozen = YardSettings.objects.get(pk=1).clock_frozen_at
    assert frozen is not None
    return frozen


@pytest.fixture
def posted(posted_in_january: int, db: None) -> Plan:
    """The example yard with a plan on the wall."""
    return Plan.objects.get(pk=posted_in_january)


def busiest_outdoor_day(plan: Plan) -> datetime:
    """Midnight of the first day, two days from now or later, on which work stands outdoors."""
    later = plan.planned_jobs.filter(job__outdoor=True, starts_at__gt=clock() + timedelta(days=2))
    row = later.order_by("starts_at")[0]
    return row.starts_at.astimezone(ZONE).replace(hour=0, minute=0)


def gale(plan: Plan) -> Closed:
    day = busiest_outdoor_day(plan)
    return Closed(Closure.Covers.OUTDOORS, day, day + timedelta(days=1), "gale")


def made(proposal: Proposal, rounds: int = 30) -> Proposal:
    """What the worker does, with few rounds and in this process."""
    assert proposal.run is not None
    read = read_problem(now=clock())
    wished = {name: frozenset(rows) for name, rows in wished_of(proposal, read).items()}
    found = reshuffle(
        read.problem,
        plan_to_mend(proposal.based_on, read),
        stop=Rounds(rounds),
        backend="numba",
        workers=1,
        firm=frozenset(firm_boats(read)),
        wishes=Wishes(boats=wished["keep_boats"], people=wished["leave_people"]),
    )
    keep_proposal(proposal.run, read, found, Making(by=None, now=read.now, seed=1))
    PlanRun.objects.filter(pk=proposal.run.pk).update(state=PlanRun.State.DONE)
    proposal.refresh_from_db()
    return proposal


def test_a_gale_is_proposed_accepted_and_undone(posted: Plan) -> None:
    event = record_event(gale(posted), by=None, now=clock())
    proposal = made(ask_for_proposal([event], by=None, now=timezone.now()))
    assert proposal.state == Proposal.State.READY
    choice = proposal.choices.get(proposed=True)
    assert choice.boats_moved >= len(proposal.must_move) >= 1
    moves = boat_moves(posted, choice.plan, ZONE)
    assert sum(row.disturbed for row in moves) == choice.boats_moved
    assert any("gale" in move.why.says for row in moves for move in row.moves)
    shut = gale(posted)
    outdoors = choice.plan.planned_jobs.filter(job__outdoor=True)
    assert not outdoors.filter(starts_at__lt=shut.ends_at, ends_at__gt=shut.starts_at).exists()

    after = accept(proposal, choice, by=None, now=clock())
    posted.refresh_from_db()
    assert (after.state, posted.state) == (Plan.State.POSTED, Plan.State.SUPERSEDED)
    with pytest.raises(ProposalRefused, match="does not hold"):
        undo(proposal, by=None, now=clock())  # the gale still shuts the day
    take_back(event, by=None, now=clock())
    assert undo(proposal, by=None, now=clock()).pk == posted.pk
    after.refresh_from_db()
    assert after.state == Plan.State.WITHDRAWN


def test_owners_who_go_first_are_gone_round_up_to_the_plan_on_the_wall(posted: Plan, cast: Cast) -> None:
    """A run over the beginning of a tow, the boat and whoever steers her taken: proposed, accepted, checked anew."""
    tows = posted.planned_jobs.filter(planned_places__place__kind="workboat", job__pins=None)
    tow = tows.filter(starts_at__gt=clock() + timedelta(days=2)).order_by("starts_at", "pk")[0]
    boat = tow.planned_places.get(place__kind="workboat").place
    crew = {each.person_id for each in tow.planned_people.all()}
    day = DayOfBoats(tow.starts_at.astimezone(ZONE).date())
    steers = next(one for one in day.operators(boat) if one.pk in crew)
    back = tow.starts_at + timedelta(minutes=45)
    asked = RunAsked(place=boat, people=(steers,), leaves_at=tow.starts_at, back_at=back, goes_first=True)
    run = book_run(asked, None, by=cast.ada, now=clock())
    assert f"{boat} is out with owners from" in "; ".join(each.message for each in workboat_faults(posted))
    (event,) = (each for each in waiting_events() if each.kind == Event.Kind.RUN)
    proposal = made(ask_for_proposal([event], by=None, now=timezone.now()))
    choice = proposal.choices.get(proposed=True)
    told = {move.job.pk: move.why.says for row in boat_moves(posted, choice.plan, ZONE) for move in row.moves}
    assert "owners" in told[tow.job_id]
    after = accept(proposal, choice, by=None, now=clock())
    assert after.state == Plan.State.POSTED
    meanwhile = after.planned_jobs.filter(starts_at__lt=run.back_at, ends_at__gt=run.leaves_at)
    assert not meanwhile.filter(planned_places__place=boat).exists()
    assert not meanwhile.filter(planned_people__person=steers).exists()
    assert after.planned_jobs.filter(job=tow.job_id).exists()
    assert list(workboat_faults(after)) == []
    assert event not in waiting_events()


def test_of_two_who_accept_one_wins_and_the_other_is_told(posted: Plan) -> None:
    event = record_event(gale(posted), by=None, now=clock())
    proposal = made(ask_for_proposal([event], by=None, now=timezone.now()))
    seen_by_other = Proposal.objects.get(pk=proposal.pk)
    choice = proposal.choices.get(proposed=True)
    accept(proposal, choice, by=None, now=clock())
    with pytest.raises(ProposalRefused, match="accepted"):
        accept(seen_by_other, choice, by=None, now=clock())
    assert Plan.objects.filter(state=Plan.State.POSTED).count() == 1


@pytest.mark.once
def test_a_proposal_that_facts_have_overtaken_is_refused_whole(posted: Plan) -> None:
    event = record_event(gale(posted), by=None, now=clock())
    proposal = made(ask_for_proposal([event], by=None, now=timezone.now()))
    choice = proposal.choices.get(proposed=True)
    row = choice.plan.planned_jobs.filter(planned_people__isnull=False, starts_at__gt=clock()).order_by("starts_at")[0]
    person = row.planned_people.first().person
    away = Hours(DatedHours.Kind.AWAY, (person,), clock(), clock() + timedelta(days=90), "ill")
    record_event(away, by=None, now=clock())
    with pytest.raises(ProposalRefused, match="ask again"):
        accept(proposal, choice, by=None, now=clock())
    posted.refresh_from_db()
    proposal.refresh_from_db()
    assert (posted.state, proposal.state) == (Plan.State.POSTED, Proposal.State.READY)


@pytest.mark.once
def test_a_proposal_is_stale_once_another_plan_hangs_there(posted: Plan) -> None:
    event = record_event(gale(posted), by=None, now=clock())
    one = made(ask_for_proposal([event], by=None, now=timezone.now()))
    two = made(ask_for_proposal([event], by=None, now=timezone.now()))
    accept(one, one.choices.get(proposed=True), by=None, now=clock())
    with pytest.raises(ProposalRefused, match="make it again"):
        accept(two, two.choices.get(proposed=True), by=None, now=clock())
    drop(two, by=None, now=clock())
    assert set(two.choices.values_list("plan__state", flat=True)) == {Plan.State.WITHDRAWN}


@pytest.mark.once
def test_a_boat_and_a_person_that_are_to_stay_stay(posted: Plan) -> None:
    """A boat and a person without work on the lost day: whatever else moves, theirs is where it was."""
    shut = gale(posted)
    event = record_event(shut, by=None, now=clock())
    rows = posted.planned_jobs.filter(starts_at__gt=clock())
    hit = rows.filter(starts_at__lt=shut.ends_at, ends_at__gt=shut.starts_at)
    boats_hit = set(hit.values_list("job__order__boat", flat=True))
    boat = rows.exclude(job__order__boat__in=boats_hit).order_by("-starts_at")[0].job.order.boat
    jobs, jobs_hit = (list(which.values_list("pk", flat=True)) for which in (rows, hit))
    person = Person.objects.filter(planned__planned_job__in=jobs).exclude(planned__planned_job__in=jobs_hit).first()
    wishes = {"keep_boats": [boat.pk], "leave_people": [person.pk] if person else []}
    plan = made(ask_for_proposal([event], by=None, now=timezone.now(), wishes=wishes)).choices.get(proposed=True).plan
    moves = boat_moves(posted, plan, ZONE)
    assert boat.pk not in {move.boat.pk for move in moves if move.boat}
    changed = [move.becomes for row in moves for move in row.moves if move.becomes]
    assert not person or person.pk not in {each.person_id for row in changed for each in row.planned_people.all()}


@pytest.mark.once
def test_a_boat_that_cannot_stay_is_named_and_the_proposal_can_be_accepted(posted: Plan) -> None:
    """She is to stay on the day that the gale shuts: the proposal moves her, says why, and holds at the door."""
    shut = gale(posted)
    event = record_event(shut, by=None, now=clock())
    rows = posted.planned_jobs.filter(job__outdoor=True, starts_at__lt=shut.ends_at, ends_at__gt=shut.starts_at)
    boat = rows.filter(job__order__boat__isnull=False).order_by("starts_at")[0].job.order.boat_id
    wishes = {"keep_boats": [boat]}
    proposal = made(ask_for_proposal([event], by=None, now=timezone.now(), wishes=wishes))
    assert [row["boat"] for row in proposal.not_kept] == [boat]
    choice = proposal.choices.get(proposed=True)
    assert accept(proposal, choice, by=None, now=clock()).state == Plan.State.POSTED


def test_without_a_posted_plan_there_is_nothing_to_mend(posted: Plan) -> None:
    Plan.objects.filter(pk=posted.pk).update(state=Plan.State.WITHDRAWN)
    with pytest.raises(NothingPosted):
        ask_for_proposal([], by=None, now=timezone.now())


def test_a_planning_run_makes_room_for_a_lost_day(posted: Plan) -> None:
    running = PlanRun.objects.create(asked_at=timezone.now(), state=PlanRun.State.RUNNING, heartbeat_at=timezone.now())
    ask_for_proposal([], by=None, now=timezone.now())
    running.refresh_from_db()
    assert running.stop_asked


def test_each_event_can_be_taken_back(posted: Plan) -> None:
    start = clock().replace(minute=0)
    person, order = Person.objects.order_by("pk")[0], Order.objects.filter(state="open").order_by("pk")[0]
    fact = Fact.objects.exclude(state=Fact.State.HERE).order_by("pk")[0]
    before = (order.wanted_date, fact.state, fact.expected_date, DatedHours.objects.count())
    span = (start, start + timedelta(hours=4))
    wanted = order.latest_date or order.promised_date or start.date()
    events = [
        record_event(what, by=None, now=clock())
        for what in (
            Closed(Closure.Covers.WATER, *span, "fog"),
            Hours(DatedHours.Kind.HERE, (person,), *span, "the evening tide"),
            FactTold(fact, None, "the sailmaker"),
            NewDate(order, wanted),
        )
    ]
    assert Closure.objects.get(reason="fog").state == Closure.State.ACCEPTED
    assert Fact.objects.get(pk=fact.pk).state == Fact.State.HERE
    for event in events:
        take_back(event, by=None, now=clock())
    order.refresh_from_db()
    fact.refresh_from_db()
    assert (order.wanted_date, fact.state, fact.expected_date, DatedHours.objects.count()) == before
    assert Closure.objects.get(reason="fog").state == Closure.State.WITHDRAWN
    with pytest.raises(EventRefused, match="already"):
        take_back(events[0], by=None, now=clock())


def test_what_was_changed_since_is_not_overwritten(posted: Plan) -> None:
    fact = Fact.objects.exclude(state=Fact.State.HERE).order_by("pk")[0]
    event = record_event(FactTold(fact, None, "the sailmaker"), by=None, now=clock())
    fact.refresh_from_db()
    fact.told_by = "Maud"
    fact.save()
    with pytest.raises(EventRefused, match="changed since"):
        take_back(event, by=None, now=clock())
    assert Event.objects.get(pk=event.pk).withdrawn_at is None  # all or nothing


def test_a_correction_takes_the_first_back(posted: Plan) -> None:
    start = clock().replace(minute=0)
    wrong = record_event(Closed("outdoors", start, start + timedelta(hours=1), "gale"), by=None, now=clock())
    right = record_event(
        Closed("outdoors", start, start + timedelta(hours=9), "gale"), by=None, now=clock(), corrects=wrong
    )
    assert right.corrects == wrong
    assert [row.ends_at for row in Closure.objects.filter(state="accepted", reason="gale")] == [
        start + timedelta(hours=9)
    ]


def test_a_closure_off_the_quarter_is_refused_by_name(posted: Plan) -> None:
    start = clock().replace(minute=7)
    with pytest.raises(EventRefused):
        record_event(Closed("outdoors", start, start + timedelta(hours=1), "gale"), by=None, now=clock())
    assert not Closure.objects.filter(reason="gale").exists()
