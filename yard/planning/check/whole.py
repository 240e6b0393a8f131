"""Checks of the plan as a whole: complete, pins."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from yard.planning.check.breach import Breach
from yard.planning.check.case import Case
from yard.planning.plan import Placement
from yard.speech import _


def complete(case: Case) -> Iterator[Breach]:
    """Every job of a boat is planned once, or the whole boat is left out; and all that is named exists."""
    planned = Counter(placement.job for placement in case.plan.placements)
    for placement in case.plan.placements:
        if not case.names_known(placement):
            yield Breach(rule="complete", job=None, boat=None, message=_unknown(case, placement))
    for boat in sorted(case.left_out):
        if not 0 <= boat < len(case.problem.boats):
            yield Breach(
                rule="complete",
                job=None,
                boat=None,
                message=_("boat {boat} is left out, and is not known").format(boat=boat),
            )
    for job, row in enumerate(case.problem.jobs):
        count, out = planned[job], row.boat in case.left_out
        if count > 1:
            yield case.breach("complete", job, _("is planned {n} times").format(n=count))
        if count and out and job not in case.pins:
            yield case.breach("complete", job, _("is planned, though the boat is left out"))
        if not count and not out and job not in case.pins:
            yield case.breach("complete", job, _("is not planned"))


def _unknown(case: Case, placement: Placement) -> str:
    jobs = case.problem.jobs
    if not 0 <= placement.job < len(jobs):
        return _("job {job} is not known").format(job=placement.job)
    job = case.title(placement.job)
    if not 0 <= placement.way < len(jobs[placement.job].ways):
        return _("way {way} of {job} is not known").format(way=placement.way, job=job)
    people = [person for person in placement.people if not 0 <= person < len(case.problem.people)]
    if people:
        return _("person {person} of {job} is not known").format(person=people[0], job=job)
    return _("a place of {places} of {job} is not known").format(places=placement.places, job=job)


def pins(case: Case) -> Iterator[Breach]:
    """Started, finished and pinned jobs stay as they are."""
    planned = {placement.job: placement for placement in case.plan.placements}
    for job, pin in case.pins.items():
        placement = planned.get(job)
        if placement is None:
            yield case.breach("pins", job, _("is pinned, and not in the plan"))
            continue
        moved = [
            what
            for what in ("way", "starts_at", "ends_at", "people", "places")
            if getattr(placement, what) != getattr(pin, what)
        ]
        if moved:
            numbers: dict[str, int | str] = {"changed": ", ".join(moved)}
            yield case.breach("pins", job, _("is pinned, and the plan changes it"), numbers)
