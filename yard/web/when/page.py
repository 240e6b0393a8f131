"""The page on which a caller's question is answered: what was asked, the answer, and what is held."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import TypeVar

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError

from yard.models import HeldDays, Order, YardSettings
from yard.services.hold_days import HELD_FOR, Caller, OtherDay, hold_days
from yard.services.order_package import OrderRefused, default_options, order_package
from yard.services.when_done import EarliestDays, NoDay, earliest_days
from yard.web.boats.words import dial
from yard.web.orders.form import OrderForm
from yard.web.units import local
from yard.web.when.words import to_say

Found = TypeVar("Found")


@dataclass(frozen=True)
class Answer:
    """told: what was found. say: the sentence, "" where there is no day. other_day: not the one read out before."""

    told: EarliestDays | NoDay
    say: str = ""
    other_day: bool = False

    @property
    def found(self) -> EarliestDays | None:
        return self.told if isinstance(self.told, EarliestDays) else None

    @property
    def last_day(self) -> date | None:
        return None if self.found is None else local(self.found.ends_at).date()


@dataclass(frozen=True)
class HeldRow:
    """One hold on the list. told: the day to count on, else the earliest."""

    held: HeldDays
    dial: str
    over: bool

    @property
    def told(self) -> date:
        return self.held.day_90 or self.held.told_day


def answer_of(told: EarliestDays | NoDay, yard: YardSettings, *, now: datetime, other_day: bool = False) -> Answer:
    if isinstance(told, NoDay):
        return Answer(told, other_day=other_day)
    return Answer(told, to_say(told, odds_told=yard.tells_odds, until=now + HELD_FOR), other_day)


def asked(form: OrderForm, yard: YardSettings, *, by: User, now: datetime) -> Answer | None:
    """The answer; None where the form says what is missing."""
    if not form.is_valid():
        return None
    return _told_on(form, lambda: answer_of(earliest_days(_make(form, by, now, keyed=False), now=now), yard, now=now))


def held_for(form: OrderForm, seen: date, yard: YardSettings, *, by: User, now: datetime) -> HeldDays | Answer | None:
    """What is held now; an answer where the day is not to be had any more, None where the form says what is missing."""
    if not form.is_valid():
        return None

    def hold() -> HeldDays | Answer:
        caller = Caller(
            seen_day=seen, sentence=lambda told: to_say(told, odds_told=yard.tells_odds, until=now + HELD_FOR)
        )
        try:
            return hold_days(_make(form, by, now, keyed=True), caller, by=by, now=now)
        except OtherDay as other:
            return answer_of(other.told, yard, now=now, other_day=True)

    return _told_on(form, hold)


def _make(form: OrderForm, by: User, now: datetime, *, keyed: bool) -> Callable[[], Order]:
    package, boat, options = form.cleaned_data["package"], form.cleaned_data["boat"], form.options_on()
    chosen = default_options(package, boat) if options is None else options
    terms = form.terms() if keyed else replace(form.terms(), form_key=None)
    return lambda: order_package(boat, package, options=chosen, dates=form.dates(), by=by, now=now, terms=terms)


def _told_on(form: OrderForm, find: Callable[[], Found]) -> Found | None:
    try:
        return find()
    except OrderRefused as refused:
        form.add_error(None, str(refused))
    except ValidationError as error:
        form.add_error(None, error.messages)
    return None


def held_now(*, now: datetime) -> list[HeldRow]:
    """What is held, the first to run out first. One query."""
    rows = HeldDays.objects.filter(state=HeldDays.State.HELD, order__state=Order.State.OPEN)
    rows = rows.select_related("order__boat", "made_by").defer("jobs", "stays")
    return [HeldRow(row, dial(row.order.walk_in_phone), row.until <= now) for row in rows]
