"""Who is there and how many: masks of the axis for people, runs and crews of the bound's tables."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import reduce
from itertools import combinations
from operator import and_, or_

import numpy as np
import numpy.typing as npt

from yard.planning.axis import Axis, Table
from yard.planning.crews import MAX_MIXES, mixes
from yard.planning.engine import FAR
from yard.planning.problem import Crew, Problem, Way

Mask = npt.NDArray[np.bool_]
MAX_NEEDS = 5  # sets of needs of one job that are looked at together


class Hands:
    """By person: `present` (normal hours, not away, not pinned), `widest` (with all that a day may slide), `here`
    (neither away nor pinned), `taken` (pinned).  `quarter`: the positions that are quarters of a day."""

    def __init__(self, problem: Problem, axis: Axis) -> None:
        self.problem, self.axis = problem, axis
        self.size = axis.days << axis.shift
        self.quarter = (np.arange(self.size) & ((1 << axis.shift) - 1)) < axis.quarters
        self.present: list[Mask] = []
        self.widest: list[Mask] = []
        self.here: list[Mask] = []
        self.taken = [np.zeros(self.size, dtype=bool) for _ in problem.people]
        self._runs: dict[tuple[object, ...], Mask] = {}
        self._crews: dict[tuple[object, ...], Mask] = {}
        self._people()

    def mask(self, words: Sequence[int]) -> Mask:
        found = np.zeros(self.size, dtype=bool)
        for day, word in enumerate(words):
            base = day << self.axis.shift
            for quarter in range(self.axis.quarters):
                if word >> quarter & 1:
                    found[base + quarter] = True
        return found

    def _people(self) -> None:
        taken = self.taken
        for pin in self.problem.pins:
            for person in pin.people:
                taken[person][self.axis.inner(pin.starts_at) : self.axis.inner_end(pin.ends_at)] = True
        for number, row in enumerate(self.problem.people):
            normal = self.axis.words(row.hours)
            here = ~self.mask(self.axis.touched(row.away)) & self.quarter & ~taken[number]
            self.here.append(here)
            wide = list(normal)
            if row.slide is not None:
                early, late = -(-row.slide.early_min // 15), -(-row.slide.late_min // 15)
                for day, word in enumerate(normal):
                    if word:
                        low, high = (word & -word).bit_length() - 1, word.bit_length()
                        wide[day] |= (1 << low) - (1 << max(0, low - early))
                        wide[day] |= (1 << min(self.axis.quarters, high + late)) - (1 << high)
            self.present.append(self.mask(normal) & here)
            self.widest.append(self.mask(wide) & here)

    def able(self, need: Crew) -> list[int]:
        return [
            number
            for number, person in enumerate(self.problem.people)
            if person.skills.get(need.skill, 0) >= need.level
        ]

    def enough(self, crew: tuple[Crew, ...], key: tuple[object, ...], run: dict[int, Mask]) -> Mask:
        """Starts for which each set of needs has as many people free as it asks for."""
        whole = (key, crew)
        if whole in self._crews:
            return self._crews[whole]
        found = np.ones(self.size, dtype=bool)
        for size in range(1, min(len(crew), MAX_NEEDS) + 1):
            for chosen in combinations(crew, size):
                able = sorted({person for need in chosen for person in self.able(need)})
                count = sum((run[person].astype(np.int16) for person in able), np.zeros(self.size, dtype=np.int16))
                found &= count >= sum(need.count for need in chosen)
        self._crews[whole] = found
        return found

    def of(self, way: Way) -> set[int]:
        return {person for need in way.crew for person in self.able(need)}

    def stretch(self, key: tuple[object, ...], counted: Mask, person: int, ends: Table) -> Mask:
        """Starts of paused work for which this person is there at each counted quarter and pinned to nothing else."""
        if key not in self._runs:
            bad = (counted & ~self.here[person]) | self.taken[person]
            before = np.concatenate(([0], np.cumsum(bad)))
            self._runs[key] = before[np.minimum(ends, self.size)] == before[:-1]
        return self._runs[key]

    def run(self, key: tuple[object, ...], mask: Mask, length: int) -> Mask:
        """Positions from which `length` set ones follow."""
        if key not in self._runs:
            before = np.concatenate(([0], np.cumsum(mask)))
            found = np.zeros(self.size, dtype=bool)
            if length <= self.size:
                found[: self.size - length + 1] = before[length:] - before[:-length] == length
            self._runs[key] = found
        return self._runs[key]

    def counts(self, way: Way) -> Iterator[tuple[Mask, bool]]:
        """The quarters that count: for each mix of people's hours; where the mixes are too many, anybody's."""
        if not way.crew:
            yield self.quarter, True
            return
        classes: dict[tuple[int, ...], list[int]] = {}
        words = [self.axis.words(person.hours) for person in self.problem.people]
        for person, own in enumerate(words):
            classes.setdefault(tuple(own), []).append(person)
        hours = list(classes)
        yielded, most = set(), 1
        for need in way.crew:
            most *= len(hours) ** need.count
        if len(hours) > 1 and most > MAX_MIXES:
            anybody = [reduce(or_, day) for day in zip(*hours, strict=True)]
            yield self.mask(anybody), False
            return
        for _parts, used in mixes(way.crew, [tuple(people) for people in classes.values()]):
            if tuple(used) not in yielded:
                yielded.add(tuple(used))
                yield self.mask([reduce(and_, day) for day in zip(*(hours[n] for n in used), strict=True)]), True

    def paused_ends(self, counted: Mask, length: int) -> Table:
        positions = np.flatnonzero(counted)
        ends = np.full(self.size, FAR, dtype=np.int64)
        index = np.searchsorted(positions, np.arange(self.size), "left") + length - 1
        fits = index < len(positions)
        ends[fits] = positions[index[fits]] + 1
        return ends
