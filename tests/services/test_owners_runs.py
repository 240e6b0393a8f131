"""Owners carried between the tows: what a run needs, what it takes of the day, and the check that adds it up anew.

The yard's clock is New York's; Thursday 6 May 2027, 10:00, is now.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from uuid import uuid4
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone

from tests.web.made_creek import FRIDAY, MONDAY, NOW, at, job, make_creek, person, post
from yard.models import (
    Closure,
    Event,
    OwnersRun,
    Person,
    PersonSkill,
    Pin,
    Place,
    Plan,
    PlannedJob,
    PlannedPlace,
    RunWish,
    Skill,
    StaleRow,
    YardSettings,
)
from yard.queries.outings import Outing, outings_since
from yard.queries.runs import run_history
from yard.services.check_workboats import workboat_faults
from yard.services.happenings import EventRefused, Started, Stopped
from yard.services.owners_runs import (
    RunAsked,
    RunRefused,
    WishAsked,
    ask_run,
    book_run,
    call_off_run,
    change_run,
    decline_wish,
    off_the_run,
    offers_for,
    spent_on,
    take_along,
    withdraw_wish,
)
from yard.services.read_problem import read_problem
from yard.services.read_problem.axis import Axis, Stretch, make_axis
from yard.services.read_problem.operators import OperatorBook
from yard.services.read_problem.people import read_people
from yard.services.read_problem.places import read_places
from yard.services.read_problem.workboats import charges_of, out_hours
from yard.services.record_event import record_event, take_back, waiting_events

pytestmark = pytest.mark.django_db


@pytest.fixture
def creek(tmp_path: Any, monkeypatch: pytest.MonkeyPatch) -> Any:
    """The yard's settings, and its zone the current one."""
    monkeypatch.chdir(tmp_path)
    with timezone.override(ZoneInfo("America/New_York")):
        yield make_creek(tmp_path)


@pytest.fixture
def plan(creek: YardSettings) -> Plan:
    return post()


@pytest.fixture
def jo(creek: YardSettings) -> Person:
    """Runs workboats, 08:00 to 16:00."""
    who = person("Jo")
    skill = Skill.objects.create(key="coxswain", name="Workboat coxswain")
    PersonSkill.objects.create(person=who, skill=skill)
    return who


@pytest.fixture
def boat(creek: YardSettings) -> Place:
    return Place.objects.create(
        ref="skiff", name="Skiff", kind="workboat", seats=5, runs_min=240, charge_min=480, outdoor=True
    )


def wish(starts: str = "10:00", ends: str = "12:00", people: int = 2, **more: Any) -> RunWish:
    said = {"name": "Ann", "people": people, "way": "out", "from_at": at(FRIDAY, starts), "until_at": at(FRIDAY, ends)}
    return ask_run(WishAsked(**said | more), by=None, now=NOW)


def asked(boat: Place, *people: Person, leaves: str = "10:00", back: str = "10:30", **more: Any) -> RunAsked:
    return RunAsked(place=boat, people=people, leaves_at=at(FRIDAY, leaves), back_at=at(FRIDAY, back), **more)


def tow(
    plan: Plan, boat: Place, starts: str, ends: str, *people: Person, day: date = FRIDAY, **more: Any
) -> PlannedJob:
    row = job(plan, "Wren", "Deliver", day, starts, ends, *people, **more)
    PlannedPlace.objects.create(planned_job=row, place=boat, unit=1)
    return row


def booked(ada: Any, what: RunAsked, of: RunWish | None = None, **more: Any) -> OwnersRun:
    return book_run(what, of, seen_version=of.version if of else 0, by=ada, now=NOW, **more)


def refused(ada: Any, what: RunAsked, of: RunWish | None = None) -> str:
    with pytest.raises(RunRefused) as told:
        booked(ada, what, of)
    assert not OwnersRun.objects.exists()
    return str(told.value)


# ---- offers, and what a run needs


def test_an_hour_between_the_tows_is_offered(plan: Plan, jo: Person, boat: Place) -> None:
    """The boat tows until 10:45 and from 11:30; from 10:00 to 12:00 a half hour is free at 10:45 and 11:00 alone."""
    tow(plan, boat, "09:00", "10:45")
    tow(plan, boat, "11:30", "12:45")
    found = offers_for(wish(), now=NOW)
    assert [(each.leaves_at, each.people) for each in found] == [
        (at(FRIDAY, "10:45"), (jo,)),
        (at(FRIDAY, "11:00"), (jo,)),
    ]


def test_seats_on_a_run_that_goes_already_come_first(cast: Any, jo: Person, boat: Place) -> None:
    """Five seats, Jo and two: two more fit, three do not."""
    run = booked(cast.ada, asked(boat, jo, leaves="11:00", back="11:30"), wish())
    assert offers_for(wish(people=2), now=NOW)[0].run == run
    assert all(each.run is None for each in offers_for(wish(people=3), now=NOW))


def test_a_closed_hour_is_not_offered(jo: Person, boat: Place) -> None:
    Closure.objects.create(
        covers="water",
        starts_at=at(FRIDAY, "06:00"),
        ends_at=at(FRIDAY, "13:00"),
        reason="gale",
        state="accepted",
        made_at=NOW,
    )
    assert offers_for(wish(), now=NOW) == []


@pytest.mark.parametrize(
    ("what", "words"),
    [
        ({"leaves": "07:00", "back": "07:30"}, "Jo is not at work"),
        ({"leaves": "10:30", "back": "10:00"}, "back before they leave"),
        ({"leaves": "10:00", "back": "14:30"}, "30 min longer than one charge lasts"),
    ],
)
def test_what_a_run_needs(cast: Any, jo: Person, boat: Place, what: dict[str, str], words: str) -> None:
    assert words in refused(cast.ada, asked(boat, jo, **what))


def test_seats_are_counted_with_the_crew(cast: Any, jo: Person, boat: Place) -> None:
    assert "5 seats, and 6 would go" in refused(cast.ada, asked(boat, jo), wish(people=5))


def test_somebody_must_be_able_to_run_her(cast: Any, jo: Person, boat: Place) -> None:
    assert "who may: Jo" in refused(cast.ada, asked(boat, person("Bo")))


def test_named_operators_count_instead_of_the_skill(cast: Any, jo: Person, boat: Place) -> None:
    boat.operators.set([person("Bo")])
    assert "who may: Bo" in refused(cast.ada, asked(boat, jo))


def test_a_boat_that_carries_nobody(cast: Any, jo: Person) -> None:
    barge = Place.objects.create(ref="barge", name="Barge", kind="workboat")
    assert "carries no owners" in refused(cast.ada, asked(barge, jo))


# ---- tows and runs


def test_a_tow_goes_first(cast: Any, plan: Plan, jo: Person, boat: Place) -> None:
    tow(plan, boat, "10:15", "11:00")
    assert "“Deliver”, 10:15 to 11:00: choose another hour, or let the run go first" in refused(
        cast.ada, asked(boat, jo)
    )


def test_a_run_that_goes_first_asks_for_a_proposal(cast: Any, plan: Plan, jo: Person, boat: Place) -> None:
    tow(plan, boat, "10:15", "11:00")
    booked(cast.ada, asked(boat, jo, goes_first=True))
    (event,) = waiting_events()
    assert (event.kind, "“Deliver” to be planned round it" in event.says) == (Event.Kind.RUN, True)
    with pytest.raises(EventRefused, match="page of owners' runs"):
        take_back(event, by=cast.ada, now=NOW)


def test_pinned_work_gives_way_to_nobody(cast: Any, plan: Plan, jo: Person, boat: Place) -> None:
    row = tow(plan, boat, "10:15", "11:00")
    Pin.objects.create(job=row.job, starts_at=row.starts_at, reason="the harbormaster comes", made_at=NOW)
    assert "“Deliver”" in refused(cast.ada, asked(boat, jo, goes_first=True))


def test_a_run_beside_nothing_asks_for_nothing(cast: Any, plan: Plan, jo: Person, boat: Place) -> None:
    booked(cast.ada, asked(boat, jo))
    assert waiting_events() == []


# ---- two people, a double press, an end


def test_a_double_press_is_one_run(cast: Any, jo: Person, boat: Place) -> None:
    key = uuid4()
    once, twice = (booked(cast.ada, asked(boat, jo), form_key=key) for _ in range(2))
    assert once == twice
    assert OwnersRun.objects.count() == 1


def test_the_second_who_answers_is_told(cast: Any, jo: Person, boat: Place) -> None:
    one = wish()
    booked(cast.ada, asked(boat, jo), one)
    with pytest.raises(StaleRow):
        book_run(asked(boat, jo, leaves="12:00", back="12:30"), one, seen_version=one.version, by=cast.ada, now=NOW)
    assert OwnersRun.objects.count() == 1


def test_no_more_go_along_than_there_are_seats(cast: Any, jo: Person, boat: Place) -> None:
    run = booked(cast.ada, asked(boat, jo), wish(people=3))
    two = wish(people=2)
    with pytest.raises(RunRefused, match="1 seat left, and 2 wish to go"):
        take_along(run, two, seen_version=two.version, by=cast.ada, now=NOW)


def test_a_run_called_off_asks_its_people_anew(cast: Any, jo: Person, boat: Place) -> None:
    run = booked(cast.ada, asked(boat, jo), wish())
    call_off_run(run, why="wind", seen_version=run.version, by=cast.ada, now=NOW)
    one = RunWish.objects.get()
    assert (one.state, one.run) == ("asked", None)
    past = one.history.first()
    assert (past.history_user, past.history_change_reason) == (cast.ada, "the run was called off: wind")


def changed(ada: Any, run: OwnersRun, what: RunAsked, **more: Any) -> OwnersRun:
    return change_run(run, what, seen_version=run.version, by=ada, now=NOW, **more)


def not_changed(ada: Any, run: OwnersRun, what: RunAsked) -> str:
    with pytest.raises(RunRefused) as told:
        changed(ada, run, what)
    on_file = OwnersRun.objects.get(pk=run.pk)
    assert (on_file.version, on_file.leaves_at) == (run.version, run.leaves_at)
    return str(told.value)


def test_another_hour_and_back_again(cast: Any, jo: Person, boat: Place) -> None:
    """Whoever is on it stays on it; what was on file names who ran her then, and is the way back."""
    run = booked(cast.ada, asked(boat, jo), wish())
    bo = person("Bo")
    boat.operators.set([jo, bo])
    run = changed(cast.ada, run, asked(boat, bo, leaves="11:30", back="12:00"))
    assert (run.leaves_at, list(run.people.all()), run.wishes.count()) == (at(FRIDAY, "11:30"), [bo], 1)
    now, before = run_history(run)
    assert [(each.leaves_at, each.people, each.changed_by) for each in (now, before)] == [
        (at(FRIDAY, "11:30"), (bo,), cast.ada),
        (at(FRIDAY, "10:00"), (jo,), cast.ada),
    ]
    back = RunAsked(place=before.place, people=before.people, leaves_at=before.leaves_at, back_at=before.back_at)
    run = changed(cast.ada, run, back)
    assert (run.leaves_at, list(run.people.all()), len(run_history(run))) == (at(FRIDAY, "10:00"), [jo], 3)


def test_the_same_once_more_changes_nothing(cast: Any, jo: Person, boat: Place) -> None:
    run = booked(cast.ada, asked(boat, jo))
    assert changed(cast.ada, run, asked(boat, jo)).version == run.version


def test_its_own_hour_does_not_stand_against_it(cast: Any, jo: Person, boat: Place) -> None:
    """Half an hour longer overlaps what it was; boat, hands and charge (240 min) are counted without that."""
    run = booked(cast.ada, asked(boat, jo, leaves="10:00", back="13:30"))
    changed(cast.ada, run, asked(boat, jo, leaves="10:15", back="14:15"))


@pytest.mark.parametrize(
    ("what", "words"),
    [
        ({"leaves": "07:00", "back": "07:30"}, "Jo is not at work"),
        ({"leaves": "11:15", "back": "11:45"}, "Skiff is out with others, 11:30 to 12:00"),
        ({"leaves": "13:00", "back": "13:30"}, "Somebody (2) asked to leave between 10:00 and 12:00: ask them"),
        ({"leaves": "08:00", "back": "12:15"}, "Skiff would run 45 min longer than one charge lasts"),
    ],
)
def test_what_stands_against_another_hour(cast: Any, jo: Person, boat: Place, what: dict[str, str], words: str) -> None:
    run = booked(cast.ada, asked(boat, jo), wish())
    booked(cast.ada, asked(boat, jo, leaves="11:30", back="12:00"))
    assert words in not_changed(cast.ada, run, asked(boat, jo, **what))


def test_who_was_asked_and_agreed_goes_at_another_hour(cast: Any, jo: Person, boat: Place) -> None:
    run = booked(cast.ada, asked(boat, jo), wish())
    run = changed(cast.ada, run, asked(boat, jo, leaves="13:00", back="13:30"), agreed=True)
    assert run.history.first().history_change_reason == "changed, as they agreed"


def test_a_smaller_boat_must_seat_them_all(cast: Any, jo: Person, boat: Place) -> None:
    run = booked(cast.ada, asked(boat, jo), wish(people=4))
    tender = Place.objects.create(ref="tender", name="Tender", kind="workboat", seats=3)
    assert "Tender has 3 seats, and 5 would go" in not_changed(cast.ada, run, asked(tender, jo))


def test_another_hour_in_the_way_of_a_tow(cast: Any, plan: Plan, jo: Person, boat: Place) -> None:
    """Said; and where a person lets the run go first, a proposal is asked for."""
    run = booked(cast.ada, asked(boat, jo))
    tow(plan, boat, "11:15", "12:00")
    later = asked(boat, jo, leaves="11:00", back="11:30")
    assert "“Deliver”, 11:15 to 12:00: choose another hour, or let the run go first" in not_changed(
        cast.ada, run, later
    )
    changed(cast.ada, run, replace(later, goes_first=True))
    (event,) = waiting_events()
    assert "11:00: “Deliver” to be planned round it" in event.says


def test_a_run_that_left_or_was_called_off_is_not_changed(cast: Any, jo: Person, boat: Place) -> None:
    run = booked(cast.ada, asked(boat, jo))
    with pytest.raises(RunRefused, match="has left"):
        change_run(run, asked(boat, jo, back="11:00"), seen_version=1, by=cast.ada, now=at(FRIDAY, "10:00"))
    run = call_off_run(run, why="wind", seen_version=run.version, by=cast.ada, now=NOW)
    assert "called off" in not_changed(cast.ada, run, asked(boat, jo, back="11:00"))


def test_the_second_who_changes_a_run_is_told(cast: Any, jo: Person, boat: Place) -> None:
    run = booked(cast.ada, asked(boat, jo))
    change_run(run, asked(boat, jo, back="11:00"), seen_version=1, by=cast.ada, now=NOW)
    with pytest.raises(StaleRow):
        change_run(run, asked(boat, jo, back="12:00"), seen_version=1, by=cast.ada, now=NOW)
    assert OwnersRun.objects.get().back_at == at(FRIDAY, "11:00")


def test_off_one_run_they_wait_for_another(cast: Any, jo: Person, boat: Place) -> None:
    run = booked(cast.ada, asked(boat, jo), wish())
    one = RunWish.objects.get()
    off_the_run(one, seen_version=one.version, by=cast.ada, now=NOW)
    one.refresh_from_db()
    assert (one.state, one.run) == ("asked", None)
    assert offers_for(one, now=NOW)[0].run == run
    with pytest.raises(RunRefused, match="on no run"):
        off_the_run(one, seen_version=one.version, by=cast.ada, now=NOW)


def test_a_wish_ends_with_a_reason_or_by_itself(cast: Any, jo: Person, boat: Place) -> None:
    one, two = wish(), wish()
    with pytest.raises(RunRefused, match="Say why"):
        decline_wish(one, why=" ", seen_version=one.version, by=cast.ada, now=NOW)
    decline_wish(one, why="gale", seen_version=one.version, by=cast.ada, now=NOW)
    withdraw_wish(two, seen_version=two.version, by=cast.ada, now=NOW)
    assert sorted(RunWish.objects.values_list("state", "answer")) == [("declined", "gale"), ("withdrawn", "")]


def test_what_a_day_runs(cast: Any, plan: Plan, jo: Person, boat: Place) -> None:
    tow(plan, boat, "12:00", "14:00")
    booked(cast.ada, asked(boat, jo))
    (spent,) = spent_on(FRIDAY)
    assert (spent.work_min, spent.runs_min, spent.charge_lasts_min, spent.over) == (120, 30, 240, False)


# ---- what the planner is given


def axis_of_two_days() -> Axis:
    return make_axis(
        date(2027, 5, 6),
        date(2027, 5, 7),
        zone=ZoneInfo("America/New_York"),
        weekdays=range(5),
        holidays=(),
        extra_days=(),
        reach=[Stretch(6 * 60, 18 * 60)],
        shop=[],
    )


def test_a_charge_a_day_less_what_owners_take(boat: Place) -> None:
    """Six to six, 240 min of running; the run takes 30 of Friday's. Twelve hours of night hold the charge of eight."""
    axis = axis_of_two_days()
    out = [(axis.minute(at(FRIDAY, "10:00")), axis.minute(at(FRIDAY, "10:30")))]
    found = charges_of(axis, boat, out)
    assert [(row.ends - row.starts, row.quarters) for row in found] == [(720, 16), (720, 14)]


def test_a_charge_longer_than_the_night_takes_of_the_morning(boat: Place) -> None:
    boat.charge_min = 14 * 60
    first, second = charges_of(axis_of_two_days(), boat, [])
    assert (first.ends - first.starts, second.ends - second.starts) == (720, 600)


def test_a_second_charge_in_the_day(boat: Place) -> None:
    """Filled from 12:00 for an hour: six hours before it, five after it, each on its own."""
    boat.charge_min, boat.charged_at = 60, time(12)
    found = charges_of(axis_of_two_days(), boat, [])
    assert [(row.ends - row.starts, row.quarters) for row in found[:2]] == [(360, 16), (300, 16)]


def test_a_boat_that_nothing_binds(boat: Place) -> None:
    boat.runs_min = None
    assert charges_of(axis_of_two_days(), boat, []) == ()


def test_boat_and_hands_are_taken_while_they_carry(cast: Any, jo: Person, boat: Place) -> None:
    run, axis = booked(cast.ada, asked(boat, jo)), axis_of_two_days()
    span = (axis.minute(run.leaves_at), axis.minute(run.back_at))
    book = read_places(axis, [boat], (), [run])
    (who,) = read_people(axis, [jo], OperatorBook.read(book, [jo]), [run])
    assert (book.places[0].closed, who.away) == ((span,), (span,))


# ---- the check at the door: trivial, kept, and each way to break it


def told(plan: Plan) -> list[str]:
    return [each.message for each in workboat_faults(plan)]


def test_no_workboat_no_fault(plan: Plan) -> None:
    assert told(plan) == []


def test_kept(cast: Any, plan: Plan, jo: Person, boat: Place) -> None:
    booked(cast.ada, asked(boat, jo))
    tow(plan, boat, "10:30", "14:00", jo)
    assert told(plan) == []


def test_beside_a_run(cast: Any, plan: Plan, jo: Person, boat: Place) -> None:
    booked(cast.ada, asked(boat, jo))
    tow(plan, boat, "10:15", "11:00")
    assert told(plan) == ["Skiff is out with owners from 2027-05-07 14:00 UTC"]


def test_somebody_in_two_boats(cast: Any, plan: Plan, jo: Person, boat: Place) -> None:
    booked(cast.ada, asked(boat, jo))
    job(plan, "Wren", "Sew", FRIDAY, "10:15", "11:00", jo)
    assert told(plan) == ["somebody of it is out with owners at 2027-05-07 14:00 UTC"]


def test_longer_than_a_charge(cast: Any, plan: Plan, jo: Person, boat: Place) -> None:
    booked(cast.ada, asked(boat, jo))
    tow(plan, boat, "11:00", "14:45")
    assert told(plan) == ["Skiff would run 255 min on 2027-05-07 between two charges, and runs 240"]


def test_two_charges_are_counted_apart(plan: Plan, jo: Person, boat: Place) -> None:
    Place.objects.update(charge_min=60, charged_at=time(12))
    tow(plan, boat, "08:00", "12:00")
    tow(plan, boat, "13:00", "16:00")
    assert told(plan) == []
    tow(plan, boat, "12:30", "13:00")
    assert "Skiff is being charged from 12:00 on the yard's clock" in told(plan)


def test_no_night_for_a_charge(plan: Plan, boat: Place) -> None:
    Place.objects.update(charge_min=16 * 60)
    tow(plan, boat, "16:00", "17:00", day=FRIDAY - timedelta(days=1))
    tow(plan, boat, "08:00", "09:00")
    assert told(plan) == ["Skiff has no 960 min for a charge before it"]


def test_what_she_does_not_do(plan: Plan, jo: Person, boat: Place) -> None:
    Place.objects.update(tows=False, seats=1)
    tow(plan, boat, "08:00", "09:00", jo, person("Bo"), water_need="route")
    assert told(plan) == ["Skiff does not tow", "Skiff has 1 seats, and 2 go"]


def test_what_stands_is_a_fact(cast: Any, plan: Plan, jo: Person, boat: Place) -> None:
    booked(cast.ada, asked(boat, jo))
    tow(plan, boat, "10:15", "11:00", jo, state="started", actual_starts_at=datetime(2027, 5, 7, 14, 15, tzinfo=UTC))
    assert told(plan) == []


# ---- what she has run already, whichever plan had it


@pytest.fixture
def later(plan: Plan) -> Plan:
    """A plan made after the morning's work was done and entered: it names only what is left."""
    Plan.objects.filter(pk=plan.pk).update(state="superseded")
    return Plan.objects.create(
        number=8, state="posted", made_at=at(FRIDAY, "11:00"), posted_at=at(FRIDAY, "11:00"), facts_revision=0
    )


def done(
    plan: Plan, boat: Place, starts: str, ends: str, *, planned: tuple[str, str] = ("08:00", "10:00")
) -> PlannedJob:
    """A tow that an earlier plan had and that is over; its order too, as far as anybody knows."""
    times = {"actual_starts_at": at(FRIDAY, starts), "actual_ends_at": at(FRIDAY, ends)}
    return tow(plan, boat, *planned, state="done", **times)


def test_nothing_done_nothing_run(plan: Plan, boat: Place) -> None:
    tow(plan, boat, "08:00", "10:00")
    assert outings_since(at(FRIDAY, "00:00")) == []


def test_only_what_ended_in_those_hours_is_read(plan: Plan, boat: Place) -> None:
    done(plan, boat, "08:00", "11:00")
    assert outings_since(at(FRIDAY, "11:00")) == outings_since(at(FRIDAY, "00:00"), at(FRIDAY, "10:45")) == []
    assert len(outings_since(at(FRIDAY, "10:45"), at(FRIDAY, "11:00"))) == 1


def test_a_done_tow_counts_as_it_was_under_any_later_plan(
    plan: Plan, later: Plan, boat: Place, django_assert_num_queries: Any
) -> None:
    """Planned for two hours, out for three; its order is closed, and the plan on the wall does not name it."""
    row = done(plan, boat, "08:00", "11:00")
    row.job.order.state = "done"
    row.job.order.save()
    with django_assert_num_queries(5):
        found = outings_since(at(FRIDAY, "00:00"))
    assert found == [Outing(boat.pk, at(FRIDAY, "08:00"), at(FRIDAY, "11:00"), row.job_id)]


def test_the_boat_is_that_of_the_plan_that_hung_then(plan: Plan, later: Plan, boat: Place) -> None:
    """A plan posted after it was over gives the job to another boat: that changes nothing of the morning."""
    row = done(plan, boat, "08:00", "10:00")
    barge = Place.objects.create(ref="barge", name="Barge", kind="workboat")
    again = PlannedJob.objects.create(
        plan=later, job=row.job, starts_at=at(FRIDAY, "13:00"), ends_at=at(FRIDAY, "14:00")
    )
    PlannedPlace.objects.create(planned_job=again, place=barge, unit=1)
    assert [each.place for each in outings_since(at(FRIDAY, "00:00"))] == [boat.pk]


def test_a_tow_broken_off_was_run_too_and_not_longer_than_planned(cast: Any, plan: Plan, boat: Place) -> None:
    """Begun at 08:15, planned until 10:00, and only the next morning somebody says that it was broken off."""
    row = tow(plan, boat, "08:00", "10:00")
    start = record_event(Started(row.job, at(FRIDAY, "08:15")), by=cast.ada, now=at(FRIDAY, "08:15"))
    stopped = record_event(Stopped(row.job, "the line parted", 60), by=cast.ada, now=at(MONDAY, "07:30"))
    (out,) = outings_since(at(FRIDAY, "00:00"))
    assert (out.starts_at, out.ends_at, out.done) == (at(FRIDAY, "08:15"), at(FRIDAY, "10:00"), False)
    take_back(stopped, by=cast.ada, now=at(MONDAY, "07:35"))
    take_back(start, by=cast.ada, now=at(MONDAY, "07:36"))
    assert outings_since(at(FRIDAY, "00:00")) == []


def test_what_was_run_is_gone_from_todays_charge_alone(boat: Place) -> None:
    """Three hours on Thursday morning of four: one is left, and Friday has its own four."""
    axis, day = axis_of_two_days(), date(2027, 5, 6)
    out = out_hours(axis, [Outing(boat.pk, at(day, "07:00"), at(day, "10:00"), 1)])
    assert [row.quarters for row in charges_of(axis, boat, out[boat.pk])] == [4, 16]


def test_who_came_back_late_last_night_is_charged_later(boat: Place) -> None:
    """Back at 23:00, eight hours of charge: not before 07:00 of a day that begins at six. A run at five is no night."""
    axis, day = axis_of_two_days(), date(2027, 5, 6)
    late = (axis.minute(at(day, "22:00")), axis.minute(at(day, "23:00")))
    early = (axis.minute(at(FRIDAY, "05:00")), axis.minute(at(FRIDAY, "05:30")))
    _, second = charges_of(axis, boat, [late])
    assert second.starts == axis.minute(at(FRIDAY, "07:00"))
    _, second = charges_of(axis, boat, [early])
    assert (second.starts, second.quarters) == (axis.minute(at(FRIDAY, "06:00")), 14)


def test_the_check_counts_the_morning(plan: Plan, later: Plan, boat: Place) -> None:
    """Three hours are run. One hour more is kept; an hour and a quarter is longer than she runs."""
    done(plan, boat, "08:00", "11:00")
    row = tow(later, boat, "13:00", "14:00")
    assert told(later) == []
    PlannedJob.objects.filter(pk=row.pk).update(ends_at=at(FRIDAY, "14:15"))
    assert told(later) == ["Skiff would run 255 min on 2027-05-07 between two charges, and runs 240"]


def test_the_check_counts_what_the_plan_itself_names_once_and_as_it_was(plan: Plan, boat: Place) -> None:
    done(plan, boat, "08:00", "11:00")
    tow(plan, boat, "13:00", "14:00")
    assert told(plan) == []
    tow(plan, boat, "14:00", "14:15")
    assert told(plan) == ["Skiff would run 255 min on 2027-05-07 between two charges, and runs 240"]


def test_done_work_is_no_owners_run(plan: Plan, later: Plan, boat: Place) -> None:
    """What was entered as ending later than the next begins is a fact, and no fault of the plan."""
    done(plan, boat, "08:00", "11:00")
    tow(later, boat, "10:45", "11:30")
    assert told(later) == []


def test_a_run_has_only_what_the_morning_left(cast: Any, plan: Plan, later: Plan, jo: Person, boat: Place) -> None:
    done(plan, boat, "08:00", "11:45")
    assert "15 min longer than one charge lasts" in refused(cast.ada, asked(boat, jo, leaves="12:00", back="12:30"))
    (spent,) = spent_on(FRIDAY)
    assert spent.work_min == 225


def test_a_season_read_at_noon_gives_what_the_morning_left(plan: Plan, later: Plan, jo: Person, boat: Place) -> None:
    """The job is in no plan on the wall, and its order is closed."""
    row = done(plan, boat, "08:00", "11:00")
    tow(later, boat, "13:00", "14:00")
    row.job.order.state = "done"
    row.job.order.save()
    read = read_problem(now=at(FRIDAY, "12:00"))
    (place,) = (each for each in read.problem.places if each.name == "Skiff")
    assert [charge.quarters for charge in place.charges[:2]] == [4, 16]
