"""How sure the posted plan's days are: from rows to stored odds, by the worker and by the command."""

from __future__ import annotations

import json
from datetime import date, datetime, timedelta
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django_tasks_db.models import DBTaskResult

from yard.models import DayOdds, Fact, HourlyForecast, Job, JobKind, JobLink, Plan, PlanOdds, ProductSheet, YardSettings
from yard.promise.hours import prior
from yard.queries.odds import chance_by, days_of, newest_odds
from yard.services.promise_input import learnt_hours, promise_ground, promise_input
from yard.services.read_problem import read_problem
from yard.services.tell_odds import NoPlanPosted, tell_odds, tell_odds_of_posted

pytestmark = [pytest.mark.django_db, pytest.mark.once]


def _clock() -> datetime:
    clock = YardSettings.objects.get(pk=1).clock_frozen_at
    assert clock is not None
    return clock


@pytest.fixture
def posted(posted_in_january: int, db: None) -> Plan:
    return Plan.objects.get(pk=posted_in_january)


def test_the_worker_is_asked_when_a_plan_is_posted_and_stores_its_days(posted: Plan, django_assert_num_queries) -> None:
    waiting = DBTaskResult.objects.filter(task_path="yard.tasks.compute_odds")
    assert [task.args_kwargs["args"] for task in waiting] == [[posted.pk]]
    tell_odds_of_posted(posted.pk, real_now=_clock())

    with django_assert_num_queries(2):
        newest = newest_odds()
        assert newest is not None
        days = list(days_of(newest))
        assert all(str(day.order.boat) is not None for day in days)
    assert newest.plan == posted
    assert newest.scenarios == 1000
    kinds = {day.milestone for day in days}
    assert {"launch", "delivery", "done"} <= kinds
    orders = set(posted.planned_jobs.values_list("job__order_id", flat=True))
    assert {day.order_id for day in days if day.milestone == "done"} == orders, "every planned order has its last day"
    for day in days:
        dates = [each for each in (day.day_50, day.day_80, day.day_90, day.day_95) if each is not None]
        assert dates == sorted(dates)
        assert (day.chance_kept is None) == (day.promised_date is None)
        if day.promised_date is not None:
            assert chance_by(day, day.promised_date) == pytest.approx(day.chance_kept, abs=1e-3)
        if day.day_90 is not None:
            assert chance_by(day, day.day_90) >= 0.9 > chance_by(day, day.day_90 - timedelta(days=1))


def test_odds_of_a_plan_that_hangs_there_no_more_are_not_made(posted: Plan) -> None:
    Plan.objects.filter(pk=posted.pk).update(state=Plan.State.WITHDRAWN)
    tell_odds_of_posted(posted.pk, real_now=_clock())
    assert not PlanOdds.objects.exists()
    assert newest_odds() is None
    with pytest.raises(NoPlanPosted, match="No plan is posted"):
        tell_odds(now=_clock())
    with pytest.raises(CommandError, match="No plan is posted"):
        call_command("promise")


def test_the_command_says_the_days_and_repeats_by_its_seed(posted: Plan) -> None:
    said = [StringIO(), StringIO()]
    for out in said:
        call_command("promise", "--scenarios", "100", "--seed", "7", "--json", stdout=out)
    rows = json.loads(said[0].getvalue())
    assert rows == json.loads(said[1].getvalue())
    assert len(rows) == DayOdds.objects.count() / 2
    assert {"order", "milestone", "planned_date", "day_50", "day_90", "chance_kept", "drivers"} <= set(rows[0])
    with pytest.raises(CommandError, match="at least one scenario"):
        call_command("promise", "--scenarios", "0")


def test_hours_that_somebody_read_teach_and_copied_ones_do_not(posted: Plan) -> None:
    before = learnt_hours()
    untouched = JobKind.objects.exclude(jobs__state=Job.State.DONE).order_by("id").first()
    assert untouched is not None
    assert before[untouched.key].k == prior().k
    job = Job.objects.exclude(state=Job.State.DONE).prefetch_related("ways").order_by("id").first()
    assert job is not None
    job.state, job.actual_ends_at = Job.State.DONE, _clock()
    job.worked_min, job.hours_as_planned = 2 * job.ways.all()[0].duration_min, True
    job.save()
    assert learnt_hours() == before, "a figure copied from the estimate"
    job.hours_as_planned = False
    job.save()
    after = learnt_hours()
    assert after[job.kind.key].k == before[job.kind.key].k + 1
    assert after[job.kind.key].m > before[job.kind.key].m


def test_a_fact_still_expected_reaches_the_season_once_for_all_jobs_that_wait_on_it(posted: Plan) -> None:
    planned = posted.planned_jobs.filter(job__state=Job.State.OPEN).select_related("job__order")
    job = planned.order_by("-starts_at", "id")[0].job
    fact = Fact.objects.create(
        kind="cloth",
        name="the blue cloth",
        order=job.order,
        state=Fact.State.EXPECTED,
        expected_date=date(2027, 4, 1),
        set_at=_clock(),
    )
    fact.jobs.add(job)
    given = promise_input(posted, read_problem(now=_clock()))
    names = [each.name for each in given.season.facts]
    assert names.count("the blue cloth") == 1
    number = names.index("the blue cloth")
    assert [row.name for row in given.season.jobs if number in row.facts] == [job.name]
    assert len(given.marks) == len(given.season.milestones)


def test_chances_know_the_yards_own_limits_and_say_that_a_sheets_air_is_not_in_them(posted: Plan) -> None:
    start = _clock().replace(minute=0, second=0, microsecond=0)
    air = {"wind_kn": 8.0, "gust_kn": 9.0, "rain_mm": 0.0, "pop": 0.0, "temp_c": 12.0, "rh": 50.0, "thunder": False}
    HourlyForecast.objects.create(
        provider="csv", fetched_at=start, updated_at=start, credit="the yard", raw_sha256="0" * 64,
        rows=[{"start": (start + timedelta(hours=hour)).isoformat(), **air} for hour in range(24)],
    )  # fmt: skip
    read = read_problem(now=_clock())
    usual = {each.name: each.forecast[0] for each in promise_ground(read).weather if each.forecast}
    YardSettings.objects.update(weather_limits={"sails_and_covers": {"wind_kn": 4.0}})
    own = {each.name: each.forecast[0] for each in promise_ground(read).weather if each.forecast}
    assert {name for name in usual if own[name] > usual[name]} == {"canvas"}
    assert own["canvas"] > 0.5  # 8 kn foretold, 4 allowed
    JobLink.objects.update(product_sheet=None)
    assert "data sheets" not in promise_input(posted, read).rests_on
    sheet = ProductSheet.objects.create(kind="paint", name="Heron Red", source="invented", min_temp_c=10.0)
    link = JobLink.objects.filter(before__in=read.jobs).order_by("id")[0]
    JobLink.objects.filter(pk=link.pk).update(product_sheet=sheet)
    assert "as data sheets ask of the air, are not in it" in promise_input(posted, read).rests_on
