"""How much work the orders are for the hours that there are, and giving orders up until the yard can do them.

The load is that of the tightest group: for every set of skills, the booked hours that ask for one of them over the
hours of everybody who has one, in the size's window; the greatest of these ratios (Hall's condition on hours).
Hours of a group that works in gangs out of doors count only in part (season.toml, gangs): their jobs must fit whole
into half days, between tides and beside one another. The contractor's own work is left out: the yard can do it as
well, and his dates are few.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta

import numpy as np

from yard.services.example_yard.description import Description, Person, Size, Span
from yard.services.example_yard.wishes import BY_THE_OWNER, OWNER_DOES, Wish
from yard.services.package_files import Job, PackageFile

BOOKED_OVER_MEDIAN = 1.1  # YardSettings.duration_factor
TRIES = 100
LEFT_OUT = {"mooring_tackle", "driver"}

AT_THE_BENCH = {"canvas", "sailmaker"}
"""Their work pauses at a meal and at night, so it fills their hours; a gang's must fit whole into a half day."""

Skill = tuple[str, int]
"""A skill and the least level that is asked for."""


class LoadNotReached(Exception):
    """Nothing is left to give up, and the load is still above its range."""


@dataclass(frozen=True)
class YardLoad:
    """ratio: booked hours over the hours that can be filled, of the tightest group of skills (and least levels)."""

    ratio: float
    group: tuple[str, ...]


class LoadBook:
    """The work of orders by skill, against the hours of the window."""

    def __init__(self, about: Description, size: Size, packages: Mapping[str, PackageFile]) -> None:
        self.window = about.season.size[size].window
        self.packages = packages
        self.skills = _skills(packages)
        count = len(self.skills)
        self.groups = np.array(
            [[mask >> k & 1 for k in range(count)] for mask in range(1, 1 << count)], dtype=np.float64
        )
        hours = {person.short_name: _hours(person, about, self.window) for person in about.people_of(size)}
        bench = np.array([skill in AT_THE_BENCH for skill, _ in self.skills], dtype=np.float64)
        in_gangs = self.groups @ (1 - bench) > 0
        self.fills = np.where(in_gangs, about.season.load.gangs, 1.0)
        self.capacity = np.zeros(len(self.groups))
        for person in about.people_of(size):
            has = np.array([person.skills.get(skill, 0) >= level for skill, level in self.skills], dtype=np.float64)
            self.capacity += hours[person.short_name] * (self.groups @ has > 0)

    def work(self, wish: Wish) -> np.ndarray:
        """Booked hours by skill; none for an order that is not due in the window."""
        found = np.zeros(len(self.skills))
        if wish.due is None or not self.window[0] <= wish.due <= self.window[1]:
            return found
        for job in jobs_of(wish, self.packages[wish.package]):
            hours = job.ways[0].minutes * BOOKED_OVER_MEDIAN / 60
            for line in job.ways[0].crew:
                if line.skill not in LEFT_OUT:
                    found[self.skills.index((line.skill, line.level))] += line.count * hours
        return found

    def of(self, work: np.ndarray) -> YardLoad:
        asked = self.groups @ work
        ratios = np.divide(
            asked, self.capacity * self.fills, out=np.where(asked > 0, np.inf, 0.0), where=self.capacity > 0
        )
        tightest = int(np.argmax(ratios))
        group = tuple(
            f"{skill} {level}"
            for (skill, level), inside in zip(self.skills, self.groups[tightest], strict=True)
            if inside
        )
        return YardLoad(float(ratios[tightest]), group)


def jobs_of(wish: Wish, package: PackageFile) -> Iterable[Job]:
    """The jobs that the yard does for this order."""
    return (
        job for job in package.job if (not job.option or job.option in wish.options) and job.key not in wish.not_by_us
    )


def load_of(book: LoadBook, wishes: Iterable[Wish]) -> YardLoad:
    return book.of(sum((book.work(wish) for wish in wishes), np.zeros(len(book.skills))))


def settle(
    about: Description, book: LoadBook, wishes: Sequence[Wish], one_more: Callable[[], Wish], rng: random.Random
) -> list[Wish]:
    """The orders that the yard takes: some are given up, or a few more are asked for, until the load is in its range.

    The tightest group decides what is given up next: a further order of a boat altogether, or the part of a
    commissioning that her owner can do.  Raises LoadNotReached where nothing is left to give up.
    """
    taken = list(wishes)
    while load_of(book, taken).ratio < about.season.load.least:
        taken.append(one_more())
    work = [book.work(wish) for wish in taken]
    total = sum(work, np.zeros(len(book.skills)))
    turns = list(range(len(taken)))
    rng.shuffle(turns)
    protected = _one_of_each(taken)
    while (now := book.of(total)).ratio > about.season.load.most:
        at = _next_to_give_up(book, now, taken, work, [turn for turn in turns if turn not in protected])
        lighter = _lighter(taken[at])
        assert lighter is not None
        total -= work[at] - _work_of(book, lighter)
        taken[at], work[at] = lighter, _work_of(book, lighter)
        turns.remove(at)
        turns.append(at)
    kept = [wish for wish in taken if wish is not _GONE]
    return sorted(_filled_up(about, book, kept, one_more), key=lambda wish: wish.made_on)


def _filled_up(about: Description, book: LoadBook, wishes: list[Wish], one_more: Callable[[], Wish]) -> list[Wish]:
    """What was given up last may have been a large order: smaller ones take its place."""
    for _ in range(TRIES):
        if load_of(book, wishes).ratio >= about.season.load.least:
            break
        more = [*wishes, one_more()]
        if load_of(book, more).ratio <= about.season.load.most:
            wishes = more
    return wishes


def _next_to_give_up(
    book: LoadBook, now: YardLoad, taken: Sequence[Wish], work: Sequence[np.ndarray], turns: Iterable[int]
) -> int:
    tight = np.array([f"{skill} {level}" in now.group for skill, level in book.skills])
    for at in turns:
        lighter = _lighter(taken[at])
        if lighter is not None and (work[at] - _work_of(book, lighter))[tight].sum() > 0:
            return at
    raise LoadNotReached(f"the load of {', '.join(now.group)} stays at {now.ratio:.2f}")


_GONE = Wish(boat=None, package="")


def _work_of(book: LoadBook, wish: Wish) -> np.ndarray:
    return np.zeros(len(book.skills)) if wish is _GONE else book.work(wish)


def _lighter(wish: Wish) -> Wish | None:
    """The order with less work, `_GONE`, or None where nothing more can be given up."""
    if (
        wish is _GONE
        or wish.fixed_at is not None
        or wish.walk_in
        or wish.package in ("autumn_lay_up", "mooring_tackle")
    ):
        return None
    if wish.package != "spring_commissioning":
        return _GONE
    if optional := sorted(wish.options - {"take_up"}):
        return replace(wish, options=wish.options - {optional[-1]})
    if BY_THE_OWNER[0] not in wish.not_by_us:
        why = f"{wish.why_not} and {OWNER_DOES}" if wish.why_not else OWNER_DOES
        return replace(wish, not_by_us=(*wish.not_by_us, *BY_THE_OWNER), why_not=why)
    return None


def _one_of_each(wishes: Sequence[Wish]) -> set[int]:
    """The first order of each package stays, so that the example has every kind of work."""
    first: dict[str, int] = {}
    for index, wish in enumerate(wishes):
        first.setdefault(wish.package, index)
    return set(first.values())


def _skills(packages: Mapping[str, PackageFile]) -> list[Skill]:
    return sorted(
        {
            (line.skill, line.level)
            for package in packages.values()
            for job in package.job
            for line in job.ways[0].crew
            if line.skill not in LEFT_OUT
        }
    )


def _hours(person: Person, about: Description, window: Span) -> float:
    shut = {holiday.day for holiday in about.yard.holiday}
    days = [window[0] + timedelta(days=step) for step in range((window[1] - window[0]).days + 1)]
    return sum(
        _between(starts, ends)
        for day in days
        if day not in shut and not person.is_away(day)
        for starts, ends in person.stretches(day.weekday())
    )


def _between(starts: time, ends: time) -> float:
    day = date(2000, 1, 1)
    return (datetime.combine(day, ends) - datetime.combine(day, starts)) / timedelta(hours=1)
