from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.reference import weather_allowance as reference
from yard.weather.allowance import (
    NO_ALLOWANCE,
    Allowance,
    AllowanceTable,
    ClassAllowance,
    Knot,
    NeverWorkable,
    WorkingHours,
    allowance_table,
    booked_min,
    piece_lengths_min,
)
from yard.weather.climate import HalfDayChain, Season, WorkClass, read_half_day_climate

CLIMATE = Path(__file__).parents[2] / "fixtures" / "climate" / "half_day.json"
JFK = read_half_day_climate(CLIMATE.read_bytes()).chains
HOURS = WorkingHours()
QUARTERS = HOURS.day_min // 15


@pytest.fixture(scope="module")
def table() -> AllowanceTable:
    return allowance_table(JFK, HOURS, seed=1, runs=6000)


def knot(knots: tuple[Knot, ...], length_min: int) -> Knot:
    return next(knot for knot in knots if knot.length_min == length_min)


def published_columns(row: ClassAllowance) -> tuple[Knot, ...]:
    return knot(row.whole, 90), knot(row.whole, 240), knot(row.whole, 360), knot(row.pieced, 360)


def test_waits_agree_with_the_prototype_at_jfk(table):
    """Both are simulations: each figure may be off by its own noise.

    Tolerance: 4 standard errors of the difference (the prototype's 2,000 runs dominate) and 0.05 h of
    rounding. The worst cell is a mast at 20 kn, 6 h whole, spring (5.5 h here, 4.7 h there); all cells
    together must be about one standard error off, so a shift of the whole table fails although each cell
    alone would pass.
    """
    errors = []
    for (work_class, season), expected_h in reference.MEAN_WAIT_H.items():
        row = table.rows[WorkClass(work_class), Season(season)]
        for cell, expected in zip(published_columns(row), expected_h, strict=True):
            sd_h = cell.standard_error_min * 6000**0.5 / 60
            noise_h = sd_h * (1 / 6000 + 1 / reference.PUBLISHED_RUNS) ** 0.5
            difference_h = cell.wait_min / 60 - expected
            assert abs(difference_h) <= 4 * noise_h + 0.05, (work_class, season, cell)
            errors.append(difference_h / noise_h)
    assert np.sqrt(np.mean(np.square(errors))) < 1.6
    assert abs(np.mean(errors)) < 0.5


def test_place_factors_agree_with_the_prototype_at_jfk(table):
    for work_class, factors in reference.PLACE_FACTOR.items():
        for season, factor in zip(Season, factors, strict=True):
            allowance = table.for_job(WorkClass(work_class), season, 600)
            assert allowance.place_factor == pytest.approx(factor, abs=0.055)  # printed to 0.05, some to 0.1
            assert allowance.extra_place_min == pytest.approx((allowance.place_factor - 1) * 600, abs=0.5)


def exact_wait_quarters(chain: HalfDayChain, length: int, day: int) -> float:
    """Mean wait of a job too long for either half day, every weekday worked, by two linear equations.

    With N[s] the mean number of days that cannot take it, counted from a morning after an afternoon in state
    s (0 workable, 1 lost): N[s] = sum over outcomes of the day that are not both workable of P (1 +
    N[afternoon]).
    """
    am_lost = np.array([chain.am_lost_after_pm_ok, chain.am_lost_after_pm_lost])
    pm_lost = np.array([chain.pm_lost_after_am_ok, chain.pm_lost_after_am_lost])
    to_lost = (1 - am_lost) * pm_lost[0] + am_lost * pm_lost[1]
    to_ok_but_bad = am_lost * (1 - pm_lost[1])
    bad_days = np.linalg.solve(np.eye(2) - np.c_[to_ok_but_bad, to_lost], to_ok_but_bad + to_lost)
    afternoon = np.array([1 - chain.pm_lost, chain.pm_lost])
    next_morning = afternoon @ bad_days  # a job that no longer fits today is fair tomorrow, late by N days
    waits = []
    for ready in range(day):
        if ready + length > day:
            waits.append(day * next_morning)
            continue
        today_bad_days = afternoon @ bad_days  # today counts as the first day that cannot take it
        p_bad_today = afternoon @ (to_lost + to_ok_but_bad)
        waits.append(day * today_bad_days - p_bad_today * ready)
    return float(np.mean(waits))


@pytest.mark.parametrize(("work_class", "season"), list(JFK))
def test_a_long_job_waits_as_linear_equations_say(work_class, season):
    hours = WorkingHours(weekdays=frozenset(range(7)))
    chain = JFK[work_class, season]
    table = allowance_table({(work_class, season): chain}, hours, seed=2, runs=4000)
    cell = knot(table.rows[work_class, season].whole, 360)
    expected_min = 15 * exact_wait_quarters(chain, 24, QUARTERS)
    assert cell.wait_min == pytest.approx(expected_min, abs=4 * cell.standard_error_min)


def chain_of(am_after: tuple[float, float], pm_after: tuple[float, float]) -> HalfDayChain:
    """A consistent chain from its transition probabilities (after a workable half, after a lost one)."""
    slope = (am_after[1] - am_after[0]) * (pm_after[1] - pm_after[0])
    level = pm_after[0] + (pm_after[1] - pm_after[0]) * am_after[0]
    pm_lost = level / (1 - slope) if slope < 1 else 0.5
    am_lost = am_after[0] + (am_after[1] - am_after[0]) * pm_lost
    return HalfDayChain(
        rule="drawn",
        days=90,
        years=(2013,),
        hours_ok=max(0.01, 1 - (am_lost + pm_lost) / 2),
        am_lost=am_lost,
        pm_lost=pm_lost,
        am_lost_after_pm_ok=am_after[0],
        am_lost_after_pm_lost=am_after[1],
        pm_lost_after_am_ok=pm_after[0],
        pm_lost_after_am_lost=pm_after[1],
    )


KEY = (WorkClass.AFLOAT, Season.SPRING)
FAIR = chain_of((0.0, 0.0), (0.0, 0.0))
probabilities = st.floats(0.0, 0.7)
rising_pairs = st.tuples(probabilities, probabilities).map(lambda pair: (min(pair), max(pair)))


@given(st.integers(0, 2**32), st.integers(1, 1000), st.booleans())
@settings(max_examples=20, deadline=None)
def test_no_weather_asks_for_nothing(seed, length_min, whole):
    table = allowance_table({KEY: FAIR}, HOURS, seed=seed, runs=100)
    length_min = min(length_min, HOURS.day_min) if whole else length_min
    assert table.for_job(*KEY, length_min, whole=whole) == NO_ALLOWANCE


@given(rising_pairs, rising_pairs, st.booleans())
@settings(max_examples=25, deadline=None)
def test_a_longer_job_never_waits_less(am_after, pm_after, whole):
    table = allowance_table({KEY: chain_of(am_after, pm_after)}, HOURS, seed=4, runs=200)
    longest_min = table.rows[KEY].whole[-1].length_min if whole else 1500
    lengths = range(15, longest_min + 1, 15)
    waits = [table.for_job(*KEY, length, whole=whole).wait_min for length in lengths]
    assert waits == sorted(waits)


@given(rising_pairs, rising_pairs, st.floats(0.0, 0.25))
@settings(max_examples=25, deadline=None)
def test_worse_weather_never_waits_less(am_after, pm_after, worse):
    """One seed draws both weathers, so every half day lost in the better one is lost in the worse one."""
    better = chain_of(am_after, pm_after)
    harsher = chain_of((am_after[0] + worse, am_after[1] + worse), (pm_after[0] + worse, pm_after[1] + worse))
    mild, harsh = (allowance_table({KEY: chain}, HOURS, seed=5, runs=200).rows[KEY] for chain in (better, harsher))
    for mild_knots, harsh_knots in ((mild.whole, harsh.whole), (mild.pieced, harsh.pieced)):
        # Harsher weather may leave no room for the longest jobs: then it has fewer lengths.
        assert len(harsh_knots) <= len(mild_knots)
        for mild_knot, harsh_knot in zip(mild_knots, harsh_knots, strict=False):
            assert mild_knot.wait_min <= harsh_knot.wait_min


def test_a_length_that_weather_leaves_no_room_for_is_left_out_and_said():
    """Mornings are always lost: nothing longer than the afternoon's five hours ever fits in one piece."""
    table = allowance_table({KEY: chain_of((1.0, 1.0), (0.0, 0.0))}, HOURS, seed=1, runs=200)
    assert table.rows[KEY].whole[-1].length_min == 300
    assert table.for_job(*KEY, 600).wait_min > 0
    with pytest.raises(NeverWorkable, match="315 min in one piece is longer than the 300 min"):
        table.for_job(*KEY, 315, whole=True)


def test_one_seed_gives_one_table_whatever_else_it_holds():
    alone = allowance_table({KEY: JFK[KEY]}, HOURS, seed=9, runs=300)
    among = allowance_table(JFK, HOURS, seed=9, runs=300)
    assert alone.rows[KEY] == among.rows[KEY]
    assert alone.rows[KEY] != allowance_table({KEY: JFK[KEY]}, HOURS, seed=10, runs=300).rows[KEY]


def tide_starts(hours_round_high_water: float, days: int = 30) -> np.ndarray:
    """Quarters of 08-17 that lie within a time of high water, M2 alone, over a spring-neap cycle's days."""
    hour = 24 * np.arange(days)[:, None] + 8 + np.arange(QUARTERS)[None, :] / 4
    off = (hour + reference.M2_PERIOD_H / 2) % reference.M2_PERIOD_H - reference.M2_PERIOD_H / 2
    return np.abs(off) <= hours_round_high_water


def test_the_tide_makes_weather_cost_more():
    """A start lost at one high water waits for the next; for windows of 4 and 2 h as the prototype found."""
    low_h, high_h = reference.AFLOAT_WITH_TIDE_SPRING_H
    waits_h = []
    for half_window_h in (12.0, 2.0, 1.0):
        may_start = {WorkClass.AFLOAT: tide_starts(half_window_h)}
        table = allowance_table({KEY: JFK[KEY]}, HOURS, seed=1, runs=4000, may_start=may_start)
        waits_h.append(table.for_job(*KEY, 90).hours_before_next)
    open_h, wide_h, narrow_h = waits_h
    assert open_h == pytest.approx(reference.MEAN_WAIT_H["afloat", "spring"][0], abs=0.4)
    assert open_h < low_h <= wide_h <= narrow_h <= high_h


def test_without_weather_the_tide_costs_nothing_more():
    table = allowance_table({KEY: FAIR}, HOURS, seed=1, runs=200, may_start={WorkClass.AFLOAT: tide_starts(1.0)})
    assert table.for_job(*KEY, 90) == NO_ALLOWANCE


def test_a_job_over_four_hours_stops_at_its_break_points_unless_whole(table):
    key = (WorkClass.SAILS_AND_COVERS, Season.SPRING)
    assert table.for_job(*key, 360).wait_min < table.for_job(*key, 360, whole=True).wait_min
    assert table.for_job(*key, 240) == table.for_job(*key, 240, whole=True)
    assert [piece_lengths_min(length) for length in (90, 240, 360, 480, 500)] == [
        [90],
        [240],
        [240, 120],
        [240, 240],
        [240, 240, 20],
    ]


def test_between_two_lengths_the_wait_is_straight():
    row = ClassAllowance(
        0.8,
        whole=(Knot(90, 100.0, 1.0), Knot(240, 160.0, 1.0)),
        pieced=(Knot(255, 200.0, 1.0), Knot(495, 300.0, 1.0)),
    )
    table = AllowanceTable({KEY: row})
    assert table.for_job(*KEY, 30).wait_min == 100
    assert table.for_job(*KEY, 165) == Allowance(wait_min=130, extra_place_min=41, place_factor=1.25)
    assert table.for_job(*KEY, 247).wait_min == 179  # 160 + 40 x 7/15 = 178.7
    assert table.for_job(*KEY, 375).wait_min == 250
    assert table.for_job(*KEY, 735).wait_min == 400  # one piece more costs what the last one did


@pytest.mark.parametrize("length_min", [0, -15])
def test_a_job_without_length_is_refused(table, length_min):
    with pytest.raises(ValueError, match="a length over 0 min"):
        table.for_job(*KEY, length_min)


def test_a_whole_job_longer_than_the_day_asks_for_a_break_point(table):
    with pytest.raises(NeverWorkable, match=r"600 min in one piece.*break point"):
        table.for_job(*KEY, 600, whole=True)
    assert table.for_job(*KEY, 600).wait_min > 0


def test_a_day_too_short_for_a_piece_is_said():
    short = WorkingHours(morning_min=120, afternoon_min=90)
    table = allowance_table({KEY: JFK[KEY]}, short, seed=1, runs=200)
    assert table.for_job(*KEY, 210).wait_min > 0
    with pytest.raises(NeverWorkable, match="never allows 240 min in one piece"):
        table.for_job(*KEY, 300)


def test_weather_that_never_opens_and_water_that_never_comes_are_said():
    shut = chain_of((1.0, 1.0), (1.0, 1.0))
    with pytest.raises(NeverWorkable, match="no start is open for work under the rule 'drawn'"):
        allowance_table({KEY: shut}, HOURS, seed=1, runs=100)
    dry = {WorkClass.AFLOAT: np.zeros((5, QUARTERS), dtype=bool)}
    with pytest.raises(NeverWorkable):
        allowance_table({KEY: FAIR}, HOURS, seed=1, runs=100, may_start=dry)


def test_wrong_input_is_named():
    with pytest.raises(ValueError, match=r"shape \(5, 3\), not \(days, 36\)"):
        allowance_table({KEY: FAIR}, HOURS, seed=1, runs=100, may_start={WorkClass.AFLOAT: np.ones((5, 3))})
    with pytest.raises(ValueError, match="100 runs"):
        allowance_table({KEY: FAIR}, HOURS, seed=1, runs=1)
    with pytest.raises(ValueError, match="quarters of an hour"):
        WorkingHours(morning_min=250)
    with pytest.raises(ValueError, match="some working time"):
        WorkingHours(morning_min=0, afternoon_min=0)
    with pytest.raises(ValueError, match="Monday"):
        WorkingHours(weekdays=frozenset({7}))
    with pytest.raises(ValueError, match="takes none away"):
        Allowance(wait_min=-1, extra_place_min=0, place_factor=1.0)


def test_durations_are_booked_a_tenth_above_their_median():
    assert booked_min(100) == pytest.approx(110)
