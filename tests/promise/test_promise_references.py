"""The promise against published and derived values: sums, the later of two, networks, chains of weather, learning."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.promise.small_season import CERTAIN, days_of_weather, live, network
from tests.reference import promise_values as values
from yard.promise.draws import Doubt
from yard.promise.hours import Scatter, learn, prior
from yard.promise.odds import Simulator, day_at

RUNS = 40_000
STEP = 50  # quarters for one hour (or day) of a reference


def _quantiles(days: np.ndarray, shares: tuple[float, ...]) -> list[float]:
    return [day_at(days, share) / STEP for share in shares]


def _quarters(lengths: np.ndarray) -> np.ndarray:
    return np.maximum(1, np.rint(np.column_stack([lengths * STEP, np.full(len(lengths), 1 / STEP)]))).astype(np.int64)


def test_four_normal_jobs_in_a_row_add_up() -> None:
    means, sds, mean, variance, quantiles = values.NORMAL_CHAIN
    drawn = np.random.default_rng(1).normal(means, sds, (RUNS, 4))
    ends = live(network({"A": "", "B": "A", "C": "B", "D": "C"}, 1300), _quarters(drawn))[:, 0]
    assert ends.mean() / STEP == pytest.approx(mean, abs=0.03)
    assert ends.var() / STEP**2 == pytest.approx(variance, rel=0.03)
    assert _quantiles(ends, (0.80, 0.90, 0.95)) == pytest.approx(quantiles, abs=0.06)


def test_three_lognormal_jobs_in_a_row_by_the_promise_s_own_draws() -> None:
    """The hours are drawn by the promise itself: certain of the scatter 0.3, no doubt, no season's factor."""
    medians, log_sd, mean, sd, quantiles = values.LOGNORMAL_CHAIN
    season = network({"A": "", "B": "A", "C": "B"}, 2400)
    jobs = [_with_median(job, median) for job, median in zip(season.jobs, (*medians, 1 / STEP), strict=True)]
    sure = Scatter(k=1e12, m=0.0, a=1e9, b=1e9 * log_sd**2)
    doubt = Doubt(season_log_sd=0.0, weather_sd=0.0, unknown_kind=sure)
    simulator = Simulator(_with_jobs(season, jobs), doubt=doubt, backend="numba")
    ends = simulator.run(seed=3, scenarios=20_000)[0][:, 0]
    assert ends.mean() / STEP == pytest.approx(mean, abs=0.06)
    assert ends.std() / STEP == pytest.approx(sd, rel=0.03)
    assert _quantiles(ends, (0.80, 0.90, 0.95)) == pytest.approx(quantiles, rel=0.012)


def _with_median(job, median):
    from dataclasses import replace

    return replace(job, median_quarters=median * STEP)


def _with_jobs(season, jobs):
    from dataclasses import replace

    return replace(season, jobs=tuple(jobs))


def test_the_later_of_two_paths_is_later_than_the_longer_alone() -> None:
    a, b, mean, sd, quantiles, alone = values.CLARK_MAX
    drawn = np.random.default_rng(2).normal((a[0], b[0]), (a[1], b[1]), (RUNS, 2))
    ends = live(network({"A": "", "B": ""}, 1200), _quarters(drawn))[:, 0]
    assert ends.mean() / STEP == pytest.approx(mean, abs=0.03)
    assert ends.std() / STEP == pytest.approx(sd, rel=0.03)
    found = _quantiles(ends, (0.50, 0.80, 0.90, 0.95))
    assert found == pytest.approx(quantiles, abs=0.06)
    assert found[2] > alone + 0.4


def _pert(rows: np.ndarray, rng: np.random.Generator, kind: str) -> np.ndarray:
    """Lengths of activities given as optimistic, likely, pessimistic; mean (a + 4 m + b) / 6, sd (b - a) / 6."""
    low, likely, high = rows.T
    mean, sd = (low + 4 * likely + high) / 6, (high - low) / 6
    if kind == "normal":
        return rng.normal(mean, sd, (RUNS, len(rows)))
    wide = np.where(high > low, high - low, 1.0)
    first, second = 1 + 4 * (likely - low) / wide, 1 + 4 * (high - likely) / wide
    return low + rng.beta(first, second, (RUNS, len(rows))) * (high - low)


def test_a_published_path_is_done_in_time_as_often_as_its_book_says() -> None:
    rows, mean, variance, by, chance = values.PERT_TAYLOR
    drawn = _pert(np.array(rows, dtype=float), np.random.default_rng(4), "normal")
    ends = live(network({"1": "", "3": "1", "5": "3", "7": "5"}, 2400), _quarters(drawn))[:, 0]
    assert ends.mean() / STEP == pytest.approx(mean, abs=0.05)
    assert ends.var() / STEP**2 == pytest.approx(variance, rel=0.03)
    assert (ends <= by * STEP).mean() == pytest.approx(chance, abs=0.004)


@pytest.mark.parametrize("kind", ["normal", "beta"])
def test_a_whole_network_is_later_than_its_critical_path(kind: str) -> None:
    names = list(values.PERT_RELIABLE)
    rows = np.array([values.PERT_RELIABLE[name][0] for name in names], dtype=float)
    drawn = _pert(rows, np.random.default_rng(5), kind)
    predecessors = {name: values.PERT_RELIABLE[name][1] for name in names}
    ends = live(network(predecessors, 4000), _quarters(drawn))[:, 0]
    kept = (ends <= 47 * STEP).mean()
    # the reference allows the beta of PERT two forms, which differ by 0.01
    assert kept == pytest.approx(values.PERT_RELIABLE_NETWORK[kind], abs=0.006 if kind == "normal" else 0.02)
    assert kept < values.PERT_RELIABLE_BY_47 - 0.005
    if kind == "beta":
        assert ends.mean() / STEP == pytest.approx(values.PERT_RELIABLE_NETWORK["beta_mean"], abs=0.1)
        assert day_at(ends, 0.90) / STEP == pytest.approx(values.PERT_RELIABLE_NETWORK["beta_q90"], abs=0.15)
    path = drawn[:, [names.index(name) for name in values.PERT_RELIABLE_PATH]].sum(axis=1)
    assert path.mean() == pytest.approx(values.PERT_RELIABLE_MEAN, abs=0.05)
    assert path.var() == pytest.approx(values.PERT_RELIABLE_VARIANCE, rel=0.06)


@pytest.mark.parametrize(("n", "q", "r", "mean", "variance", "quantiles", "by"), values.MARKOV)
def test_days_to_n_workable_days(n, q, r, mean, variance, quantiles, by) -> None:
    season = days_of_weather(n, q, r, 90)
    days = Simulator(season, doubt=CERTAIN, backend="numba").run(seed=7, scenarios=20_000)[0][:, 0]
    assert days.mean() == pytest.approx(mean, abs=4 * math.sqrt(variance / 20_000))
    assert days.var() == pytest.approx(variance, rel=0.05)
    assert tuple(day_at(days, share) for share in (0.80, 0.90, 0.95)) == quantiles
    for day, chance in by.items():
        assert (days <= day).mean() == pytest.approx(chance, abs=0.012)


def test_finished_jobs_teach_their_kind() -> None:
    estimated, worked, (k, m, a, b, scale), factors, before = values.NIG
    found = learn(prior(0.35), estimated, worked)
    assert (found.k, found.a, found.degrees) == (k, a, 12)
    assert (found.m, found.b, found.scale) == pytest.approx((m, b, scale), abs=5e-5)
    rng = np.random.default_rng(8)
    for belief, shares, expected in ((found, (0.5, 0.8, 0.9, 0.95), factors), (prior(0.35), (0.9,), (before,))):
        drawn = np.exp(belief.m + belief.scale * rng.standard_t(belief.degrees, 400_000))
        assert np.quantile(drawn, shares) == pytest.approx(expected, rel=0.006)


def test_the_draws_follow_what_was_learnt() -> None:
    """One job of one kind, simulated by the promise: its factors are those of the reference's Student t."""
    estimated, worked, _, factors, _ = values.NIG
    season = network({"A": ""}, 12_000)
    jobs = [_with_median(season.jobs[0], 20.0), season.jobs[1]]
    doubt = Doubt(season_log_sd=0.0, weather_sd=0.0, kinds={"A": learn(prior(0.35), estimated, worked)})
    days = Simulator(_with_jobs(season, jobs), doubt=doubt, backend="numba").run(seed=1, scenarios=20_000)[0][:, 0]
    found = [day_at(days, share) / (20 * STEP) for share in (0.5, 0.8, 0.9, 0.95)]
    assert found == pytest.approx(factors, rel=0.02)
