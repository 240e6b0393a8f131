"""The small example yard in October: hauled and to be hauled, a store plan, and a season that can be read."""

from __future__ import annotations

import pytest

from yard.models import AutumnRules, Job, Order, StowPlan, Whereabouts, YardSettings
from yard.queries.sails import unsaid_sails
from yard.services.example_yard import build_example
from yard.services.read_problem import read_problem
from yard.services.stowing.plans import accept, propose

pytestmark = [pytest.mark.django_db, pytest.mark.once]


def test_october_is_planned_for_the_store_and_read_as_a_season() -> None:
    build_example("S", 1, "october")
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
