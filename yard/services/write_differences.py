"""What two editions of a package differ in, written into one order's copy: her jobs, waits, stays and facts."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from yard.models import Fact, Job, JobLink, JobWay, Stay
from yard.services.change_order import Sender, take_out_jobs
from yard.services.link_orders import link_orders
from yard.services.order_facts import copy_facts
from yard.services.order_package import copy_jobs
from yard.services.package_beside_order import OPEN_JOB, Hers, way_fields
from yard.services.package_differences import Difference
from yard.services.package_files import Fact as FactValue
from yard.services.package_files import Link
from yard.services.package_files import Stay as StayValue
from yard.services.pen import Pen


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
