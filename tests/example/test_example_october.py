"""The small example yard in October: hauled and to be hauled, a store plan, and a season that can be read."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import timedelta
from typing import Any

import pytest

from tests.conftest import rows_of_a_module
from yard.models import AutumnRules, Job, Order, StowPlan, Whereabouts, YardSettings
from yard.queries.due import all_due
from yard.queries.sails import unsaid_sails
from yard.services.example_yard import build_example
from yard.services.order_due import order_due
from yard.services.read_problem import read_problem
from yard.services.stowing.plans import accept, propose

pytestmark = [pytest.mark.django_db, pytest.mark.once]


@pytest.fixture(scope="module")
def october(django_db_setup: None, django_db_blocker: Any) -> Iterator[None]:
    with rows_of_a_module(django_db_blocker):
        build_example("S", 1, "october")
        yield


@pytest.mark.usefixtures("october")
def test_what_falls_due_in_october_is_there_to_be_ordered() -> None:
    """Of each interval something is to be ordered, and all that is known to be due makes orders, once.

    By care.toml: of 22 moorings every fourth was looked over 540 days ago (5; a year is 365); every third chain is 1250
    days old (7; 3 years are 1096), every third pendant 760 (7; 2 years are 731); one sling in three failed.
    """
    yard = YardSettings.objects.get()
    now = yard.clock_frozen_at
    assert now is not None
    today = now.date()
    by_day = today + timedelta(days=90)
    rows = all_due(by_day=by_day, today=today, yard=yard)
    states = Counter((each.interval.key, each.state) for each in rows)
    assert {key: states["tackle", key] for key in ("overdue", "later")} == {"overdue": 5, "later": 17}
    assert states["top_chain", "overdue"] == states["pendant", "overdue"] == 7
    assert (states["slings", "overdue"], states["slings", "failed"]) == (2, 1)
    for key in ("rig_survey", "standing_rigging_age"):
        assert all(states[key, state] for state in ("overdue", "unknown", "later")), key
    open_now = [each for each in rows if each.is_open and each.state != "unknown"]
    assert {each.interval.key for each in open_now} == {each.interval.key for each in rows}
    picked = [f"{each.interval.pk}:{each.key}" for each in open_now]
    made = order_due(picked, by_day=by_day, by=None, now=now, today=today, yard=yard)
    packages = Counter(order.package.key for order in made.orders if order.package is not None)
    assert made.left == ()
    assert packages["rig_survey"] == sum(states["rig_survey", state] for state in ("overdue", "due"))
    assert packages["standing_rigging"] == states["standing_rigging_age", "overdue"]
    assert packages["yard_gear"] == 3  # slings; chains; lifting gear: each interval in one order
    assert packages["yard_extinguishers"] == 2
    again = order_due(picked, by_day=by_day, by=None, now=now, today=today, yard=yard)
    assert again.orders == ()


@pytest.mark.usefixtures("october")
def test_october_is_planned_for_the_store_and_read_as_a_season() -> None:
    yard = YardSettings.objects.get()
    now = yard.clock_frozen_at
    assert now is not None
    hauls = Job.objects.filter(kind__key="haul", order__package__key="autumn_lay_up")
    to_come = hauls.filter(state="open").count()
    assert to_come >= 8
    assert hauls.filter(state="done").count() >= 5
    assert Order.objects.filter(package__key="spring_commissioning").exclude(state="done").count() == 0
    assert Whereabouts.objects.filter(kind="store_row").count() >= 5
    assert AutumnRules.objects.get().freeze_station == "new-bedford-ma"
    assert unsaid_sails(now) == []  # each sail in the store was said to be dry when it came off
    plan = propose(StowPlan.Kind.BOATS, yard=yard, by=None, now=now)
    figures = plan.figures
    assert figures["at_least"] <= figures["extra"] < figures["first_come"]
    accept(plan, seen_version=plan.version, by=None, now=now)
    spars = propose(StowPlan.Kind.SPARS, yard=yard, by=None, now=now)
    assert spars.figures["extra"] <= spars.figures["first_come"]
    read = read_problem(now=now)
    assert sum("is to stand farther in" in link.reason for link in read.problem.links) > 0
    assert sum(job.name == "Haul" for job in read.problem.jobs) == to_come
