"""Some jobs set free in a plan that otherwise stands: a small Problem in which all the rest is pinned.

It compiles in a tenth of the time of the whole season, so that one boat can be tried again and again: without a rule,
with a change, beside a new order.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from yard.planning import engine as e
from yard.planning.layout import Layout, compile_problem
from yard.planning.plan import Placement, Plan, StayAt
from yard.planning.problem import Pin, Problem
from yard.planning.state import empty_state, read_plan


class Freed:
    """The free jobs of a Problem, with the pins and (`others`) what the plan has of everybody else as pins.

    problem: the small Problem.  berths: where the plan has its stays, place by stay.  kept: by its jobs, the whole
    Problem's.  at: the reverse.  ghosts: pinned by the plan.
    Without `others` only jobs tied to a free one stand, and take nobody and no place.
    """

    def __init__(self, problem: Problem, plan: Plan, free: Iterable[int], *, others: bool = True) -> None:
        self.whole, self.plan = problem, plan
        placed = plan.by_job()
        fixed = {pin.job: pin for pin in problem.pins}
        mine = set(free) - set(fixed)
        linked = {link.before for link in problem.links if link.after in mine}
        linked |= {link.after for link in problem.links if link.before in mine}
        ghosts: dict[int, Pin] = {}
        for number, placement in placed.items():
            if number in fixed or number in mine:
                continue
            if others:
                ghosts[number] = pin_of(placement)
            elif number in linked:
                ghosts[number] = replace(pin_of(placement), people=(), places=())
        self.free = tuple(sorted(mine))
        self.kept = sorted(mine | set(fixed) | set(ghosts))
        self.ghosts = tuple(ghosts)
        self.at = {number: new for new, number in enumerate(self.kept)}
        self.stays = [
            number
            for number, stay in enumerate(problem.stays)
            if all(job is None or job in self.at for job in (stay.from_job, stay.until_job))
        ]
        lying = plan.berths()
        self.berths = {new: lying[number] for new, number in enumerate(self.stays) if number in lying}
        self.problem = self._small([*fixed.values(), *ghosts.values()])

    def _small(self, pins: Iterable[Pin]) -> Problem:
        problem, at, mine = self.whole, self.at, set(self.free)
        stays = (problem.stays[number] for number in self.stays)
        return replace(
            problem,
            jobs=tuple(problem.jobs[number] for number in self.kept),
            links=tuple(
                replace(link, before=at[link.before], after=at[link.after])
                for link in problem.links
                if link.before in at and link.after in at and (link.before in mine or link.after in mine)
            ),
            stays=tuple(
                replace(
                    stay,
                    from_job=None if stay.from_job is None else at[stay.from_job],
                    until_job=None if stay.until_job is None else at[stay.until_job],
                )
                for stay in stays
            ),
            pins=tuple(replace(pin, job=at[pin.job]) for pin in pins),
            waivers=tuple(replace(waiver, job=at[waiver.job]) for waiver in problem.waivers if waiver.job in at),
        )

    def room(self) -> Room:
        """The small Problem compiled, boats that stay lying where the plan has them. Raises CannotExpress."""
        return Room(self.problem, self.berths)

    def original(self, job: int | None) -> int | None:
        """The whole Problem's number of a job of the small one."""
        return None if job is None else self.kept[job]

    def whole_plan(self, small: Plan) -> Plan:
        """A plan of the small Problem as one of the whole: the others as the plan has them."""
        placements = self.plan.by_job()
        for number in self.free:
            placements.pop(number, None)
        for row in small.placements:
            if (number := self.kept[row.job]) in self.free:
                placements[number] = replace(row, job=number)
        stays = tuple(StayAt(stay=self.stays[row.stay], place=row.place, unit=row.unit) for row in small.stays)
        return Plan(placements=tuple(placements[number] for number in sorted(placements)), stays=stays)


class Room:
    """A compiled small Problem with its free jobs out."""

    def __init__(self, problem: Problem, berths: Mapping[int, int] | None = None) -> None:
        """berths: the place of each stay that is settled. Raises CannotExpress."""
        self.layout: Layout = compile_problem(problem)
        self.state = empty_state(self.layout, berths)
        self.state[e.PLAIN] = 1
        self.failed: int | None = None

    def insert(self, first: int | None = None) -> bool:
        """Every free job at its earliest, unit by unit, else from the back; `failed` names the job that did not go.

        first: a job whose unit goes in before the others (as far as no boat lies in front of it).
        """
        g, state = self.layout.g, self.state
        boat = None if first is None else self.layout.problem.jobs[first].boat
        ahead = None if boat is None else self.layout.units.unit_of[boat]
        levels = self.layout.units.levels
        for unit in sorted(self._units(), key=lambda unit: (levels[unit], unit != ahead)):
            count = e.queue_unit(g, state, unit)
            e.free_caps(g, state, unit)
            if count and not e.insert(g, state, count, 0):
                self.failed = int(state[e.FAILED_JOB])
                if not e.insert(g, state, count, 1):
                    return False
        return True

    def draw_together(self) -> None:
        """Once inserted: start as late as the same last days allow, so that nobody waits longer between jobs."""
        g, state, shift = self.layout.g, self.state, self.layout.axis.shift
        for unit in self._units():
            row = g[e.UNIT] + unit * e.UNIT_STRIDE
            jobs = g[g[row + e.U_JOBS] : g[row + e.U_JOBS] + g[row + e.U_JOB_COUNT]]
            if not jobs:
                continue
            before = list(state)
            last: dict[int, int] = {}
            for job in jobs:
                end = state[g[e.HELD] + job * g[e.HELD_STRIDE] + e.H_END]
                order = g[g[e.JOB] + job * e.JOB_STRIDE + e.J_ORDER]
                last[order] = max(last.get(order, 0), (((end - 1) >> shift) << shift) + g[e.QUARTERS])
            for job in jobs:
                e.unplace(g, state, job)
            for order, end in last.items():
                state[g[e.CAP] + order] = end
            good = e.insert(g, state, e.queue_unit(g, state, unit), 1)
            e.free_caps(g, state, unit)
            if not good:
                state[:] = before

    def _units(self) -> list[int]:
        levels = self.layout.units.levels
        return sorted(range(self.layout.g[e.UNITS]), key=lambda unit: (levels[unit], unit))

    def plan(self) -> Plan:
        return read_plan(self.layout, self.state, best=False)


def pin_of(placement: Placement) -> Pin:
    return Pin(
        job=placement.job,
        way=placement.way,
        starts_at=placement.starts_at,
        ends_at=placement.ends_at,
        people=placement.people,
        places=placement.places,
    )
