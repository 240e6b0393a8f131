"""How honest the yard was: promised and done, days lost, hours measured, an estimate accepted."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from told_yard import NOW, make_order, make_owner, tell

from yard.models import (
    Closure,
    DayOdds,
    EstimateChange,
    Job,
    Order,
    Package,
    PackageJob,
    PackageWay,
    Plan,
    PlanOdds,
    StaleRow,
    YardSettings,
)
from yard.queries.honesty import days_lost, hours_measured, outcomes
from yard.services.estimates import EstimateRefused, accept_estimate
from yard.web.honest.page import honest_page


def done(order: Order, days: int) -> Order:
    order.jobs.update(state=Job.State.DONE, actual_ends_at=NOW + timedelta(days=days))
    order.save()
    return order


def test_promised_against_done_and_the_firm_day(yard: YardSettings, plan: Plan) -> None:
    kept = make_order(plan, make_owner("Pia"), "Tern", NOW)
    kept.promised_date = date(2027, 5, 8)
    late = make_order(plan, make_owner("Gus"), "Gull", NOW)
    late.promised_date = date(2027, 5, 8)
    tell(done(kept, 2), "firm", date(2027, 5, 8))
    tell(done(late, 5), "firm", date(2027, 5, 8))
    done(make_order(plan, make_owner("Ray"), "Knot", NOW), 1)
    odds = PlanOdds.objects.create(plan=plan, made_at=NOW, scenarios=10, seed=1, seconds=1, rests_on="climate")
    for row, chance in ((kept, 0.9), (late, 0.8)):
        DayOdds.objects.create(
            odds=odds,
            order=row,
            job=row.jobs.get(),
            milestone="done",
            planned_date=date(2027, 5, 8),
            promised_date=row.promised_date,
            chance_kept=chance,
        )
    assert [row.days_late for row in outcomes(yard)] == [3, 0, None]
    page = honest_page(yard)
    (month,) = page.months
    assert (month.what, month.done, month.promised, month.kept, month.firm, month.firm_kept) == (
        "May 2027",
        3,
        2,
        1,
        2,
        1,
    )
    assert month.late_days == "2 in the middle, 3 at worst"
    assert page.few
    assert page.counted == 2
    assert [(group.count, group.kept) for group in page.groups] == [(1, 0), (1, 1)]


def test_an_order_counts_once_all_its_work_is_done_and_never_when_withdrawn(yard: YardSettings, plan: Plan) -> None:
    order = done(make_order(plan, make_owner("Pia"), "Tern", NOW), 2)
    gone = done(make_order(plan, make_owner("Gus"), "Gull", NOW), 1)
    Order.objects.filter(pk=gone.pk).update(state=Order.State.CANCELLED)
    assert [row.order for row in outcomes(yard)] == [order]
    (job,) = order.jobs.all()
    left = Job.objects.create(order=order, kind=job.kind, key="left", name="What is left")
    assert outcomes(yard) == []
    left.state = Job.State.CANCELLED
    left.save()
    Order.objects.filter(pk=order.pk).update(state=Order.State.DONE)
    assert [row.order for row in outcomes(yard)] == [order]


def test_days_lost_count_what_a_person_agreed_to(yard: YardSettings, plan: Plan) -> None:
    for state, covers, days in (("accepted", "outdoors", 2), ("suggested", "outdoors", 1), ("withdrawn", "water", 1)):
        Closure.objects.create(
            covers=covers, starts_at=NOW, ends_at=NOW + timedelta(days=days - 1, hours=4), reason="gale",
            state=state, made_at=NOW,
        )  # fmt: skip
    assert days_lost(yard) == {date(2027, 5, 1): 2}


@pytest.fixture
def way(yard: YardSettings, plan: Plan) -> PackageWay:
    """A package's job of two hours, of which four orders took three."""
    package = Package.objects.create(key="p", name="Fitting")
    for number in range(4):
        order = make_order(plan, make_owner(f"O{number}"), f"Boat {number}", NOW)
        order.package = package
        order.save()
        order.jobs.update(state="done", actual_ends_at=NOW, worked_min=180, hours_as_planned=False)
    job = PackageJob.objects.create(
        package=package, key="deliver", kind=Job.objects.first().kind, name="Deliver", source="common practice"
    )
    return PackageWay.objects.create(job=job, duration_min=120)


def test_the_suggested_hours_are_the_middle_of_what_is_believed(way: PackageWay) -> None:
    """Four measured jobs weigh as much as what was believed: the square root of 1.5 of the estimate."""
    (row,) = hours_measured()
    assert row.ratio == pytest.approx(1.5**0.5)
    assert (row.jobs, row.estimated_min, row.measured_min, row.suggested_min) == (4, 120, 180, 150)


def test_copies_of_the_estimate_teach_nothing_and_few_suggest_nothing(way: PackageWay) -> None:
    Job.objects.filter(order__boat__ref__in=["boat-0", "boat-1"]).update(hours_as_planned=True)
    (row,) = hours_measured()
    assert (row.jobs, row.suggested_min) == (2, None)


def test_an_estimate_is_accepted_once_and_orders_taken_keep_theirs(way: PackageWay, cast) -> None:
    before = list(Job.objects.values_list("ways__duration_min", flat=True))
    change = accept_estimate(way, seen_min=120, suggested_min=150, by=cast.ada, now=NOW)
    way.refresh_from_db()
    assert way.duration_min == 150
    assert (change.before_min, change.after_min, change.jobs, change.changed_by) == (120, 150, 4, cast.ada)
    assert list(Job.objects.values_list("ways__duration_min", flat=True)) == before
    with pytest.raises(StaleRow):
        accept_estimate(way, seen_min=120, suggested_min=150, by=cast.ada, now=NOW)
    assert EstimateChange.objects.count() == 1


def test_hours_that_the_jobs_do_not_suggest_are_refused(way: PackageWay, cast) -> None:
    with pytest.raises(EstimateRefused):
        accept_estimate(way, seen_min=120, suggested_min=15, by=cast.ada, now=NOW)
    way.refresh_from_db()
    assert way.duration_min == 120


def test_little_data_says_so(yard: YardSettings) -> None:
    page = honest_page(yard)
    assert (page.months, page.kinds, page.hours, page.picture) == ((), (), (), None)
