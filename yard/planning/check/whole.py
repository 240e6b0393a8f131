"""Checks of the plan as a whole: complete, pins."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from yard.planning.check.breach import Breach
from yard.planning.check.case import Case
from yard.planning.plan import Placement


def complete(case: Case) -> Iterator[Breach]:
    """Every job of a boat is planned once, or the whole boat is left out; and all that is named exists."""
    planned = Counter(placement.job for placement in case.plan.placements)
    for placement in case.plan.placements:
        if not case.names_known(placement):
            yield Breach(rule="complete", job=None, boat=None, message=f"{_unknown(case, placement)} is not known")
    for boat in sorted(case.left_out):
        if not 0 <= boat < len(case.problem.boats):
            yield Breach(rule="complete", job=None, boat=None, message=f"boat {boat} is left out, and is not known")
    for job, row in enumerate(case.problem.jobs):
        count, out = planned[job], row.boat in case.left_out
        if count > 1:
            yield case.breach("complete", job, f"is planned {count} times")
        if count and out and job not in case.pins:
            yield case.breach("complete", job, "is planned, though the boat is left out")
        if not count and not out and job not in case.pins:
            yield case.breach("complete", job, "is not planned")


def _unknown(case: Case, placement: Placement) -> str:
    jobs = case.problem.jobs
    if not 0 <= placement.job < len(jobs):
        return f"job {placement.job}"
    where = f" of {case.title(placement.job)}"
    if not 0 <= placement.way < len(jobs[placement.job].ways):
        return f"way {placement.way}{where}"
    people = [person for person in placement.people if not 0 <= person < len(case.problem.people)]
    return f"person {people[0]}{where}" if people else f"a place of {placement.places}{where}"


def pins(case: Case) -> Iterator[Breach]:
    """Started, finished and pinned jobs stay as they are."""
    planned = {placement.job: placement for placement in case.plan.placements}
    for job, pin in case.pins.items():
        placement = planned.get(job)
        if placement is None:
            yield case.breach("pins", job, "is pinned, and not in the plan")
            continue
        moved = [
            what
            for what in ("way", "starts_at", "ends_at", "people", "places")
            if getattr(placement, what) != getattr(pin, what)
        ]
        if moved:
            numbers: dict[str, int | str] = {"changed": ", ".join(moved)}
            yield case.breach("pins", job, "is pinned, and the plan changes it", numbers)
