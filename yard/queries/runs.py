"""Reads of owners' runs and of the wishes for them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.models import User
from django.db.models import Prefetch, QuerySet
from django.utils.translation import gettext as _

from yard.models import OwnersRun, Person, Place, PlaceKind, Plan, PlannedJob, RunWish

BOOKED = Prefetch(
    "wishes", RunWish.objects.filter(state=RunWish.State.BOOKED).select_related("boat", "owner").order_by("id")
)


def runs_between(starts_at: datetime, ends_at: datetime) -> QuerySet[OwnersRun]:
    """Runs at any time in [starts_at, ends_at) that were not called off, by start, with who goes at hand. Three."""
    rows = OwnersRun.objects.filter(called_off_at=None, leaves_at__lt=ends_at, back_at__gt=starts_at)
    return rows.select_related("place").prefetch_related("people", BOOKED).order_by("leaves_at", "id")


@dataclass(frozen=True)
class RunOnFile:
    """A run as it stood with one version of it. key: of the row of its history."""

    key: int
    version: int
    place: Place
    leaves_at: datetime
    back_at: datetime
    note: str
    people: tuple[Person, ...]
    changed_at: datetime
    changed_by: User | None
    reason: str
    called_off: bool


def run_history(run: OwnersRun) -> list[RunOnFile]:
    """Each version once, the newest first, as its last row has it. Three queries."""
    last = {}
    for past in run.history.select_related("place", "history_user").order_by("history_id"):
        last[past.version] = past  # who goes is written after the rest, under the same version
    told: dict[int, list[Person]] = {past.history_id: [] for past in last.values()}
    if last:
        named = next(iter(last.values())).people.model.objects.filter(history__in=list(told))
        for each in named.select_related("person").order_by("person__short_name", "person_id"):
            told[each.history_id].append(each.person)
    return [
        RunOnFile(
            past.history_id,
            past.version,
            past.place,
            past.leaves_at,
            past.back_at,
            past.note,
            tuple(told[past.history_id]),
            past.history_date,
            past.history_user,
            past.history_change_reason or "",
            past.called_off_at is not None,
        )
        for past in sorted(last.values(), key=lambda past: -past.version)
    ]


def runs_of_person(person: Person, starts_at: datetime, ends_at: datetime) -> list[OwnersRun]:
    """Three queries."""
    return list(runs_between(starts_at, ends_at).filter(people=person))


def wishes_between(starts_at: datetime, ends_at: datetime) -> QuerySet[RunWish]:
    """Wishes of [starts_at, ends_at) that wait for an answer, or that were not possible, by hour. One query."""
    rows = RunWish.objects.filter(from_at__lt=ends_at, from_at__gte=starts_at)
    return rows.exclude(state__in=(RunWish.State.BOOKED, RunWish.State.WITHDRAWN)).select_related("boat", "owner")


def wishes_waiting(*, now: datetime) -> QuerySet[RunWish]:
    """Every wish to come that waits for an answer, by hour. One query."""
    rows = RunWish.objects.filter(state=RunWish.State.ASKED, until_at__gt=now)
    return rows.select_related("boat", "owner").order_by("from_at", "id")


def tows_between(starts_at: datetime, ends_at: datetime) -> list[PlannedJob]:
    """What the posted plan does with workboats at any time in [starts_at, ends_at), by start. Three queries."""
    rows = PlannedJob.objects.filter(
        plan__state=Plan.State.POSTED,
        planned_places__place__kind=PlaceKind.WORKBOAT,
        starts_at__lt=ends_at,
        ends_at__gt=starts_at,
    )
    rows = rows.select_related("job__kind", "job__order__boat").prefetch_related(
        "planned_people", "planned_places__place"
    )
    return list(rows.distinct().order_by("starts_at", "id"))


def wishes_of(owner: int, *, now: datetime) -> list[RunWish]:
    """What an owner asked for and is not over, by hour. One query."""
    rows = RunWish.objects.filter(owner=owner, until_at__gt=now).exclude(state=RunWish.State.WITHDRAWN)
    return list(rows.select_related("boat", "run").order_by("from_at", "id"))


def carried(wishes: Iterable[RunWish]) -> str:
    """ "Wagtail (2), Heron": whom a run carries, by boat, as pages that name no owner say it."""
    words = []
    for wish in wishes:
        name = wish.boat.name if wish.boat is not None else _("somebody")
        words.append(f"{name} ({wish.people})" if wish.people > 1 else name)
    return ", ".join(words)
