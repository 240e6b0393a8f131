"""The season of a plan as it stands, compiled once: boats are taken out and put in again with a change, in moments.

Compiling takes most of the time of a try, so what a change needs is compiled in beforehand: for each skill and level
that any open job asks for, somebody more who has it and is never there.  A try copies the state, lets one of them be
there on some days or gives up a date, takes her jobs out and puts them in at their earliest.  Whatever is told is
planned so and then checked by itself, on the Problem with the change.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace

from yard.planning import engine as e
from yard.planning.layout import compile_problem
from yard.planning.plan import Placement, Plan
from yard.planning.problem import Minutes, Person, Problem
from yard.planning.state import empty_state, load_plan, read_placement, read_plan
from yard.planning.units import CannotExpress
from yard.speech import _

Skill = tuple[str, int]
"""A skill and a level."""


@dataclass(frozen=True, slots=True)
class PutIn:
    """Jobs as they were put in: their placements, and the state they stand in."""

    rows: tuple[Placement, ...]
    state: list[int]
    spare: int | None


class Standing:
    """Raises CannotExpress where the engine does not take the season, or the plan does not stand on it as it is."""

    def __init__(self, problem: Problem, plan: Plan) -> None:
        self.problem, self.plan = problem, plan
        self.spares = {skill: len(problem.people) + n for n, skill in enumerate(skills_asked(problem))}
        more = tuple(
            replace(spare_person(problem, {skill: level}), key=f"one more {skill} {level}")
            for skill, level in self.spares
        )
        self.layout = compile_problem(replace(problem, people=(*problem.people, *more)))
        self.g = list(self.layout.g)
        self.state = empty_state(self.layout, plan.berths())
        self.calendar_days = range(problem.calendar.days)
        for spare in self.spares.values():
            self._there(self.state, spare, ())
        load_plan(self.layout, self.state, plan)
        held, stride = self.g[e.HELD], self.g[e.HELD_STRIDE]
        if any(self.state[held + row.job * stride] < 0 for row in plan.placements):
            raise CannotExpress(_("the plan does not stand on these facts as it is"))
        self.pinned = {pin.job for pin in problem.pins}

    def put_in(
        self,
        jobs: Collection[int],
        *,
        first: int,
        hands: tuple[Skill, Collection[int]] | None = None,
        dates: Mapping[int, int | None] | None = None,
    ) -> PutIn | None:
        """Take these jobs out and put them in again, boat `first` before others; None where one does not go.

        hands: one more with this skill and level, on these axis days.  dates: other earliest starts, in clock minutes.
        """
        state = list(self.state)
        state[e.PLAIN] = 1
        held, stride = self.g[e.HELD], self.g[e.HELD_STRIDE]
        free = sorted(set(jobs) - self.pinned)
        for job in free:
            if state[held + job * stride] >= 0:
                e.unplace(self.g, state, job)
        spare = None if hands is None else self.spares[hands[0]]
        if spare is not None and hands is not None:
            self._there(state, spare, hands[1])
        kept = self._dated(dates or {})
        good = self._insert(state, free, first)
        for at, value in kept.items():
            self.g[at] = value
        if not good:
            return None
        rows = tuple(read_placement(self.layout, state, job) for job in free)
        return PutIn(tuple(self._named(row, spare) for row in rows), state, spare)

    def whole_plan(self, put: PutIn) -> Plan:
        """All of the plan; somebody more stands after the people of the Problem."""
        found = read_plan(self.layout, put.state, best=False)
        return replace(found, placements=tuple(self._named(row, put.spare) for row in found.placements))

    def _named(self, row: Placement, spare: int | None) -> Placement:
        if spare is None or spare not in row.people:
            return row
        return replace(row, people=tuple(len(self.problem.people) if p == spare else p for p in row.people))

    def _insert(self, state: list[int], free: Collection[int], first: int) -> bool:
        g, units = self.g, self.layout.units
        ahead = units.unit_of[first]
        mine = {units.unit_of[self.problem.jobs[job].boat] for job in free}
        for unit in sorted(mine, key=lambda unit: (units.levels[unit], unit != ahead)):
            e.free_caps(g, state, unit)
            count = e.queue_unit(g, state, unit)
            if count and not e.insert(g, state, count, 0) and not e.insert(g, state, e.queue_unit(g, state, unit), 1):
                return False
        return True

    def _there(self, state: list[int], person: int, days: Collection[int]) -> None:
        """Let somebody be at work on these days and on no other."""
        g, rows = self.g, self.layout.roster.people[person]
        at = g[e.PERSON] + person * e.PERSON_STRIDE
        wanted = set(days)
        for day in self.calendar_days:
            word = self.layout.roster.present[person][day] if day in wanted else 0
            g[g[at + e.P_PRESENT] + day] = word
            if rows.tracked:
                e.freshen(g, state, person, day)
            else:
                state[g[e.FREE] + day * g[e.ROWS] + rows.free] = word & self.layout.roster.normal[person][day]

    def _dated(self, dates: Mapping[int, int | None]) -> dict[int, int]:
        """Write other earliest starts into the tables; gives what stood there."""
        g, axis, kept = self.g, self.layout.axis, {}
        for job, minute in dates.items():
            first = self.problem.now
            if minute is not None:
                first = max(first, axis.timeline.first_at_or_after(minute))
            lo = e.FAR if first >= self.problem.calendar.size else axis.inner(max(0, first))
            row = g[e.JOB] + job * e.JOB_STRIDE
            for number in range(g[row + e.J_MODE_COUNT]):
                at = g[row + e.J_MODES] + number * e.MODE_STRIDE + e.K_LO
                kept[at], g[at] = g[at], lo
        return kept


def skills_asked(problem: Problem) -> tuple[Skill, ...]:
    """Each skill with each level at which an open job asks for it."""
    pinned = {pin.job for pin in problem.pins}
    found = {
        (need.skill, need.level)
        for number, job in enumerate(problem.jobs)
        if number not in pinned
        for way in job.ways
        for need in way.crew
    }
    return tuple(sorted(found))


def hours_of(problem: Problem, skill: str, level: int) -> tuple[Minutes, ...]:
    """The hours of somebody who has the skill, else of anybody."""
    able = [person for person in problem.people if person.skills.get(skill, 0) >= level]
    return max((person.hours for person in able or problem.people), key=len, default=())


def spare_person(problem: Problem, skills: dict[str, int], hours: tuple[Minutes, ...] | None = None) -> Person:
    """One more pair of hands, with the hours of somebody who has the first of the skills unless others are given."""
    if hours is None:
        hours = hours_of(problem, *min(skills.items(), default=("", 1)))
    return Person(key="one more", name=_("one more"), skills=skills, hours=hours)
