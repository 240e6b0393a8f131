"""How fast the promise is, and how often its dates are kept: in its own world, and in plainly wrong ones."""

from __future__ import annotations

import statistics
import time
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from yard.promise.backend import Backend
from yard.promise.draws import BELIEVED, Doubt, World
from yard.promise.odds import Simulator, day_at
from yard.promise.season import PlannedSeason

WRONG_WORLDS = {
    "hours +15 %": World(hours_factor=1.15),
    "lost half days x1.2": World(lost_factor=1.2),
    "both": World(hours_factor=1.15, lost_factor=1.2),
}
DEEP_SHARE = 0.3  # the third of the launches with the least water is "deep"


@dataclass(frozen=True, slots=True)
class Kept:
    """Of days given at 90 in 100, the share kept: mean over milestones, the worst one, and by group."""

    mean: float
    least: float
    groups: dict[str, float]


def seconds(season: PlannedSeason, *, scenarios: int, seed: int, backend: Backend, repeat: int) -> list[float]:
    """CPU seconds of each repetition, of one thread, after one that warms up; laying out the season counts."""
    Simulator(season, doubt=Doubt(), backend=backend).run(seed=seed, scenarios=1)
    found = []
    for _ in range(repeat):
        began = time.process_time()
        Simulator(season, doubt=Doubt(), backend=backend).run(seed=seed, scenarios=scenarios)
        found.append(time.process_time() - began)
    return found


def kept_at_90(season: PlannedSeason, *, scenarios: int, seed: int, backend: Backend, world: World = BELIEVED) -> Kept:
    """Give days at 90 in 100, then live through as many fresh seasons of `world`, from another seed.

    A milestone whose day at 90 lies beyond the axis has no date to keep and does not count.
    """
    simulator = Simulator(season, doubt=Doubt(), backend=backend)
    days, _ = simulator.run(seed=seed, scenarios=scenarios)
    given = np.array([day_at(days[:, number], 0.90) for number in range(days.shape[1])])
    fresh, _ = simulator.run(seed=seed + 1_000_003, scenarios=scenarios, world=world)
    share = (fresh <= given).mean(axis=0)
    counts = given < season.axis.days
    groups = {
        name: float(share[members & counts].mean())
        for name, members in _groups(season).items()
        if (members & counts).any()
    }
    return Kept(float(share[counts].mean()), float(share[counts].min()), groups)


def _groups(season: PlannedSeason) -> dict[str, NDArray[np.bool_]]:
    """Early and late: thirds by planned day.  Deep: launches and deliveries with the least water.  Canvas: by name."""
    jobs = [season.jobs[mark.job] for mark in season.milestones]
    planned = np.array([job.planned for job in jobs])
    first, last = np.quantile(planned, [1 / 3, 2 / 3])
    water = np.array(
        [sum(word.bit_count() for word in season.domains[job.domain]) if job.in_water else np.inf for job in jobs]
    )
    wet = np.isfinite(water)
    deep = wet & (water <= (np.quantile(water[wet], DEEP_SHARE) if wet.any() else 0))
    canvas = np.array(["canvas" in f"{mark.name} {season.jobs[mark.job].name}".lower() for mark in season.milestones])
    return {"early": planned <= first, "late": planned > last, "deep": deep, "canvas": canvas}


def report(
    season: PlannedSeason, *, scenarios: int, seed: int, backend: Backend, repeat: int, calibrate: bool
) -> dict[str, object]:
    """Figures for people and for JSON."""
    taken = seconds(season, scenarios=scenarios, seed=seed, backend=backend, repeat=repeat)
    found: dict[str, object] = {
        "jobs": len(season.jobs),
        "milestones": len(season.milestones),
        "scenarios": scenarios,
        "backend": backend,
        "cpu_seconds_median": round(statistics.median(taken), 3),
        "cpu_seconds_least": round(min(taken), 3),
        "cpu_seconds_most": round(max(taken), 3),
    }
    if calibrate:
        for name, world in {"as believed": BELIEVED, **WRONG_WORLDS}.items():
            kept = kept_at_90(season, scenarios=scenarios, seed=seed, backend=backend, world=world)
            found[f"kept of 90 %, {name}"] = {
                "mean": round(kept.mean, 3),
                "least": round(kept.least, 3),
                **{group: round(share, 3) for group, share in kept.groups.items()},
            }
    return found
