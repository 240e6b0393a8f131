"""Sails: dry or damp when they come off, a line within 24 hours for the damp, so much line and no more.

Each rule stands twice: as a latest start and as stretches of line in the problem, and in check_sails, which reads the
words said of each sail and adds up metres. Per rule: nothing to keep, kept by a plan, and found where it is broken.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta

import pytest

from yard.models import (
    Boat,
    Event,
    HourlyForecast,
    Item,
    ItemWhereabouts,
    Job,
    JobKind,
    JobLink,
    JobThing,
    JobWay,
    Order,
    Person,
    Place,
    Plan,
    PlannedJob,
    ShopHours,
    WeeklyHours,
    YardSettings,
)
from yard.planning.plan import Plan as PlannerPlan
from yard.planning.plan import Planned
from yard.planning.solve import Rounds, solve
from yard.queries.sails import damp_sails, line_taken
from yard.services.check_sails import sail_faults
from yard.services.close_day import presumed
from yard.services.drying_time import drying_time
from yard.services.happenings import Done, SailsOff, Started
from yard.services.read_problem import ReadProblem, read_problem
from yard.services.record_event import record_event, take_back
from yard.services.sail_care import say_of_sail
from yard.services.whereabouts import ThingLies

NOW = datetime(2027, 10, 14, 14, tzinfo=UTC)  # Thursday 10:00 at the yard
HOUR = timedelta(hours=1)
PLACE = ItemWhereabouts.Kind.PLACE

pytestmark = pytest.mark.django_db


@pytest.fixture
def yard(db: None) -> YardSettings:
    """Open every day; a sail store, a line of 20 m; kinds of job on sails."""
    for weekday in range(7):
        ShopHours.objects.create(weekday=weekday, starts=time(8), ends=time(16))
    ben = Person.objects.create(name="Ben Ash", short_name="Ben")
    for weekday in range(7):
        WeeklyHours.objects.create(person=ben, weekday=weekday, starts=time(8), ends=time(16))
    Place.objects.create(ref="store", name="Sail store", kind="sail_store")
    Place.objects.create(ref="line", name="Line", kind="drying_line", line_m=20)
    for key, pausing in (("unbend", "fitted"), ("sail_dry", "elapsed"), ("sail_wash", "fitted")):
        JobKind.objects.create(key=key, name=key, short_name=key[:8], letter="S", trade="loft", pausing=pausing)
    return YardSettings.objects.create(
        name="Creek", time_zone="America/New_York", tide_station="8418150", latitude=43.66, longitude=-70.25
    )


def sail(boat: str = "Wren", name: str = "mainsail", *, luff_m: float = 9.0) -> Item:
    hull, _ = Boat.objects.get_or_create(ref=boat.lower(), defaults={"name": boat, "length_m": 7.0, "beam_m": 2.3})
    return Item.objects.create(boat=hull, kind="sail", name=name, luff_m=luff_m)


def work(boat: Boat, kind: str, key: str, minutes: int, *places: str, **more: object) -> Job:
    order, _ = Order.objects.get_or_create(
        ref=f"O-{boat.ref}", defaults={"boat": boat, "name": "Lay-up", "made_at": NOW}
    )
    job = Job.objects.create(order=order, kind=JobKind.objects.get(key=kind), key=key, name=key, **more)
    JobWay.objects.create(job=job, duration_min=minutes, place_kinds=list(places))
    return job


def dries(item: Item, key: str = "dry_damp", **more: object) -> Job:
    assert item.boat is not None
    job = work(item.boat, "sail_dry", key, 1440, "drying_line", **more)
    JobThing.objects.create(job=job, item=item)
    return job


def lies(item: Item, condition: str, since: datetime, place: str = "store") -> ItemWhereabouts:
    spot = Place.objects.get(ref=place)
    return ItemWhereabouts.objects.create(item=item, kind=PLACE, place=spot, condition=condition, since=since)


def planned(read: ReadProblem) -> Planned:
    found = solve(read.problem, stop=Rounds(5), workers=1, backend="python")
    assert isinstance(found, Planned), found
    return found


def starts(read: ReadProblem, plan: PlannerPlan) -> dict[int, datetime]:
    return {read.jobs[row.job]: read.axis.timeline.starts_at(row.starts_at) for row in plan.placements}


def moved(read: ReadProblem, plan: PlannerPlan, job: Job, at: datetime) -> PlannerPlan:
    """The plan with one job begun at another time, as long as before."""
    rows = []
    for row in plan.placements:
        if read.jobs[row.job] == job.pk:
            begins = read.axis.timeline.first_at_or_after(read.axis.minute(at))
            row = replace(row, starts_at=begins, ends_at=begins + row.ends_at - row.starts_at)
        rows.append(row)
    return replace(plan, placements=tuple(rows))


def rules(read: ReadProblem, plan: PlannerPlan) -> list[str]:
    return [fault.rule for fault in sail_faults(read, plan)]


# On a line within 24 hours


def test_dry_sails_ask_for_no_day(yard: YardSettings) -> None:
    item = sail()
    job = dries(item)
    lies(item, "dry", NOW - HOUR)
    read = read_problem(now=NOW)
    assert read.problem.jobs[0].not_after is None
    plan = planned(read).plan
    assert rules(read, plan) == rules(read, moved(read, plan, job, NOW + 100 * HOUR)) == []


def test_what_lies_damp_is_on_a_line_within_a_day(yard: YardSettings) -> None:
    item = sail()
    job = dries(item)
    lies(item, "damp", NOW - 4 * HOUR)
    lies(item, "damp", NOW - HOUR)  # the bag was moved: its day still runs from the first word
    read = read_problem(now=NOW)
    assert read.problem.jobs[0].not_after == read.axis.minute(NOW + 20 * HOUR)
    plan = planned(read).plan
    assert starts(read, plan)[job.pk] <= NOW + 20 * HOUR
    assert rules(read, plan) == []


def test_a_plan_that_leaves_it_damp_is_found_without_the_planners_date(yard: YardSettings) -> None:
    item = sail()
    job = dries(item)
    lies(item, "damp", NOW - 4 * HOUR)
    read = read_problem(now=NOW)
    read = replace(read, problem=replace(read.problem, jobs=(replace(read.problem.jobs[0], not_after=None),)))
    late = moved(read, planned(read).plan, job, NOW + 26 * HOUR)
    assert rules(read, late) == ["damp"]
    assert "mainsail would lie damp in the bag for 3" in sail_faults(read, late)[0].message


def test_a_day_that_is_over_is_noted_and_stops_no_plan(yard: YardSettings) -> None:
    item = sail()
    dries(item)
    lies(item, "damp", NOW - 30 * HOUR)
    read = read_problem(now=NOW)
    assert read.problem.jobs[0].not_after is None
    assert "a damp sail in the bag (mainsail) is over its longest wait already." in read.notes[0]
    assert rules(read, planned(read).plan) == []


def test_foreseen_damp_is_hung_within_a_day_of_unbending(yard: YardSettings) -> None:
    item = sail()
    assert item.boat is not None
    off, job = work(item.boat, "unbend", "unbend", 60), dries(item)
    JobLink.objects.create(before=off, after=job, max_wait_min=1440)
    read = read_problem(now=NOW)
    plan = planned(read).plan
    assert rules(read, plan) == []
    assert starts(read, plan)[job.pk] - starts(read, plan)[off.pk] <= 25 * HOUR
    assert rules(read, moved(read, plan, job, NOW + 72 * HOUR)) == ["damp"]


# So much line, and no more


def test_a_line_holds_what_fits_on_it(yard: YardSettings) -> None:
    """9, 9 and 5 m on 20 m of line: two at a time, one after them."""
    jobs = [dries(sail(name, luff_m=luff), key="dry") for name, luff in (("Wren", 9.0), ("Tern", 9.0), ("Knot", 5.0))]
    read = read_problem(now=NOW)
    assert read.problem.places[1].capacity == 10  # stretches of 2 m
    assert [job.ways[0].places[0].units for job in read.problem.jobs] == [5, 5, 3]
    plan = planned(read).plan
    assert rules(read, plan) == []
    begun = starts(read, plan)
    assert len({begun[job.pk] for job in jobs}) > 1


def test_more_sail_than_line_is_found_in_metres(yard: YardSettings) -> None:
    first, second = (dries(sail(name, luff_m=11.0), key="dry") for name in ("Wren", "Tern"))
    read = read_problem(now=NOW)
    plan = planned(read).plan
    begun = starts(read, plan)
    late, early = sorted((first, second), key=lambda job: begun[job.pk], reverse=True)
    crowded = moved(read, plan, late, begun[early.pk])
    assert rules(read, plan) == []
    assert rules(read, crowded) == ["line", "line"]
    assert "22.0 m of sail on 20 m of Line" in sail_faults(read, crowded)[0].message


def test_places_without_a_length_count_as_before(yard: YardSettings) -> None:
    Place.objects.filter(ref="line").update(line_m=None, capacity=2)
    dries(sail(luff_m=30.0), key="dry")
    read = read_problem(now=NOW)
    assert (read.problem.places[1].capacity, read.problem.jobs[0].ways[0].places[0].units) == (2, 1)
    assert rules(read, planned(read).plan) == []


def test_a_sail_longer_than_the_line_hangs_doubled(yard: YardSettings) -> None:
    dries(sail(luff_m=26.0), key="dry")
    read = read_problem(now=NOW)
    assert read.problem.jobs[0].ways[0].places[0].units == 10
    assert rules(read, planned(read).plan) == []


def test_line_that_a_sail_takes(yard: YardSettings) -> None:
    item = sail(luff_m=8.0)
    assert line_taken(item).length_m == 8.0
    item.line_m = 6.5
    assert (line_taken(item).length_m, line_taken(item).sure) == (6.5, True)
    item.line_m = item.luff_m = None
    item.area_m2 = 20.0  # a triangle of 10 m by 4 m
    assert line_taken(item).length_m == pytest.approx(10.0)
    item.area_m2 = None
    assert line_taken(item).length_m == pytest.approx(7.7)


# What is said when they come off


def test_damp_makes_a_job_that_the_next_plan_hangs_in_time_and_undo_takes_it_away(yard: YardSettings) -> None:
    main, jib = sail(), sail(name="jib", luff_m=7.0)
    assert main.boat is not None
    off = work(main.boat, "unbend", "unbend", 60)
    wash = work(main.boat, "sail_wash", "wash", 60)
    event = record_event(Done(off, NOW, sails=SailsOff(dry=(jib,), damp=(main,))), by=None, now=NOW)
    assert (event.kind, event.says) == ("damp", "Wren, unbend: done; damp, on a line within 24 h: mainsail")
    assert [(each.sail, each.hours_left(NOW)) for each in damp_sails(NOW)] == [(main, 24.0)]
    drying = Job.objects.get(key="dry_damp")
    assert [thing.item for thing in drying.things.all()] == [main]
    assert set(drying.links_after.values_list("after", flat=True)) == {wash.pk}
    read = read_problem(now=NOW)
    plan = planned(read).plan
    assert starts(read, plan)[drying.pk] <= NOW + 24 * HOUR
    assert rules(read, plan) == []
    take_back(event, by=None, now=NOW)
    assert not Job.objects.filter(key="dry_damp").exists()
    assert not damp_sails(NOW)
    off.refresh_from_db()
    assert off.state == "open"


def test_dry_lets_go_the_line_that_was_kept(yard: YardSettings) -> None:
    main = sail()
    assert main.boat is not None
    off, kept = work(main.boat, "unbend", "unbend", 60), work(main.boat, "sail_dry", "dry_damp", 1440, "drying_line")
    record_event(Done(off, NOW, sails=SailsOff(dry=(main,))), by=None, now=NOW)
    kept.refresh_from_db()
    assert (kept.state, kept.state_note) == ("cancelled", "the sails came off dry")
    assert main.whereabouts.get().condition == "dry"


def test_only_a_persons_word_ends_drying(yard: YardSettings) -> None:
    main = sail()
    job = dries(main)
    lies(main, "damp", NOW - 2 * HOUR)
    plan = Plan.objects.create(number=1, state="posted", made_at=NOW, posted_at=NOW, facts_revision=0)
    row = PlannedJob.objects.create(plan=plan, job=job, starts_at=NOW - 30 * HOUR, ends_at=NOW - 6 * HOUR)
    taken = presumed([row], ends_at=NOW + 6 * HOUR, now=NOW)
    assert taken.outcomes == {job.pk: Started(job, row.starts_at)}  # never "done" by itself
    record_event(Started(job, NOW - HOUR), by=None, now=NOW)
    assert not damp_sails(NOW)  # it hangs
    read = read_problem(now=NOW)
    pin = read.problem.pins[0]
    assert pin.ends_at == read.problem.now + read.problem.calendar.quarters_per_day  # a working day more
    record_event(Done(job, NOW), by=None, now=NOW)
    assert main.whereabouts.first().condition == "dry"


# What is said of a sail on its own page


def test_damp_said_on_its_page_makes_an_order_where_there_is_none(yard: YardSettings) -> None:
    main, store = sail(), Place.objects.get(ref="store")
    row, event = say_of_sail(main, ThingLies(PLACE, store, "damp"), seen=None, by=None, now=NOW, real_now=NOW)
    assert event is not None
    order = Order.objects.get()
    assert (order.name, order.goes_first, order.latest_date) == ("Dry damp sails", 3, date(2027, 10, 15))
    line = Place.objects.get(ref="line")
    again, more = say_of_sail(main, ThingLies(PLACE, line, "damp"), seen=row.pk, by=None, now=NOW, real_now=NOW)
    assert more is None  # on the line: nothing more is asked
    assert Job.objects.count() == 1
    _, dry = say_of_sail(main, ThingLies(PLACE, store, "dry"), seen=again.pk, by=None, now=NOW + HOUR, real_now=NOW)
    assert dry is not None
    assert dry.says == "Wren, Dry the damp sails: mainsail is dry, the line is not needed"
    order.refresh_from_db()
    assert order.state == "cancelled"
    assert Event.objects.count() == 2


# How long it hangs


def test_days_to_plan_follow_the_forecasts_humidity(yard: YardSettings) -> None:
    """The days are those of yard.weather.drying, whose formula is checked against references there."""
    assert (drying_time(NOW).days, drying_time(NOW).rh) == (2, None)
    for number, (rh, days) in enumerate(((50.0, 1), (70.0, 2), (90.0, 3))):
        rows = [{"start": f"{NOW + HOUR * n:%Y-%m-%dT%H:00:00Z}", "temp_c": 12.0, "rh": rh} for n in range(48)]
        known = NOW + timedelta(seconds=number)
        HourlyForecast.objects.create(
            provider="nws", fetched_at=NOW, updated_at=known, credit="", raw_sha256=str(number), rows=rows
        )
        found = drying_time(NOW + timedelta(minutes=1))
        assert found.days == days
        assert found.most_h == pytest.approx(4 * found.least_h)  # a factor of two either way
