"""A planned season simulated many times: the day of each milestone at 50, 80, 90 and 95 in 100, and why it may slip."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from yard.promise import backend as backends
from yard.promise import dispatch as d
from yard.promise.backend import Backend
from yard.promise.draws import BELIEVED, BLOCK, Block, Chance, Doubt, World
from yard.promise.layout import Layout, lay_out
from yard.promise.season import PlannedSeason

IntArray = NDArray[np.int64]

SHARES = (0.50, 0.80, 0.90, 0.95)
DEFAULT_SCENARIOS = 1000  # leaves 0.95 points of noise in a boat's 90 in 100; 200 leave 2.1 (computed)
LEAST_SHARE = 0.05  # a driver with less than this of the delay is not worth a word


@dataclass(frozen=True, slots=True)
class Driver:
    """What makes a day late. cause: hours, weather, water, closed, fact, boat, skill or place; name: which skill or
    place, else empty.  share: of all delay, 0 to 1."""

    cause: str
    name: str
    share: float


@dataclass(frozen=True, slots=True)
class MilestoneOdds:
    """Days are axis days; `axis.days`, one past the last, stands for a day that the axis does not hold.

    planned_day: as the plan says.  days: at SHARES, each the first day by which so many of the scenarios are done.
    chance_kept: of the promised day, None where nothing was promised.  counts: scenarios by day, from first_day on,
    the last entry those beyond the axis.
    """

    key: str
    planned_day: int
    days: tuple[int, int, int, int]
    chance_kept: float | None
    drivers: tuple[Driver, ...]
    first_day: int
    counts: tuple[int, ...]

    def chance_by(self, day: int) -> float:
        """The chance that it is done on this axis day or before."""
        return sum(self.counts[: max(0, day - self.first_day + 1)]) / sum(self.counts)


@dataclass(frozen=True, slots=True)
class Odds:
    """milestones in the order of PlannedSeason.milestones."""

    scenarios: int
    seed: int
    backend: Backend
    milestones: tuple[MilestoneOdds, ...]


def odds(
    season: PlannedSeason,
    *,
    scenarios: int = DEFAULT_SCENARIOS,
    seed: int,
    doubt: Doubt | None = None,
    backend: Backend | None = None,
) -> Odds:
    """Simulate; the same for the same season, scenarios and seed, whichever backend. Raises BackendMissing."""
    simulator = Simulator(season, doubt=doubt or Doubt(), backend=backend or backends.default())
    days, told = simulator.run(seed=seed, scenarios=scenarios)
    found = [
        _milestone(season, simulator.layout, number, days[:, number], told[number])
        for number in range(len(season.milestones))
    ]
    return Odds(scenarios, seed, simulator.backend, tuple(found))


class Simulator:
    """One season laid out for one backend; run it for as many scenarios as wanted."""

    def __init__(self, season: PlannedSeason, *, doubt: Doubt, backend: Backend) -> None:
        self.season, self.backend, self.doubt = season, backend, doubt
        self.layout = lay_out(season)
        self.dispatch = backends.load(backend)
        self._g = backends.sequence(backend, self.layout.table)
        self._s = backends.sequence(backend, np.zeros(self.layout.state, dtype=np.int64))

    def run(self, *, seed: int, scenarios: int, world: World = BELIEVED) -> tuple[IntArray, IntArray]:
        """Days of every milestone, (scenarios, milestones), and quarters of delay by cause, (milestones, causes).

        Raises ValueError unless there is at least one scenario.
        """
        if scenarios < 1:
            raise ValueError(f"a promise rests on at least one scenario, not {scenarios}")
        chance = Chance(self.season, self.doubt, world)
        blocks = []
        for number, first in enumerate(range(0, scenarios, BLOCK)):
            blocks.append(self.live_through(chance.block(seed, number, min(BLOCK, scenarios - first))))
        return np.concatenate([days for days, _ in blocks]), np.sum([told for _, told in blocks], axis=0)

    def live_through(self, drawn: Block) -> tuple[IntArray, IntArray]:
        """The same as `run` gives, in just these scenarios."""
        size, marks, causes = len(drawn.lengths), len(self.season.milestones), len(self.layout.causes)
        lengths = drawn.lengths[:, self.layout.order]
        flat = [backends.sequence(self.backend, each) for each in (lengths, drawn.weather, drawn.facts)]
        days = backends.sequence(self.backend, np.zeros(size * marks, dtype=np.int64))
        told = backends.sequence(self.backend, np.zeros(marks * causes, dtype=np.int64))
        self.dispatch.simulate(self._g, self._s, size, *flat, days, told)
        return (
            np.array(days, dtype=np.int64).reshape(size, marks),
            np.array(told, dtype=np.int64).reshape(marks, causes),
        )

    @property
    def starts(self) -> IntArray:
        """Where each job started in the last season lived through; -1 for never."""
        return self._by_job(d.L_START)

    @property
    def ends(self) -> IntArray:
        """One past each job's last position in the last season lived through; -1 for never."""
        return self._by_job(d.L_END)

    def _by_job(self, column: int) -> IntArray:
        found = np.empty(len(self.season.jobs), dtype=np.int64)
        first = int(self._g[d.LIFE])
        rows = self._s[first : first + found.size * d.LIFE_STRIDE]
        found[self.layout.order] = rows[column :: d.LIFE_STRIDE]
        return found


def day_at(days: IntArray, share: float) -> int:
    """The first day by which at least this share of the scenarios is done; days: (scenarios,)."""
    ranked = np.sort(days)
    return int(ranked[max(0, int(np.ceil(share * ranked.size - 1e-9)) - 1)])


def _milestone(season: PlannedSeason, layout: Layout, number: int, days: IntArray, told: IntArray) -> MilestoneOdds:
    mark = season.milestones[number]
    job = season.jobs[mark.job]
    per_day = season.axis.quarters_per_day
    planned = job.planned if mark.at_start else planned_end(season, mark.job) - 1
    first = int(days.min())
    at50, at80, at90, at95 = (day_at(days, share) for share in SHARES)
    promised = mark.promised_day
    return MilestoneOdds(
        key=mark.key,
        planned_day=planned // per_day,
        days=(at50, at80, at90, at95),
        chance_kept=None if promised is None else float(np.mean(days <= min(promised, season.axis.days - 1))),
        drivers=_drivers(layout.causes, told),
        first_day=first,
        counts=tuple(np.bincount(days - first).tolist()),
    )


def planned_end(season: PlannedSeason, index: int) -> int:
    """Where the plan ends a job: bench work pauses, so its end is counted in its first person's hours."""
    job = season.jobs[index]
    per_day = season.axis.quarters_per_day
    if job.pausing == "fitted":
        return job.planned + job.booked
    if job.pausing == "elapsed":
        minute = season.axis.day_starts[job.planned // per_day] + 15 * (job.planned % per_day + job.booked)
        return next(
            (
                day * per_day + max(0, min(per_day, -(-(minute - start) // 15)))
                for day, start in enumerate(season.axis.day_starts)
                if start + per_day * 15 >= minute
            ),
            season.axis.size,
        )
    words = season.people[job.people[0]].work_words if job.people else season.axis.open_words
    left = job.booked
    for position in range(job.planned, season.axis.size):
        left -= words[position // per_day] >> position % per_day & 1
        if left == 0:
            return position + 1
    return season.axis.size


def _drivers(causes: Sequence[tuple[str, str]], told: IntArray) -> tuple[Driver, ...]:
    """The causes by their share of all delay, the greatest first."""
    total = int(told.sum())
    if total == 0:
        return ()
    shares = sorted(((int(told[n]) / total, -n) for n in range(len(causes))), reverse=True)
    return tuple(Driver(*causes[-n], round(share, 3)) for share, n in shares if share >= LEAST_SHARE)
