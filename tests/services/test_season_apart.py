"""The season that another process reads is the one that would be read here; what befalls it does not end the site."""

from __future__ import annotations

import multiprocessing
import pickle
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from tests.operation.background import address_of_test_database
from tests.services import readers_apart
from tests.services.autumn_yard import NOW, make_autumn
from yard.models import Plan, PlannedJob
from yard.services import plan_in_memory, promise_of_one, season_apart
from yard.services.read_problem import YardNotReady
from yard.services.season_apart import SeasonNotHandedOver, read_apart
from yard.services.season_ready import make_ready


def keep_nothing() -> None:
    plan_in_memory.forget()
    promise_of_one._kept.clear()


@pytest.fixture(autouse=True)
def nothing_kept() -> Iterator[None]:
    """Before, and for the tests that come after."""
    keep_nothing()
    yield
    keep_nothing()


@pytest.fixture
def here(db: None, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same is answered by this process, and handed over as it would be."""
    monkeypatch.setattr(season_apart, "_answer", lambda now: pickle.loads(pickle.dumps(season_apart.answer(now))))


def kept() -> tuple[Any, ...]:
    ((key, memory),) = plan_in_memory._kept.items()
    ((of_odds, ground),) = promise_of_one._kept.items()
    return key, memory.posted, memory.read.problem, memory.read.jobs, memory.plan, of_odds, ground.rows, ground.doubt


def test_what_another_process_read_is_what_would_be_read_here(
    transactional_db: None, monkeypatch: pytest.MonkeyPatch, django_assert_num_queries: Any
) -> None:
    monkeypatch.setenv("DATABASE_URL", address_of_test_database())
    yard = make_autumn()
    at = datetime(2027, 10, 12, 14, tzinfo=UTC)
    plan = Plan.objects.create(number=1, state="posted", made_at=NOW, posted_at=NOW, facts_revision=0)
    PlannedJob.objects.create(plan=plan, job=yard.job(0, "haul"), starts_at=at, ends_at=at + timedelta(hours=1))
    with django_assert_num_queries(0):
        assert read_apart(now=NOW)
    apart = kept()
    assert len(apart[2].jobs) == 9
    keep_nothing()
    assert make_ready(now=NOW)
    assert apart == kept()


def test_without_a_plan_nothing_is_kept(here: None) -> None:
    make_autumn()
    assert not read_apart(now=NOW)
    assert plan_in_memory._kept == {}


def test_a_yard_that_cannot_be_read_is_told_as_it_would_be_here(here: None) -> None:
    Plan.objects.create(number=1, state="posted", made_at=NOW, posted_at=NOW, facts_revision=0)
    with pytest.raises(YardNotReady) as read_here:
        make_ready(now=NOW)
    with pytest.raises(YardNotReady) as apart:
        read_apart(now=NOW)
    assert str(apart.value) == str(read_here.value) != ""


@pytest.mark.parametrize(("does", "told"), [(readers_apart.ends, "exit code 7"), (readers_apart.hangs, "not within")])
def test_a_process_that_ends_or_hangs_is_told_and_gone(does: Any, told: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(season_apart, "_child", does)
    monkeypatch.setattr(season_apart, "LONGEST_S", 0.2 if does is readers_apart.hangs else 60)
    with pytest.raises(SeasonNotHandedOver, match=told):
        read_apart(now=NOW)
    assert [process for process in multiprocessing.active_children() if process.name == "season"] == []
