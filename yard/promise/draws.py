"""What chance does to a season: hours, weather and late facts, and the doubt in all three drawn once a scenario.

Scenarios are drawn in blocks of BLOCK, each source of chance from a stream of its own, seeded by (seed, source,
block).  So the first 500 of 1,000 scenarios are those of a run of 500, and two plans of one season meet the same
weather and the same hours (common random numbers).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from yard.promise.hours import Scatter, prior
from yard.promise.season import PlannedSeason
from yard.promise.sky import Sky

IntArray = NDArray[np.int64]

BLOCK = 250
LONGEST_FACTOR, SHORTEST_FACTOR = 6.0, 0.2  # no job takes longer or less, whatever is drawn
_WEATHER, _HOURS, _KINDS, _FACTS = range(4)


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """How unsure the parameters themselves are; drawn once a scenario.

    season_log_sd: one factor on all hours of a season.  weather_sd: shift of the threshold at which a half day is
    lost, in sd of the weather.  kinds: belief of each kind of job, by name; others have the prior of `unknown_kind`.
    Season and weather 0.15: a first season's doubt; with 0.15 promises of 9 in 10 were met in 89 of 100 with hours
    15 per cent up, with 0.10 and no weather doubt in 74 (computed, 100 boats).
    """

    season_log_sd: float = 0.15
    weather_sd: float = 0.15
    kinds: Mapping[str, Scatter] = field(default_factory=dict)
    unknown_kind: Scatter = field(default_factory=prior)

    def of(self, kind: str) -> Scatter:
        return self.kinds.get(kind, self.unknown_kind)


@dataclass(frozen=True, slots=True, kw_only=True)
class World:
    """How the truth differs from what is believed; the promise itself is always made for the default one.

    hours_factor: on all hours.  lost_factor: on every chance that a half day is lost.
    sure: nothing scatters and nothing is lost; all goes as booked.
    """

    hours_factor: float = 1.0
    lost_factor: float = 1.0
    sure: bool = False


BELIEVED = World()
SURE = World(sure=True)


@dataclass(frozen=True, slots=True)
class Block:
    """One block of scenarios. lengths: quarters, (scenarios, jobs).  weather: workable words, (scenarios, classes,
    days).  facts: minute at which each is here, (scenarios, facts)."""

    lengths: IntArray
    weather: IntArray
    facts: IntArray


class Chance:
    """Draws blocks of scenarios of one season."""

    def __init__(self, season: PlannedSeason, doubt: Doubt, world: World = BELIEVED) -> None:
        self.season, self.doubt, self.world = season, doubt, world
        kinds = season.kinds
        self._kind = np.array([kinds.index(job.kind) for job in season.jobs], dtype=np.int64)
        self._beliefs = [doubt.of(kind) for kind in kinds]
        self._median = np.array([job.median_quarters for job in season.jobs])
        self._booked = np.array([job.booked for job in season.jobs], dtype=np.int64)
        self._least = np.array(
            [season.now - job.planned + 1 if job.running else 1 for job in season.jobs], dtype=np.int64
        )
        self._sky = Sky(season, BLOCK, lost_factor=world.lost_factor)

    def block(self, seed: int, number: int, size: int = BLOCK) -> Block:
        """Block `number` of the scenarios of a seed, its first `size` scenarios."""
        if self.world.sure:
            return self._as_booked(size)
        streams = [np.random.default_rng([seed, source, number]) for source in range(4)]
        return Block(
            lengths=self._lengths(streams[_KINDS], streams[_HOURS])[:size],
            weather=self._sky.words(streams[_WEATHER], self.doubt.weather_sd)[:size],
            facts=self._facts(streams[_FACTS])[:size],
        )

    def _as_booked(self, size: int) -> Block:
        minutes = np.array([fact.minute for fact in self.season.facts], dtype=np.int64)
        axis = self.season.axis
        full = (1 << axis.quarters_per_day) - 1
        return Block(
            lengths=np.broadcast_to(self._booked, (size, self._booked.size)),
            weather=np.full((size, len(self.season.weather), axis.days), full, dtype=np.int64),
            facts=np.broadcast_to(minutes, (size, minutes.size)),
        )

    def _lengths(self, kinds: np.random.Generator, hours: np.random.Generator) -> IntArray:
        """Quarters of each job: median x season x kind x the job's own scatter."""
        shape = np.array([belief.a for belief in self._beliefs])
        rate = np.array([belief.b for belief in self._beliefs])
        k = np.array([belief.k for belief in self._beliefs])
        m = np.array([belief.m for belief in self._beliefs])
        variance = rate / kinds.standard_gamma(shape, (BLOCK, shape.size))
        mean = m + kinds.standard_normal((BLOCK, shape.size)) * np.sqrt(variance / k)
        mean += kinds.standard_normal((BLOCK, 1)) * self.doubt.season_log_sd + math.log(self.world.hours_factor)
        logs = hours.standard_normal((BLOCK, self._kind.size), dtype=np.float32)
        logs *= np.sqrt(variance).astype(np.float32)[:, self._kind]
        logs += mean.astype(np.float32)[:, self._kind]
        np.clip(logs, math.log(SHORTEST_FACTOR), math.log(LONGEST_FACTOR), out=logs)
        quarters = np.rint(np.exp(logs) * self._median.astype(np.float32)).astype(np.int64)
        return np.asarray(np.maximum(quarters, self._least), dtype=np.int64)

    def _facts(self, rng: np.random.Generator) -> IntArray:
        """The minute at which each fact is here: as expected, or late by an exponential number of days."""
        facts = self.season.facts
        late = rng.random((BLOCK, len(facts))) < np.array([fact.late_chance for fact in facts])
        days = np.ceil(rng.standard_exponential((BLOCK, len(facts))) * np.array([fact.late_days for fact in facts]))
        minutes = np.array([fact.minute for fact in facts], dtype=np.int64)
        return np.asarray(minutes + 1440 * np.where(late, days, 0).astype(np.int64), dtype=np.int64)
