"""Why a boat is left out: where no berth is free because a job that would end her stay waits, that is the reason."""

from __future__ import annotations

from datetime import UTC, datetime
from types import SimpleNamespace

import pytest

from yard.models import Boat, Job, JobKind, Order, Plan, Stay
from yard.planning.plan import LeftOut
from yard.services.read_problem.jobs import Held
from yard.services.save_plan import _left_out

NO_BERTH = "no berth is free for all of her nights"


@pytest.mark.parametrize(
    ("rule", "reason"),
    [
        ("stays", f"{NO_BERTH}: she would lie there until “Deliver”, and that waits: no mooring is named for her"),
        ("water", NO_BERTH),
    ],
)
def test_what_keeps_her_at_a_berth_for_ever_is_said(db: None, rule: str, reason: str) -> None:
    at = datetime(2027, 5, 6, tzinfo=UTC)
    kind = JobKind.objects.create(key="launch", name="Launch", short_name="lau", letter="L", trade="launch")
    boat = Boat.objects.create(ref="wren", name="Wren", length_m=7, beam_m=2, draft_m=1)
    order = Order.objects.create(ref="27-001", name="Spring", boat=boat, made_at=at)
    launch, deliver = (
        Job.objects.create(order=order, key=name.lower(), name=name, kind=kind, sequence=number)
        for number, name in enumerate(("Launch", "Deliver"))
    )
    Stay.objects.create(order=order, from_job=launch, until_job=deliver, place_kind="berth")
    read = SimpleNamespace(
        boats=(boat.pk,),
        jobs=(launch.pk,),
        orders=(order.pk,),
        problem=SimpleNamespace(jobs=(SimpleNamespace(boat=0, order=0),)),
        held=(Held(deliver, "no mooring is named for her"),),
    )
    plan = SimpleNamespace(left_out=(LeftOut(boat=0, rule=rule, job=0, reason=NO_BERTH),))
    row = Plan.objects.create(made_at=at, facts_revision=0)
    assert [each.reason for each in _left_out(read, plan, row)] == [reason, "no mooring is named for her"]
