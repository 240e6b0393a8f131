"""What a person asks of a proposal: these boats stay where they are, these people are left as they are.

A wish is kept by pins, and nothing is asked of what is pinned: so a wish that the facts forbid would make a plan that
no check lets pass.  Those are found before the search where one job alone shows it, else by the check of what was
found; they are given up, and named with the rule that forbids them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from yard.planning.check import Breach, faults
from yard.planning.freed import pin_of
from yard.planning.plan import Placement, Plan
from yard.planning.problem import Problem
from yard.speech import _

OF_THE_WHOLE = frozenset({"complete", "stays"})
"""Rules that a plan of the fixed work alone may break: the rest of the season is not in it."""


@dataclass(frozen=True, slots=True)
class Wishes:
    """boats: their work stays as posted.  people: theirs does, and nothing more comes to them.  Indices."""

    boats: frozenset[int] = frozenset()
    people: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class NotKept:
    """Work that cannot stay as was wished: her job, the rule that forbids it, and a sentence.

    other_job: the job of somebody else that it is about, if any.
    """

    boat: int
    job: int
    rule: str
    message: str
    other_job: int | None = None


@dataclass(frozen=True, slots=True)
class Kept:
    """The jobs that stay for a wish, and what was given up."""

    jobs: frozenset[int]
    given_up: tuple[NotKept, ...] = ()

    def without(self, problem: Problem, wishes: Wishes, found: Iterable[NotKept]) -> Kept:
        """Give up what cannot stay: of a boat that was to stay all of her work, else the job alone."""
        jobs = set(self.jobs)
        named: dict[int, NotKept] = {}
        for one in found:
            if one.job not in jobs and one.boat not in wishes.boats:
                continue
            named.setdefault(one.boat, one)
            whole = one.boat in wishes.boats
            jobs -= {job for job in jobs if job == one.job or (whole and problem.jobs[job].boat == one.boat)}
        return Kept(frozenset(jobs), (*self.given_up, *named.values()))


def what_can_stay(problem: Problem, posted: Plan, wishes: Wishes) -> Kept:
    """What the wishes ask for, less what the facts alone forbid.  Two checks at most for each boat given up."""
    kept = Kept(frozenset(row.job for row in _wished(problem, posted, wishes)))
    kept = kept.without(problem, wishes, _overdue(problem, posted, wishes))
    while kept.jobs and (found := _breaches(_alone(problem, kept.jobs), _fixed(problem, posted, kept.jobs), kept.jobs)):
        kept = kept.without(problem, wishes, found)
    return kept


def wished(problem: Problem, posted: Plan, wishes: Wishes, kept: Kept) -> Problem:
    """The Problem with a pin for each job that stays, and people who can do nothing more."""
    pins = tuple(pin_of(row) for row in posted.placements if row.job in kept.jobs)
    crew = tuple(replace(one, skills={}) if n in wishes.people else one for n, one in enumerate(problem.people))
    return replace(problem, pins=(*problem.pins, *pins), people=crew)


def forbidden(problem: Problem, plan: Plan, kept: Kept) -> tuple[NotKept, ...]:
    """What of the kept work breaks a rule in a plan found; all of it where no breach names any of it."""
    if not (broken := faults(problem, plan)):
        return ()
    found = tuple(_of_kept(problem, broken, kept.jobs))
    return found or tuple(NotKept(problem.jobs[job].boat, job, broken[0].rule, broken[0].message) for job in kept.jobs)


def _wished(problem: Problem, posted: Plan, wishes: Wishes) -> Iterator[Placement]:
    pinned = {pin.job for pin in problem.pins}
    for row in posted.placements:
        hers = problem.jobs[row.job].boat in wishes.boats
        if row.job not in pinned and row.starts_at >= problem.now and (hers or wishes.people & set(row.people)):
            yield row


def _overdue(problem: Problem, posted: Plan, wishes: Wishes) -> Iterator[NotKept]:
    """A boat of which a job should have begun by now, and has not: it is to be moved, so she cannot stay."""
    pinned = {pin.job for pin in problem.pins}
    for row in posted.placements:
        job = problem.jobs[row.job]
        if job.boat in wishes.boats and row.job not in pinned and row.starts_at < problem.now:
            yield NotKept(job.boat, row.job, "release", _("{job}: should have begun by now").format(job=job.name))


def _alone(problem: Problem, jobs: frozenset[int]) -> Problem:
    """The facts less the waits for work that is not fixed: that is still to be planned."""
    fixed = jobs | {pin.job for pin in problem.pins}
    return replace(problem, links=tuple(link for link in problem.links if {link.before, link.after} <= fixed))


def _fixed(problem: Problem, posted: Plan, jobs: frozenset[int]) -> Plan:
    pinned = tuple(
        Placement(
            job=pin.job,
            way=pin.way,
            starts_at=pin.starts_at,
            ends_at=pin.ends_at,
            people=pin.people,
            places=pin.places,
        )
        for pin in problem.pins
    )
    return Plan(placements=(*pinned, *(row for row in posted.placements if row.job in jobs)))


def _breaches(problem: Problem, plan: Plan, jobs: frozenset[int]) -> tuple[NotKept, ...]:
    return tuple(_of_kept(problem, [row for row in faults(problem, plan) if row.rule not in OF_THE_WHOLE], jobs))


def _of_kept(problem: Problem, broken: Sequence[Breach], jobs: frozenset[int]) -> Iterator[NotKept]:
    """Breaches that kept work is one end of, as what must be given up."""
    for breach in broken:
        other = breach.numbers.get("other_job")
        for job, beside in ((breach.job, other), (other, breach.job)):
            if isinstance(job, int) and job in jobs:
                beside = beside if isinstance(beside, int) else None
                yield NotKept(problem.jobs[job].boat, job, breach.rule, _says(problem, breach), beside)
                break


def _says(problem: Problem, breach: Breach) -> str:
    """Of work that waits for what has no place: also why it waits, as the yard wrote it."""
    for link in problem.links:
        if breach.rule == "waits" and (link.after, link.before) == (breach.job, breach.numbers.get("other_job")):
            return f"{breach.message} ({link.reason})" if link.reason else breach.message
    return breach.message
