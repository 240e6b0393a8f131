"""What was ticked for a boat taken as an order, asked a day for, or held for whoever asks."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from typing import TypeVar

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError

from yard.models import HeldDays, OptionSheet, Order, SheetChoice, YardSettings
from yard.services.hold_days import HELD_FOR, Caller, OtherDay, hold_days
from yard.services.new_boat import NewBoatRefused, order_new_boat
from yard.services.order_package import OrderRefused
from yard.services.when_done import earliest_days
from yard.web.new_boat.forms import ChooseForm
from yard.web.when.page import Answer, answer_of
from yard.web.when.words import to_say

Found = TypeVar("Found")


class Taking:
    """One press of the page. Each doing gives None where the form then says what is wrong; nothing is saved so."""

    def __init__(self, form: ChooseForm, row: OptionSheet, keys: frozenset[str], *, by: User, now: datetime) -> None:
        self.form, self.row, self.keys, self.by, self.now = form, row, keys, by, now

    def take(self) -> SheetChoice | None:
        return self._told(lambda: self._choice(keyed=True))

    def when(self, yard: YardSettings) -> Answer | None:
        """The day that holds: fitted into the posted plan with all that the options make, and taken back again."""
        return self._told(lambda: answer_of(earliest_days(self._order(keyed=False), now=self.now), yard, now=self.now))

    def keep(self, seen: date, yard: YardSettings) -> HeldDays | Answer | None:
        """Hold the day that was read out; another day, where that is not to be had any more."""
        return self._told(lambda: self._held(seen, yard))

    def _held(self, seen: date, yard: YardSettings) -> HeldDays | Answer:
        until, odds_told = self.now + HELD_FOR, yard.tells_odds
        caller = Caller(seen_day=seen, sentence=lambda told: to_say(told, odds_told=odds_told, until=until))
        try:
            return hold_days(self._order(keyed=True), caller, by=self.by, now=self.now)
        except OtherDay as other:
            return answer_of(other.told, yard, now=self.now, other_day=True)

    def _order(self, *, keyed: bool) -> Callable[[], Order]:
        return lambda: self._choice(keyed=keyed).order

    def _choice(self, *, keyed: bool) -> SheetChoice:
        said = self.form.cleaned_data
        return order_new_boat(
            said["boat"],
            self.row,
            self.keys,
            dates=self.form.dates(),
            by=self.by,
            now=self.now,
            form_key=said["form_key"] if keyed else None,
        )

    def _told(self, act: Callable[[], Found]) -> Found | None:
        if not self.form.is_valid():
            return None
        try:
            return act()
        except NewBoatRefused as refused:
            self.form.add_error(None, list(refused.faults))
        except OrderRefused as refused:
            self.form.add_error(None, str(refused))
        except ValidationError as wrong:
            self.form.add_error(None, wrong.messages)
        return None
