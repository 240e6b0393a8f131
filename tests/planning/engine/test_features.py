"""One rule at a time on the smallest yard that shows it; each expected position is worked out in the docstring.

A day has eight quarters, 08:00 to 10:00; position 3 is day 0, 08:45; position 8 is day 1, 08:00 (see `tests.planning.
tiny`).  Everything is tried through the list and through the search, whose jobs here have one best start.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from tests.planning.tiny import (
    ANN,
    DAY_MIN,
    JO,
    at,
    calendar,
    crew,
    every_day,
    job,
    person,
    place,
    pos,
    span,
    way,
    windows,
    yard,
)
from yard.planning import engine as e
from yard.planning.check import faults
from yard.planning.layout import compile_problem
from yard.planning.listing import list_plan
from yard.planning.plan import Placement, Plan, Planned
from yard.planning.problem import Crew, Inside, Link, Pin, PlaceNeed, Problem, Slide, Stay
from yard.planning.progress import Rounds
from yard.planning.solve import solve
from yard.planning.state import empty_state

Planner = Callable[[Problem], Plan]


def searched(problem: Problem) -> Plan:
    result = solve(problem, stop=Rounds(80), workers=1, backend="python")
    assert isinstance(result, Planned)
    return result.plan


@pytest.fixture(params=[list_plan, searched], ids=["list", "search"])
def planner(request: pytest.FixtureRequest) -> Planner:
    def run(problem: Problem) -> Plan:
        plan: Plan = request.param(problem)
        assert faults(problem, plan) == ()
        return plan

    return run


def only(plan: Plan, number: int) -> Placement:
    return plan.by_job()[number]


def test_a_job_waits_for_its_water(planner: Planner) -> None:
    """Water 08:20 to 09:10: the first whole quarter begins 08:30, and two quarters end 09:00."""
    problem = yard(job("launch", way(2, inside=(0,))), window_sets=(windows("water", span(0, "08:20", "09:10")),))
    assert only(planner(problem), 0).starts_at == pos(0, "08:30")


def test_only_floating_off_needs_the_water(planner: Planner) -> None:
    """Loading takes two quarters before the one quarter that needs water from 09:00: so it starts at 08:30."""
    inside = Inside(window_set=0, offset_quarters=2, length_quarters=1)
    problem = yard(job("launch", way(4, inside=(inside,))), window_sets=(windows("water", span(0, "09:00", "09:15")),))
    assert only(planner(problem), 0).starts_at == pos(0, "08:30")


def test_a_break_is_no_time_for_a_job_of_one_stretch(planner: Planner) -> None:
    """Jo has 08:00 to 08:30 and 08:45 to 10:00: three quarters fit first at 08:45."""
    jo = person("Jo", hours=(span(0, "08:00", "08:30"), span(0, "08:45", "10:00")))
    problem = yard(job("paint", way(3, crew=crew(1))), people=(jo,))
    assert only(planner(problem), 0).starts_at == pos(0, "08:45")


def test_bench_work_goes_on_after_breaks_and_nights(planner: Planner) -> None:
    """Jo works 08:00 to 08:30 and 09:00 to 09:30 each day, four quarters a day. Five quarters from 08:00 on day 0 take
    all four of them and the first of day 1: the span ends at 08:15 of day 1, position 9."""
    hours = tuple(h for day in (0, 1) for h in (span(day, "08:00", "08:30"), span(day, "09:00", "09:30")))
    problem = yard(job("sew", way(5, crew=crew(1)), pausing="paused"), people=(person("Jo", hours=hours),))
    placed = only(planner(problem), 0)
    assert (placed.starts_at, placed.ends_at) == (pos(0, "08:00"), pos(1, "08:15"))


def test_bench_work_is_not_cut_by_leave(planner: Planner) -> None:
    """Jo is away 09:30 to 10:00 on day 0, so seven quarters cannot begin on that day: they begin with day 1."""
    jo = person("Jo", away=(span(0, "09:30", "10:00"),))
    problem = yard(job("sew", way(7, crew=crew(1)), pausing="paused"), people=(jo,))
    assert only(planner(problem), 0).starts_at == pos(1, "08:00")


def test_bench_work_of_two_counts_the_hours_both_keep(planner: Planner) -> None:
    """Jo works until 09:00, Ann from 08:30: two quarters a day together. Three end with 08:45 of day 1."""
    jo = person("Jo", hours=every_day("08:00", "09:00"))
    ann = person("Ann", hours=every_day("08:30", "10:00"))
    problem = yard(job("sew", way(3, crew=crew(2)), pausing="paused"), people=(jo, ann))
    placed = only(planner(problem), 0)
    assert (placed.starts_at, placed.ends_at) == (pos(0, "08:30"), pos(1, "08:45"))


def test_drying_runs_through_the_night(planner: Planner) -> None:
    """Hung up at 08:00, dry after 24 h (96 quarters of the clock): folded at 08:00 of day 1."""
    problem = yard(job("dry", 96, pausing="elapsed"), job("fold", 1), links=(Link(before=0, after=1),))
    plan = planner(problem)
    assert only(plan, 0).ends_at == pos(1, "08:00")
    assert only(plan, 1).starts_at == pos(1, "08:00")


def test_a_wait_counts_from_the_very_minute_that_drying_ends(planner: Planner) -> None:
    """Days of 08:00 to 10:00 and 08:10 to 10:10. Dry from 08:00 for 24 h ends at 08:00; 15 min later is 08:15, and
    day 1's quarters begin 08:10, 08:25: so the second one."""
    problem = yard(
        job("dry", 96, pausing="elapsed"),
        job("fold", 1),
        links=(Link(before=0, after=1, min_wait=15),),
        calendar=calendar(day_starts=(at(0, "08:00"), at(1, "08:10"))),
    )
    assert only(planner(problem), 1).starts_at == 9


def test_the_weather_allowance_is_counted_in_the_yards_hours(planner: Planner) -> None:
    """Cover off ends 09:30; the yard is open until 09:45 and from 08:15: of three quarters one is left today and two
    are over at 08:45 tomorrow."""
    problem = yard(
        job("cover off", 6, allowance_quarters=3),
        job("wash", 1),
        links=(Link(before=0, after=1),),
        calendar=calendar(opens_quarter=1, closes_quarter=7),
    )
    assert only(planner(problem), 1).starts_at == pos(1, "08:45")


def test_the_allowance_after_drying_begins_with_a_whole_quarter(planner: Planner) -> None:
    """Day 1 has quarters at 08:10, 08:25, 08:40. Dry at 08:15 (97 quarters of the clock from 08:00); the allowance of
    one quarter is 08:25 to 08:40; five minutes less is 08:35, so 08:40, the third quarter."""
    problem = yard(
        job("dry", 97, pausing="elapsed", allowance_quarters=1),
        job("fold", 1),
        links=(Link(before=0, after=1, min_wait=-5),),
        calendar=calendar(day_starts=(at(0, "08:00"), at(1, "08:10"))),
    )
    assert only(planner(problem), 1).starts_at == 10


def test_a_place_stays_taken_for_the_allowance_but_not_overnight(planner: Planner) -> None:
    """Three boats want the deck for three quarters and two more: the second starts at 08:00 + 5 quarters, 09:15, and
    then keeps the deck only to the end of the day; the third has it at 08:00 of day 1."""
    rows = [job(f"wash {n}", way(3, places=(0,), place_extra_quarters=2), boat=n, order=n) for n in range(3)]
    plan = planner(yard(*rows, places=(place("Deck"),)))
    assert sorted(row.starts_at for row in plan.placements) == [pos(0, "08:00"), pos(0, "09:15"), pos(1, "08:00")]


def test_a_closed_place_is_not_used_but_the_allowance_may_lie_there(planner: Planner) -> None:
    """The deck is shut from 08:45. Three quarters at 08:00 end just then; the two of the allowance lie in the shut
    time, where nobody works."""
    deck = place("Deck", closed=(span(0, "08:45", "10:00"),))
    problem = yard(job("wash", way(3, places=(0,), place_extra_quarters=2)), places=(deck,))
    assert only(planner(problem), 0).starts_at == pos(0, "08:00")


def test_a_closed_place_is_waited_for(planner: Planner) -> None:
    """The deck is shut until 08:20, so the first whole quarter on it begins 08:30; bench work there waits as well."""
    deck = place("Deck", closed=(span(0, "08:00", "08:20"),))
    for pausing in ("fitted", "paused"):
        problem = yard(job("wash", way(3, places=(0,)), pausing=pausing), places=(deck,))
        assert only(planner(problem), 0).starts_at == pos(0, "08:30")


def test_units_of_one_need_come_from_one_place(planner: Planner) -> None:
    """Two units out of the shed (1) or the loft (2): only the loft has two."""
    need = PlaceNeed(any_of=(0, 1), units=2)
    plan = planner(yard(job("spread", way(2, places=(need,))), places=(place("Shed"), place("Loft", 2))))
    assert sorted(only(plan, 0).places) == [(1, 0), (1, 1)]


def test_another_place_when_the_first_is_taken(planner: Planner) -> None:
    """Both boats start at 08:00, one in the shed and one in the loft."""
    need = PlaceNeed(any_of=(0, 1))
    rows = [job(f"spread {n}", way(8, places=(need,)), boat=n, order=n) for n in range(2)]
    plan = planner(yard(*rows, places=(place("Shed"), place("Loft"))))
    assert [row.starts_at for row in plan.placements] == [0, 0]
    assert {row.places[0][0] for row in plan.placements} == {0, 1}


def test_two_needs_that_share_their_places(planner: Planner) -> None:
    """Shed or loft, and the loft: one unit each, so the first need must take the shed."""
    needs = (PlaceNeed(any_of=(0, 1)), PlaceNeed(any_of=(1,)))
    plan = planner(yard(job("spread", way(2, places=needs)), places=(place("Shed"), place("Loft"))))
    assert only(plan, 0).places == ((0, 0), (1, 0))


def test_the_way_that_is_done_first_is_taken(planner: Planner) -> None:
    """Two people need two quarters, one needs six. From 09:00 six no longer fit into day 0, so the two do it. With Ann
    away on day 0 the two would have to wait for day 1, so one does it from 08:00."""
    ways = (way(2, crew=crew(2)), way(6, crew=crew(1)))
    late = only(planner(yard(job("cover off", *ways, not_before=at(0, "09:00")))), 0)
    assert (late.way, late.starts_at) == (0, pos(0, "09:00"))
    ann = person("Ann", away=(span(0, "08:00", "10:00"),))
    alone = only(planner(yard(job("cover off", *ways), people=(person("Jo"), ann))), 0)
    assert (alone.way, alone.people) == (1, (JO,))


def test_named_people_by_halls_condition(planner: Planner) -> None:
    """An operator, a rigger and a hand. Jo can do all three, Ann rigging and the hand's, Bo the hand's alone: so Jo
    operates, Ann rigs, Bo lends a hand; nobody else will do."""
    people = (person("Jo", "operate", "rig", "hand"), person("Ann", "rig", "hand"), person("Bo", "hand"))
    needs = tuple(Crew(skill=skill) for skill in ("hand", "rig", "operate"))
    assert only(planner(yard(job("launch", way(4, crew=needs)), people=people)), 0).people == (2, 1, 0)


def test_nobody_is_named_for_what_another_could_do(planner: Planner) -> None:
    """A hand and an operator. Jo has fewer skills than Ann and would be named first for the hand's work, but she alone
    operates: so Ann lends the hand."""
    people = (person("Jo", "operate", "hand"), person("Ann", "hand", "rig", "sew"))
    needs = (Crew(skill="hand"), Crew(skill="operate"))
    assert only(planner(yard(job("load", way(4, crew=needs)), people=people)), 0).people == (ANN, JO)


def test_a_level_of_skill(planner: Planner) -> None:
    master = replace(person("Ann"), skills={"rig": 3})
    problem = yard(job("tune", way(2, crew=(Crew(skill="rig", level=2),))), people=(person("Jo"), master))
    assert only(planner(problem), 0).people == (ANN,)


def test_a_day_slides_for_a_tide(planner: Planner) -> None:
    """Jo works 08:30 to 09:30 and may begin half an hour early; water only 08:00 to 08:30."""
    slide = Slide(early_min=30, late_min=0, days_per_week=1, span_min=60)
    jo = person("Jo", hours=every_day("08:30", "09:30"), slide=slide)
    water = (windows("water", span(0, "08:00", "08:30"), span(1, "08:30", "09:00")),)
    launch = job("launch", way(2, crew=crew(1), inside=(0,), slides=True))
    assert only(planner(yard(launch, people=(jo,), window_sets=water)), 0).starts_at == pos(0, "08:00")
    still = replace(launch, ways=(replace(launch.ways[0], slides=False),))
    assert only(planner(yard(still, people=(jo,), window_sets=water)), 0).starts_at == pos(1, "08:30")


def test_a_slid_day_is_no_longer_than_another(planner: Planner) -> None:
    """After an early start at 08:00 the day of an hour is over at 09:00, though Jo's normal day ends 09:30: what needs
    three quarters more waits for day 1, at 08:30."""
    slide = Slide(early_min=30, late_min=0, days_per_week=1, span_min=60)
    jo = person("Jo", hours=every_day("08:30", "09:30"), slide=slide)
    problem = yard(
        job("launch", way(2, crew=crew(1), inside=(0,), slides=True)),
        job("tune", way(3, crew=crew(1))),
        people=(jo,),
        window_sets=(windows("water", span(0, "08:00", "08:30")),),
        links=(Link(before=0, after=1),),
    )
    assert only(planner(problem), 1).starts_at == pos(1, "08:30")


def test_a_job_longer_than_the_day_never_slides_it(planner: Planner) -> None:
    """Jo's day is an hour; five quarters would fit from 08:00 to 09:15 of a slid day, which would then be too long."""
    slide = Slide(early_min=30, late_min=0, days_per_week=2, span_min=60)
    jo = person("Jo", hours=every_day("08:30", "09:30"), slide=slide)
    problem = yard(job("launch", way(5, crew=crew(1), slides=True)), people=(jo,))
    assert [row.rule for row in planner(problem).left_out] == ["hours"]


def test_so_many_slid_days_a_week(planner: Planner) -> None:
    """Water at 08:00 of each of three days of one week, one slid day a week: the second launch has to wait for the
    water of day 2 inside normal hours, which lasts until 09:00."""
    slide = Slide(early_min=30, late_min=0, days_per_week=1, span_min=60)
    jo = person("Jo", hours=every_day("08:30", "09:30", days=3), slide=slide)
    water = windows("water", span(0, "08:00", "08:30"), span(1, "08:00", "08:30"), span(2, "08:00", "09:00"))
    rows = [job(f"launch {n}", way(2, crew=crew(1), inside=(0,), slides=True), boat=n, order=n) for n in range(2)]
    plan = planner(yard(*rows, people=(jo,), window_sets=(water,), calendar=calendar(3)))
    assert sorted(row.starts_at for row in plan.placements) == [pos(0, "08:00"), pos(2, "08:30")]


def test_a_berth_holds_one_boat_a_night(planner: Planner) -> None:
    """One berth. Both boats are launched at the end of a day and delivered at 08:00 of the next: so on different days,
    and the second's night begins when the first has left."""
    water = windows("water", *(span(day, "09:30", "10:00") for day in range(4)))
    away = windows("route", *(span(day, "08:00", "08:30") for day in range(4)))
    rows = []
    for n in range(2):
        rows += [
            job(f"launch {n}", way(2, inside=(0,)), boat=n, order=n),
            job(f"deliver {n}", way(2, inside=(1,)), boat=n, order=n),
        ]
    plan = planner(
        yard(
            *rows,
            places=(place("Berth"),),
            window_sets=(water, away),
            links=tuple(Link(before=2 * n, after=2 * n + 1) for n in range(2)),
            stays=tuple(Stay(boat=n, any_of=(0,), from_job=2 * n, until_job=2 * n + 1) for n in range(2)),
            calendar=calendar(4),
        )
    )
    assert sorted(only(plan, n).starts_at for n in (0, 2)) == [pos(0, "09:30"), pos(1, "09:30")]
    assert sorted(only(plan, n).starts_at for n in (1, 3)) == [pos(1, "08:00"), pos(2, "08:00")]


def test_a_full_berth_holds_back_the_launch(planner: Planner) -> None:
    """Another boat has the one berth on night 0 (she leaves on day 1). Ours cannot be delivered before day 2, and so
    is not launched on day 0: on day 1."""
    problem = yard(
        job("launch", 2),
        job("deliver", 2, not_before=at(2, "08:00")),
        job("leave", 1, boat=1, order=1),
        places=(place("Berth"),),
        links=(Link(before=0, after=1),),
        stays=(Stay(boat=0, any_of=(0,), from_job=0, until_job=1), Stay(boat=1, any_of=(0,), until_job=2)),
        pins=(Pin(job=2, way=0, starts_at=pos(1, "09:00"), ends_at=pos(1, "09:15")),),
        calendar=calendar(3),
    )
    plan = planner(problem)
    assert only(plan, 0).starts_at >= pos(1, "08:00")
    assert only(plan, 1).starts_at == pos(2, "08:00")


def test_she_is_in_one_place(planner: Planner) -> None:
    """Wash and measure both need her, in any order: one at 08:00, the other after three quarters."""
    problem = yard(job("wash", 3, needs_boat=True), job("measure", 3, needs_boat=True))
    plan = planner(problem)
    assert sorted(row.starts_at for row in plan.placements) == [pos(0, "08:00"), pos(0, "08:45")]


def test_she_is_where_pinned_work_has_her(planner: Planner) -> None:
    """The survey is pinned 08:00 to 09:00 and needs her: the wash starts at 09:00, though nothing links the two."""
    problem = yard(
        job("survey", 4, needs_boat=True),
        job("wash", 3, needs_boat=True),
        pins=(Pin(job=0, way=0, starts_at=0, ends_at=4),),
    )
    assert only(planner(problem), 1).starts_at == pos(0, "09:00")


def test_a_slid_day_given_back_frees_the_others_of_its_week() -> None:
    """One slid day a week. While a launch slides day 0, day 1 may not slide; when it is taken out, day 1 may again."""
    slide = Slide(early_min=30, late_min=0, days_per_week=1, span_min=60)
    jo = person("Jo", hours=every_day("08:30", "09:30"), slide=slide)
    problem = yard(job("launch", way(2, crew=crew(1), slides=True)), people=(jo,))
    layout = compile_problem(problem)
    state = empty_state(layout)
    row = layout.roster.people[JO].slide

    def may_start_early() -> bool:
        return bool(state[layout.g[e.FREE] + layout.g[e.ROWS] + row] & 0b11)  # day 1, 08:00 to 08:30

    mode = layout.g[layout.g[e.JOB] + e.J_MODES]
    assert may_start_early()
    assert e.place(layout.g, state, 0, mode, 0) == 1
    assert not may_start_early()
    e.unplace(layout.g, state, 0)
    assert may_start_early()


def test_a_boat_in_front_goes_out_first(planner: Planner) -> None:
    """Wren (due later) lies in front of Teal: whatever Teal's due day, her move out waits for Wren's."""
    problem = yard(
        job("move Wren", 3, boat=0, order=0), job("move Teal", 3, boat=1, order=1), links=(Link(before=0, after=1),)
    )
    orders = (replace(problem.orders[0], due_day=1), replace(problem.orders[1], due_day=0))
    plan = planner(replace(problem, orders=orders))
    assert only(plan, 0).starts_at == pos(0, "08:00")
    assert only(plan, 1).starts_at == pos(0, "08:45")


def test_a_boat_in_front_that_is_left_out_keeps_the_other_in(planner: Planner) -> None:
    problem = yard(
        job("move Wren", way(3, inside=(0,)), boat=0, order=0),
        job("move Teal", 3, boat=1, order=1),
        window_sets=(windows("water"),),
        links=(Link(before=0, after=1),),
    )
    plan = planner(problem)
    assert plan.placements == ()
    assert [(row.boat, row.rule) for row in plan.left_out] == [(0, "windows"), (1, "waits")]


def test_a_maximum_wait_between_two_boats_moves_the_one_in_front(planner: Planner) -> None:
    """Teal may move on day 1 alone, at most a quarter after Wren, who could have gone on day 0: both go on day 1."""
    problem = yard(
        job("move Wren", 2, boat=0, order=0),
        job("move Teal", 2, boat=1, order=1, not_before=at(1, "08:30")),
        links=(Link(before=0, after=1, max_wait=15),),
    )
    plan = planner(problem)
    assert only(plan, 0).starts_at >= pos(1, "08:00")
    assert only(plan, 1).starts_at - only(plan, 0).ends_at in (0, 1)


def test_a_maximum_wait_lifts_the_job_before(planner: Planner) -> None:
    """Launch at the earliest on day 2, at most one day after the paint: the paint waits for day 1, at the same hour."""
    problem = yard(
        job("paint", 2),
        job("launch", 2, not_before=at(2, "08:30")),
        links=(Link(before=0, after=1, max_wait=DAY_MIN),),
        calendar=calendar(3),
    )
    plan = planner(problem)
    assert only(plan, 1).starts_at == pos(2, "08:30")
    assert only(plan, 0).ends_at >= pos(1, "08:30")


def test_a_negative_wait_lets_jobs_overlap(planner: Planner) -> None:
    """The second may start half an hour before the first (08:00 to 09:00) ends: at 08:30."""
    problem = yard(job("cut", 4), job("sew", 2), links=(Link(before=0, after=1, min_wait=-30),))
    assert only(planner(problem), 1).starts_at == pos(0, "08:30")


def test_pins_stay_and_hold_what_they_have(planner: Planner) -> None:
    """Jo is pinned 08:30 to 09:30 with the deck; two quarters with Jo and the deck fit before it, three only after."""
    for quarters, starts in ((2, "08:00"), (3, None)):
        problem = yard(
            job("pinned", way(4, crew=crew(1), places=(0,))),
            job("wash", way(quarters, crew=crew(1), places=(0,)), boat=1, order=1),
            places=(place("Deck"),),
            people=(person("Jo"),),
            pins=(Pin(job=0, way=0, starts_at=2, ends_at=6, people=(JO,), places=((0, 0),)),),
        )
        plan = planner(problem)
        assert only(plan, 0) == Placement(job=0, way=0, starts_at=2, ends_at=6, people=(JO,), places=((0, 0),))
        assert only(plan, 1).starts_at == (pos(0, starts) if starts else pos(1, "08:00"))


def test_nothing_new_starts_in_the_past(planner: Planner) -> None:
    assert only(planner(yard(job("wash", 2), now=5)), 0).starts_at == 5


def test_dates(planner: Planner) -> None:
    """Not before 08:20 is 08:30. Not after 08:10, with the deck taken until 08:15, is not possible."""
    assert only(planner(yard(job("wash", 2, not_before=at(0, "08:20")))), 0).starts_at == pos(0, "08:30")
    problem = yard(
        job("wash", way(2, places=(0,)), not_after=at(0, "08:10")),
        job("pinned", way(1, places=(0,)), boat=1, order=1),
        places=(place("Deck"),),
        pins=(Pin(job=1, way=0, starts_at=0, ends_at=1, places=((0, 0),)),),
    )
    assert [(row.boat, row.rule) for row in planner(problem).left_out] == [(0, "release")]
