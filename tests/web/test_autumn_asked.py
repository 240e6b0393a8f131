"""Autumn's page beside the day each owner asked for: hauled by it or so many days later, and a sentence on them all."""

from __future__ import annotations

from datetime import timedelta
from io import StringIO
from typing import Any

import pytest
from django.core.management import call_command
from django.test import Client

from tests.services.autumn_yard import NOW, AutumnYard, make_autumn
from tests.web.tallow_creek import signed_in
from yard.models import Plan, PlannedJob
from yard.planning.progress import Rounds
from yard.planning.solve import solve
from yard.services.read_problem import read_problem
from yard.services.save_plan import Making, post_plan, save_plan


@pytest.fixture
def autumn(db: None) -> AutumnYard:
    made = make_autumn()
    made.yard.clock_frozen_at = NOW
    made.yard.save()
    return made


@pytest.fixture
def ada(autumn: AutumnYard, cast: Any) -> Client:
    return signed_in(cast.ada)


def posted() -> Plan:
    read = read_problem(now=NOW)
    found = solve(read.problem, stop=Rounds(200), seed=1, workers=1)
    plan = save_plan(read, found, Making(None, NOW, 1))
    post_plan(plan, by=None, now=NOW)
    return plan


def test_nothing_planned_says_nothing_of_days(ada: Client) -> None:
    assert "their owner asked for" not in ada.get("/autumn/").content.decode()


def test_hauls_in_time_and_one_that_is_later(ada: Client, autumn: AutumnYard) -> None:
    plan = posted()
    page = ada.get("/autumn/").context["page"]
    assert page.asked == "3 of 3 hauls are planned by the day their owner asked for."
    haul = PlannedJob.objects.get(plan=plan, job=autumn.job(0, "haul"))  # asked for the 12th
    late = haul.starts_at.replace(day=14)
    PlannedJob.objects.filter(pk=haul.pk).update(starts_at=late, ends_at=late + timedelta(hours=1))
    page = ada.get("/autumn/").context["page"]
    assert page.asked == "2 of 3 hauls are planned by the day their owner asked for, 1 later by 2 days."
    assert sorted(line.days_after for line in page.lines) == [0, 0, 2]


def test_the_command_counts_late_hauls_apart_from_late_orders(autumn: AutumnYard) -> None:
    """Asked for on a day that is over, no haul can be in time; the orders' own last days can."""
    for order in autumn.orders:
        order.earliest_date = order.wanted_date = NOW.date() - timedelta(days=1)
        order.save()
    said = StringIO()
    call_command("plan_season", seconds=0.5, workers=1, stdout=said, stderr=StringIO())
    assert " 0 boats late, 3 hauled after the day asked for, 0 left out," in said.getvalue()
