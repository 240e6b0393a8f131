from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.reference import weather_chains
from yard.weather.climate import (
    ClimateNotRead,
    DailyChain,
    HalfDayChain,
    Season,
    WorkClass,
    read_daily_climate,
    read_half_day_climate,
    season_of,
)

CLIMATE = Path(__file__).parents[2] / "fixtures" / "climate"
HALF_DAY = (CLIMATE / "half_day.json").read_bytes()
DAILY = (CLIMATE / "daily.json").read_bytes()


def test_every_class_has_a_chain_in_both_seasons_and_a_source():
    climate = read_half_day_climate(HALF_DAY)
    assert set(climate.chains) == {(kind, season) for kind in WorkClass for season in Season}
    assert "JFK" in climate.source
    assert "CC0" in climate.source


@pytest.mark.parametrize(
    ("station", "chain", "published"),
    [
        ("USW00014739", "rain_ge_2.54mm_1996_2025", weather_chains.BOSTON_RAIN),
        ("USW00014765", "fastest_2min_wind_gt_20kn", weather_chains.PROVIDENCE_WIND),
    ],
)
def test_daily_chains_agree_with_the_printed_shares(station, chain, published):
    months = read_daily_climate(DAILY)[station].chains[chain]
    for month, expected in published.items():
        row = months[month - 1]
        # Printed to 0.01, some rounded from one more digit than the table keeps: half a step and that digit.
        assert (row.p, row.p_after_yes, row.p_after_no) == pytest.approx(expected, abs=0.0056)


def test_boston_rain_days_agree_with_the_published_normals():
    """NCEI's normals are of 1991-2020, the chain of 1996-2025: within 2.5 days in a hundred."""
    months = read_daily_climate(DAILY)["USW00014739"].chains["rain_ge_2.54mm_1996_2025"]
    for month, share in weather_chains.BOSTON_NORMALS.items():
        assert months[month - 1].p == pytest.approx(share, abs=0.025)


@pytest.mark.parametrize(("n", "q", "r", "mean", "variance", "percentiles"), weather_chains.CALENDAR_DAYS)
def test_days_until_n_workable_days_follow_the_derived_values(n, q, r, mean, variance, percentiles):
    share = q / (1 - r + q)
    chain = DailyChain(4, share, r, q, mean_days=9.0, sd_days=2.0, n=900)
    runs = 20_000
    lost = chain.sample_lost(runs, 120, np.random.default_rng(7), lost_before=False)
    days = 1 + (np.cumsum(~lost, axis=1) >= n).argmax(axis=1)
    assert days.mean() == pytest.approx(mean, abs=4 * (variance / runs) ** 0.5)
    assert days.var() == pytest.approx(variance, rel=0.05)  # 4 standard errors, sqrt(2 / runs) plus skew
    for level, day in zip((0.80, 0.90, 0.95), percentiles, strict=True):
        noise = 4 * (level * (1 - level) / runs) ** 0.5
        assert (days <= day).mean() >= level - noise
        assert (days < day).mean() < level + noise


def test_half_days_keep_their_shares_and_their_memory():
    chain = read_half_day_climate(HALF_DAY).chain(WorkClass.PATTERN, Season.SPRING)
    lost = chain.sample_lost(4000, 60, np.random.default_rng(3))
    assert lost.shape == (4000, 60, 2)
    assert lost[:, :, 0].mean() == pytest.approx(chain.am_lost, abs=0.01)
    assert lost[:, :, 1].mean() == pytest.approx(chain.pm_lost, abs=0.01)
    after_lost = lost[:, :, 1][lost[:, :, 0]].mean()
    after_ok = lost[:, :, 1][~lost[:, :, 0]].mean()
    assert (after_lost, after_ok) == pytest.approx((chain.pm_lost_after_am_lost, chain.pm_lost_after_am_ok), abs=0.01)
    night = lost[:, 1:, 0][lost[:, :-1, 1]].mean()
    assert night == pytest.approx(chain.am_lost_after_pm_lost, abs=0.01)
    assert lost.all(axis=2).mean() == pytest.approx(chain.day_lost, abs=0.01)


def test_one_seed_gives_one_weather():
    chain = read_half_day_climate(HALF_DAY).chain(WorkClass.AFLOAT, Season.AUTUMN)
    first, second = (chain.sample_lost(50, 20, np.random.default_rng(5)) for _ in range(2))
    assert (first == second).all()
    assert (first != chain.sample_lost(50, 20, np.random.default_rng(6))).any()


def test_months_without_a_chain_take_the_nearest():
    assert [season_of(month) for month in (3, 4, 6, 7)] == [Season.SPRING] * 4
    assert [season_of(month) for month in (8, 9, 11, 12, 1)] == [Season.AUTUMN] * 5
    with pytest.raises(ValueError, match="1 to 12"):
        season_of(13)


def chain_with(**changed: float) -> HalfDayChain:
    values = {
        "hours_ok": 0.6,
        "am_lost": 0.4,
        "pm_lost": 0.4,
        "am_lost_after_pm_lost": 0.55,
        "am_lost_after_pm_ok": 0.3,
        "pm_lost_after_am_lost": 0.55,
        "pm_lost_after_am_ok": 0.3,
    }
    return HalfDayChain(rule="any", days=90, years=(2013,), **(values | changed))


@given(st.floats(allow_nan=True, allow_infinity=True).filter(lambda p: not 0 <= p <= 1))
def test_no_probability_lies_outside_nought_to_one(p):
    with pytest.raises(ValueError, match=r"hours_ok is .*; a probability is 0 to 1"):
        chain_with(hours_ok=p)


def test_a_share_that_its_transitions_contradict_is_refused():
    assert chain_with().pm_lost == 0.4
    with pytest.raises(ValueError, match=r"pm_lost is 0.6, but its transition probabilities give 0.400"):
        chain_with(pm_lost=0.6)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        (b'"hours_ok": 0.627', b'"hours_ok": 1.627', "class canvas, spring: hours_ok is 1.627"),
        (b'"hours_ok": 0.627', b'"hours_ok": null', "Expected `float`, got `null`"),
        (b'"canvas"', b'"kites"', "class kites, spring"),
        (b'"source": "Hourly', b'"sauce": "Hourly', "missing required field `source`"),
        (b'"am_lost": 0.363', b'"am_lost": 0.9', "class canvas, spring: pm_lost is"),
    ],
)
def test_a_wrong_half_day_table_is_refused_by_place_and_fault(old, new, says):
    assert old in HALF_DAY
    with pytest.raises(ClimateNotRead, match=says):
        read_half_day_climate(HALF_DAY.replace(old, new, 1))


@pytest.mark.parametrize("data", [b"", b"[]", b"{", b"\xff\xfe", HALF_DAY[:-40]])
def test_what_is_no_table_is_refused(data):
    with pytest.raises(ClimateNotRead):
        read_half_day_climate(data)
    with pytest.raises(ClimateNotRead):
        read_daily_climate(data)


def test_a_daily_chain_with_a_month_missing_is_refused():
    table = DAILY.replace(b'{"month":2,', b'{"month":3,', 1)
    with pytest.raises(ClimateNotRead, match=r"USW00014739.*months 1 to 12 in order"):
        read_daily_climate(table)
