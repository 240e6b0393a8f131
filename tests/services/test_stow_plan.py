"""The store planned from rows: what is read, what a person accepts, what the season then keeps, and the way back."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest

from tests.planning import tiny
from tests.services.autumn_yard import NOW, TODAY, AutumnYard, make_autumn, make_rack
from yard.models import (
    AutumnRules,
    Boat,
    Item,
    ItemWhereabouts,
    Job,
    Order,
    Place,
    PlannedJob,
    StackMeasure,
    StaleRow,
    StowPlan,
    Waiver,
    Whereabouts,
    YardSettings,
)
from yard.models import Plan as MadePlan
from yard.planning.check import faults
from yard.planning.plan import Plan, Planned, score
from yard.planning.problem import Link
from yard.planning.solve import Rounds, solve
from yard.queries.stow_plan import spots_of
from yard.services.check_autumn import autumn_faults
from yard.services.happenings import Done
from yard.services.read_problem import ReadProblem, read_problem
from yard.services.read_problem.reading import sliding_together
from yard.services.record_event import record_event
from yard.services.save_plan import Making, PlanRefused, save_plan
from yard.services.stowing.freeze import bring_to_last_day, last_day
from yard.services.stowing.ground import read_ground
from yard.services.stowing.hauled import HaulsMoved, hauls_moved
from yard.services.stowing.plans import StowRefused, accept, drop, propose, take_back
from yard.services.stowing.rules import RulesRefused, save_rules, save_stack
from yard.weather.first_freeze import About, FewerThan

BOATS, SPARS = StowPlan.Kind.BOATS, StowPlan.Kind.SPARS


@pytest.fixture
def creek(db: None) -> AutumnYard:
    return make_autumn()


def proposed(creek: AutumnYard, kind: StowPlan.Kind = BOATS) -> StowPlan:
    return propose(kind, yard=creek.yard, by=None, now=NOW)


def accepted(creek: AutumnYard, kind: StowPlan.Kind = BOATS) -> StowPlan:
    plan = proposed(creek, kind)
    return accept(plan, seen_version=plan.version, by=None, now=NOW)


def is_old(creek: AutumnYard, plan: StowPlan, *, now: datetime) -> bool:
    """As the plan's page asks."""
    return read_ground(BOATS, yard=creek.yard, now=now).fingerprint != plan.inputs


def planned(read: ReadProblem) -> Planned:
    found = solve(read.problem, stop=Rounds(5), workers=1, backend="python")
    assert isinstance(found, Planned), found
    return found


def moved(read: ReadProblem, plan: Plan, job: Job, quarters: int) -> Plan:
    return replace(
        plan,
        placements=tuple(
            replace(row, starts_at=row.starts_at + quarters, ends_at=row.ends_at + quarters)
            if read.jobs[row.job] == job.pk
            else row
            for row in plan.placements
        ),
    )


def starts(read: ReadProblem, plan: Plan, job: Job) -> int:
    return next(row.starts_at for row in plan.placements if read.jobs[row.job] == job.pk)


# --- what is read and planned


def test_who_left_last_in_spring_stands_innermost(creek: AutumnYard) -> None:
    """Teal leaves on 1 May, Smew on the 10th, Wren on the 20th: nobody stands behind one who leaves later."""
    plan = proposed(creek)
    rows: dict[int, list[int]] = {}
    for spot in plan.spots.order_by("place_id", "position"):
        rows.setdefault(spot.place_id, []).append(spot.turn)
    assert sorted(turn for row in rows.values() for turn in row) == [1, 2, 3]
    assert all(row == sorted(row, reverse=True) for row in rows.values())
    assert (plan.figures["extra"], plan.figures["at_least"], plan.figures["proved"]) == (0, 0, True)
    assert plan.spots.get(boat=creek.boats[1]).leaves == date(2028, 4, 30)  # a year of 365 days, and 2028 has one more
    assert all(spot.on is not None and TODAY <= spot.on <= date(2027, 10, 29) for spot in plan.spots.all())


def test_first_come_would_need_more(creek: AutumnYard) -> None:
    """Wren comes first and leaves last, Teal second and leaves first: fine; the day of each swapped, Teal is buried."""
    Job.objects.filter(key="launch", order__boat=creek.boats[0]).update(actual_ends_at=NOW - timedelta(days=190))
    plan = proposed(creek)
    assert plan.figures["extra"] == 0
    assert plan.figures["first_come"] == 1


def test_it_says_why_nothing_is_planned(creek: AutumnYard) -> None:
    with pytest.raises(StowRefused, match="No rack says what it takes"):
        proposed(creek, SPARS)
    Place.objects.filter(kind="store_row").update(capacity=1)
    with pytest.raises(StowRefused, match="The store takes 2, and 3 are to stand in it"):
        proposed(creek)
    Place.objects.filter(kind="store_row").update(capacity=2, max_length_m=6.0)
    with pytest.raises(StowRefused, match="No place was found for"):
        proposed(creek)
    Job.objects.filter(key="haul").update(state="cancelled")
    with pytest.raises(StowRefused, match="No boat is to come"):
        proposed(creek)
    Place.objects.filter(kind="store_row").update(archived=True)
    with pytest.raises(StowRefused, match="no row of the store"):
        proposed(creek)


def test_masts_go_on_levels_of_a_rack(creek: AutumnYard) -> None:
    make_rack(levels=2, per_level=2)
    plan = proposed(creek, SPARS)
    assert {spot.level for spot in plan.spots.all()} <= {1, 2}
    assert all(spot.item is not None for spot in plan.spots.all())
    assert plan.figures["extra"] == 0


def test_it_knows_when_what_it_was_made_from_has_changed(creek: AutumnYard) -> None:
    plan = proposed(creek)
    assert not is_old(creek, plan, now=NOW)
    assert not is_old(creek, plan, now=NOW + timedelta(days=1))  # that a day goes by changes nothing
    Boat.objects.filter(pk=creek.boats[0].pk).update(length_m=8.0)
    assert is_old(creek, plan, now=NOW)


def test_a_boat_that_stands_already_is_the_ground_of_the_plan(creek: AutumnYard) -> None:
    idle = Boat.objects.create(ref="idle", name="Idle", length_m=6.0, beam_m=2.0)
    Whereabouts.objects.create(boat=idle, kind="store_row", place=creek.rows[0], position=1, since=NOW)
    ground = read_ground(BOATS, yard=creek.yard, now=NOW)
    assert ground.store.standing == ((0,), ())
    assert ground.leaving[0].by == "not known"
    spot = proposed(creek).spots.get(boat=idle)
    assert (spot.standing, spot.on, spot.position) == (True, None, 1)


# --- accepting, and the way back


def test_one_plan_is_accepted_and_taken_back(creek: AutumnYard) -> None:
    first = accepted(creek)
    second = accepted(creek)
    first.refresh_from_db()
    assert (first.state, second.state, second.replaced_id) == ("dropped", "accepted", first.pk)
    take_back(second, seen_version=second.version, by=None, now=NOW)
    first.refresh_from_db()
    assert (first.state, second.state) == ("accepted", "proposed")
    drop(second, seen_version=second.version, by=None, now=NOW)
    assert [row.history_change_reason for row in second.history.all()] == [
        "dropped", "acceptance taken back", "accepted", "planned",
    ]  # fmt: skip


def test_two_people_and_a_plan(creek: AutumnYard) -> None:
    plan = proposed(creek)
    other = StowPlan.objects.get(pk=plan.pk)
    accept(plan, seen_version=plan.version, by=None, now=NOW)
    with pytest.raises(StaleRow):
        accept(other, seen_version=other.version, by=None, now=NOW)
    with pytest.raises(StowRefused, match="waits no longer"):
        accept(plan, seen_version=plan.version, by=None, now=NOW)


# --- the hauls of the posted plan, where they are on other days


def posted(creek: AutumnYard, *days: int, number: int = 4) -> MadePlan:
    """A plan on the wall that hauls Wren, Teal and Smew at 10:00 on these days of October; 0: not at all."""
    MadePlan.objects.filter(state="posted").update(state="superseded")
    plan = MadePlan.objects.create(number=number, state="posted", made_at=NOW, posted_at=NOW, facts_revision=0)
    for boat, day in enumerate(days):
        if day:
            at = datetime(2027, 10, day, 14, tzinfo=UTC)
            PlannedJob.objects.create(
                plan=plan, job=creek.job(boat, "haul"), starts_at=at, ends_at=at + timedelta(hours=1)
            )
    return plan


def one_row(creek: AutumnYard) -> None:
    """Everybody behind one another, with an apron on which two may stand in spring."""
    creek.rows[1].delete()
    Place.objects.filter(kind="store_row").update(capacity=3)
    Place.objects.create(ref="apron", name="Apron", kind="apron", capacity=2)


def moved_hauls(creek: AutumnYard, plan: StowPlan) -> HaulsMoved | None:
    ground = read_ground(BOATS, yard=creek.yard, now=NOW)
    return hauls_moved(plan, spots_of(plan), ground, ZoneInfo(creek.yard.time_zone))


def test_trivial_no_posted_plan_moves_no_haul(creek: AutumnYard) -> None:
    assert moved_hauls(creek, accepted(creek)) is None
    posted(creek)
    assert moved_hauls(creek, StowPlan.objects.get()) is None
    with pytest.raises(StowRefused, match="No posted plan hauls a boat"):
        propose(BOATS, yard=creek.yard, by=None, now=NOW, as_hauled=True)


def test_kept_hauls_on_the_days_that_were_asked_say_nothing(creek: AutumnYard) -> None:
    plan = accepted(creek)
    on = {spot.boat_id: spot.on for spot in plan.spots.all()}
    days = [day.day if (day := on[boat.pk]) else 0 for boat in creek.boats]
    assert len(set(days)) == 3  # two of one day would come in another turn than drawn
    posted(creek, *days)
    assert moved_hauls(creek, plan) is None


def test_later_in_the_same_turn_costs_nothing(creek: AutumnYard) -> None:
    """One row: Wren innermost, then Smew, then Teal, each a week later than asked."""
    one_row(creek)
    plan = accepted(creek)
    posted(creek, 19, 26, 25)
    found = moved_hauls(creek, plan)
    assert found is not None
    assert ({each.name for each in found.moved}, found.in_turn, found.extra) == ({"Wren", "Teal", "Smew"}, True, 0)


def test_broken_a_haul_that_slid_buries_somebody(creek: AutumnYard) -> None:
    """One row: Teal comes first after all and leaves first, so both others are moved for her: counted by hand."""
    one_row(creek)
    plan = accepted(creek)
    posted(creek, 20, 12, 22)
    found = moved_hauls(creek, plan)
    assert found is not None
    assert (found.number, found.in_turn, found.extra, plan.figures["extra"]) == (4, False, 2, 0)


def test_filled_again_by_the_hauls_as_they_are(creek: AutumnYard) -> None:
    """Two rows of two. In the accepted rows Wren, who leaves last, stands behind Smew; hauled in the other turn Smew is
    behind her, and Wren is moved once. Filled again, Smew has a row alone and Teal, who leaves first, stands before
    Wren: nobody is moved."""
    plan = accepted(creek)
    drawn = plan.spots.order_by("place__sequence", "position").values_list("boat__name", "place__sequence")
    assert {frozenset(name for name, at in drawn if at == row) for row in (1, 2)} == {
        frozenset({"Wren", "Smew"}), frozenset({"Teal"}),
    }  # fmt: skip
    posted(creek, 20, 22, 12)
    again = propose(BOATS, yard=creek.yard, by=None, now=NOW, as_hauled=True)
    assert (again.figures["hauled_by"], again.figures["before"], again.figures["extra"]) == (4, 1, 0)
    assert {spot.boat.name: spot.on for spot in again.spots.all()} == {
        "Wren": date(2027, 10, 20), "Teal": date(2027, 10, 22), "Smew": date(2027, 10, 12),
    }  # fmt: skip
    assert moved_hauls(creek, again) is None
    assert not is_old(creek, again, now=NOW)
    accept(again, seen_version=again.version, by=None, now=NOW)
    plan.refresh_from_db()
    assert plan.state == "dropped"


def test_a_boat_that_the_posted_plan_does_not_haul_comes_last(creek: AutumnYard) -> None:
    """Wren was left out. One row: she stands outermost, wanted on the 12th as her owner said."""
    one_row(creek)
    posted(creek, 0, 20, 13)
    again = propose(BOATS, yard=creek.yard, by=None, now=NOW, as_hauled=True)
    spots = again.spots.order_by("position")
    assert [(spot.boat.name, spot.on.day if spot.on else 0) for spot in spots] == [
        ("Smew", 13), ("Teal", 20), ("Wren", 12),
    ]  # fmt: skip


def test_a_posted_plan_holds_by_the_rows_that_were_filled_by_it(creek: AutumnYard) -> None:
    """One row. Wren, who stands innermost, comes days after Teal, who is before her: a fault, until it is filled again.

    All of Wren's work is moved by whole days of the axis, so that nothing else is broken.
    """
    one_row(creek)
    accepted(creek)
    read = read_problem(now=NOW)
    plan = planned(read).plan
    a_day = read.axis.calendar.quarters_per_day
    later = 1 + (starts(read, plan, creek.job(1, "haul")) - starts(read, plan, creek.job(0, "haul"))) // a_day
    slid = plan
    for key in ("haul", "wash_bottom", "winterise"):
        slid = moved(read, slid, creek.job(0, key), later * a_day)
    assert "store_row" in {fault.rule for fault in autumn_faults(read, slid)}
    on_the_wall, timeline = posted(creek), read.axis.timeline
    hauls = set(Job.objects.filter(key="haul").values_list("pk", flat=True))
    for row in slid.placements:
        if (pk := read.jobs[row.job]) in hauls:
            at, ends = timeline.starts_at(row.starts_at), timeline.ends_at(row.ends_at)
            PlannedJob.objects.create(plan=on_the_wall, job_id=pk, starts_at=at, ends_at=ends)
    again = propose(BOATS, yard=creek.yard, by=None, now=NOW, as_hauled=True)
    accept(again, seen_version=again.version, by=None, now=NOW)
    assert "store_row" not in {fault.rule for fault in autumn_faults(read, slid)}


# --- the season keeps it: the rows' order, the wash, the last day. Each trivial, kept and broken, by both checks


def test_trivial_without_a_plan_nothing_is_asked(creek: AutumnYard) -> None:
    Job.objects.update(finish_by_date=None)
    read = read_problem(now=NOW)
    assert not [link for link in read.problem.links if "stand" in link.reason]
    found = planned(read)
    assert (list(faults(read.problem, found.plan)), autumn_faults(read, found.plan)) == ([], [])


def test_kept_whoever_stands_farther_in_is_hauled_first(creek: AutumnYard) -> None:
    spots = list(accepted(creek).spots.order_by("place_id", "position"))
    read = read_problem(now=NOW)
    found = planned(read)
    assert (list(faults(read.problem, found.plan)), autumn_faults(read, found.plan)) == ([], [])
    inner, outer = next((a, b) for a, b in pairwise(spots) if a.place_id == b.place_id)
    hauls = {spot.boat_id: Job.objects.get(order__boat=spot.boat, key="haul") for spot in (inner, outer)}
    assert starts(read, found.plan, hauls[inner.boat_id]) < starts(read, found.plan, hauls[outer.boat_id])
    row = next(n for n, pk in enumerate(read.places) if pk == inner.place_id)
    assert sum(stay.any_of == (row,) for stay in read.problem.stays) == 2


def test_broken_a_haul_out_of_turn_is_found_by_both_and_not_saved(creek: AutumnYard) -> None:
    spots = list(accepted(creek).spots.order_by("place_id", "position"))
    inner = next(a for a, b in pairwise(spots) if a.place_id == b.place_id)
    read = read_problem(now=NOW)
    found = planned(read)
    late = Job.objects.filter(order__boat=inner.boat, state="open").order_by("sequence")
    broken = found.plan
    for job in late:
        broken = moved(read, broken, job, read.problem.calendar.quarters_per_day)
    assert {fault.rule for fault in faults(read.problem, broken)} == {"waits"}
    assert [fault.rule for fault in autumn_faults(read, broken)] == ["store_row"]
    with pytest.raises(PlanRefused) as refused:
        save_plan(read, replace(found, plan=broken), Making(None, NOW, 1))
    assert any("who stands behind her" in sentence for sentence in refused.value.faults)


def test_broken_a_wash_that_comes_late(creek: AutumnYard) -> None:
    read = read_problem(now=NOW)
    found = planned(read)
    broken = moved(read, moved(read, found.plan, creek.job(0, "wash_bottom"), 10), creek.job(0, "winterise"), 10)
    assert "waits" in {fault.rule for fault in faults(read.problem, broken)}
    told = autumn_faults(read, broken)
    assert [fault.rule for fault in told] == ["wash_at_once"]
    assert "at most 120" in told[0].message


def test_broken_winterised_after_the_last_day(creek: AutumnYard) -> None:
    read = read_problem(now=NOW)
    found = planned(read)
    job = creek.job(0, "winterise")
    at = starts(read, found.plan, job)
    late = read.axis.timeline.first_at_or_after(read.axis.minute(NOW + timedelta(days=18)))
    broken = moved(read, found.plan, job, late - at)
    assert {fault.rule for fault in faults(read.problem, broken)} == {"release"}
    told = autumn_faults(read, broken)
    assert [fault.rule for fault in told] == ["freeze"]
    assert "Wren is winterised after 22 October" in told[0].message


def test_a_person_may_waive_the_last_day(creek: AutumnYard, django_user_model) -> None:
    job = creek.job(0, "winterise")
    ada = django_user_model.objects.create_user("ada")
    Waiver.objects.create(job=job, rule="release", reason="she is in the shed", made_by=ada, made_at=NOW)
    read = read_problem(now=NOW)
    found = planned(read)
    late = read.axis.timeline.first_at_or_after(read.axis.minute(NOW + timedelta(days=18)))
    broken = moved(read, found.plan, job, late - starts(read, found.plan, job))
    assert (list(faults(read.problem, broken)), autumn_faults(read, broken)) == ([], [])


def test_a_last_day_that_does_not_bind_costs_instead(creek: AutumnYard) -> None:
    """Each winterising is a unit of lateness of its own, due on its day; late, it is no fault."""
    AutumnRules.objects.create(freeze_binds=False)
    read = read_problem(now=NOW)
    assert len(read.problem.orders) == len(read.orders) == 9  # three orders, three last days, three hauls asked for
    assert read.orders[3:] == 2 * tuple(order.pk for order in creek.orders)
    assert all(job.not_after is None for job in read.problem.jobs)
    found = planned(read)
    job = creek.job(0, "winterise")
    late = read.axis.timeline.first_at_or_after(read.axis.minute(NOW + timedelta(days=18)))
    broken = moved(read, found.plan, job, late - starts(read, found.plan, job))
    assert (list(faults(read.problem, broken)), autumn_faults(read, broken)) == ([], [])
    saved = save_plan(read, found, Making(None, NOW, 1))
    assert saved.planned_jobs.count() == 9


def test_a_haul_is_late_after_the_day_that_was_asked_for(creek: AutumnYard) -> None:
    """Wren asked for Tue 12 October and may be done until the 29th: each working day that her haul comes later counts,
    once and as her order does, though her order as a whole is late only after the 29th."""
    Order.objects.filter(pk=creek.orders[0].pk).update(goes_first=2)
    Order.objects.filter(pk=creek.orders[1].pk).update(wanted_date=None)
    read = read_problem(now=NOW)
    asked = {unit.key: (unit.due_day, unit.goes_first) for unit in read.problem.orders if unit.key.startswith("haul-")}
    days = [read.axis.due_day(date(2027, 10, day)) for day in (12, 18)]
    hauls = [creek.job(boat, "haul").pk for boat in (0, 2)]
    assert asked == {f"haul-{hauls[0]}": (days[0], 2), f"haul-{hauls[1]}": (days[1], 1)}
    assert read.orders[3:] == (creek.orders[0].pk, creek.orders[2].pk)
    found = planned(read)
    assert score(read.problem, found.plan).weighted_days_late == 0
    at = read.axis.timeline.first_at_or_after(read.axis.minute(datetime(2027, 10, 14, 15, tzinfo=UTC)))
    job = creek.job(0, "haul")
    later = moved(read, found.plan, job, at - starts(read, found.plan, job))
    assert score(read.problem, later).weighted_days_late == 2 * 2  # Wed and Thu, and she goes first twice


def test_who_hauls_on_a_late_tide_washes_then_too() -> None:
    """A wash within 2 h slides with the haul's tide; what may wait for days, and what follows the wash, does not."""
    hauled, washed, wintered, covered = (
        tiny.job("haul", tiny.way(6, slides=True)),
        *(tiny.job(name, tiny.way(8)) for name in ("wash", "winterise", "cover")),
    )
    links = [
        Link(before=0, after=1, max_wait=120, reason="wash at once"),
        Link(before=1, after=2, min_wait=0),
        Link(before=0, after=3, min_wait=0, max_wait=3 * 1440),
    ]
    found = sliding_together([hauled, washed, wintered, covered], links)
    assert [row.ways[0].slides for row in found] == [True, True, False, False]
    assert sliding_together([replace(hauled, ways=(tiny.way(6),)), washed], links[:1])[1].ways[0].slides is False


def test_a_last_day_that_has_passed_binds_nobody(creek: AutumnYard) -> None:
    Job.objects.filter(key="winterise").update(finish_by_date=date(2027, 10, 1))
    read = read_problem(now=NOW)
    assert all(job.not_after is None for job in read.problem.jobs)
    assert autumn_faults(read, planned(read).plan) == []


# --- what is done is on file


def test_hauled_she_stands_in_her_row(creek: AutumnYard) -> None:
    spot = accepted(creek).spots.order_by("place_id", "position").first()
    assert spot is not None
    job = Job.objects.get(order__boat=spot.boat, key="haul")
    record_event(Done(job, ended_at=NOW), by=None, now=NOW)
    here = spot.boat.whereabouts.latest("since")
    assert (here.kind, here.place_id, here.position) == ("store_row", spot.place_id, 1)


# --- rules and the freeze


def rules(**values: object) -> AutumnRules:
    row = AutumnRules.objects.filter(pk=1).first()
    return save_rules(values, seen_version=row.version if row else 0, by=None, now=NOW)


def test_the_last_day_comes_from_the_published_table(creek: AutumnYard) -> None:
    """New Bedford, 32 °F: 10 in 100 by 22 October, half by 10 November (UMass Extension's table)."""
    assert last_day(AutumnRules(), TODAY) is None
    row = rules(freeze_station="new-bedford-ma", freeze_in_100=10)
    found = last_day(row, TODAY)
    assert found is not None
    assert (found.on, found.chance, found.own) == (date(2027, 10, 22), About(10), False)
    own = last_day(rules(freeze_own_day="10-15"), TODAY)
    assert own is not None
    assert (own.on, own.chance, own.own) == (date(2027, 10, 15), FewerThan(10), True)


def test_all_open_winterising_is_brought_to_the_day(creek: AutumnYard) -> None:
    assert bring_to_last_day(by=None, now=NOW, today=TODAY) == 0
    rules(freeze_station="new-bedford-ma", freeze_in_100=50)
    assert bring_to_last_day(by=None, now=NOW, today=TODAY) == 3
    assert bring_to_last_day(by=None, now=NOW, today=TODAY) == 0
    assert set(Job.objects.filter(key="winterise").values_list("finish_by_date", flat=True)) == {date(2027, 11, 10)}


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"freeze_station": "atlantis"}, "freeze_station"),
        ({"freeze_station": "albany-ny", "freeze_below_f": 36}, "freeze_below_f"),
        ({"freeze_own_day": "02-29"}, "freeze_own_day"),
        ({"freeze_own_day": "15 Nov"}, "freeze_own_day"),
        ({"freeze_in_100": 5}, "freeze_in_100"),
        ({"hauls_a_day": 0}, "hauls_a_day"),
    ],
)
def test_rules_that_cannot_be_are_refused(db: None, values: dict[str, object], field: str) -> None:
    YardSettings.objects.create(name="Creek", time_zone="America/New_York")
    with pytest.raises(RulesRefused) as refused:
        rules(**values)
    assert field in refused.value.faults
    assert not AutumnRules.objects.exists()


def test_what_a_row_holds(creek: AutumnYard) -> None:
    row = save_stack(creek.rows[0], {"length_m": 15.0}, seen_version=0, by=None, now=NOW)
    with pytest.raises(StaleRow):
        save_stack(creek.rows[0], {"length_m": 16.0}, seen_version=0, by=None, now=NOW)
    with pytest.raises(RulesRefused):
        save_stack(creek.rows[0], {"levels": 2}, seen_version=row.version, by=None, now=NOW)
    other = Place.objects.create(ref="ramp", name="Ramp", kind="ramp")
    with pytest.raises(RulesRefused, match="neither a row"):
        save_stack(other, {}, seen_version=0, by=None, now=NOW)
    assert StackMeasure.objects.get().length_m == 15.0
    assert Item.objects.count() == 3
    assert not ItemWhereabouts.objects.exists()
