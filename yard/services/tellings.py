"""What an owner was told by word of mouth, noted by hand; a note made by mistake is taken back and stays on file."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.contrib.auth.models import User
from django.db import transaction
from django.db.models import Q
from django.utils.translation import gettext as _

from yard.models import Fact, Job, Order, Owner, Plan, Telling

WITH_A_DATE = frozenset({Telling.State.PROVISIONAL_WEEK, Telling.State.PROVISIONAL_DAY, Telling.State.FIRM})
SAME_NOTE = timedelta(minutes=2)
"""The same words of the same order within this time are one note, sent twice."""


class TellingRefused(Exception):
    """This cannot be noted; field: which entry; the text says why and what to do. Nothing was saved."""

    def __init__(self, field: str, words: str) -> None:
        super().__init__(words)
        self.field = field


@dataclass(frozen=True, kw_only=True)
class Told:
    """What was said. day: the day, or any day of a provisional week. at: when it was said."""

    owner: Owner | None
    state: Telling.State
    how: Telling.How
    at: datetime
    day: date | None = None
    reserve: date | None = None
    said: str = ""


def note_telling(order: Order, told: Told, *, by: User, plan: Plan | None, now: datetime) -> Telling:
    """Add what was told. The same note sent twice is one row. Raises TellingRefused.

    plan: the one on the wall, which the date was read from. A date is called firm only when every fact is here.
    """
    _refuse(order, told, now)
    day = told.day
    if day is not None and told.state == Telling.State.PROVISIONAL_WEEK:
        day -= timedelta(days=day.weekday())
    values = {
        "order": order,
        "boat": order.boat,
        "owner": told.owner,
        "state": told.state,
        "told_date": day,
        "reserve_date": told.reserve,
        "how": told.how,
        "said": told.said.strip(),
        "told_by": by,
    }
    with transaction.atomic():
        Order.objects.select_for_update().get(pk=order.pk)  # a note sent twice at once comes one after the other
        near = Q(told_at__gte=told.at - SAME_NOTE, told_at__lte=told.at + SAME_NOTE, taken_back_at=None)
        before = Telling.objects.filter(near, **values).first()
        return before or Telling.objects.create(**values, told_at=told.at, plan=plan)


def take_back(telling: Telling, *, by: User, now: datetime) -> bool:
    """Mark a note as a mistake; it stays on file. False where somebody did so before."""
    return Telling.objects.filter(pk=telling.pk, taken_back_at=None).update(taken_back_at=now, taken_back_by=by) == 1


def _refuse(order: Order, told: Told, now: datetime) -> None:
    if order.boat is None:
        raise TellingRefused("order", _("A walk-in is told at the counter: choose an order of a boat."))
    if told.owner is not None and not order.boat.ownerships.filter(owner=told.owner).exists():
        raise TellingRefused(
            "owner",
            _("{owner} does not own {boat}: choose one of her owners.").format(owner=told.owner, boat=order.boat),
        )
    if told.at > now:
        raise TellingRefused("at", _("That is still to come: note it when it was said."))
    if told.state in WITH_A_DATE and told.day is None:
        raise TellingRefused("day", _("Say which week or day the owner was told."))
    if told.state not in WITH_A_DATE and told.reserve is not None:
        raise TellingRefused("reserve", _("A reserve day goes with a week or a day that was told."))
    if told.day is not None and told.reserve is not None and told.reserve <= told.day:
        raise TellingRefused("reserve", _("The reserve day comes after the day that was told."))
    if told.state == Telling.State.FIRM and (waiting := _waits_on(order)):
        raise TellingRefused(
            "state",
            _("Waiting on {waiting}: the day is not firm yet. Note it as a provisional day.").format(
                waiting=", ".join(waiting)
            ),
        )


def _waits_on(order: Order) -> list[str]:
    """Names of the facts that the order's open jobs still wait for."""
    open_jobs = Job.objects.filter(order=order, state__in=[Job.State.OPEN, Job.State.STARTED])
    rows = Fact.objects.filter(jobs__in=open_jobs).exclude(state=Fact.State.HERE).order_by("name", "id").distinct()
    return [fact.name for fact in rows]
