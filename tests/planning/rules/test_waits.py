"""waits: a job starts soon enough and late enough after the job before it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.planning.rules.conftest import Planner
from tests.planning.tiny import at, broken_rules, calendar, changed, job, moved, plan, put, yard
from yard.planning.check import check, faults
from yard.planning.plan import LeftOut, Plan
from yard.planning.problem import Link, Pin, Problem, Waiver

RULE = "waits"

# A coat takes 08:00 to 08:30 on day 0; she is launched 24 h 10 min to 24 h 30 min after: 08:45 or 09:00 on day 1.
DAY_MIN = 24 * 60


def coat(
    min_wait: int | None = DAY_MIN + 10,
    max_wait: int | None = DAY_MIN + 30,
    *,
    pausing: str = "fitted",
    quarters: int = 2,
    allowance: int = 0,
    boat: int = 0,
    **facts: object,
) -> Problem:
    one = job("coat", quarters, pausing=pausing, allowance_quarters=allowance)
    two = job("launch", 1, boat=boat, order=boat)
    return yard(one, two, links=(Link(before=0, after=1, min_wait=min_wait, max_wait=max_wait),), **facts)


KEPT = (coat(), plan(put(0, 0, 2), put(1, 11, 12)))
TRIVIAL = (yard(job("coat", 2), job("launch", 1)), plan(put(0, 0, 2), put(1, 0, 1)))
SHORT_YARD = {"calendar": calendar(opens_quarter=1, closes_quarter=4)}  # the yard's own hours: 08:15 to 09:00
BREAKS = {
    "a minute too soon": (coat(DAY_MIN + 16), KEPT[1]),
    "too late": (coat(), moved(KEPT[1], 1, 2)),
    "before it": (coat(0, None), plan(put(0, 4, 6), put(1, 3, 4))),
    "while it dries": (coat(0, None, pausing="elapsed", quarters=97), plan(put(0, 0, 9), put(1, 8, 9))),
    "the weather's allowance": (coat(0, None, allowance=3), plan(put(0, 0, 2), put(1, 4, 5))),
    "the allowance counts the yard's hours": (
        coat(0, None, allowance=3, **SHORT_YARD),
        plan(put(0, 0, 2), put(1, 8, 9)),
    ),
    "the allowance of what ends beyond the forecast": (
        coat(0, None, allowance=3, forecast_until=at(0, "08:30") - 1),
        plan(put(0, 0, 2), put(1, 4, 5)),
    ),
    "drying that ends beyond the forecast": (
        coat(0, None, pausing="elapsed", quarters=2, allowance=1, forecast_until=at(0, "08:30") - 1),
        plan(put(0, 0, 2), put(1, 2, 3)),
    ),
    "an allowance without end": (coat(0, None, allowance=40), plan(put(0, 0, 2), put(1, 15, 16))),
    "waits for a boat left out": (
        coat(boat=1),
        Plan(placements=(put(1, 11, 12),), left_out=(LeftOut(boat=0, rule="windows", job=0, reason=""),)),
    ),
}


def test_trivial() -> None:
    """Nothing waits for anything."""
    assert broken_rules(*TRIVIAL) == set()


def test_kept() -> None:
    assert broken_rules(*KEPT) == set()


@pytest.mark.parametrize("name", BREAKS)
def test_broken(name: str) -> None:
    assert broken_rules(*BREAKS[name]) == {RULE}


@pytest.mark.parametrize(
    ("problem", "kept"),
    [
        (coat(DAY_MIN + 15), KEPT[1]),  # 08:30 + 24:15 = 08:45
        (coat(-15, None), plan(put(0, 0, 2), put(1, 1, 2))),  # a negative wait lets them overlap
        (coat(None, 30), plan(put(0, 4, 6), put(1, 0, 1))),  # a maximum alone
        (coat(0, None, pausing="elapsed", quarters=40), plan(put(0, 0, 8), put(1, 8, 9))),  # over at 18:00
        (coat(0, None, allowance=3), plan(put(0, 0, 2), put(1, 5, 6))),  # 08:30 and three quarters
        (coat(0, None, allowance=3, **SHORT_YARD), plan(put(0, 0, 2), put(1, 10, 11))),  # two that day, one the next
        (
            coat(0, None, allowance=3, forecast_until=at(0, "08:30")),
            plan(put(0, 0, 2), put(1, 2, 3)),
        ),  # judged hours
    ],
)
def test_kept_to_the_minute(problem: Problem, kept: Plan) -> None:
    assert broken_rules(problem, kept) == set()


def test_launched_when_the_coat_is_hard(planner: Planner) -> None:
    """The coat at 08:00 is the only one early enough for a launch at 08:45."""
    problem = coat()
    last = replace(problem.jobs[1], not_after=at(1, "08:45"))
    assert planner(replace(problem, jobs=(problem.jobs[0], last))) == KEPT[1]


def test_the_allowance_is_the_yards_time(planner: Planner) -> None:
    """Open 08:15 to 09:00 only: of three quarters two pass on day 0, the third ends at 08:30 on day 1."""
    problem = coat(0, None, allowance=3, **SHORT_YARD)
    coats = replace(problem.jobs[0], not_after=at(0, "08:00"))
    last = replace(problem.jobs[1], not_after=at(1, "08:30"))
    assert planner(replace(problem, jobs=(coats, last))).by_job()[1].starts_at == 10


def test_no_allowance_within_the_forecast(planner: Planner) -> None:
    """Coated by 08:30, within the forecast, she is launched at 08:30; without it at 09:15 at the earliest."""
    problem = coat(0, None, allowance=3, forecast_until=at(0, "08:30"))
    coats = replace(problem.jobs[0], not_after=at(0, "08:00"))
    last = replace(problem.jobs[1], not_after=at(0, "08:30"))
    assert planner(replace(problem, jobs=(coats, last))).by_job()[1].starts_at == 2


def test_a_maximum_pulls_the_first_job_on(planner: Planner) -> None:
    """The launch waits for 09:30, so that the coat, at most a quarter before it, ends at 09:15 or later."""
    problem = coat(0, 15)
    last = replace(problem.jobs[1], not_before=at(0, "09:30"), not_after=at(0, "09:30"))
    assert planner(replace(problem, jobs=(problem.jobs[0], last))).by_job()[0].ends_at in (5, 6)


def test_drying_runs_through_the_night(planner: Planner) -> None:
    """From 08:00 97 quarters are over at 08:15 on day 1."""
    problem = coat(0, None, pausing="elapsed", quarters=97)
    jobs = (replace(problem.jobs[0], not_after=at(0, "08:00")), replace(problem.jobs[1], not_after=at(1, "08:15")))
    assert planner(replace(problem, jobs=jobs)).by_job()[1].starts_at == 9


@pytest.mark.parametrize(
    ("evening_utc", "morning_utc", "dry_after_opening"),
    [
        pytest.param(23, 12, 12, id="spring, 13 to 14 March 2027: 18:00 EST to 08:00 EDT"),
        pytest.param(22, 13, 4, id="autumn, 6 to 7 November 2027: 18:00 EDT to 08:00 EST"),
    ],
)
def test_sixteen_hours_over_a_clock_change(
    planner: Planner, evening_utc: int, morning_utc: int, dry_after_opening: int
) -> None:
    """The coat ends at 18:00 in New York. In spring 23:00 UTC + 16 h = 15:00 UTC = 11:00 EDT, 12 quarters into a day
    that begins at 08:00; in autumn 22:00 UTC + 16 h = 14:00 UTC = 09:00 EST, 4 quarters into it."""
    days = calendar(quarters_per_day=40, day_starts=((evening_utc - 10) * 60, (24 + morning_utc) * 60))
    problem = coat(16 * 60, None, calendar=days)
    jobs = (replace(problem.jobs[0], not_before=at(0, f"{evening_utc - 1}:30")), problem.jobs[1])
    opening = 40 + dry_after_opening
    last = replace(jobs[1], not_after=at(1, "00:00") + morning_utc * 60 + dry_after_opening * 15)
    assert planner(replace(problem, jobs=(jobs[0], last))) == plan(put(0, 38, 40), put(1, opening, opening + 1))
    early = plan(put(0, 38, 40), put(1, opening - 1, opening))
    assert broken_rules(replace(problem, jobs=jobs), early) == {"waits"}


def test_between_pins_it_is_nobodys_fault() -> None:
    pins = (Pin(job=0, way=0, starts_at=0, ends_at=2), Pin(job=1, way=0, starts_at=4, ends_at=5))
    problem, happened = coat(pins=pins), plan(put(0, 0, 2), put(1, 4, 5))
    assert [breach.pins_alone for breach in check(problem, happened)] == [True]
    assert faults(problem, happened) == ()


def test_a_waiver_excuses_a_wait_but_not_a_missing_job() -> None:
    waivers = (Waiver(rule="waits", job=1, reason="the maker says 23 h", by="Ada"),)
    assert faults(replace(coat(), waivers=waivers), moved(KEPT[1], 1, -1)) == ()
    missing = BREAKS["waits for a boat left out"]
    assert faults(replace(missing[0], waivers=waivers), missing[1]) != ()


def test_both_of_one_boat_left_out() -> None:
    """Her launch is pinned, her coat left out with her: the fact stands."""
    problem = coat(pins=(Pin(job=1, way=0, starts_at=4, ends_at=5),))
    left_out = (LeftOut(boat=0, rule="windows", job=0, reason=""),)
    assert broken_rules(problem, Plan(placements=(put(1, 4, 5),), left_out=left_out)) == set()
    assert changed(KEPT[1], 1) == KEPT[1]
