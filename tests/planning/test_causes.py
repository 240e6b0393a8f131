"""Why a job starts no sooner: each kind of reason on the smallest yard that shows it, derived by hand.

Days are 08:00 to 10:00, eight quarters; position 8 is the second day, 08:00. A reason counts from an hour on.
"""

from __future__ import annotations

import time
from itertools import product

import pytest
from hypothesis import HealthCheck, assume, given, settings

from tests import season_generator as generator
from tests.planning.brute import every_placement, every_stays
from tests.planning.small import problems
from tests.planning.tiny import (
    ANN,
    JO,
    calendar,
    crew,
    every_day,
    job,
    person,
    place,
    plan,
    pos,
    put,
    span,
    way,
    windows,
    yard,
)
from tests.seasons import problem_of
from yard import speech
from yard.planning.causes import Cause, causes
from yard.planning.check import faults
from yard.planning.listing import list_plan
from yard.planning.load import person_weeks
from yard.planning.plan import Placement, Plan, score
from yard.planning.problem import Link, Problem, Stay


def of_order(problem: Problem, found: Plan, order: int = 0) -> list[Cause]:
    return list(causes(problem, found).get(order, ()))


def main(problem: Problem, found: Plan, order: int = 0) -> Cause:
    """The reason that is neither the first job's beginning nor a wait."""
    (cause,) = [row for row in of_order(problem, found, order) if row.kind not in ("now", "dates", "wait")]
    return cause


def test_a_job_that_starts_at_once_has_no_reason_but_that_it_begins():
    assert [row.kind for row in of_order(yard(job("tune", 2)), plan(put(0, 0, 2)))] == ["now"]


def test_three_quarters_are_no_reason_and_an_hour_is_one():
    problem = yard(job("tune", 2))
    assert [row.kind for row in of_order(problem, plan(put(0, 3, 5)))] == ["now"]
    assert [row.kind for row in of_order(problem, plan(put(0, 4, 6)))] == ["now", "room"]


def test_room_says_when_it_could_start():
    cause = main(yard(job("tune", 2)), plan(put(0, 8, 10)))
    assert (cause.kind, cause.ready_at, cause.starts_at, cause.days, cause.could_start_at) == ("room", 0, 8, 1, 0)


def test_a_free_quarter_just_before_its_start_is_not_the_reason():
    """Water from 08:30 of the second day, position 10; planned at 11: the water held it for ten quarters of eleven."""
    water = windows("water", span(1, "08:30", "10:00"))
    cause = main(yard(job("launch", way(2, inside=(0,))), window_sets=(water,)), plan(put(0, 11, 13)))
    assert (cause.kind, cause.starts_at) == ("water", 10)


def test_water():
    """Her water is on the second day alone, from 08:30: position 10."""
    water = windows("water", span(1, "08:30", "10:00"))
    cause = main(yard(job("launch", way(2, inside=(0,))), window_sets=(water,)), plan(put(0, 10, 12)))
    assert (cause.kind, cause.days, cause.could_start_at) == ("water", 1, 0)


def test_light():
    light = windows("light", span(0, "09:30", "10:00"))
    cause = main(yard(job("paint", way(2, inside=(0,))), window_sets=(light,)), plan(put(0, 6, 8)))
    assert cause.kind == "light"


def test_closed():
    shut = windows("closed", span(1, "08:00", "10:00"))
    assert main(yard(job("paint", way(2, inside=(0,))), window_sets=(shut,)), plan(put(0, 8, 10))).kind == "closed"


def test_people_at_other_work():
    """Jo alone can rig and is at Teal's mast until 09:30."""
    problem = yard(
        job("mast", way(6, crew=crew(1)), boat=1, order=1),
        job("tune", way(2, crew=crew(1))),
        people=(person("Jo"), person("Ann", "sew")),
    )
    cause = main(problem, plan(put(0, 0, 6, [JO]), put(1, 6, 8, [JO])))
    assert (cause.kind, cause.detail, cause.could_start_at) == ("people", "rig", 0)


def test_one_of_two_free_is_room():
    problem = yard(job("mast", way(6, crew=crew(1)), boat=1, order=1), job("tune", way(2, crew=crew(1))))
    assert main(problem, plan(put(0, 0, 6, [JO]), put(1, 6, 8, [ANN]))).kind == "room"


def test_the_evening_is_not_the_reason_where_jo_is_busy_all_day():
    """Jo works from 08:00 to 09:00. Ready Monday 09:00, Jo is at Teal's on Tuesday, so it starts on Wednesday.

    Without hours it could start on Monday at 09:00, without Jo's other work on Tuesday: two thirds as much.
    """
    problem = yard(
        job("mast", way(4, crew=crew(1)), boat=1, order=1),
        job("sand", 4),
        job("tune", way(4, crew=crew(1))),
        people=(person("Jo", hours=every_day("08:00", "09:00", days=3)),),
        calendar=calendar(3),
        links=(Link(before=1, after=2),),
    )
    cause = main(problem, plan(put(0, 8, 12, [JO]), put(1, 0, 4), put(2, 16, 20, [JO])))
    assert (cause.kind, cause.could_start_at) == ("people", 8)


def test_two_needs_of_one_skill_are_told_together():
    problem = yard(job("tune", way(2, crew=crew(1, 1))), people=(person("Jo"), person("Ann", hours=every_day("09:00"))))
    assert main(problem, plan(put(0, 4, 6, [JO, ANN]))).detail == "2 rig"


def test_skills_of_a_reason_are_keys_whatever_the_language(monkeypatch):
    """The board finds the yard's own names by them."""
    monkeypatch.setattr(speech._voice, "gettext", lambda message: message.replace(" and ", " und "))
    both = crew(1) + crew(1, skill="sew")
    problem = yard(
        job("tune", way(2, crew=both)), people=(person("Jo"), person("Ann", "sew", hours=every_day("09:00")))
    )
    assert main(problem, plan(put(0, 4, 6, [JO, ANN]))).detail == "rig and sew"


def test_people_not_at_work():
    """Jo comes at 09:00, position 4."""
    problem = yard(job("tune", way(2, crew=crew(1))), people=(person("Jo", hours=every_day("09:00")),))
    cause = main(problem, plan(put(0, 4, 6, [JO])))
    assert (cause.kind, cause.could_start_at) == ("hours", 0)


def test_a_place_taken_and_how_many():
    """Two units: with one other job there is room, with two there is none."""
    floor = place("Floor", capacity=2)
    tasks = [job(f"sew {n}", way(6, places=(0,)), boat=n, order=n) for n in (1, 2)]
    problem = yard(*tasks, job("cut", way(2, places=(0,))), places=(floor,))
    kept = plan(put(0, 0, 6, places=[(0, 0)]), put(1, 0, 6, places=[(0, 1)]), put(2, 6, 8, places=[(0, 0)]))
    cause = main(problem, kept)
    assert (cause.kind, cause.detail) == ("places", "Floor")
    one = yard(tasks[0], job("cut", way(2, places=(0,))), places=(floor,))
    assert main(one, plan(put(0, 0, 6, places=[(0, 0)]), put(1, 6, 8, places=[(0, 0)]))).kind == "room"


def test_her_other_work():
    """One boat, two orders: both jobs need her."""
    problem = yard(job("sand", 6, order=1, needs_boat=True), job("tune", 2, needs_boat=True))
    assert main(problem, plan(put(0, 0, 6), put(1, 6, 8))).kind == "boat"


def test_no_berth_for_the_first_night():
    """One berth; Teal lies there in the night after day 0, so Wren's launch waits for day 1."""
    problem = yard(
        job("launch", 1),
        job("deliver", 1),
        job("launch Teal", 1, boat=1, order=1),
        job("deliver Teal", 1, boat=1, order=1),
        places=(place("Berth"),),
        stays=(
            Stay(boat=0, any_of=(0,), from_job=0, until_job=1),
            Stay(boat=1, any_of=(0,), from_job=2, until_job=3),
        ),
        links=(Link(before=0, after=1), Link(before=2, after=3)),
    )
    kept = plan(put(0, 9, 10), put(1, 10, 11), put(2, 0, 1), put(3, 8, 9), stays=[(0, 0, 0), (1, 0, 0)])
    cause = main(problem, kept)
    assert (cause.kind, cause.detail, cause.job) == ("berths", "Berth", 0)


def test_two_things_together_are_crowded():
    """All of day 0 Jo is at Teal's mast and the bench is taken for Plover: neither alone would be enough."""
    problem = yard(
        job("mast", way(8, crew=crew(1)), boat=1, order=1),
        job("sew", way(8, places=(0,)), boat=2, order=2),
        job("tune", way(2, crew=crew(1), places=(0,))),
        people=(person("Jo"),),
        places=(place("Bench"),),
    )
    kept = plan(put(0, 0, 8, [JO]), put(1, 0, 8, places=[(0, 0)]), put(2, 8, 10, [JO], [(0, 0)]))
    assert main(problem, kept).kind == "crowded"


def test_a_wait_is_told_with_the_links_reason():
    """Ends 08:30, four hours of cure: 12:30 is past the day, so ready on the second morning, position 8."""
    problem = yard(job("seal", 2), job("paint", 2), links=(Link(before=0, after=1, min_wait=240, reason="cures"),))
    found = of_order(problem, plan(put(0, 0, 2), put(1, 8, 10)))
    assert [(row.kind, row.detail, row.ready_at, row.starts_at) for row in found] == [
        ("now", "", 0, 0),
        ("wait", "cures", 2, 8),
    ]


def test_the_weather_allowance_is_a_wait_for_weather():
    """Six quarters of working time after 08:30 end at 10:00: the next day."""
    problem = yard(job("seal", 2, allowance_quarters=6), job("paint", 2), links=(Link(before=0, after=1),))
    found = of_order(problem, plan(put(0, 0, 2), put(1, 8, 10)))
    assert ("wait", "weather") in [(row.kind, row.detail) for row in found]


def test_it_waits_for_the_job_that_must_follow_soon():
    """The launch has water on day 1 only and must come within an hour of the paint."""
    problem = yard(
        job("paint", 2),
        job("launch", way(2, inside=(0,))),
        window_sets=(windows("water", span(1, "09:00", "10:00")),),
        links=(Link(before=0, after=1, max_wait=60),),
    )
    found = of_order(problem, plan(put(0, 10, 12), put(1, 12, 14)))
    assert ("follows", "launch") in [(row.kind, row.detail) for row in found]


def test_its_own_dates():
    problem = yard(job("cut", 2, not_before=span(1, "08:00", "09:00")[0]))
    assert [(row.kind, row.starts_at) for row in of_order(problem, plan(put(0, 8, 10)))] == [("dates", pos(1, "08:00"))]


def every_change(problem: Problem, found: Plan, job: int, starts: range) -> list[Placement]:
    return [
        row for row in every_placement(problem, job) if row.starts_at in starts and row.way == found.by_job()[job].way
    ]


def test_a_place_stays_taken_to_the_end_of_the_day_at_most():
    """Paint dries on the apron for an hour after the day's last minute; the next morning the apron is free."""
    paint = job("paint", way(8, places=(0,), place_extra_quarters=4), boat=1, order=1)
    problem = yard(paint, job("wash", way(2, places=(0,))), places=(place("Apron"),))
    cause = main(problem, plan(put(0, 0, 8, places=[(0, 0)]), put(1, 12, 14, places=[(0, 0)])))
    assert (cause.kind, cause.starts_at) == ("places", 8)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow])
@given(problem=problems(max_jobs=2))
def test_a_held_job_really_has_no_earlier_start(problem: Problem):
    """Against the check, which shares no code: everything else as planned, no placement between ready and start holds.

    The plan is the last valid one of all, so that there is something to hold.
    """
    assume(not problem.pins)
    options = [list(every_placement(problem, job)) for job in range(len(problem.jobs))]
    assume(all(len(rows) <= 60 for rows in options))
    late_first = sorted(product(*options), key=lambda rows: [-row.starts_at for row in rows])
    stays = list(every_stays(problem))
    tried = ((rows, at) for rows in late_first[:400] for at in stays)
    kept = next(
        (found for rows, at in tried if not faults(problem, found := Plan(placements=tuple(rows), stays=at))), None
    )
    assume(kept is not None)
    assert kept is not None
    for row in (cause for reasons in causes(problem, kept).values() for cause in reasons):
        if row.kind in ("room", "follows", "wait", "now", "dates"):
            continue
        own = {n for n, stay in enumerate(problem.stays) if row.job in (stay.from_job, stay.until_job)}
        others = {at for at in kept.stays if at.stay not in own}
        lying = [at for at in stays if others <= set(at)]
        for other in every_change(problem, kept, row.job, range(row.ready_at, row.starts_at)):
            rows = tuple(other if placed.job == row.job else placed for placed in kept.placements)
            assert all(faults(problem, Plan(placements=rows, stays=at)) for at in lying), (row, other)


@pytest.mark.parametrize("started", [0, 4])
def test_the_load_of_a_week_counts_from_now(started: int):
    """Jo works 16 quarters in two days and is booked for 2 of them; from 09:00 on, 12, and still booked."""
    days = calendar(day_names=("2027-05-03", "2027-05-04"))
    problem = yard(job("tune", way(2, crew=crew(1))), people=(person("Jo"),), calendar=days, now=started)
    (week,) = person_weeks(problem, plan(put(0, 5, 7, [JO])))
    assert (week.planned_min, week.available_min) == (30, (16 - started) * 15)
    assert week.monday.isoformat() == "2027-05-03"


REASON_S = 0.05


def test_the_reasons_of_a_late_boat_take_less_than_a_twentieth_of_a_second():
    """The whole season M at once (100 boats, a list with many late), in the machine's own seconds of work."""
    problem = problem_of(generator.season("M", seed=1))
    kept = list_plan(problem)
    late = score(problem, kept).late_orders
    began = time.process_time()
    told = causes(problem, kept)
    spent = time.process_time() - began
    assert late > 10
    assert len(told) == len(problem.orders)
    assert spent / late < REASON_S
