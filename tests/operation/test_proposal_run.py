"""A proposal through the worker: made in the child process, or its run's ending told."""

from __future__ import annotations

import pytest
from django.urls import reverse

from tests.operation.small_yard import make_small_yard
from tests.operation.test_plan_runs import NOW, Clock
from yard.models import Plan, PlanRun, Proposal
from yard.services.carry_out_run import carry_out
from yard.services.proposals import ask_for_proposal

pytestmark = pytest.mark.django_db


@pytest.fixture
def asked(db: None) -> Proposal:
    make_small_yard()
    Plan.objects.create(state="posted", number=1, made_at=NOW, posted_at=NOW, facts_revision=0, late_days=0, unplaced=0)
    return ask_for_proposal([], by=None, now=NOW)


def test_with_the_real_planner(asked: Proposal, settings: object) -> None:
    """A yard with nothing to do: the proposal is ready, with one draft that moves nobody."""
    assert asked.run is not None
    PlanRun.objects.filter(pk=asked.run.pk).update(seconds_limit=1)
    carry_out(asked.run.pk, clock=Clock(), should_leave=lambda: False)
    asked.refresh_from_db()
    run = PlanRun.objects.get(pk=asked.run.pk)
    assert (asked.state, run.state, run.error) == (Proposal.State.READY, PlanRun.State.DONE, "")
    choice = asked.choices.get()
    assert (choice.proposed, choice.boats_moved, choice.plan.state) == (True, 0, Plan.State.DRAFT)
    assert choice.plan.based_on == asked.based_on


def test_one_that_a_newer_event_overtakes_says_so(asked: Proposal, client: object, cast: object) -> None:
    """Two days close one after the other: the first is stopped before it began, the second waits for the worker."""
    second = ask_for_proposal([], by=None, now=NOW)
    client.force_login(cast.ada)
    text = client.get(reverse("proposal", args=[asked.pk])).content.decode()
    assert "It was stopped before it began." in text
    assert "Ask again" in text
    assert second.run is not None
    assert PlanRun.objects.get(pk=second.run.pk).state == PlanRun.State.QUEUED
