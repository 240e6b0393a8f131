"""How a boat stands is said alike by the list of all boats and by her own page, which reads of her alone."""

from __future__ import annotations

from itertools import groupby

import pytest

from yard.models import Boat, Job, LeftOut, Order, Plan, PlannedJob
from yard.queries.boat_list import NO_OPEN_ORDER, standing_of, standings
from yard.queries.boat_page import boat_rows
from yard.queries.season_board import boat_rows as board_rows

pytestmark = [pytest.mark.django_db, pytest.mark.once]
WHAT_HAPPENS = ("done", "begun", "not in the plan", "provisional", "left out", "no room", "nothing")


def test_a_boat_stands_on_her_page_as_in_the_list(posted_in_january: int, django_assert_num_queries) -> None:
    plan = Plan.objects.get(pk=posted_in_january)
    orders = Order.objects.filter(state=Order.State.OPEN, boat__isnull=False).order_by("boat_id")
    for number, (_boat, hers) in enumerate(groupby(orders, lambda order: order.boat_id)):
        for order in hers:
            _happens(WHAT_HAPPENS[number % len(WHAT_HAPPENS)], order, plan)
    asked = Boat.objects.filter(orders__in=orders).distinct().order_by("pk")[: len(WHAT_HAPPENS)]
    idle = Boat.objects.create(ref="idle", name="Idle", length_m=9, beam_m=3)
    for posted in (plan, None):
        listed, rows = standings(posted), {row.key: row for row in board_rows(posted)}
        states = {"late", "waiting-on", "not-planned", "done"} if posted else {"not-planned", "done"}
        assert {each.state for each in listed.values()} >= states
        for boat in (*asked, idle):
            read = boat_rows(boat, posted, with_owners=False)
            with django_assert_num_queries(0):
                standing, row = standing_of(read)
            assert standing == listed.get(boat.pk, NO_OPEN_ORDER)
            assert row == rows.get(f"boat-{boat.pk}")


def _happens(what: str, order: Order, plan: Plan) -> None:
    planned = PlannedJob.objects.filter(plan=plan, job__order=order)
    match what:
        case "done":
            order.jobs.update(state=Job.State.DONE, actual_ends_at=plan.made_at)
        case "begun":
            order.jobs.filter(sequence=0).update(state=Job.State.DONE, actual_ends_at=plan.made_at)
        case "not in the plan":
            planned.delete()
        case "provisional":
            planned.filter(job=order.jobs.first()).update(provisional=True)
        case "left out":
            LeftOut.objects.create(plan=plan, order=order, rule="facts", reason="her draft is not known")
            LeftOut.objects.create(plan=plan, order=order, rule="room", reason="no place is free")
        case "no room":
            LeftOut.objects.create(plan=plan, order=order, job=order.jobs.first(), rule="room", reason="no berth")
            LeftOut.objects.create(plan=plan, boat=order.boat, rule="room", reason="of the boat alone")
