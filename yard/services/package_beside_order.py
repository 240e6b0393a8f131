"""One order's copy of a package beside two editions of it: what each difference would mean for her.

What is begun or done stays as it is, and so does what was changed for her alone. Nothing is written here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Literal

import msgspec

from yard.models import Job, JobKind, JobLink, JobWay, Order
from yard.services.order_package import job_needs
from yard.services.package_differences import Difference, differences
from yard.services.package_files import Fact as FactValue
from yard.services.package_files import Job as JobValue
from yard.services.package_files import Link, PackageFile
from yard.services.package_files import Stay as StayValue

Why = Literal["", "begun", "hers"]
OPEN_JOB = Job.State.OPEN


@dataclass(frozen=True)
class Offered:
    """One difference as it concerns one order. stays: "" where taking it would change her; else why it does not."""

    difference: Difference
    stays: Why


class Hers:
    """An order's copy beside two editions of its package."""

    def __init__(self, order: Order, was: PackageFile, now: PackageFile, kinds: Mapping[str, JobKind]) -> None:
        self.order, self.was, self.now, self.kinds = order, was, now, kinds
        self.jobs = {job.key: job for job in order.jobs.all()}
        self.links = {
            (link.before.key, link.after.key): link
            for job in order.jobs.all()
            for link in job.links_before.all()
            if link.before.order_id == order.pk
        }
        self.stays = {(each.from_job.key, each.until_job.key, each.place_kind): each for each in order.stays.all()}

    def chosen(self, file: PackageFile) -> set[str]:
        known = {option.key for option in file.option}
        return {job.key for job in file.job if not job.option or job.option in known & set(self.order.options)}

    @cached_property
    def offered(self) -> tuple[Offered, ...]:
        found = [self._whole_jobs(), *(self._one(each) for each in differences(self.was, self.now))]
        return tuple(each for many in found for each in many)

    @cached_property
    def differences(self) -> tuple[Difference, ...]:
        """All that the two editions differ in for her choice of options, whether she has it already or not."""
        one, two = self.chosen(self.was), self.chosen(self.now)
        before, after = ({job.key: job for job in file.job} for file in (self.was, self.now))
        jobs = [
            Difference("job", (key,), before[key] if key in one else None, after[key] if key in two else None)
            for key in sorted(one ^ two)
        ]
        return (*jobs, *(each for each in differences(self.was, self.now) if each.part != "job"))

    def _whole_jobs(self) -> list[Offered]:
        """Jobs that come or go for her, because they are new or gone, or by an option that they have now."""
        one, two = self.chosen(self.was), self.chosen(self.now)
        before, after = ({job.key: job for job in file.job} for file in (self.was, self.now))
        come = [
            Offered(Difference("job", (key,), None, after[key]), "")
            for key in after
            if key in two - one and not self._open(key)
        ]
        go = [
            Offered(Difference("job", (key,), before[key], None), "" if self._open(key) else "begun")
            for key in before
            if key in one - two and key in self.jobs and self.jobs[key].state != Job.State.CANCELLED
        ]
        return come + go

    def _one(self, found: Difference) -> list[Offered]:
        both = self.chosen(self.was) & self.chosen(self.now)
        match found.part:
            case "ways" | "needs" if found.key[0] in both and found.key[0] in self.jobs:
                return self._job(found)
            case "link" if isinstance(found.was or found.now, Link):
                return self._link(found)
            case "fact" if isinstance(found.was or found.now, FactValue):
                return self._fact(found)
            case "stay":
                return self._stay(found)
        return []

    def _job(self, found: Difference) -> list[Offered]:
        assert isinstance(found.was, JobValue)
        assert isinstance(found.now, JobValue)
        job = self.jobs[found.key[0]]
        if job.state == Job.State.CANCELLED:
            return []
        if found.part == "ways":
            stored = [_stored(way) for way in job.ways.all()]
            if stored == [way_fields(way) for way in found.now.ways]:
                return []
            hers = [way_fields(way) for way in found.was.ways] != stored
        else:
            changed = self.needs_changed(found)
            if not changed or all(getattr(job, name) == now for name, (_, now) in changed.items()):
                return []
            hers = not any(getattr(job, name) == was for name, (was, _) in changed.items())
        return [Offered(found, "begun" if job.state != OPEN_JOB else "hers" if hers else "")]

    def needs_changed(self, found: Difference) -> dict[str, tuple[Any, Any]]:
        """Fields of her job that the two editions say differently: what the one gives, and the other."""
        assert isinstance(found.was, JobValue)
        assert isinstance(found.now, JobValue)
        taken_on = self.order.made_at.date()
        one, two = (job_needs(each, self.kinds[each.kind], self.order, taken_on) for each in (found.was, found.now))
        return {name: (one[name], two[name]) for name in two if one[name] != two[name]}

    def _link(self, found: Difference) -> list[Offered]:
        after = self.jobs.get(found.key[1])
        now, stands = found.now, self.links.get((found.key[0], found.key[1]))
        coming = self.chosen(self.now)
        wanted = now if isinstance(now, Link) and set(found.key) <= coming and self.holds(now) else None
        if wanted is None and stands is None:
            return []
        if wanted is not None and stands is not None and _same_wait(stands, wanted):
            return []
        if after is not None and after.state not in (OPEN_JOB, Job.State.CANCELLED):
            return [Offered(found, "begun")]
        if stands is not None:
            was = found.was
            hers = stands.origin != JobLink.Origin.PACKAGE or not (isinstance(was, Link) and _same_wait(stands, was))
            return [Offered(found, "hers" if hers or stands.product_sheet_id else "")]
        gone_by_hand = isinstance(found.was, Link) and self.holds(found.was) and set(found.key) <= self.jobs.keys()
        return [Offered(found, "hers" if gone_by_hand else "")]

    def _fact(self, found: Difference) -> list[Offered]:
        jobs = self.waiting(found.now) ^ self.waiting(found.was)
        if not jobs:
            return []
        begun = all(key in self.jobs and self.jobs[key].state != OPEN_JOB for key in jobs)
        return [Offered(found, "begun" if begun else "")]

    def waiting(self, fact: Any) -> set[str]:
        if not isinstance(fact, FactValue) or (fact.option and fact.option not in self.order.options):
            return set()
        return set(fact.jobs) & (self.chosen(self.now) | self.chosen(self.was))

    def _stay(self, found: Difference) -> list[Offered]:
        one, two = (
            isinstance(each, StayValue) and {each.from_job, each.until_job} <= self.chosen(file) and self.holds(each)
            for each, file in ((found.was, self.was), (found.now, self.now))
        )
        if not (one or two) or (two and found.key in self.stays and one):
            return []
        until = self.jobs.get(found.key[1])
        return [Offered(found, "begun" if until is not None and until.state != OPEN_JOB else "")]

    def holds(self, value: Link | StayValue) -> bool:
        on = set(self.order.options)
        gate = not isinstance(value, Link) or not value.only_if_covers_gate or self.order.covers_gate_delivery
        return gate and (not value.option or value.option in on) and value.unless_option not in on

    def _open(self, key: str) -> bool:
        return key in self.jobs and self.jobs[key].state == OPEN_JOB


def way_fields(way: Any) -> dict[str, Any]:
    fields = msgspec.to_builtins(way)
    return {
        "duration_min": fields["minutes"],
        "crew": list(fields["crew"]),
        "place_kinds": list(fields["places"]),
        "boat_at": fields["boat_at"],
        "parts": list(fields["parts"]),
    }


def _stored(way: JobWay) -> dict[str, Any]:
    return {name: getattr(way, name) for name in ("duration_min", "crew", "place_kinds", "boat_at", "parts")}


def _same_wait(link: JobLink, value: Link) -> bool:
    return (link.min_wait_min, link.max_wait_min, link.reason, link.source, link.product_kind) == (
        value.min_wait_min,
        value.max_wait_min,
        value.reason,
        value.source,
        value.product_kind,
    )
