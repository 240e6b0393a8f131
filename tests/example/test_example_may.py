"""The example yard in May: what a plan of January became, and whether it can be planned on."""

from __future__ import annotations

from collections import Counter
from datetime import date, timedelta

import pytest

from yard.models import (
    Boat,
    Closure,
    Fact,
    GaugeReading,
    Item,
    ItemWhereabouts,
    Job,
    JobLink,
    JobWork,
    Letter,
    Order,
    OwnerAnswer,
    Place,
    Plan,
    Telling,
)
from yard.planning.plan import Planned
from yard.planning.progress import Rounds
from yard.planning.solve import solve
from yard.services.read_problem import read_problem
from yard.services.read_problem.rows import where_boats_are
from yard.services.stored_plan import plan_from_rows

pytestmark = [pytest.mark.django_db, pytest.mark.once, pytest.mark.usefixtures("may")]


def test_the_clock_stands_on_a_thursday_in_may(may):
    assert may.isoformat() == "2027-05-06T14:00:00+00:00"  # ten in the morning in New York, daylight time


def test_what_was_planned_before_now_is_done_or_late(may):
    states = Counter(Job.objects.values_list("state", flat=True))
    assert states[Job.State.DONE] > 50
    assert states[Job.State.OPEN] > 50
    assert not Job.objects.filter(state=Job.State.DONE, actual_ends_at__gt=may).exists()
    assert not Job.objects.filter(state=Job.State.STARTED, actual_starts_at__gte=may).exists()
    for order in Order.objects.filter(state=Order.State.DONE):
        assert not order.jobs.exclude(state__in=["done", "cancelled"]).exists()


def test_no_job_is_done_before_the_one_it_follows():
    for link in JobLink.objects.filter(after__state__in=["done", "started"]).select_related("before", "after"):
        if link.before.state != Job.State.CANCELLED:
            assert link.before.state == Job.State.DONE, link
            assert link.before.actual_ends_at <= link.after.actual_starts_at, link


def test_nothing_was_done_while_a_fact_was_missing():
    assert not Fact.objects.exclude(state="here").filter(jobs__state__in=["done", "started"]).exists()


def test_hours_scatter_about_the_estimate():
    read_off = Job.objects.filter(state="done", hours_as_planned=False, worked_min__isnull=False)
    ratios = sorted(
        job.worked_min / job.planned_jobs.get().job.ways.get(sequence=job.planned_jobs.get().way).duration_min
        for job in read_off
    )
    assert len(ratios) > 30
    assert 0.85 < ratios[len(ratios) // 2] < 1.15  # a lognormal about the median: its middle is 1
    assert ratios[len(ratios) // 10] < 0.85
    assert ratios[-len(ratios) // 10] > 1.15
    assert JobWork.objects.filter(job__in=read_off).exists()


def test_boats_are_where_the_work_left_them():
    here = where_boats_are()
    for boat in Boat.objects.all():
        done = set(Job.objects.filter(order__boat=boat, state="done").values_list("kind__key", flat=True))
        kind = here[boat.pk].kind
        if "deliver" in done:
            assert kind == "mooring", boat
        elif "launch" in done:
            assert kind == "berth", boat
        else:
            assert kind in ("store_row", "apron", "away"), boat


def test_no_berth_and_no_mooring_is_taken_twice():
    here = where_boats_are().values()
    moorings = [row.mooring_id for row in here if row.mooring_id is not None]
    assert len(moorings) == len(set(moorings))
    berths = Counter(row.place_id for row in here if row.kind == "berth")
    for place, count in berths.items():
        assert count <= Place.objects.get(pk=place).capacity


def test_a_stepped_mast_is_aboard():
    for job in Job.objects.filter(kind__key="step", state="done").select_related("order"):
        mast = Item.objects.get(boat=job.order.boat, kind=Item.Kind.MAST)
        assert mast.whereabouts.first().kind == ItemWhereabouts.Kind.ABOARD


def test_tellings_follow_the_rules(may):
    tellings = Telling.objects.select_related("order").order_by("told_at")
    assert {"week", "day"} <= {telling.state for telling in tellings}
    for telling in tellings:
        assert telling.told_at <= may
        assert str(telling.order.boat) in telling.said
        if telling.state == "week":
            assert telling.told_date.weekday() == 0
        if telling.state == "day":
            assert telling.told_date - telling.told_at.date() <= timedelta(days=14)
            assert telling.reserve_date > telling.told_date
        if telling.state == "firm":
            assert not Fact.objects.exclude(state="here").filter(jobs__order=telling.order).exists()
    per_order = Counter(tellings.filter(state="week").values_list("order", flat=True))
    assert set(per_order.values()) == {1}


def test_the_gauge_was_read_and_a_gale_is_suggested(may):
    morning = GaugeReading.objects.filter(boat=None)
    assert 15 <= morning.count() <= 25
    assert all(abs(row.observed_m_above_datum - row.predicted_m_above_datum) < 0.4 for row in morning)
    gale = Closure.objects.get()
    assert gale.state == Closure.State.SUGGESTED
    assert gale.starts_at.date() == date(2027, 5, 7)


def test_it_can_be_planned_on(may):
    assert Plan.objects.get().state == Plan.State.POSTED
    read = read_problem(now=may)
    started = Job.objects.filter(state="started").count()
    assert len(read.problem.pins) == started
    result = solve(read.problem, stop=Rounds(200), seed=1, workers=1, start=plan_from_rows(Plan.objects.get(), read))
    assert isinstance(result, Planned)
    assert result.plan.left_out == ()


def test_its_spring_is_believable(may):
    """Letters went out and answers came back; promises are near the edge, and some of those kept were not."""
    sent = Letter.objects.all()
    assert {letter.state for letter in sent} <= {"sent"}
    assert all(letter.sent_at <= may and letter.tells and letter.to_address for letter in sent)
    assert {"waiting", "accepted"} >= set(OwnerAnswer.objects.values_list("state", flat=True))
    assert OwnerAnswer.objects.filter(state="waiting").exists()
    late = near = 0
    for order in Order.objects.filter(promised_date__isnull=False, fixed_delivery_at=None):
        rows = order.jobs.filter(planned_jobs__plan__state="posted").values_list("planned_jobs__ends_at", flat=True)
        if rows and (days := (order.promised_date - max(rows).date()).days) <= 4:
            near += 1
            late += days < 0
    assert near > late >= 1
