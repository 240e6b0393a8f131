"""A second dispatcher, slow and plain, that shares no code with the promise's: every job tried at every quarter.

For seasons without slides, stays and facts.
"""

from __future__ import annotations

from collections.abc import Callable

from yard.promise.season import Need, PlannedSeason, SeasonJob, Wait

Unit = tuple[int, int]


def naive_starts(season: PlannedSeason, lengths: list[int], words: list[list[int]]) -> list[int | None]:
    """Where each job starts, None for never.  words: workable quarters by class and day."""
    return naive_life(season, lengths, words)[0]


def naive_life(season: PlannedSeason, lengths: list[int], words: list[list[int]]) -> tuple[list[int | None], list[int]]:
    """Where each job starts, None for never, and one past its last position, SIZE + 1 for never."""
    yard = _Yard(season, lengths, words)
    waiting = list(yard.order)
    for position in range(season.now, season.axis.size):
        day_ends = (position // yard.per_day + 1) * yard.per_day
        for index in waiting:
            if season.jobs[index].planned >= day_ends:
                break  # nothing starts before its planned day, and those behind it are planned later still
            if yard.may_start(index, position):
                yard.try_to_start(index, position)
        waiting = [index for index in waiting if yard.start[index] is None]
    return yard.start, yard.end


class _Yard:
    def __init__(self, season: PlannedSeason, lengths: list[int], words: list[list[int]]) -> None:
        self.season, self.lengths, self.words = season, lengths, words
        self.per_day = season.axis.quarters_per_day
        self.waits: list[list[Wait]] = [[] for _ in season.jobs]
        for wait in season.waits:
            self.waits[wait.after].append(wait)
        self.order = sorted(range(len(season.jobs)), key=lambda index: (season.jobs[index].planned, index))
        self.start: list[int | None] = [None] * len(season.jobs)
        self.end = [0] * len(season.jobs)
        self.people: dict[int, int] = {}
        self.units: dict[Unit, int] = {}
        self.boats: dict[int, int] = {}

    # --- what must hold before anybody is looked for ---

    def may_start(self, index: int, position: int) -> bool:
        job = self.season.jobs[index]
        first = max(job.planned // self.per_day * self.per_day, job.not_before, self.season.now)
        if position < first or (self.boats.get(job.boat, 0) > position and job.boat >= 0):
            return False
        waited = all(self._waited(wait.before, wait.min_wait, position) for wait in self.waits[index])
        return waited and self._sky_and_water(job, position) and (position >= job.planned or self._next_in_line(index))

    def _waited(self, before: int, min_wait: int, position: int) -> bool:
        if self.start[before] is None or self.end[before] > self.season.axis.size:
            return False
        return self._minute(self.end[before] - 1) + 15 + min_wait <= self._minute(position)

    def _minute(self, position: int) -> int:
        day, quarter = divmod(position, self.per_day)
        return self.season.axis.day_starts[day] + 15 * quarter

    def _stretch(self, job: SeasonJob, position: int) -> range:
        return range(position, position + (job.booked if job.pausing == "fitted" else 1))

    def _sky_and_water(self, job: SeasonJob, position: int) -> bool:
        day, quarter = divmod(position, self.per_day)
        quarters = self._stretch(job, position)
        if quarters[-1] // self.per_day != day:
            return False
        if job.domain >= 0 and not self.season.domains[job.domain][day] >> quarter & 1:
            return False
        return job.weather < 0 or all(self.words[job.weather][day] >> each % self.per_day & 1 for each in quarters)

    def _next_in_line(self, index: int) -> bool:
        """Before its hour: everything planned earlier for its people, units and boat has begun."""
        job = self.season.jobs[index]
        earlier = [self.season.jobs[n] for n in self.order[: self.order.index(index)] if self.start[n] is None]
        return not any(
            set(other.people) & set(job.people)
            or set(other.units) & set(job.units)
            or (other.boat >= 0 and other.boat == job.boat)
            for other in earlier
        )

    # --- people and places ---

    def try_to_start(self, index: int, position: int) -> None:
        job = self.season.jobs[index]
        team, units = self._team(job, position), self._places(job, position)
        if team is None or units is None:
            return
        self.start[index], self.end[index] = position, self._end(index, position, team)
        self.people.update(dict.fromkeys(team, self.end[index]))
        self.units.update(dict.fromkeys(units, self.end[index]))
        self.boats[job.boat] = self.end[index]

    def _can(self, person: int, job: SeasonJob, position: int) -> bool:
        free = self.people.get(person, 0) <= position
        return free and all(self._at_work(person, each) for each in self._stretch(job, position))

    def _at_work(self, person: int, position: int) -> bool:
        return bool(self.season.people[person].work_words[position // self.per_day] >> position % self.per_day & 1)

    def _team(self, job: SeasonJob, position: int) -> list[int] | None:
        if all(self._can(person, job, position) for person in job.people) and (job.people or not job.needs):
            return list(job.people)
        if position < job.planned:
            return None
        team: list[int] = []
        for need in sorted(job.needs, key=lambda need: len(self._holders(need))):
            free = [who for who in self._holders(need) if who not in team and self._can(who, job, position)]
            if len(free) < need.count:
                return None
            team += free[: need.count]
        return team

    def _holders(self, need: Need) -> list[int]:
        people = self.season.people
        found = [number for number, row in enumerate(people) if row.has(need.skill, need.level)]
        return sorted(found, key=lambda number: (len(people[number].skills), number))

    def _places(self, job: SeasonJob, position: int) -> list[Unit] | None:
        if all(self.units.get(unit, 0) <= position for unit in job.units):
            return list(job.units)
        if position < job.planned:
            return None
        found: list[Unit] = []
        for need in job.spots:
            choices = [self._free_units(spot, position, found) for spot in dict.fromkeys((need.planned, *need.any_of))]
            enough = next((free for free in choices if len(free) >= need.units), None)
            if enough is None:
                return None
            found += enough[: need.units]
        return found

    def _free_units(self, spot: int, position: int, taken: list[Unit]) -> list[Unit]:
        every = [(spot, unit) for unit in range(self.season.spots[spot].capacity)]
        return [unit for unit in every if self.units.get(unit, 0) <= position and unit not in taken]

    # --- how long it really takes ---

    def _end(self, index: int, position: int, team: list[int]) -> int:
        job, left = self.season.jobs[index], self.lengths[index]
        if job.pausing == "fitted":
            if left <= job.booked:
                return position + left
            left, position = left - job.booked, position + job.booked
        works: Callable[[int], bool] = (lambda at: self._at_work(team[0], at)) if team else self._open
        while position < self.season.axis.size:
            left -= works(position)
            position += 1
            if left == 0:
                return position
        return self.season.axis.size + 1

    def _open(self, position: int) -> bool:
        return bool(self.season.axis.open_words[position // self.per_day] >> position % self.per_day & 1)
