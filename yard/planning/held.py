"""What let a job start no earlier than it does: each family of rules as the starts that it would have allowed."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

import numpy as np

from yard.planning.booked import Booked, Bools, Numbers
from yard.planning.listed import listed
from yard.planning.plan import Placement
from yard.planning.problem import QUARTER_MIN, Crew, PlaceNeed

Family = Literal[
    "water",
    "light",
    "closed",  # outdoor work or the water is closed
    "hours",  # the people are not at work
    "people",  # they are at other work
    "places",  # taken by others, or closed
    "boat",  # she is at other work herself
    "berths",  # no berth is free for her nights
]


class HeldJob:
    """A job and the starts it might have had: the axis positions [ready_at, its start).

    Every mask has one entry for each of them.
    """

    def __init__(self, booked: Booked, placed: Placement, ready_at: int) -> None:
        self.booked = booked
        self.placed = placed
        self.job = booked.problem.jobs[placed.job]
        self.way = self.job.ways[placed.way]
        self.first = ready_at
        self.starts: Numbers = np.arange(ready_at, placed.starts_at, dtype=np.int64)
        self.ends = self._ends()
        self.last = min(booked.size, int(self.ends.max(initial=ready_at)) + self.way.place_extra_quarters)
        self.span = slice(ready_at, self.last)

    def families(self) -> dict[Family, Bools]:
        """For each family: which of the starts it allows."""
        found: dict[Family, Bools] = {"hours": self.ends >= 0}
        people = np.ones(len(self.starts), dtype=bool)
        for able, count in self._demands():
            hours = {person: self._hours(person) for person in able}
            there = _at_least(count, hours.values(), self.starts)
            found["hours"] &= there
            free = _at_least(count, (hours[person] & self._quiet(person) for person in able), self.starts)
            people &= free | ~there  # where nobody is at work, that is the reason and not other work
        found["people"] = people
        for inside in self.way.inside:
            rule = self.booked.problem.window_sets[inside.window_set].rule
            family: Family = "water" if rule == "water" else "light" if rule == "light" else "closed"
            mask = self._inside(inside.window_set, inside.offset_quarters, inside.length_quarters)
            found[family] = found[family] & mask if family in found else mask
        found["places"] = self._free_places()
        found["boat"] = self._free_boat()
        found["berths"] = self._free_nights()
        return found

    def _demands(self) -> list[tuple[list[int], int]]:
        """Who can, and how many of them it takes: for each need, and for all needs together."""
        found = [(self._able(need), need.count) for need in self.way.crew]
        if len(found) > 1:
            found.append((sorted({n for able, _ in found for n in able}), sum(count for _, count in found)))
        return found

    def _ends(self) -> Numbers:
        """Where each start would end (exclusive); -1 where it does not fit its day or the axis."""
        booked, length = self.booked, self.way.duration_quarters
        if self.job.pausing == "fitted":
            ends = self.starts + length
            return np.where((ends - 1) // booked.per_day == self.starts // booked.per_day, ends, -1)
        if self.job.pausing == "elapsed":
            after = booked.minutes[self.starts] + length * QUARTER_MIN
            return np.searchsorted(booked.minutes, after).astype(np.int64)
        people = self.placed.people
        hours = booked.hours_of(people[0], slides=False) if people else np.ones(booked.size, dtype=bool)
        worked = np.concatenate(([0], np.cumsum(hours)))
        ends = np.searchsorted(worked, worked[self.starts] + length).astype(np.int64)
        return np.where(ends <= booked.size, ends, -1)

    def _throughout(self, mask: Bools, starts: Numbers | None = None, ends: Numbers | None = None) -> Bools:
        """Whether a mask over `span` holds from each start to its end; never where the end lies beyond it."""
        one = (self.starts if starts is None else starts) - self.first
        two = (self.ends if ends is None else ends) - self.first
        count = np.concatenate(([0], np.cumsum(mask)))
        known = (two >= one) & (two < len(count)) & (one >= 0)
        one, two = np.where(known, one, 0), np.where(known, two, 0)
        return np.asarray(known & (count[two] - count[one] == two - one), dtype=bool)

    def _able(self, need: Crew) -> list[int]:
        people = self.booked.problem.people
        return [n for n, person in enumerate(people) if person.skills.get(need.skill, 0) >= need.level]

    def _hours(self, person: int) -> Bools:
        """Whether somebody is at work from each start to its end; bench work only begins in their hours."""
        hours = self.booked.hours_of(person, slides=self.way.slides)
        return self._throughout(hours[self.span]) if self.job.pausing == "fitted" else hours[self.starts]

    def _quiet(self, person: int) -> Bools:
        """Where somebody is at no other work from start to end; this job's own booking does not count."""
        busy = self.booked.busy[person, self.span].copy()
        if person in self.placed.people:
            busy[self._own()] = False
        return self._throughout(~busy)

    def _own(self, extra: int = 0) -> slice:
        """The job's own booking, counted from the first position of `span`."""
        until = self.booked.kept_until(self.placed.ends_at, extra)
        return slice(self.placed.starts_at - self.first, until - self.first)

    def _inside(self, window_set: int, offset: int, length: int | None) -> Bools:
        """Where the stretch of a start lies inside the windows."""
        first = self.starts + offset
        last = self.ends if length is None else first + length
        return self._throughout(self.booked.windows(window_set)[self.span], first, last)

    def _free_places(self) -> Bools:
        mask = np.ones(len(self.starts), dtype=bool)
        for need in self.way.places:
            room = np.zeros(len(self.starts), dtype=bool)
            for place in need.any_of:
                room |= self._room(place, need)
            mask &= room
        return mask

    def _room(self, place: int, need: PlaceNeed) -> Bools:
        extra = self.way.place_extra_quarters
        taken = self.booked.taken[place][self.span].copy()
        taken[self._own(extra)] -= sum(held == place for held, _ in self.placed.places)
        free = taken + need.units <= self.booked.problem.places[place].capacity
        day_ends = ((self.ends - 1) // self.booked.per_day + 1) * self.booked.per_day
        until = np.where(self.ends >= 0, np.minimum(np.minimum(self.ends + extra, day_ends), self.last), -1)
        is_open = self._throughout(self.booked.open[place][self.span])
        return self._throughout(free, ends=until) & is_open & self._charged(place, need)

    def _charged(self, place: int, need: PlaceNeed) -> Bools:
        """Where a charge of the place has as much left as the job would run; everywhere if it runs on none."""
        row = self.booked.problem.places[place]
        if not row.charges:
            return np.ones(len(self.starts), dtype=bool)
        left = [charge.quarters for charge in row.charges] - self.booked.run_by_others(place, self.placed.job)
        begins = self.booked.minutes[self.starts]
        ends = begins + self.way.duration_quarters * QUARTER_MIN
        found = np.zeros(len(self.starts), dtype=bool)
        for charge, quarters in zip(row.charges, left, strict=True):
            if quarters >= need.units * self.way.duration_quarters:
                found |= (charge.starts <= begins) & (ends <= charge.ends)
        return found

    def _free_boat(self) -> Bools:
        hers = np.ones(self.last - self.first, dtype=bool)
        if self.job.needs_boat:
            for other in self.booked.on_boat.get(self.job.boat, ()):
                if other.job != self.placed.job and other.ends_at > self.first:
                    hers[max(0, other.starts_at - self.first) : other.ends_at - self.first] = False
        return self._throughout(hers) | (self.ends < 0)

    def _free_nights(self) -> Bools:
        """Where an earlier start leaves a berth free for every night up to that of the plan."""
        booked, mask = self.booked, np.ones(len(self.starts), dtype=bool)
        planned = (self.placed.ends_at - 1) // booked.per_day
        for stay in booked.problem.stays:
            if stay.from_job == self.placed.job and stay.any_of:
                free = np.zeros(booked.problem.calendar.days, dtype=bool)
                for place in stay.any_of:
                    free |= booked.nights[place] < booked.problem.places[place].capacity
                full = np.flatnonzero(~free[:planned])
                if len(full):
                    mask &= self.starts // booked.per_day > int(full[-1])
        return mask

    def words(self, family: Family) -> str:
        """The skills, or the places, that the family is about."""
        if family in ("hours", "people"):
            counted: dict[str, int] = {}
            for need in self.way.crew:
                counted[need.skill] = counted.get(need.skill, 0) + need.count
            # Keys joined as a machine reads them: the board puts them into the yard's names and language.
            return " and ".join(f"{count} {skill}" if count > 1 else skill for skill, count in counted.items())
        places: list[int] = []
        if family == "places":
            places = [need.any_of[0] for need in self.way.places]
        if family == "berths":
            places = [stay.any_of[0] for stay in self.booked.problem.stays if stay.from_job == self.placed.job]
        return listed(dict.fromkeys(self.booked.problem.places[place].name for place in places))


def _at_least(count: int, masks: Iterable[Bools], starts: Numbers) -> Bools:
    """Where at least so many of the masks hold."""
    total = np.zeros(len(starts), dtype=np.int64)
    for mask in masks:
        total += mask
    return np.asarray(total >= count, dtype=bool)


def soonest(allowed: dict[Family, Bools]) -> tuple[int, Family] | None:
    """The family that, given up alone, opens the earliest start, and that start; None where none opens any.

    Without hours every job could start the same evening, when nobody is busy; so they are the reason only where no
    other family wins at least half as much.
    """
    opened = {}
    for family in allowed:
        free = np.logical_and.reduce([mask for other, mask in allowed.items() if other != family])
        if free.any():
            opened[family] = int(free.argmax())
    others = {family: first for family, first in opened.items() if family != "hours"}
    best = min(others, key=lambda family: others[family], default=None)
    count = len(allowed["hours"])
    if best is not None and 2 * (count - others[best]) >= count - opened.get("hours", count):
        return others[best], best
    return (opened["hours"], "hours") if "hours" in opened else None
