"""A job of one order added, changed or taken out for her alone; the package stays as it is.

An order's jobs are held to the rules of a package (package_faults): no circle, every skill and place there, waits that
can be kept. What is begun or done is not touched.
"""

from __future__ import annotations

from collections.abc import Iterable

import msgspec
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from yard.models import Job, JobKind, JobLink, JobWay, Order, PlaceKind
from yard.services import package_files as files
from yard.services.change_order import Sender, save_order, take_out_jobs
from yard.services.facts_revision import bump_facts
from yard.services.link_orders import link_orders
from yard.services.order_package import OrderRefused, demand_open, job_needs, today_in_yard
from yard.services.package_edits import JobSheet, with_job
from yard.services.package_faults import package_faults
from yard.services.package_rows import kinds_of_yard
from yard.services.pen import Pen

OWN = gettext_noop("for her alone")


def order_content(order: Order) -> files.PackageFile:
    """An order's open, begun and done jobs, and the links between them, as a package would say them. Five queries."""
    jobs = list(
        order.jobs.exclude(state=Job.State.CANCELLED).select_related("kind", "split_of").prefetch_related("ways")
    )
    keys = {job.pk: job.key for job in jobs}
    links = JobLink.objects.filter(before__in=keys, after__in=keys).order_by("id")
    return files.PackageFile(
        package=files.Head(key="order", name=order.name),
        job=tuple(_value(job, keys) for job in jobs),
        link=tuple(
            files.Link(
                before=keys[link.before_id],
                after=keys[link.after_id],
                reason=link.reason,
                source=link.source,
                min_wait_min=link.min_wait_min,
                max_wait_min=link.max_wait_min,
                product_kind=msgspec.convert(link.product_kind, files.Product | str),
                only_if_covers_gate=link.covers_gate,
            )
            for link in links
        ),
    )


def _value(job: Job, keys: dict[int, str]) -> files.Job:
    light = "" if job.needs_light == job.kind.needs_light else "needed" if job.needs_light else "not_needed"
    kind_cautions = job.kind.cautions
    return msgspec.convert(
        {
            "key": job.key,
            "kind": job.kind.key,
            "name": job.name,
            "source": _(OWN),
            "ways": [
                {
                    "minutes": way.duration_min,
                    "crew": way.crew,
                    "places": way.place_kinds,
                    "boat_at": way.boat_at,
                    "parts": way.parts,
                }
                for way in job.ways.all()
            ],
            "split_of": keys.get(job.split_of_id or 0, ""),
            "waits_for_open": job.waits_for_open,
            "water_need": "" if job.water_need == job.kind.water_need else job.water_need,
            "weather_class": "" if job.weather_class == job.kind.weather_class else job.weather_class,
            "light": light,
            "on_fixed_date": job.on_fixed_date,
            "finish_by": f"{job.finish_by_date:%m-%d}" if job.finish_by_date else "",
            "cautions": job.cautions.removeprefix(kind_cautions).strip(),
        },
        files.Job,
    )


@transaction.atomic
def keep_job(order: Order, sheet: JobSheet, *, sender: Sender) -> Job:
    """The job of the sheet's key changed, or a new one. Raises OrderRefused, ValidationError and StaleRow."""
    demand_open(order)
    bump_facts()
    kind = JobKind.objects.get(key=sheet.job.kind)
    if kind.needs_boat and order.boat is None:
        raise OrderRefused(_("“{job}” is work on a boat, and this order has none on file.").format(job=sheet.job.name))
    _check(with_job(order_content(order), sheet))
    pen = Pen(
        sender.by, sender.now, today_in_yard(sender.now), _("{job} changed for her alone").format(job=sheet.job.name)
    )
    job = order.jobs.filter(key=sheet.job.key).first()
    if job is not None and job.state not in (Job.State.OPEN, Job.State.CANCELLED):
        raise OrderRefused(
            _("“{job}” is {state}: it is not changed any more.").format(job=job.name, state=job.get_state_display())
        )
    new = job is None
    if job is None:
        last = order.jobs.order_by("-sequence").values_list("sequence", flat=True).first()
        job = Job(order=order, key=sheet.job.key, sequence=(last or 0) + 1)
    for name, value in job_needs(sheet.job, kind, order, pen.today).items():
        setattr(job, name, value)
    job.split_of = order.jobs.filter(key=sheet.job.split_of).first() if sheet.job.split_of else None
    job.state = Job.State.OPEN
    job.full_clean()
    pen.sign(job)
    job.save()
    _write_ways(job, sheet.job.ways, pen)
    _write_links(order, job, sheet.follows, pen)
    if new and order.boat is not None:
        pen.write(link_orders(order, [job]))
    says = _("{job} added for her alone") if new else _("{job} changed for her alone")
    save_order(order, says.format(job=job.name), sender)
    return job


@transaction.atomic
def take_out_job(order: Order, job: Job, *, sender: Sender) -> Order:
    """Cancel a job of hers; what followed it follows what it followed. Raises OrderRefused and StaleRow."""
    demand_open(order)
    bump_facts()
    take_out_jobs([job], sender)
    return save_order(order, _("{job} taken out for her alone").format(job=job.name), sender)


@transaction.atomic
def bring_back_job(order: Order, job: Job, *, sender: Sender) -> Order:
    """A job that was taken out is to be done again, as it was. Raises OrderRefused and StaleRow."""
    demand_open(order)
    if job.state != Job.State.CANCELLED:
        raise OrderRefused(_("“{job}” was not taken out.").format(job=job.name))
    bump_facts()
    job.state = Job.State.OPEN
    Pen(sender.by, sender.now, today_in_yard(sender.now), _("brought back for her alone")).sign(job)
    job.save()
    _check(order_content(order))
    return save_order(order, _("{job} brought back for her alone").format(job=job.name), sender)


def _check(content: files.PackageFile) -> None:
    names = {job.key: job.name for job in content.job}
    faults = list(package_faults(content, kinds_of_yard(), PlaceKind.values))
    if faults:
        words = " ".join(fault[:1].upper() + fault[1:] for fault in faults)
        for key, name in names.items():
            words = words.replace(f"'{key}'", f"“{name}”")
        raise OrderRefused(words)


def _write_ways(job: Job, ways: Iterable[files.Way], pen: Pen) -> None:
    there = {way.sequence: way for way in job.ways.all()}
    for number, value in enumerate(ways):
        fields = msgspec.to_builtins(value)
        way = there.pop(number, None) or JobWay(job=job, sequence=number)
        way.duration_min, way.crew, way.place_kinds = fields["minutes"], list(fields["crew"]), list(fields["places"])
        way.boat_at, way.parts = fields["boat_at"], list(fields["parts"])
        pen.sign(way)
        way.save()
    for gone in there.values():
        pen.sign(gone)
        gone.delete()


def _write_links(order: Order, job: Job, follows: Iterable[files.Link], pen: Pen) -> None:
    """What she follows within the order; links to other orders of the boat stay."""
    there = {link.before.key: link for link in job.links_before.filter(before__order=order).select_related("before")}
    befores = {each.key: each for each in order.jobs.all()}
    for value in follows:
        row = there.pop(value.before, None) or JobLink(
            before=befores[value.before], after=job, origin=JobLink.Origin.BY_HAND
        )
        said = (value.min_wait_min, value.max_wait_min, value.reason, value.source, value.product_kind)
        if row.pk and said == (row.min_wait_min, row.max_wait_min, row.reason, row.source, row.product_kind):
            continue
        row.min_wait_min, row.max_wait_min, row.reason, row.source, row.product_kind = said
        row.origin, row.covers_gate = JobLink.Origin.BY_HAND, value.only_if_covers_gate
        try:
            row.full_clean()
        except ValidationError as wrong:
            raise OrderRefused(" ".join(wrong.messages)) from wrong
        pen.sign(row)
        row.save()
    for gone in there.values():
        if gone.before.state != Job.State.CANCELLED:
            pen.sign(gone)
            gone.delete()
