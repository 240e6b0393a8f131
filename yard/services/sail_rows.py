"""The rows that work on sails writes: dry or damp for each that came off, a drying job for the damp, "dry" at its end.

Only what is damp claims a line at once, within 24 h; what came off dry waits for winter's washing.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from itertools import count
from typing import Any

from django.db import models
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from yard.models import (
    Event,
    Item,
    ItemWhereabouts,
    Job,
    JobKind,
    JobLink,
    JobThing,
    JobWay,
    Order,
    Place,
    PlaceKind,
    Season,
)
from yard.queries.sails import DAMP_AT_MOST, DAMP_KEY, DRY, INSPECT, STORE, UNBEND, WASH, sails_of_jobs
from yard.services.drying_time import drying_time
from yard.services.happenings import BaggedDamp, Done, EventRefused, SailsOff, Scribe
from yard.services.order_package import next_ref
from yard.services.written import Changed, Written

Lies = ItemWhereabouts.Kind
Condition = ItemWhereabouts.Condition
OPEN = (Job.State.OPEN, Job.State.FAILED)
DAMP_REASON = gettext_noop("at most a day damp in the bag")
DAMP_SOURCE = gettext_noop("at most 24 h: common practice")
BAGS_LIE_AT = (PlaceKind.SAIL_STORE, PlaceKind.LOFT_FLOOR, PlaceKind.WASH_DECK)
"""Where a bag goes that came off a boat: the first of these that the yard has."""


def with_sails(done: Written, what: Done, scribe: Scribe) -> Written:
    """What a finished job on sails writes beside itself."""
    kind = what.job.kind.key
    if kind == UNBEND and what.sails is not None:
        return _came_off(done, what.job, what.sails, what.ended_at, scribe)
    if kind == DRY:
        return done + Written(done.kind, done.says, made=tuple(_dried(what.job, what.ended_at, scribe)))
    return done


def bagged_rows(what: BaggedDamp, scribe: Scribe) -> Written:
    """A drying job for sails of one boat, or of one walk-in's order, that were said to be damp."""
    first = what.sails[0]
    orders = Order.objects.filter(boat=first.boat) if first.boat else Order.objects.filter(items=first)
    open_orders = orders.filter(state=Order.State.OPEN).order_by("id")
    order = next((one for one in open_orders if _joins(one)), None) or _order_to_dry(first, what, scribe)
    new: tuple[models.Model, ...] = () if order.pk else (order,)
    drying = _Drying(order, what.sails, None, scribe)
    names = ", ".join(sail.name for sail in what.sails)
    says = _("{whose}, {sails}: damp in the bag, on a line within 24 h").format(
        whose=first.boat.name if first.boat else order.walk_in_name, sails=names
    )
    return Written(Event.Kind.DAMP, says, made=new + tuple(drying.made()), changed=drying.changed())


def _order_to_dry(sail: Item, what: BaggedDamp, scribe: Scribe) -> Order:
    """One of its own, for a boat or a walk-in without open work on sails."""
    day = (what.since + DAMP_AT_MOST).date()
    before = sail.order if sail.boat is None else None
    return Order(
        ref=next_ref(scribe.today),
        boat=sail.boat,
        name=_("Dry damp sails"),
        season=Season.objects.filter(starts_on__lte=day, ends_on__gt=day, closed_at=None).first(),
        latest_date=max(day, scribe.today),
        goes_first=3,
        walk_in_name=before.walk_in_name if before is not None else "",
        walk_in_phone=before.walk_in_phone if before is not None else "",
        bag_tag=sail.bag_tag if before is not None else "",
        made_by=scribe.by,
        made_at=scribe.now,
        notes=_("Made when its sails were said to be damp."),
    )


def _came_off(done: Written, job: Job, sails: SailsOff, at: datetime, scribe: Scribe) -> Written:
    made: list[models.Model] = [sail for sail in (*sails.dry, *sails.damp) if sail.pk is None]
    made += _bagged(sails.dry, Condition.DRY, at, scribe)
    made += _bagged(sails.damp, Condition.DAMP, at, scribe)
    made += _named(job, (*sails.dry, *sails.damp))
    if not sails.damp:
        dry = tuple(_not_needed(job.order)) if sails.dry else ()
        return done + Written(done.kind, done.says, made=tuple(made), changed=dry)
    drying = _Drying(job.order, sails.damp, job, scribe)
    names = ", ".join(sail.name for sail in sails.damp)
    damp = replace(
        done,
        kind=Event.Kind.DAMP,
        says=_("{says}; damp, on a line within 24 h: {names}").format(says=done.says, names=names),
    )
    return damp + Written(damp.kind, damp.says, tuple(made) + tuple(drying.made()), tuple(drying.changed()))


def _bagged(sails: Iterable[Item], condition: Condition, at: datetime, scribe: Scribe) -> Iterator[ItemWhereabouts]:
    place = _bag_place()
    for sail in sails:
        if place is None:
            raise EventRefused(_("The yard has no sail store, loft floor or wash deck on file, where a bag could lie."))
        yield _lies(sail, place, condition, at, scribe)


def _bag_place() -> Place | None:
    places = list(Place.objects.filter(kind__in=BAGS_LIE_AT, archived=False).order_by("sequence", "id"))
    return min(places, key=lambda place: BAGS_LIE_AT.index(PlaceKind(place.kind)), default=None)


def _lies(sail: Item, place: Place, condition: Condition, at: datetime, scribe: Scribe) -> ItemWhereabouts:
    """Later than the last word that is on file."""
    last = sail.whereabouts.order_by("-since", "-id").first() if sail.pk else None
    since = at if last is None or last.since < at else last.since + timedelta(microseconds=1)
    return ItemWhereabouts(item=sail, kind=Lies.PLACE, place=place, condition=condition, since=since, said_by=scribe.by)


def _dried(job: Job, at: datetime, scribe: Scribe) -> Iterator[models.Model]:
    """Whoever finishes a drying job says "dry" of its sails, wherever in the yard they are."""
    sails = sails_of_jobs([job])[job.pk]
    yield from _named(job, sails)
    for sail in sails:
        last = sail.whereabouts.order_by("-since", "-id").select_related("place").first()
        if last is not None and last.place is not None and last.condition != Condition.DRY:
            yield _lies(sail, last.place, Condition.DRY, at, scribe)


def _named(job: Job, sails: Iterable[Item]) -> Iterator[JobThing]:
    """Which sails it was, for their histories."""
    known = set(job.things.values_list("item_id", flat=True)) if job.pk else set()
    yield from (JobThing(job=job, item=sail) for sail in sails if sail.pk is None or sail.pk not in known)


def _not_needed(order: Order) -> Iterator[tuple[models.Model, dict[str, Any]]]:
    """All came off dry: a line that was to be kept for damp ones is free."""
    for job in order.jobs.filter(key__startswith=DAMP_KEY, state__in=OPEN):
        yield job, {"state": Job.State.CANCELLED, "state_note": _("the sails came off dry")}


def _joins(order: Order) -> bool:
    """Whether it has work to come on sails."""
    return order.jobs.filter(kind__key__in=(DRY, WASH, INSPECT, STORE), state__in=OPEN).exists()


@dataclass(frozen=True)
class _Drying:
    """The job that dries sails which are damp now: one that the order has, or one that is made. after: what they came
    off by."""

    order: Order
    sails: tuple[Item, ...]
    after: Job | None
    scribe: Scribe

    def _known(self) -> Job | None:
        if self.order.pk is None:
            return None
        return self.order.jobs.filter(key__startswith=DAMP_KEY, state__in=OPEN).order_by("id").first()

    def made(self) -> Iterator[models.Model]:
        job = self._known()
        if job is None:
            job = self._job()
            yield job
            yield JobWay(job=job, duration_min=self._minutes(), place_kinds=[PlaceKind.DRYING_LINE])
            yield from self._links(job)
        yield from _named(job, self.sails)

    def changed(self) -> Changed:
        """One that was foreseen hangs as long as the weather says now."""
        job, minutes = self._known(), self._minutes()
        ways = job.ways.all() if job is not None else ()
        return tuple((way, {"duration_min": minutes}) for way in ways if way.duration_min != minutes)

    def _minutes(self) -> int:
        return drying_time(self.scribe.now).days * 24 * 60

    def _job(self) -> Job:
        kind = JobKind.objects.filter(key=DRY).first()
        if kind is None:
            raise EventRefused(_("The yard has no kind of job that dries sails: load its packages first."))
        taken = set(self.order.jobs.values_list("key", flat=True)) if self.order.pk else set()
        key = next(key for n in count(1) if (key := DAMP_KEY if n == 1 else f"{DAMP_KEY}-{n}") not in taken)
        return Job(
            order=self.order,
            kind=kind,
            key=key,
            name=_("Dry the damp sails"),
            sequence=self.after.sequence if self.after is not None else 0,
            cautions=kind.cautions,
        )

    def _links(self, job: Job) -> Iterator[JobLink]:
        by_hand = {"origin": JobLink.Origin.BY_HAND, "source": _(DAMP_SOURCE)}
        if self.after is not None:
            most = int(DAMP_AT_MOST.total_seconds()) // 60
            yield JobLink(before=self.after, after=job, max_wait_min=most, reason=_(DAMP_REASON), **by_hand)
        for kind in (WASH, INSPECT, STORE) if self.order.pk else ():
            follows = self.order.jobs.filter(kind__key=kind, state__in=OPEN).order_by("sequence", "id").first()
            if follows is not None:
                yield JobLink(before=job, after=follows, reason=_("damp sails dry first"), **by_hand)
                return
