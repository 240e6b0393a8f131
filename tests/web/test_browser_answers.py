"""Load, how good a plan is, ways back and what if in a real browser: axe, and no wider than the screen."""

from __future__ import annotations

from uuid import uuid4

import pytest
from django.utils import timezone

from tests.looks import faults, sizes
from yard.models import Plan, PlanBound, WhatIf, YardSettings
from yard.planning.plan import Planned, score
from yard.planning.what_if import PlannedBeside
from yard.services.back_search import ask_ways_back
from yard.services.read_problem import read_problem
from yard.services.stored_plan import plan_to_mend
from yard.services.what_if import ask_what_if
from yard.services.what_if_run import keep_what_if

pytestmark = pytest.mark.usefixtures("posted_in_january")


def answered() -> WhatIf:
    """Each page with something on it: a proof, a search under way, a what if that is ready."""
    plan = Plan.objects.get(state=Plan.State.POSTED)
    PlanBound.objects.filter(plan=plan).update(state="ready", cost=3, weighted_days_late=0, days_of_flow=3, by="alone")
    ask_ways_back(by=None, now=timezone.now())
    change = {"type": "dates", "weeks": 2}
    row = ask_what_if(change=change, says="All orders later", form_key=uuid4(), by=None, now=timezone.now())
    read = read_problem(now=YardSettings.objects.get().clock_frozen_at)
    laid = plan_to_mend(plan, read)
    planned = Planned(laid, score(read.problem, laid), 0, False, 1.0, "time")
    keep_what_if(row.run, read, PlannedBeside(planned, planned, 2.0))
    return row


@sizes
def test_accessible_and_no_wider_than_the_screen(new_browser, cast, size):
    row = answered()
    plan = Plan.objects.get(state=Plan.State.POSTED).pk
    browser = new_browser(viewport=size)
    browser.sign_in(cast.ada)
    for path in (
        f"/plans/{plan}/load/",
        f"/plans/{plan}/how-good/",
        "/ways-back/",
        "/what-if/",
        f"/what-if/{row.pk}/",
    ):
        browser.open(path)
        assert browser.ui(faults) == []
    assert browser.complaints == []
