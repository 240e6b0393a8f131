"""Which orders have all their work done.

Nobody calls an order done: it stays open for what may be added to it until its season is ended. That its work is done
is read off its jobs, here for every page.
"""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime
from typing import TYPE_CHECKING, TypedDict

from django.db.models import BooleanField, Exists, ExpressionWrapper, OuterRef, Q, QuerySet, Subquery

from yard.models import Job, Order

if TYPE_CHECKING:
    from django_stubs_ext import WithAnnotations


class Finished(TypedDict):
    """What `said_finished` says of an order beside its own fields."""

    all_done: bool
    last_done_at: datetime | None


LEFT = (Job.State.OPEN, Job.State.STARTED, Job.State.FAILED)


def all_work_done() -> Q:
    """Of an order: it has work, all of it done or not wanted."""
    of_it = Job.objects.filter(order=OuterRef("pk"))
    return Q(Exists(of_it.filter(state=Job.State.DONE))) & ~Q(Exists(of_it.filter(state__in=LEFT)))


def said_finished(orders: QuerySet[Order]) -> QuerySet[WithAnnotations[Order, Finished]]:
    """Each with `all_done`, and `last_done_at`: when the last of its done jobs ended. No query more."""
    ended = Job.objects.filter(order=OuterRef("pk"), state=Job.State.DONE, actual_ends_at__isnull=False)
    return orders.annotate(
        all_done=ExpressionWrapper(all_work_done(), output_field=BooleanField()),
        last_done_at=Subquery(ended.order_by("-actual_ends_at").values("actual_ends_at")[:1]),
    )


def with_work_left(orders: QuerySet[Order]) -> QuerySet[Order]:
    """Without those of which all work is done; an order without a job is still to be filled."""
    return orders.exclude(all_work_done())


def is_finished(order: Order) -> bool:
    """The same of one order whose jobs were read."""
    return has_work_done({job.state for job in order.jobs.all()})


def last_done_at(order: Order) -> datetime | None:
    """When the last of its done jobs ended, of one order whose jobs were read."""
    done = [job.actual_ends_at for job in order.jobs.all() if job.state == Job.State.DONE]
    return max((at for at in done if at is not None), default=None)


def has_work_done(states: Collection[str]) -> bool:
    """The same of the states of an order's jobs."""
    return Job.State.DONE in states and not any(state in LEFT for state in states)
