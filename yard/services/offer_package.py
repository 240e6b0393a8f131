"""A change of a package offered to the open orders that were copied from an earlier edition of it.

What an order would get is the difference of the two editions, as far as it concerns her jobs. What is begun or done
stays as it is; so does what was changed for her alone. Nothing comes by itself: a person takes or leaves each.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Literal

import msgspec
from django.db import transaction
from django.db.models import Prefetch

from yard.models import Fact, Job, JobKind, JobLink, JobWay, Order, Package, PackageEdition, Stay
from yard.services.change_order import Sender, save_order, take_out_jobs
from yard.services.facts_revision import bump_facts
from yard.services.link_orders import link_orders
from yard.services.order_facts import copy_facts
from yard.services.order_package import OrderRefused, copy_jobs, job_needs, today_in_yard
from yard.services.package_differences import Difference, differences
from yard.services.package_editions import file_of, latest_edition
from yard.services.package_files import Fact as FactValue
from yard.services.package_files import Job as JobValue
from yard.services.package_files import Link, PackageFile
from yard.services.package_files import Stay as StayValue
from yard.services.pen import Pen

Why = Literal["", "begun", "hers"]
OPEN_JOB = Job.State.OPEN


@dataclass(frozen=True)
class Offered:
    """One difference as it concerns one order. stays: "" where taking it would change her; else why it does not."""

    difference: Difference
    stays: Why


@dataclass(frozen=True)
class Offer:
    """What an open order could take. base: the edition that its jobs follow now. hers: her copy beside the two.

    taken, left: lines of the newest edition that were decided one by one; they are not in offered.
    """

    order: Order
    base: PackageEdition
    offered: tuple[Offered, ...]
    hers: Hers
    taken: tuple[Difference, ...] = ()
    left: tuple[Difference, ...] = ()

    @property
    def changes_her(self) -> bool:
        return any(not each.stays for each in self.offered)


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


def offers_of(package: Package) -> tuple[Offer, ...]:
    """Open orders that an edition since theirs would change, or that keep something of their own; oldest first."""
    newest = latest_edition(package)
    if newest is None:
        return ()
    editions = {edition.pk: edition for edition in package.editions.all()}
    first = min(editions.values(), key=lambda edition: edition.number)
    now, kinds = file_of(newest), {kind.key: kind for kind in JobKind.objects.all()}
    found = []
    for order in _orders(package):
        base = editions.get(order.package_edition_id or 0, first)
        if base.pk == newest.pk:
            continue
        offer = _offer(Hers(order, file_of(base), now, kinds), base, newest.number)
        if offer.offered or offer.taken or offer.left:
            found.append(offer)
    return tuple(found)


def _offer(hers: Hers, base: PackageEdition, number: int) -> Offer:
    """Without the lines that were decided one by one; lines of an edition that is not the newest are asked anew."""
    said = hers.order.package_lines if hers.order.package_lines.get("edition") == number else {}
    taken, left = (frozenset(said.get(key, ())) for key in ("taken", "left"))
    open_lines = tuple(each for each in hers.offered if each.difference.name not in taken | left)
    known = {each.name: each for each in hers.differences}
    return Offer(
        hers.order,
        base,
        open_lines,
        hers,
        taken=tuple(known[name] for name in sorted(taken & known.keys())),
        left=tuple(known[name] for name in sorted(left & known.keys())),
    )


def _orders(package: Package) -> list[Order]:
    links = JobLink.objects.select_related("before", "after")
    jobs = Job.objects.select_related("kind", "split_of").prefetch_related("ways", Prefetch("links_before", links))
    stays = Stay.objects.select_related("from_job", "until_job")
    rows = Order.objects.filter(package=package, state=Order.State.OPEN).select_related("boat", "package", "season")
    return list(rows.prefetch_related(Prefetch("jobs", jobs), Prefetch("stays", stays)).order_by("made_at", "id"))


@transaction.atomic
def leave(order: Order, *, number: int, sender: Sender) -> Order:
    """Keep her jobs as they are; this edition is offered no more. Raises StaleRow and OrderRefused."""
    bump_facts()
    edition = still_newest(order, number)
    order.package_edition, order.package_lines = edition, {}
    return save_order(order, f"edition {number} of the package left", sender)


@transaction.atomic
def take(order: Order, *, number: int, sender: Sender) -> Order:
    """Give her what the edition changes, but for what is begun or her own. Raises StaleRow and OrderRefused."""
    bump_facts()
    edition = still_newest(order, number)
    assert order.package is not None
    offer = next((each for each in offers_of(order.package) if each.order.pk == order.pk), None)
    if offer is not None:
        kinds = {kind.key: kind for kind in JobKind.objects.all()}
        hers = Hers(offer.order, file_of(offer.base), file_of(edition), kinds)
        pen = Pen(sender.by, sender.now, today_in_yard(sender.now), f"edition {number} of the package taken")
        left = {each.name for each in offer.left}
        wanted = [each for each in hers.offered if not each.stays and each.difference.name not in left]
        apply_differences(hers, [each.difference for each in wanted], pen, sender)
    known = {option.key for option in order.package.options.all()}
    order.options = sorted(set(order.options) & known)
    order.package_edition, order.package_lines = edition, {}
    return save_order(order, f"edition {number} of the package taken", sender)


def still_newest(order: Order, number: int) -> PackageEdition:
    if order.state != Order.State.OPEN or order.package is None:
        raise OrderRefused(f"Order {order.ref} is not open any more: nothing was changed.")
    newest = latest_edition(order.package)
    if newest is None or newest.number != number:
        raise OrderRefused(f"{order.package.name} was changed again meanwhile: look at what it offers now.")
    return newest


def apply_differences(
    hers: Hers,
    found: Iterable[Difference],
    pen: Pen,
    sender: Sender,
    *,
    facts: frozenset[str] | None = None,
) -> None:
    """Write these differences into her copy. facts: keys of those that may come with them; None: whatever is new."""
    many = list(found)
    gone = [hers.jobs[each.key[0]] for each in many if each.part == "job" and each.now is None]
    take_out_jobs(gone, sender)
    new = _bring_jobs(hers, [each.key[0] for each in many if each.part == "job" and each.now is not None], pen)
    for each in many:
        match each.part:
            case "ways":
                _set_ways(hers.jobs[each.key[0]], each.now, pen)
            case "needs":
                _set_needs(hers, each, pen)
            case "link":
                _set_link(hers, each, pen)
            case "stay":
                _set_stay(hers, each, pen)
            case "fact":
                _drop_fact(hers, each)
    _link_new(hers, new, pen)
    assert hers.order.package is not None
    rows = {row.pk: hers.jobs[row.key] for row in hers.order.package.jobs.all() if row.key in hers.jobs}
    copy_facts(hers.order, {pk: job for pk, job in rows.items() if job.state == OPEN_JOB}, pen, only=facts)


def _bring_jobs(hers: Hers, keys: list[str], pen: Pen) -> list[Job]:
    """New jobs by the package's rows; one that was taken out before comes back as it was."""
    assert hers.order.package is not None
    for key in keys:
        if key in hers.jobs:
            hers.jobs[key].state = OPEN_JOB
            pen.sign(hers.jobs[key])
            hers.jobs[key].save()
    wanted = [key for key in keys if key not in hers.jobs]
    rows = hers.order.package.jobs.filter(key__in=wanted).select_related("kind", "split_of").prefetch_related("ways")
    new = copy_jobs(hers.order, list(rows), pen)
    for row in rows:
        hers.jobs[row.key] = new[row.pk]
        if row.split_of is not None and new[row.pk].split_of_id is None and row.split_of.key in hers.jobs:
            new[row.pk].split_of = hers.jobs[row.split_of.key]
            pen.sign(new[row.pk])
            new[row.pk].save()
    return list(new.values())


def _link_new(hers: Hers, new: list[Job], pen: Pen) -> None:
    """What ties new jobs: the package's own links, and those to her other open orders."""
    keys = {job.key for job in new}
    for link in hers.now.link:
        pair = (link.before, link.after)
        if keys & set(pair) and set(pair) <= hers.jobs.keys() and pair not in hers.links and hers.holds(link):
            _set_link(hers, Difference("link", pair, None, link), pen)
    if new and hers.order.boat is not None:
        pen.write(link_orders(hers.order, new))


def _set_ways(job: Job, now: Any, pen: Pen) -> None:
    there = {way.sequence: way for way in job.ways.all()}
    for number, value in enumerate(now.ways):
        way = there.pop(number, None) or JobWay(job=job, sequence=number)
        for name, each in way_fields(value).items():
            setattr(way, name, each)
        pen.sign(way)
        way.save()
    for gone in there.values():
        pen.sign(gone)
        gone.delete()


def _set_needs(hers: Hers, found: Difference, pen: Pen) -> None:
    job = hers.jobs[found.key[0]]
    for name, (was, now) in hers.needs_changed(found).items():
        if getattr(job, name) == was:
            setattr(job, name, now)
    pen.sign(job)
    job.save()


def _set_link(hers: Hers, found: Difference, pen: Pen) -> None:
    pair = (found.key[0], found.key[1])
    row, now = hers.links.pop(pair, None), found.now
    if not isinstance(now, Link) or not hers.holds(now):
        if row is not None:
            pen.sign(row)
            row.delete()
        return
    if not set(pair) <= hers.jobs.keys():
        return
    row = row or JobLink(before=hers.jobs[pair[0]], after=hers.jobs[pair[1]], origin=JobLink.Origin.PACKAGE)
    row.min_wait_min, row.max_wait_min = now.min_wait_min, now.max_wait_min
    row.reason, row.source, row.product_kind = now.reason, now.source, now.product_kind
    row.covers_gate = now.only_if_covers_gate
    pen.sign(row)
    row.save()
    hers.links[pair] = row


def _set_stay(hers: Hers, found: Difference, pen: Pen) -> None:
    key = (found.key[0], found.key[1], found.key[2])
    row, now = hers.stays.pop(key, None), found.now
    if isinstance(now, StayValue) and hers.holds(now) and {key[0], key[1]} <= hers.jobs.keys():
        row = row or Stay(order=hers.order, from_job=hers.jobs[key[0]], until_job=hers.jobs[key[1]], place_kind=key[2])
        row.counted_by_night = now.counted_by_night
        pen.sign(row)
        row.save()
    elif row is not None:
        pen.sign(row)
        row.delete()


def _drop_fact(hers: Hers, found: Difference) -> None:
    """Jobs that wait for the fact no more; copy_facts brings what is new."""
    gone = hers.waiting(found.was) - hers.waiting(found.now)
    was = found.was
    if not isinstance(was, FactValue):
        return
    facts = Fact.objects.filter(kind=was.kind, name=was.name, jobs__order=hers.order).distinct()
    for fact in facts:
        fact.jobs.remove(*[hers.jobs[key] for key in gone if key in hers.jobs and hers.jobs[key].state == OPEN_JOB])
