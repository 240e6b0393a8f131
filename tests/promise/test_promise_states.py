"""What an owner is told, row by row: the table of states, and what is due."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from yard.promise.states import Due, Reason, Rules, State, Told, Work, due, state_of

RULES = Rules()
DAY = date(2027, 5, 17)  # a Monday: its final call is on Saturday at noon
WORK = Work(
    day=DAY,
    starts_at=datetime(2027, 5, 17, 13, 0, tzinfo=UTC),
    final_call_at=datetime(2027, 5, 15, 11, 0, tzinfo=UTC),
)


def before(**time: float) -> datetime:
    assert WORK.starts_at is not None
    return WORK.starts_at - timedelta(**time)


@pytest.mark.parametrize(
    ("work", "now", "state"),
    [
        (WORK, before(days=60), State.PROVISIONAL_WEEK),
        (WORK, before(days=14, minutes=1), State.PROVISIONAL_WEEK),
        (WORK, before(days=14), State.PROVISIONAL_DAY),
        (WORK, before(hours=51), State.PROVISIONAL_DAY),
        (WORK, before(hours=50), State.FIRM),  # Saturday 11:00: the last yard hour before Monday
        (WORK, before(hours=48), State.FIRM),
        (replace(WORK, waits_on=("the cloth",)), before(hours=1), State.PROVISIONAL_DAY),
        (replace(WORK, shut=True), before(hours=48), State.WEATHER_HOLD),
        (replace(WORK, shut=True), before(days=3), State.PROVISIONAL_DAY),
        (replace(WORK, day=None, starts_at=None, final_call_at=None), before(days=1), State.NOTHING),
        (replace(WORK, done=True), before(days=30), State.DONE),
    ],
)
def test_the_table(work: Work, now: datetime, state: State) -> None:
    assert state_of(work, RULES, now=now) is state


def test_without_a_yard_hour_before_it_48_hours_decide() -> None:
    late = replace(WORK, final_call_at=None)
    assert state_of(late, RULES, now=before(hours=48, minutes=1)) is State.PROVISIONAL_DAY
    assert state_of(late, RULES, now=before(hours=48)) is State.FIRM
    assert state_of(late, Rules(firm_told_hours_before=72), now=before(hours=72)) is State.FIRM


def told(state: State, day: date | None, ago: timedelta, now: datetime) -> Told:
    return Told(state=state, told_date=day, told_at=now - ago)


MONDAY, LATER = DAY, date(2027, 5, 19)
LONG = timedelta(days=30)


@pytest.mark.parametrize(
    ("was", "was_day", "work", "now", "expected"),
    [
        (None, None, WORK, before(days=60), Due(State.PROVISIONAL_WEEK, MONDAY, Reason.WEEK_DUE)),
        (State.PROVISIONAL_WEEK, MONDAY, WORK, before(days=60), None),
        (
            State.PROVISIONAL_WEEK,
            MONDAY - timedelta(days=7),
            WORK,
            before(days=60),
            Due(State.PROVISIONAL_WEEK, MONDAY, Reason.WEEK_MOVED),
        ),
        (State.PROVISIONAL_WEEK, MONDAY, WORK, before(days=10), Due(State.PROVISIONAL_DAY, DAY, Reason.DAY_DUE)),
        (State.PROVISIONAL_DAY, DAY, WORK, before(days=10), None),
        (State.PROVISIONAL_DAY, LATER, WORK, before(days=10), Due(State.PROVISIONAL_DAY, DAY, Reason.DAY_MOVED)),
        (State.PROVISIONAL_DAY, DAY, WORK, before(hours=51), None),
        (
            State.PROVISIONAL_DAY,
            DAY,
            replace(WORK, final_call_at=None),
            before(hours=48),
            Due(State.FIRM, DAY, Reason.FIRM_DUE),
        ),
        (State.FIRM, DAY, replace(WORK, final_call_at=None), before(hours=40), None),
        (State.FIRM, DAY, WORK, before(hours=40), Due(State.FIRM, DAY, Reason.FINAL_CALL)),
        (State.FIRM, LATER, WORK, before(hours=40), Due(State.FIRM, DAY, Reason.FIRM_BROKEN)),
        (State.FIRM, DAY, replace(WORK, shut=True), before(hours=40), Due(State.WEATHER_HOLD, DAY, Reason.FIRM_BROKEN)),
        (
            State.FIRM,
            DAY,
            replace(WORK, waits_on=("the permit",)),
            before(hours=40),
            Due(State.PROVISIONAL_DAY, DAY, Reason.FIRM_BROKEN),
        ),
        (State.DONE, DAY, WORK, before(days=1), None),
        (State.FIRM, DAY, replace(WORK, done=True), before(hours=-4), Due(State.DONE, DAY, Reason.DONE)),
        (None, None, Work(day=None, starts_at=None, final_call_at=None), before(days=1), None),
        (
            State.PROVISIONAL_DAY,
            DAY,
            Work(day=None, starts_at=None, final_call_at=None),
            before(days=1),
            Due(State.NOTHING, None, Reason.DAY_MOVED),
        ),
    ],
)
def test_what_is_due(was: State | None, was_day: date | None, work: Work, now: datetime, expected: Due | None) -> None:
    last = None if was is None else told(was, was_day, LONG, now)
    assert due(work, last, RULES, now=now) == expected


def test_the_final_call_is_made_once() -> None:
    now = before(hours=40)
    called = told(State.FIRM, DAY, timedelta(hours=1), now)
    assert due(WORK, called, RULES, now=now) is None


@pytest.mark.parametrize(("hours", "reason"), [(1, Reason.FINAL_CALL), (0, None), (-1, None)])
def test_nothing_is_called_firm_once_the_work_has_begun(hours: int, reason: Reason | None) -> None:
    found = due(WORK, told(State.PROVISIONAL_DAY, DAY, LONG, before(days=30)), RULES, now=before(hours=hours))
    assert (found.reason if found is not None else None) == reason


def test_a_day_that_moved_is_still_told_after_it_began() -> None:
    found = due(WORK, told(State.PROVISIONAL_DAY, LATER, LONG, before(days=30)), RULES, now=before(hours=-1))
    assert found == Due(State.FIRM, DAY, Reason.DAY_MOVED)


def test_rules_that_call_a_day_firm_before_it_is_told_are_refused() -> None:
    with pytest.raises(ValueError, match="firm before it is told"):
        Rules(day_told_days_before=1, firm_told_hours_before=48)
