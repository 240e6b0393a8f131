"""An order changed after it was taken: its options, its dates, a job's hours, withdrawn and put back.

Every change is hers alone: the package stays as it is. Each is one transaction, keeps its history with a reason,
raises the count of facts, and is refused where somebody else changed the order meanwhile (StaleRow).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import models, transaction
from django.utils.translation import gettext as _

from yard.models import Job, JobLink, JobWay, Order, Package, StaleRow, Stay
from yard.models.checks import whole_quarters
from yard.services import keeping
from yard.services.facts_revision import bump_facts
from yard.services.keep_order import ORDER
from yard.services.keeping import Kept, Refused, SomebodyWasQuicker, Writer, after_last
from yard.services.link_orders import link_orders
from yard.services.order_facts import copy_facts
from yard.services.order_package import (
    OrderDates,
    OrderRefused,
    chosen_jobs,
    copy_jobs,
    demand_open,
    links_from,
    stays_from,
    today_in_yard,
)
from yard.services.pen import Pen, sign
from yard.speech import short_number

LONGEST_JOB_MIN = 60 * 60
"""Sixty hours: longer work is more than one job (common practice; the longest shipped is 14 hours)."""


@dataclass(frozen=True, slots=True)
class Sender:
    """Who changes it, when (aware), and the version of the order that they saw."""

    by: User | None
    now: datetime
    seen_version: int


def set_dates(order: Order, dates: OrderDates, *, goes_first: int, sender: Sender) -> Order:
    """Change the owner's dates and who goes first. Raises ValidationError, StaleRow or OrderRefused."""
    demand_open(order)
    values = {
        "earliest_date": dates.earliest,
        "wanted_date": dates.wanted,
        "latest_date": dates.latest,
        "promised_date": dates.promised,
        "goes_first": goes_first,
    }
    writer = Writer(sender.by, sender.now, today_in_yard(sender.now))
    match keeping.change(ORDER, order.pk, values, seen_version=sender.seen_version, writer=writer):
        case Kept(row):
            return row
        case Refused(words):
            raise ValidationError([each for said in words.values() for each in said])
        case SomebodyWasQuicker(stored):
            raise StaleRow(stored)


@transaction.atomic
def withdraw(order: Order, *, reason: str, sender: Sender) -> Order:
    """Take an open order out of the plan; its rows stay, and put_back brings it back. Raises OrderRefused."""
    demand_open(order)
    if not reason.strip():
        raise OrderRefused(_("Say why it is withdrawn: whoever reads her card must know."))
    started = order.jobs.filter(state=Job.State.STARTED).first()
    if started is not None:
        raise OrderRefused(_("“{job}” is under way: report it finished or stopped first.").format(job=started.name))
    bump_facts()
    order.state = Order.State.CANCELLED
    return save_order(order, _("withdrawn: {reason}").format(reason=reason.strip()), sender)


@transaction.atomic
def put_back(order: Order, *, sender: Sender) -> Order:
    """Undo a withdrawal. Raises OrderRefused where the order is not withdrawn, or its boat is archived."""
    if order.state != Order.State.CANCELLED:
        raise OrderRefused(_("Order {ref} is not withdrawn, so there is nothing to put back.").format(ref=order.ref))
    if order.boat is not None and order.boat.archived:
        raise OrderRefused(_("{boat} is archived: bring her back first.").format(boat=order.boat.name))
    bump_facts()
    order.state = Order.State.OPEN
    return save_order(order, _("put back"), sender)


@transaction.atomic
def set_hours(way: JobWay, minutes: int, *, sender: Sender) -> JobWay:
    """Change how long one job takes on this boat alone. minutes: median, whole quarters.

    Raises OrderRefused for a finished job, for one whose time is its parts, and for hours that cannot be.
    """
    job = way.job
    demand_open(job.order)
    if job.state in (Job.State.DONE, Job.State.CANCELLED):
        raise OrderRefused(
            _("“{job}” is {state}: its hours change nothing any more.").format(
                job=job.name, state=job.get_state_display()
            )
        )
    if way.parts or job.kind.parts:
        raise OrderRefused(
            _("“{job}” is made of parts (load, float off, trailer back): its time is theirs.").format(job=job.name)
        )
    try:
        whole_quarters(minutes)
    except ValidationError as error:
        raise OrderRefused(" ".join(error.messages)) from error
    if minutes > LONGEST_JOB_MIN:
        raise OrderRefused(
            _("{hours} hours is more than one job: was it typed in minutes?").format(hours=short_number(minutes / 60))
        )
    bump_facts()
    _claim(job.order, sender)
    way.duration_min = minutes
    sign(way, by=sender.by, now=sender.now, reason=_("hours changed for her alone"))
    way.save()
    save_order(
        job.order, _("hours of {job} changed").format(job=job.name), Sender(sender.by, sender.now, job.order.version)
    )
    return way


@transaction.atomic
def set_options(order: Order, options: Collection[str], *, sender: Sender) -> Order:
    """Turn options on and off: jobs come and go with their links, stays and facts.

    A job that goes is cancelled and keeps its history; turned on again it comes back as it was changed.
    Raises OrderRefused for a job that is begun or done, an unknown option, or an order without a package.
    """
    demand_open(order)
    package, chosen = _package_of(order), frozenset(options)
    wanted = {row.key: row for row in chosen_jobs(package, chosen)}
    if order.boat is None and any(row.kind.needs_boat for row in wanted.values()):
        raise OrderRefused(_("That option is work on a boat, and this walk-in has none on file."))
    bump_facts()
    pen = Pen(sender.by, sender.now, today_in_yard(sender.now), _("options changed"))
    jobs = {job.key: job for job in order.jobs.all()}
    package_keys = set(package.jobs.values_list("key", flat=True))
    take_out_jobs([job for key, job in jobs.items() if key in package_keys and key not in wanted], sender)
    for key in wanted.keys() & jobs.keys():
        if jobs[key].state == Job.State.CANCELLED:
            jobs[key].state = Job.State.OPEN
            sign(jobs[key], by=sender.by, now=sender.now, reason=_("option on"))
            jobs[key].save()
    order.options = sorted(chosen)
    new = copy_jobs(order, [row for key, row in wanted.items() if key not in jobs], pen)
    copies = {row.pk: jobs[key] for key, row in wanted.items() if key in jobs} | new
    _settle(
        JobLink.objects.filter(before__order=order, after__order=order, origin=JobLink.Origin.PACKAGE),
        links_from(order, copies),
        lambda row: (row.before_id, row.after_id),
        pen,
    )
    _settle(
        Stay.objects.filter(order=order),
        stays_from(order, copies),
        lambda row: (row.from_job_id, row.until_job_id, row.place_kind),
        pen,
    )
    copy_facts(order, copies, pen)
    if order.boat is not None and new:
        pen.write(link_orders(order, list(new.values())))
    return save_order(order, _("options changed"), sender)


def _package_of(order: Order) -> Package:
    if order.package is None:
        raise OrderRefused(_("Order {ref} was not made from a package, so it has no options.").format(ref=order.ref))
    return order.package


def take_out_jobs(jobs: Iterable[Job], sender: Sender) -> None:
    """Cancel open jobs; they keep their history. Raises OrderRefused for one that is begun."""
    for job in jobs:
        if job.state == Job.State.CANCELLED:
            continue
        if job.state != Job.State.OPEN:
            raise OrderRefused(
                _("“{job}” is {state}: its option stays on.").format(job=job.name, state=job.get_state_display())
            )
        if job.pins.filter(withdrawn_at=None, trip__isnull=False).exists():
            raise OrderRefused(_("“{job}” is her booked trip: call the trip off first.").format(job=job.name))
        job.state = Job.State.CANCELLED
        sign(job, by=sender.by, now=sender.now, reason=_("option off"))
        job.save()


def _settle(rows: models.QuerySet[Any], wanted: list[Any], key: Any, pen: Pen) -> None:
    """Write what is new and take away what the options bring no more; what stands in both keeps its figures."""
    there = {key(row): row for row in rows}
    keep = {key(row) for row in wanted}
    for found, row in there.items():
        if found not in keep:
            pen.sign(row)
            row.delete()
    pen.write([row for row in wanted if key(row) not in there])


def _claim(order: Order, sender: Sender) -> None:
    if Order.objects.filter(pk=order.pk, version=sender.seen_version).count() != 1:
        raise StaleRow(order)


def save_order(order: Order, reason: str, sender: Sender) -> Order:
    """Write the order over the version that was seen. Raises StaleRow."""
    sign(order, by=sender.by, now=after_last(order, sender.now), reason=reason)
    return order.save_over(sender.seen_version)
