"""The season is read before anybody asks: at the start, after posting, and when those who change facts are quiet."""

from __future__ import annotations

import threading
from datetime import UTC, datetime, timedelta

import pytest
from django.db import OperationalError

from tests.letters.told_yard import NOW, make_plan, make_yard
from yard.models import Plan, YardSettings
from yard.services import season_at_hand
from yard.services.facts_revision import bump_facts
from yard.services.read_problem import YardNotReady
from yard.services.season_at_hand import QUIET_LOOKS, SeasonAtHand

REAL_NOW = datetime(2026, 1, 1, tzinfo=UTC)


@pytest.fixture
def read(monkeypatch: pytest.MonkeyPatch) -> list[datetime]:
    """The hours for which the season was read."""
    hours: list[datetime] = []

    def read_apart(*, now: datetime) -> bool:
        hours.append(now)
        return True

    monkeypatch.setattr(season_at_hand, "read_apart", read_apart)
    return hours


@pytest.fixture
def yard(db: None) -> YardSettings:
    return make_yard()


@pytest.fixture
def plan(yard: YardSettings) -> Plan:
    return make_plan()


@pytest.fixture
def at_hand() -> SeasonAtHand:
    return SeasonAtHand(lambda: REAL_NOW)


def test_at_the_start_it_is_read_once_by_the_yards_clock(plan: Plan, at_hand: SeasonAtHand, read: list) -> None:
    assert [at_hand.look() for _ in range(3)] == [True, False, False]
    assert read == [NOW]


def test_without_a_yard_or_a_plan_nothing_is_read(db: None, at_hand: SeasonAtHand, read: list) -> None:
    at_hand.look()
    make_yard()
    at_hand.look()
    assert read == []


def test_another_plan_is_read_at_once(plan: Plan, at_hand: SeasonAtHand, read: list) -> None:
    at_hand.look()
    Plan.objects.filter(pk=plan.pk).update(state=Plan.State.SUPERSEDED)
    make_plan(2)
    assert at_hand.look()


def test_another_quarter_of_an_hour_is_read_at_once(yard: YardSettings, plan: Plan, read: list) -> None:
    yard.clock_frozen_at = None
    yard.save()
    clock = [NOW]
    at_hand = SeasonAtHand(lambda: clock[0])
    at_hand.look()
    clock[0] += timedelta(minutes=1)
    assert not at_hand.look()
    clock[0] += timedelta(minutes=15)
    assert at_hand.look()


def test_while_people_tap_it_waits_until_they_are_quiet(plan: Plan, at_hand: SeasonAtHand, read: list) -> None:
    at_hand.look()
    for _ in range(10):
        bump_facts()
        assert not at_hand.look()
    assert [at_hand.look() for _ in range(QUIET_LOOKS + 1)] == [*[False] * (QUIET_LOOKS - 1), True, False]


def test_what_cannot_be_read_is_tried_again_only_after_a_change(
    plan: Plan, at_hand: SeasonAtHand, monkeypatch: pytest.MonkeyPatch
) -> None:
    tried = []

    def not_ready(*, now: datetime) -> bool:
        tried.append(now)
        raise YardNotReady("no shop hours")

    monkeypatch.setattr(season_at_hand, "read_apart", not_ready)
    assert [at_hand.look() for _ in range(3)] == [False] * 3
    assert len(tried) == 1


def test_a_database_that_is_away_ends_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    looks, ended = [], threading.Event()

    def look(self: SeasonAtHand) -> bool:
        looks.append(1)
        if len(looks) == 3:
            ended.set()
        raise OperationalError("locked") if len(looks) == 1 else RuntimeError("else")

    monkeypatch.setattr(SeasonAtHand, "look", look)
    monkeypatch.setattr(season_at_hand, "LOOK_EVERY_S", 0.0)
    monkeypatch.setattr(season_at_hand.connections, "close_all", lambda: None)
    season_at_hand.keep_at_hand(lambda: REAL_NOW, ended)
    assert len(looks) == 3
