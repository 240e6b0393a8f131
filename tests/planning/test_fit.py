"""When could you fit us in: worked out by hand, against CP-SAT, and what never happens to the others."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, assume, given, settings

from tests import season_generator as generator
from tests.planning.small import problems
from tests.planning.tiny import crew, job, person, plan, put, way, yard
from tests.seasons import problem_of
from yard.planning.__main__ import main
from yard.planning.check import faults
from yard.planning.cpsat import prove
from yard.planning.fit import (
    Fitted,
    NewOrder,
    NewOrderInvalid,
    NoRoom,
    fit_in,
    fit_moving,
    moving_others,
    read_new_order,
    with_order,
)
from yard.planning.fit import without_moving as fit
from yard.planning.listing import list_plan
from yard.planning.plan import Plan, Planned, write_plan_json
from yard.planning.problem import Job, Link, Order, Pin, Problem, write_problem_json
from yard.planning.progress import Rounds
from yard.planning.units import CannotExpress


def new(*jobs: Job, **facts: object) -> NewOrder:
    return NewOrder(boat="new", boat_name="Dunlin", jobs=jobs, **facts)


JO_ALL_OF_DAY_0 = yard(
    job("rig Wren", way(8, crew=crew(1))),
    people=(person("Jo"),),
    orders=(Order(key="o0", name="Order 0", due_day=1),),
)
POSTED = plan(put(0, 0, 8, people=(0,)))


def test_the_first_day_that_is_free() -> None:
    found = fit(JO_ALL_OF_DAY_0, POSTED, new(job("tune", way(2, crew=crew(1)))))
    assert isinstance(found, Fitted)
    assert (found.first_day, found.last_day, found.moved) == (1, 1, ())
    assert faults(found.problem, found.plan) == ()


def test_sooner_if_another_moves_within_her_promise() -> None:
    found = moving_others(
        JO_ALL_OF_DAY_0, POSTED, new(job("tune", way(8, crew=crew(1)))), stop=Rounds(60), backend="python"
    )
    assert isinstance(found, Fitted)
    assert found.last_day == 0
    assert [(row.boat, row.jobs, row.days, row.late) for row in found.moved] == [(0, 1, 1, False)]


def test_nobody_moves_beyond_a_promise() -> None:
    promised = replace(JO_ALL_OF_DAY_0, orders=(Order(key="o0", name="Order 0", due_day=0),))
    found = moving_others(promised, POSTED, new(job("tune", way(8, crew=crew(1)))), stop=Rounds(60), backend="python")
    assert isinstance(found, Fitted)
    assert (found.last_day, found.moved) == (1, ())


def test_no_room_names_the_job() -> None:
    asked = new(job("tune", way(1, crew=crew(1))), job("paint", way(9, crew=crew(1))), links=(Link(before=0, after=1),))
    found = fit(JO_ALL_OF_DAY_0, POSTED, asked)
    assert isinstance(found, NoRoom)
    assert found.job == 1


def test_her_jobs_do_not_wait_longer_than_they_must() -> None:
    """The second job can only be on day 1; the first waits for it, at no loss."""
    asked = new(
        job("measure", way(1, crew=crew(1, skill="sew"))),
        job("rig", way(2, crew=crew(1))),
        links=(Link(before=0, after=1),),
    )
    problem = replace(JO_ALL_OF_DAY_0, people=(person("Jo"), person("Ann", "sew")))
    found = fit(problem, POSTED, asked)
    assert isinstance(found, Fitted)
    assert (found.first_day, found.last_day) == (1, 1)


def test_an_order_of_a_boat_that_is_known() -> None:
    wider = with_order(JO_ALL_OF_DAY_0, NewOrder(boat="b0", jobs=(job("tune", way(1)),)))
    assert len(wider.boats) == 1
    assert (wider.jobs[1].boat, wider.jobs[1].order) == (0, 1)


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ('{"boat": "x", "jobs": [], "colour": 1}', "colour"),
        ('{"boat": "x"}', "jobs"),
        ('{"boat"', "truncated"),
    ],
)
def test_a_new_order_that_cannot_be_read(text: str, names: str) -> None:
    with pytest.raises(NewOrderInvalid, match=names):
        read_new_order(text)


def test_links_beyond_her_own_jobs_are_refused() -> None:
    with pytest.raises(NewOrderInvalid, match="0 to 0"):
        with_order(JO_ALL_OF_DAY_0, new(job("tune", way(1)), links=(Link(before=0, after=1),)))
    with pytest.raises(NewOrderInvalid, match="at least one"):
        with_order(JO_ALL_OF_DAY_0, new())


RANDOM = settings(max_examples=80, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))


@RANDOM
@given(problem=problems(), other=problems())
def test_it_holds_and_moves_nobody_and_moving_others_is_never_later_and_makes_nobody_late(
    problem: Problem, other: Problem
) -> None:
    asked = NewOrder(boat="b1", jobs=tuple(replace(row, key=f"new {row.key}") for row in other.jobs))
    on_a_charge = {number for number, each in enumerate(problem.places) if each.charges}
    needs = ((row, need) for row in asked.jobs for way in row.ways for need in way.places)
    assume(all(row.pausing == "fitted" for row, need in needs if on_a_charge & set(need.any_of)))
    try:
        posted = list_plan(problem)
        nobody = fit(problem, posted, asked)
        others = moving_others(problem, posted, asked, stop=Rounds(15), backend="python")
    except CannotExpress:
        return
    if isinstance(nobody, Fitted):
        assert isinstance(others, Fitted)
        assert others.last_day <= nobody.last_day
    if isinstance(others, Fitted):
        assert not any(row.late for row in others.moved)
    if faults(problem, posted) or isinstance(nobody, NoRoom):
        return
    kept = nobody.plan.by_job()
    assert all(kept[row.job] == row for row in posted.placements)
    assert [breach for breach in faults(nobody.problem, nobody.plan) if breach.rule != "complete"] == []


def a_season() -> tuple[Problem, Plan, NewOrder]:
    """Season XS without its last boat, who asks to be fitted in."""
    whole = problem_of(generator.season("XS", seed=1))
    last = len(whole.boats) - 1
    mine = [number for number, row in enumerate(whole.jobs) if row.boat == last]
    first = mine[0]
    rest = replace(
        whole,
        boats=whole.boats[:-1],
        orders=whole.orders[:-1],
        jobs=whole.jobs[:first],
        links=tuple(link for link in whole.links if link.before < first),
    )
    links = tuple(
        replace(link, before=link.before - first, after=link.after - first)
        for link in whole.links
        if link.before >= first
    )
    return rest, list_plan(rest), NewOrder(boat="new", jobs=tuple(whole.jobs[n] for n in mine), links=links)


def test_no_earlier_day_exists_without_moving_anybody() -> None:
    """CP-SAT with everybody else pinned and each day of hers late: the same last day."""
    problem, posted, asked = a_season()
    found = fit(problem, posted, asked)
    assert isinstance(found, Fitted)
    wider = with_order(problem, asked)
    pins = tuple(
        Pin(
            job=row.job, way=row.way, starts_at=row.starts_at, ends_at=row.ends_at, people=row.people, places=row.places
        )
        for row in posted.placements
    )
    hers = replace(wider.orders[-1], due_day=-1)
    result = prove(
        replace(wider, pins=pins, orders=(*wider.orders[:-1], hers)), hint=None, seconds=60, workers=1, seed=1
    )
    assert isinstance(result, Planned)
    assert result.proved
    best = max(row.ends_at - 1 for row in result.plan.placements if row.job >= len(problem.jobs))
    assert found.last_day == best // problem.calendar.quarters_per_day


def test_one_seed_and_so_many_rounds_give_one_answer() -> None:
    problem, posted, asked = a_season()
    one, two = (moving_others(problem, posted, asked, stop=Rounds(40), backend="python") for _turn in range(2))
    assert isinstance(one, Fitted)
    assert isinstance(two, Fitted)
    assert one.plan == two.plan
    assert faults(one.problem, one.plan) == ()


def test_an_order_that_stands_in_the_season_already() -> None:
    """`fit_moving` is `moving_others` for an order with rows of its own; an order that fits nowhere names its job."""
    asked = new(job("tune", way(8, crew=crew(1))))
    wider = with_order(JO_ALL_OF_DAY_0, asked)
    found = fit_moving(wider, POSTED, 1, stop=Rounds(60), backend="python")
    same = moving_others(JO_ALL_OF_DAY_0, POSTED, asked, stop=Rounds(60), backend="python")
    assert isinstance(found, Fitted)
    assert isinstance(same, Fitted)
    assert (found.plan, found.last_day, found.moved) == (same.plan, same.last_day, same.moved)
    full = with_order(JO_ALL_OF_DAY_0, new(job("tune", way(8, crew=crew(2)))))
    for nowhere in (fit_in(full, POSTED, 1), fit_moving(full, POSTED, 1, stop=Rounds(5), backend="python")):
        assert isinstance(nowhere, NoRoom)
        assert nowhere.job == 1


def test_stopped_at_once_it_is_the_answer_without_moving() -> None:
    asked = new(job("tune", way(8, crew=crew(1))))
    found = moving_others(JO_ALL_OF_DAY_0, POSTED, asked, stop=Rounds(60), backend="python", should_stop=lambda: True)
    assert isinstance(found, Fitted)
    assert (found.last_day, found.moved) == (1, ())


def test_the_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    asked = {
        "boat": "new",
        "jobs": [{"key": "t", "name": "tune", "boat": 0, "order": 0, "ways": [{"duration_quarters": 2}]}],
    }
    files = [tmp_path / name for name in ("problem.json", "plan.json", "new.json")]
    for path, data in zip(
        files, (write_problem_json(JO_ALL_OF_DAY_0), write_plan_json(POSTED), json.dumps(asked).encode()), strict=True
    ):
        path.write_bytes(data)
    assert main(["fit", *map(str, files), "--rounds", "5", "--backend", "python", "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert (answer["nobody_moves"]["last_day"], answer["others_move"]["moved"]) == (0, [])
    files[2].write_text('{"boat": "new"}')
    assert main(["fit", *map(str, files)]) == 2
    assert "jobs" in capsys.readouterr().err
