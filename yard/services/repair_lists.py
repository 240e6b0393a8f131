"""Repair lists: begun, added to, answered line by line, and what is approved made into jobs of an order.

An answer may come by telephone, in the yard, or by a link of the owner's own: said_how tells, and `by` is None where
no person of the yard wrote it down.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from uuid import UUID

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from yard.models import Boat, Item, Job, JobKind, JobThing, JobWay, Order, PackageWay, RepairLine, RepairList
from yard.queries.seasons import season_for
from yard.services.facts_revision import bump_facts
from yard.services.keep_records import About, keep_photograph
from yard.services.link_orders import link_orders
from yard.services.order_package import next_ref, today_in_yard
from yard.services.package_edits import free_key
from yard.services.pen import Pen, sign
from yard.services.repair_instead import nothing_to_mend, take_its_place

Answer = RepairLine.Answer


class RepairRefused(Exception):
    """This cannot be; the text says why and what to do. Nothing was saved."""


@dataclass(frozen=True)
class Line:
    """One thing to repair. minutes: whole quarters of one person's work."""

    words: str
    kind: JobKind
    minutes: int
    price: Decimal | None = None
    photograph: bytes | None = None


@transaction.atomic
def begin_list(
    boat: Boat | None,
    name: str,
    *,
    found_in: Order | None,
    thing: Item | None,
    form_key: UUID | None,
    by: User,
    now: datetime,
) -> RepairList:
    """The same form sent twice is one list. Raises ValidationError."""
    bump_facts()
    if form_key and (same := RepairList.objects.filter(form_key=form_key).first()):
        return same
    row = RepairList(
        boat=boat, name=name.strip(), found_in=found_in, thing=thing, form_key=form_key, made_by=by, made_at=now
    )
    row.full_clean()
    sign(row, by=by, now=now, reason=_("begun"))
    row.save()
    return row


@transaction.atomic
def add_line(to: RepairList, line: Line, *, form_key: UUID | None, by: User, now: datetime) -> RepairLine:
    """The same form sent twice is one line. Raises ValidationError and RecordRefused."""
    bump_facts()
    if form_key and (same := RepairLine.objects.filter(form_key=form_key).first()):
        return same
    row = RepairLine(
        repair_list=to,
        words=line.words.strip(),
        kind=line.kind,
        minutes=line.minutes,
        price=line.price,
        form_key=form_key,
    )
    row.full_clean()
    if line.photograph is not None:
        about = About(to.boat or (to.found_in.boat if to.found_in else None), to.found_in)
        row.photograph = keep_photograph(about, line.photograph, caption=row.words, by=by, now=now)
    sign(row, by=by, now=now, reason=_("added"))
    row.save()
    return row


@transaction.atomic
def take_out(line: RepairLine, *, seen_version: int, by: User, now: datetime) -> RepairLine:
    """Written by mistake: it stays on file and is asked no more. Raises RepairRefused and StaleRow."""
    if line.job_id is not None:
        raise RepairRefused(
            _("“{line}” is a job already: take the job out of its order instead.").format(line=line.words)
        )
    line.taken_out_at = None if line.taken_out_at else now
    sign(line, by=by, now=now, reason=_("taken out") if line.taken_out_at else _("put back"))
    return line.save_over(seen_version)


@transaction.atomic
def answer(
    line: RepairLine, said: str, *, said_by: str, said_how: str, seen_version: int, by: User | None, now: datetime
) -> RepairLine:
    """Write down what the owner said to one line. Raises RepairRefused and StaleRow."""
    if said not in Answer.values:
        raise RepairRefused(_("An answer is asked, approved or declined."))
    if line.taken_out_at is not None:
        raise RepairRefused(_("“{line}” was taken out: put it back first.").format(line=line.words))
    if line.job_id is not None and said != Answer.APPROVED:
        raise RepairRefused(
            _("“{line}” is a job already: take the job out of its order first.").format(line=line.words)
        )
    line.answer, line.said_by, line.said_how = said, said_by.strip()[:80], said_how.strip()[:40]
    line.answered_at, line.recorded_by = (now if said else None), by
    answer = str(Answer(said).label) if said else _("not asked")
    how = _(line.said_how) if line.said_how else _("no word")
    reason = f"{answer}, {how}"[:100]
    sign(line, by=by, now=now, reason=reason)
    saved = line.save_over(seen_version)
    if said == Answer.DECLINED:
        bump_facts()
        nothing_to_mend(saved, Pen(by, now, today_in_yard(now), reason))
    return saved


@transaction.atomic
def make_jobs(row: RepairList, *, seen_version: int, by: User, now: datetime) -> Order:
    """Approved lines that are no job yet become jobs of the list's order, which is made where there is none.

    Each gets the people and places that such work usually has. Raises RepairRefused and StaleRow.
    """
    bump_facts()
    lines = list(
        row.lines.filter(answer=Answer.APPROVED, job=None, taken_out_at=None).select_related("kind").order_by("id")
    )
    if not lines:
        raise RepairRefused(_("No line is approved that is not a job already."))
    if row.boat is None and (aboard := next((line for line in lines if line.kind.needs_boat), None)):
        raise RepairRefused(_("“{line}” is work on a boat, and this list has none on file.").format(line=aboard.words))
    pen = Pen(by, now, today_in_yard(now), _("approved: {list}").format(list=row.name))
    order = row.work_order if row.work_order and row.work_order.state == Order.State.OPEN else _order(row, pen)
    taken = list(order.jobs.values_list("key", flat=True))
    jobs = []
    for number, line in enumerate(lines, len(taken)):
        key = free_key(taken, f"repair_{line.pk}")
        taken.append(key)
        jobs.append(_job(order, line, key, number, pen))
    _keep_the_thing(row, jobs)
    if order.boat is not None:
        pen.write(link_orders(order, jobs))
    take_its_place(row, jobs, pen)
    row.work_order = order
    pen.sign(row)
    row.save_over(seen_version)
    return order


def _keep_the_thing(row: RepairList, jobs: list[Job]) -> None:
    """What is mended is named, for its history."""
    if row.thing is not None:
        JobThing.objects.bulk_create(JobThing(job=job, item=row.thing) for job in jobs)


def _order(row: RepairList, pen: Pen) -> Order:
    found_in = row.found_in
    day = pen.today
    order = Order(
        ref=next_ref(day),
        boat=row.boat or (found_in.boat if found_in else None),
        name=_("Repairs: {list}").format(list=row.name)[:80],
        season=season_for(day),
        wanted_date=found_in.wanted_date if found_in else None,
        latest_date=found_in.latest_date if found_in else None,
        walk_in_name=found_in.walk_in_name if found_in else "",
        walk_in_phone=found_in.walk_in_phone if found_in else "",
        bag_tag=found_in.bag_tag if found_in else "",
        made_by=pen.by,
        made_at=pen.now,
        notes=_("Approved on the repair list “{list}”.").format(list=row.name),
    )
    try:
        order.full_clean()
    except ValidationError as wrong:
        raise RepairRefused(" ".join(wrong.messages)) from wrong
    pen.write([order])
    return order


def _job(order: Order, line: RepairLine, key: str, number: int, pen: Pen) -> Job:
    kind = line.kind
    job = Job(
        order=order,
        kind=kind,
        key=key,
        name=line.words[:80],
        sequence=number,
        outdoor=kind.outdoor,
        needs_light=kind.needs_light,
        water_need=kind.water_need,
        weather_class=kind.weather_class,
        cautions=kind.cautions,
    )
    job.full_clean()
    pen.write([job])
    usual = PackageWay.objects.filter(job__kind=kind).order_by("job__package_id", "job_id", "sequence").first()
    way = JobWay(
        job=job,
        sequence=0,
        duration_min=line.minutes,
        crew=usual.crew if usual else [],
        place_kinds=usual.place_kinds if usual else [],
        boat_at=usual.boat_at if usual else "",
    )
    pen.write([way])
    line.job = job
    pen.sign(line)
    line.save()
    return job
