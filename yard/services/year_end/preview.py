"""Before a season is ended: what would be carried over, what stays, and what is in the way."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from itertools import chain

from django.db.models import Exists, OuterRef, Q, QuerySet
from django.utils.translation import gettext as _

from yard.day_names import said
from yard.models import (
    ExtraWork,
    HeldDays,
    Job,
    JobWork,
    Letter,
    MaterialUsed,
    Order,
    OwnerAnswer,
    RepairLine,
    RepairList,
    Season,
)
from yard.queries.finished import LEFT, all_work_done
from yard.queries.honesty import Hours, hours_measured
from yard.queries.seasons import next_in_time
from yard.services.owner_pages.winter import last_year_s, successor_of
from yard.services.year_end.choices import Choices

GOING_OUT = (Letter.State.RELEASED, Letter.State.SENDING, Letter.State.PERHAPS, Letter.State.REFUSED)


@dataclass(frozen=True, slots=True)
class Obstacle:
    """In the way of closing. words: what and the remedy. to: the kind of page where it is settled, with its id."""

    words: str
    to: str
    pk: int


@dataclass(frozen=True, slots=True)
class OpenOrder:
    """An unfinished order. left: names of its jobs that are not done."""

    order: Order
    left: tuple[str, ...]


@dataclass(frozen=True)
class Preview:
    """into: where unfinished orders go; None: no season follows yet. again_into: the season a year later.

    finished: orders whose work is all done, and which are called done with that. stays: counts of what stays.
    """

    season: Season
    into: Season | None
    again_into: Season | None
    in_the_way: tuple[Obstacle, ...]
    finished: tuple[Order, ...]
    unfinished: tuple[OpenOrder, ...]
    repairs: tuple[RepairList, ...]
    again: tuple[Order, ...]
    estimates: tuple[Hours, ...]
    stays: tuple[tuple[str, int], ...]

    def wrong_with(self, choices: Choices) -> tuple[Obstacle, ...]:
        """What is in the way with these ticks: an unfinished order or repair list that nobody carries is."""
        orders, repairs = set(choices.orders), set(choices.repairs)
        left = [
            Obstacle(
                _(
                    "Order {ref} ({order}) is not finished: {left}. Carry it over, report its work done, "
                    "or withdraw it."
                ).format(ref=row.order.ref, order=row.order.name, left=_named(row.left)),
                "order",
                row.order.pk,
            )
            for row in self.unfinished
            if row.order.pk not in orders
        ]
        left += [
            Obstacle(
                _("Repair list “{list}” is not finished: carry it over, or settle its lines.").format(list=row.name),
                "repair_list",
                row.pk,
            )
            for row in self.repairs
            if row.pk not in repairs
        ]
        return (*self.in_the_way, *left)


def preview_of(season: Season, *, today: date) -> Preview:
    """A dozen queries, however many orders; the hours that suggest a new estimate take four more."""
    again_into = successor_of(season)
    obstacles = (_too_early(season, today), _under_way(season), _letters(season), _answers(season), _held(season))
    return Preview(
        season=season,
        into=next_in_time(season),
        again_into=again_into,
        in_the_way=tuple(chain.from_iterable(obstacles)),
        finished=tuple(finished_orders(season).select_related("boat")),
        unfinished=_unfinished(season),
        repairs=tuple(unfinished_lists(season)),
        again=tuple(last_year_s(again_into)) if again_into is not None else (),
        estimates=tuple(each for each in hours_measured() if each.suggested_min is not None),
        stays=tuple(_stays(season)),
    )


def finished_orders(season: Season) -> QuerySet[Order]:
    """Open orders with work, all of it done or not wanted."""
    return Order.objects.filter(all_work_done(), season=season, state=Order.State.OPEN).order_by("ref", "id")


def unfinished_lists(season: Season) -> QuerySet[RepairList]:
    """Lists found in the season's work, with a line that is asked, not asked yet, or approved and no job yet."""
    lines = RepairLine.objects.filter(repair_list=OuterRef("pk"), taken_out_at=None, job=None)
    waiting = lines.exclude(answer=RepairLine.Answer.DECLINED)
    return (
        RepairList.objects.filter(Q(found_in__season=season) | Q(work_order__season=season))
        .filter(Exists(waiting))
        .select_related("boat", "found_in__boat")
        .prefetch_related("lines")
        .distinct()
        .order_by("id")
    )


def _unfinished(season: Season) -> tuple[OpenOrder, ...]:
    rows = Order.objects.filter(season=season, state=Order.State.OPEN).exclude(pk__in=finished_orders(season))
    found = []
    for row in rows.select_related("boat").prefetch_related("jobs").order_by("ref", "id"):
        found.append(OpenOrder(row, tuple(job.name for job in row.jobs.all() if job.state in LEFT)))
    return tuple(found)


def _too_early(season: Season, today: date) -> Iterator[Obstacle]:
    if today < season.starts_on:
        yield Obstacle(
            _("{season} begins on {day}: it is not ended before.").format(
                season=season, day=said(season.starts_on, "j F Y")
            ),
            "seasons",
            season.pk,
        )


def _under_way(season: Season) -> Iterator[Obstacle]:
    rows = Job.objects.filter(order__season=season, order__state=Order.State.OPEN, state=Job.State.STARTED)
    for job in rows.select_related("order").order_by("order__ref", "sequence", "id"):
        words = _("“{job}” of {ref} is under way: report it finished, or stopped with what is left.").format(
            job=job.name, ref=job.order.ref
        )
        yield Obstacle(words, "order", job.order_id)


def _letters(season: Season) -> Iterator[Obstacle]:
    """Letters about the season's orders that were read and have not gone out for certain."""
    orders = set(Order.objects.filter(season=season).values_list("pk", flat=True))
    for row in Letter.objects.filter(state__in=GOING_OUT).select_related("owner").order_by("id"):
        about = {tell.get("order") for tell in row.tells}
        if row.season_id == season.pk or about & orders:
            words = _("The letter to {owner} is {state}: send it, or decide what became of it.").format(
                owner=row.owner, state=row.get_state_display()
            )
            yield Obstacle(words, "letter", row.pk)


def _answers(season: Season) -> Iterator[Obstacle]:
    rows = OwnerAnswer.objects.filter(order__season=season, state=OwnerAnswer.State.WAITING)
    for row in rows.select_related("order", "owner").order_by("id"):
        yield Obstacle(
            _("{owner} answered about {order}: accept it or lay it aside.").format(owner=row.owner, order=row.order),
            "answers",
            row.pk,
        )


def _held(season: Season) -> Iterator[Obstacle]:
    rows = HeldDays.objects.filter(order__season=season, state=HeldDays.State.HELD)
    for row in rows.select_related("order").order_by("id"):
        yield Obstacle(
            _("{order} is held for a caller: take it as an order, or let it go.").format(order=row.order),
            "held_days",
            row.pk,
        )


def _stays(season: Season) -> Iterator[tuple[str, int]]:
    orders = Order.objects.filter(season=season)
    yield _("orders done"), orders.filter(state=Order.State.DONE).count()
    yield _("orders withdrawn"), orders.filter(state=Order.State.CANCELLED).count()
    yield _("entries of hours"), JobWork.objects.filter(job__order__season=season).count()
    yield _("materials used"), MaterialUsed.objects.filter(job__order__season=season).count()
    yield _("extras"), ExtraWork.objects.filter(job__order__season=season).count()


def _named(names: tuple[str, ...]) -> str:
    if not names:
        return _("it has no work on it")
    if len(names) <= 3:
        return ", ".join(names)
    return _("{names} and {n} more").format(names=", ".join(names[:3]), n=len(names) - 3)
