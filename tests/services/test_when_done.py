"""When could it be done: told from the plan on the wall, nothing kept, and no earlier day that the check would pass."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from itertools import product

import pytest

from yard.models import Boat, Fact, FactsRevision, Job, Order, Package, Plan, YardSettings
from yard.planning.check import faults
from yard.planning.fit import NoRoom, fit_in_the_background
from yard.planning.freed import Room
from yard.planning.plan import Placement, read_plan_json
from yard.planning.problem import read_problem_json
from yard.planning.progress import Rounds
from yard.planning.second_look import Look, look_again
from yard.services import when_done
from yard.services.order_package import OrderDates, OrderRefused, Terms, WalkIn, default_options, order_package
from yard.services.read_problem import read_problem
from yard.services.stored_plan import plan_on_the_wall
from yard.services.when_done import EarliestDays, NoDay, earliest_days, earliest_with_others_moved

pytestmark = [pytest.mark.django_db, pytest.mark.once, pytest.mark.usefixtures("posted_in_january")]


def clock():
    now = YardSettings.objects.get().clock_frozen_at
    assert now is not None
    return now


def ordering(key: str, boat: Boat | None, **dates):
    package = Package.objects.get(key=key)
    terms = Terms() if boat is not None else Terms(walk_in=WalkIn(name="a caller"))
    options = default_options(package, boat)
    return lambda: order_package(
        boat, package, options=options, dates=OrderDates(**dates), by=None, now=clock(), terms=terms
    )


def quiet_boat() -> Boat:
    """One with a known draft for which nothing is ordered."""
    known = {"name": "Quiet", "length_m": 7.0, "beam_m": 2.3, "draft_m": 1.1}
    return Boat.objects.get_or_create(ref="quiet", defaults=known)[0]


def test_nothing_is_kept_and_two_callers_hear_the_same():
    before = (Order.objects.count(), Job.objects.count(), Fact.objects.count(), FactsRevision.objects.get().count)
    told = [earliest_days(ordering("halyard", quiet_boat()), now=clock()) for _ in range(2)]
    assert isinstance(told[0], EarliestDays)
    assert told[0].jobs
    assert told[0] == told[1]
    after = (Order.objects.count(), Job.objects.count(), Fact.objects.count(), FactsRevision.objects.get().count)
    assert after == before


def test_no_earlier_start_would_pass_the_check():
    """One long job: started on a day before the answer's, by any rigger, it breaks a rule of the independent check."""

    def make() -> Order:
        order = ordering("halyard", quiet_boat())()
        order.jobs.get().ways.update(
            crew=[{"skill": "rigger", "count": 1, "level": 2}], place_kinds=[], duration_min=210
        )
        return order

    told = earliest_days(make, now=clock())
    assert isinstance(told, EarliestDays)
    assert not told.her_own_move
    (only,) = told.jobs
    order = make()
    read = read_problem(now=clock())
    plan = plan_on_the_wall(read)
    assert plan is not None
    number = next(index for index, pk in enumerate(read.jobs) if pk == order.jobs.get().pk)
    way = read.problem.jobs[number].ways[0]
    assert len(way.crew) == 1
    begins = read.axis.timeline.starts_at
    last = next(at for at in range(read.problem.now, 10**6) if begins(at) >= only.starts_at)
    known = len(faults(read.problem, plan))

    def stands(at: int, person: int) -> bool:
        ends = at + way.duration_quarters
        mine = Placement(job=number, way=0, starts_at=at, ends_at=ends, people=(person,), places=())
        whole = sorted((*plan.placements, mine), key=lambda row: row.job)
        return not any(one.job == number for one in faults(read.problem, replace(plan, placements=tuple(whole))))

    people = [at for at, one in enumerate(read.problem.people) if "rigger" in one.skills]
    assert any(stands(last, person) for person in people)
    day = begins(last).date()
    earlier = [at for at in range(read.problem.now, last) if begins(at).date() < day][-10:]
    assert earlier
    assert not any(stands(at, person) for at, person in product(earlier, people))
    assert known == len(faults(read.problem, plan))


def test_not_before_the_owners_earliest_day_and_what_it_waits_on_is_told():
    told = earliest_days(ordering("furler", quiet_boat(), earliest=date(2027, 5, 10)), now=clock())
    assert isinstance(told, EarliestDays)
    assert told.starts_at.date() >= date(2027, 5, 10)
    assert [fact.name for fact in told.waits_on]
    assert all(fact.expected_on for fact in told.waits_on)


def test_a_stranger_is_answered_too_and_a_package_that_needs_a_boat_says_so():
    assert isinstance(earliest_days(ordering("sail_repair", None), now=clock()), EarliestDays)
    with pytest.raises(OrderRefused):
        earliest_days(ordering("spring_commissioning", None), now=clock())


def test_the_page_says_the_sentence_and_keeps_what_was_typed(client, cast):
    client.force_login(cast.cy, "yard.web.access.RoleBackend")
    package, before = Package.objects.get(key="halyard"), Order.objects.count()
    sent = {"boat": quiet_boat().name, "package": package.pk, "goes_first": "1", "when": "1"}
    page = client.post("/orders/new/", sent).content.decode()
    told = earliest_days(ordering("halyard", quiet_boat()), now=clock())
    assert isinstance(told, EarliestDays)
    assert f"Done by {told.ends_at:%A} {told.ends_at.day} {told.ends_at:%B}, with nobody else moved" in page
    assert 'value="Quiet"' in page
    assert Order.objects.count() == before


def test_why_no_day_can_be_told():
    boat = quiet_boat()
    Boat.objects.filter(pk=boat.pk).update(draft_m=None)
    boat.refresh_from_db()
    told = earliest_days(ordering("spring_commissioning", boat), now=clock())
    assert isinstance(told, NoDay)
    assert "draft" in told.reason
    Plan.objects.update(state=Plan.State.WITHDRAWN)
    told = earliest_days(ordering("halyard", boat), now=clock())
    assert isinstance(told, NoDay)
    assert "No plan is posted" in told.reason


def test_what_the_first_method_missed_the_second_finds(monkeypatch):
    monkeypatch.setattr(Room, "insert", lambda self, first=None: False)
    monkeypatch.setattr(when_done, "look_again", lambda problem: look_again(problem, seconds=300))
    told = earliest_days(ordering("halyard", quiet_boat()), now=clock())
    assert isinstance(told, EarliestDays)
    assert told.jobs


@pytest.mark.parametrize(
    ("said", "told"),
    [("impossible", "A second method says so too."), ("not known", "No room was found for")],
)
def test_that_there_is_no_room_is_told_only_where_a_second_method_says_so(monkeypatch, said, told):
    monkeypatch.setattr(Room, "insert", lambda self, first=None: False)
    monkeypatch.setattr(when_done, "look_again", lambda problem: Look(said))
    found = earliest_days(ordering("halyard", quiet_boat()), now=clock())
    assert isinstance(found, NoDay)
    assert told in found.reason
    assert ("There is no room" in found.reason) == (said == "impossible")


def fitted_here(order):
    """What the process of its own does, without the process."""
    return fit_in_the_background(
        read_problem_json(order.problem),
        stop=Rounds(0),
        seed=order.seed,
        workers=1,
        on_progress=lambda progress: None,
        should_stop=lambda: False,
        start=read_plan_json(order.start),
        **order.options,
    )


def test_with_others_moved_it_is_never_later_and_nothing_is_kept(monkeypatch):
    monkeypatch.setattr(when_done, "_found", fitted_here)
    monkeypatch.setenv("YARD_PLANNING_BACKEND", "python")
    before = (Order.objects.count(), Job.objects.count(), FactsRevision.objects.get().count)
    alone = earliest_days(ordering("halyard", quiet_boat()), now=clock())
    told = earliest_with_others_moved(ordering("halyard", quiet_boat()), now=clock())
    assert isinstance(alone, EarliestDays)
    assert isinstance(told, EarliestDays)
    assert told.ends_at <= alone.ends_at
    assert (Order.objects.count(), Job.objects.count(), FactsRevision.objects.get().count) == before


def test_with_others_moved_no_room_is_no_proof(monkeypatch):
    monkeypatch.setattr(when_done, "_found", lambda order: NoRoom(None, 0.0))
    found = earliest_with_others_moved(ordering("halyard", quiet_boat()), now=clock())
    assert isinstance(found, NoDay)
    assert "That is not proved." in found.reason
    monkeypatch.setattr(when_done, "look_again", lambda problem: Look("impossible"))
    found = earliest_with_others_moved(ordering("halyard", quiet_boat()), now=clock())
    assert isinstance(found, NoDay)
    assert "in an empty yard neither; a second method says so too" in found.reason
