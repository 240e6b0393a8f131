"""What is said of a sail on its own page: where it lies, dry or damp; and a line asked for where it is damp."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.contrib.auth.models import User
from django.db import models, transaction
from django.utils.translation import gettext as _

from yard.models import Event, Item, ItemWhereabouts, Job, JobKind, JobThing, Order
from yard.queries.sails import DAMP_KEY, DRY, damp_sails
from yard.services.facts_revision import bump_facts
from yard.services.happenings import BaggedDamp, Done, EventRefused, Scribe
from yard.services.job_rows import title
from yard.services.proposals import NothingPosted, PlannerAtWork, ask_for_proposal
from yard.services.record_event import record_event, write_event
from yard.services.whereabouts import ThingLies, WhereRefused, say_where_thing_lies
from yard.services.written import Written

OPEN = (Job.State.OPEN, Job.State.FAILED)


def say_of_thing(
    item: Item, lies: ThingLies, *, seen: int | None, by: User | None, now: datetime, real_now: datetime
) -> Event | None:
    """Where a thing lies; of a sail all that follows from it. Gives the event that it made, None for none.

    Raises as say_of_sail.
    """
    if item.kind != Item.Kind.SAIL:
        say_where_thing_lies(item, lies, seen=seen, by=by, now=now)
        return None
    return say_of_sail(item, lies, seen=seen, by=by, now=now, real_now=real_now)[1]


def say_of_sail(
    sail: Item, lies: ThingLies, *, seen: int | None, by: User | None, now: datetime, real_now: datetime
) -> tuple[ItemWhereabouts, Event | None]:
    """Where it lies, and whether it is dry or damp. Damp and on no line, it gets a drying job; dry, it needs none.

    Gives what was written and the event that it made, None for none. real_now: of the machine, for the planner.
    Raises WhereRefused, and SaidMeanwhile as say_where_thing_lies does; nothing is saved then.
    """
    with transaction.atomic():
        row = say_where_thing_lies(sail, lies, seen=seen, by=by, now=now)
        try:
            event = _follows(sail, row, by=by, now=max(now, row.since))
        except EventRefused as refused:
            raise WhereRefused(str(refused)) from refused
    if event is not None and event.kind == Event.Kind.DAMP:
        ask_for_a_line([event], by=by, real_now=real_now)
    return row, event


def ask_for_a_line(events: Iterable[Event], *, by: User | None, real_now: datetime) -> None:
    """Ask for a proposal where a plan hangs; else, or while the planner is at work, it waits with what was told."""
    try:
        ask_for_proposal(events, by=by, now=real_now, hurry=False)
    except (NothingPosted, PlannerAtWork):
        return


def _follows(sail: Item, row: ItemWhereabouts, *, by: User | None, now: datetime) -> Event | None:
    if row.condition == ItemWhereabouts.Condition.DRY:
        return _dry(sail, by=by, now=now)
    damp = damp_sails(now, {sail.pk})
    if not damp or _drying_of(sail) or not JobKind.objects.filter(key=DRY).exists():
        return None  # a yard that has no packages yet is told where the sail is, and orders no work
    return record_event(BaggedDamp((sail,), damp[0].since), by=by, now=now)


def _drying_of(sail: Item) -> list[Job]:
    """Jobs to come, or under way, that dry it because it was damp."""
    mine = JobThing.objects.filter(item=sail, job__key__startswith=DAMP_KEY, job__kind__key=DRY)
    rows = mine.filter(job__state__in=(*OPEN, Job.State.STARTED)).select_related("job__kind", "job__order__boat")
    return [row.job for row in rows]


def _dry(sail: Item, *, by: User | None, now: datetime) -> Event | None:
    """Where all that a drying job holds is dry now, what is under way is done, and what was to come is not needed."""
    event = None
    for job in _drying_of(sail):
        others = [thing.item_id for thing in job.things.all() if thing.item_id != sail.pk]
        if damp_sails(now, others):
            continue
        if job.state == Job.State.STARTED:
            event = record_event(Done(job, now), by=by, now=now)
        else:
            event = _let_go(job, sail, by, now)
    return event


def _let_go(job: Job, sail: Item, by: User | None, now: datetime) -> Event:
    """One event, so that it can be taken back; an order that was for nothing else goes with it."""
    bump_facts()
    says = _("{job}: {sail} is dry, the line is not needed").format(job=title(job), sail=sail.name)
    changed: list[tuple[models.Model, dict[str, Any]]] = [(job, {"state": Job.State.CANCELLED, "state_note": _("dry")})]
    if not job.order.jobs.exclude(pk=job.pk).exclude(state=Job.State.CANCELLED).exists():
        changed.append((job.order, {"state": Order.State.CANCELLED}))
    written = Written(Event.Kind.DONE, says, changed=tuple(changed), job=job)
    return write_event(written, Scribe(by, now))
