"""What an owner should have been told by now: a table of states, and what is due next.

The states and their times are the yard's own rules (common practice): a provisional week from the booking on, a
provisional day with a reserve day 14 days before, firm or a weather hold 48 hours before, a final call in the last
yard hour before the day, and done.  Nothing is firm before every fact that it waits on is here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum

from yard.speech import _, gettext_noop


class State(StrEnum):
    NOTHING = "nothing"
    PROVISIONAL_WEEK = "week"
    PROVISIONAL_DAY = "day"
    FIRM = "firm"
    WEATHER_HOLD = "weather_hold"
    DONE = "done"


@dataclass(frozen=True, slots=True, kw_only=True)
class Rules:
    """day_told_days_before, firm_told_hours_before: how long before the work a day is told, and called firm."""

    day_told_days_before: int = 14
    firm_told_hours_before: int = 48

    def __post_init__(self) -> None:
        if self.day_told_days_before < 0 or self.firm_told_hours_before < 0:
            raise ValueError(_("a day is told, and called firm, before the work and not after it"))
        if self.firm_told_hours_before > 24 * self.day_told_days_before:
            raise ValueError(_("a day is called firm before it is told: tell it earlier, or call it firm later"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """The last telling. told_date: the day, or the Monday of a week; None where no date was named."""

    state: State
    told_date: date | None
    told_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """One order's work as the posted plan has it. Instants are aware.

    day, starts_at: its last day, local, and its start; None where it is not planned.  final_call_at: the last yard
    hour before that day begins.  waits_on: facts that are not here.  shut: the forecast closes it.  done: it is.
    """

    day: date | None
    starts_at: datetime | None
    final_call_at: datetime | None
    waits_on: tuple[str, ...] = ()
    shut: bool = False
    done: bool = False


class Reason(StrEnum):
    """Why an owner must be told, the most urgent first: people read `_(reason.value)`."""

    FIRM_BROKEN = gettext_noop("a firm day is broken")
    FINAL_CALL = gettext_noop("the final call is due")
    DAY_MOVED = gettext_noop("the day told has moved")
    FIRM_DUE = gettext_noop("firm, or a weather hold, is due")
    DAY_DUE = gettext_noop("a day is due")
    WEEK_MOVED = gettext_noop("the week told has moved")
    WEEK_DUE = gettext_noop("a week is due")
    DONE = gettext_noop("it is done")


URGENCY = {reason: number for number, reason in enumerate(Reason)}


@dataclass(frozen=True, slots=True)
class Due:
    """Tell this: the state and date (the Monday of a week) to tell now, and why."""

    state: State
    date: date | None
    reason: Reason


DAY_TOLD = frozenset({State.PROVISIONAL_DAY, State.FIRM, State.WEATHER_HOLD})

Condition = Callable[[Work, Rules, datetime], bool]


def _near(work: Work, before: timedelta, now: datetime) -> bool:
    return work.starts_at is not None and now >= work.starts_at - before


def _firm_is_near(work: Work, rules: Rules, now: datetime) -> bool:
    called = work.final_call_at is not None and now >= work.final_call_at
    return called or _near(work, timedelta(hours=rules.firm_told_hours_before), now)


# The first row whose condition holds.
TABLE: tuple[tuple[State, Condition], ...] = (
    (State.DONE, lambda work, rules, now: work.done),
    (State.NOTHING, lambda work, rules, now: work.day is None),
    (State.WEATHER_HOLD, lambda work, rules, now: work.shut and _firm_is_near(work, rules, now)),
    (State.FIRM, lambda work, rules, now: not work.waits_on and _firm_is_near(work, rules, now)),
    (State.PROVISIONAL_DAY, lambda work, rules, now: _near(work, timedelta(days=rules.day_told_days_before), now)),
    (State.PROVISIONAL_WEEK, lambda work, rules, now: True),
)


def state_of(work: Work, rules: Rules, *, now: datetime) -> State:
    """What the work's date is worth now."""
    return next(state for state, holds in TABLE if holds(work, rules, now))


def due(work: Work, told: Told | None, rules: Rules, *, now: datetime) -> Due | None:
    """What the owner must be told now; None where what was told still holds, or where nothing can be told."""
    state = state_of(work, rules, now=now)
    if told is not None and told.state is State.DONE:
        return None
    if state is State.PROVISIONAL_WEEK and told is not None and told.state in DAY_TOLD:
        state = State.PROVISIONAL_DAY  # whoever was told a day counts in days: a week again would tell less
    reason = _reason(state, work, told, now)
    return None if reason is None else Due(state, date_to_tell(state, work.day), reason)


def date_to_tell(state: State, day: date | None) -> date | None:
    """The day, or for a provisional week its Monday."""
    if day is None or state is not State.PROVISIONAL_WEEK:
        return day
    return day - timedelta(days=day.weekday())


def _reason(state: State, work: Work, told: Told | None, now: datetime) -> Reason | None:
    if state is State.DONE:
        return Reason.DONE
    before = State.NOTHING if told is None else told.state
    if before is State.FIRM and (state is not State.FIRM or told is None or told.told_date != work.day):
        return Reason.FIRM_BROKEN
    if state is State.NOTHING:
        return Reason.DAY_MOVED if before in (State.PROVISIONAL_DAY, State.WEATHER_HOLD) else None
    if told is not None and before in (State.PROVISIONAL_DAY, State.WEATHER_HOLD) and told.told_date != work.day:
        return Reason.DAY_MOVED
    if state in (State.FIRM, State.WEATHER_HOLD):
        return _near_the_day(state, work, told, now)
    if state is State.PROVISIONAL_DAY and before in (State.NOTHING, State.PROVISIONAL_WEEK):
        return Reason.DAY_DUE
    if before is State.PROVISIONAL_WEEK and told is not None and told.told_date != date_to_tell(state, work.day):
        return Reason.WEEK_MOVED
    return Reason.WEEK_DUE if before is State.NOTHING else None


def _near_the_day(state: State, work: Work, told: Told | None, now: datetime) -> Reason | None:
    """Firm or on hold: told once when it is near, and once more in the last yard hour before the day.

    Once the last work has begun nothing is called any more: the next word is that it is done.
    """
    if work.starts_at is not None and now >= work.starts_at:
        return None
    call = work.final_call_at
    if call is not None and now >= call and (told is None or told.told_at < call):
        return Reason.FINAL_CALL
    return Reason.FIRM_DUE if told is None or told.state is not state else None
