"""The reads that pages share: what they give, in which order, and as many queries for many rows as for few."""

from datetime import UTC, datetime, time, timedelta

import pytest

from yard import queries
from yard.models import (
    Boat,
    DatedHours,
    Fact,
    Job,
    JobKind,
    JobLink,
    JobWay,
    Order,
    Person,
    PersonSkill,
    Place,
    PlaceHours,
    Plan,
    PlannedJob,
    PlannedPerson,
    PlannedPlace,
    Skill,
    WeeklyHours,
)

pytestmark = pytest.mark.django_db

NOON = datetime(2027, 4, 5, 12, tzinfo=UTC)
HOUR = timedelta(hours=1)
MANY = 10


def a_boat(number: int) -> Boat:
    return Boat.objects.create(ref=f"boat-{number}", name=f"Boat {number % 3}", length_m=7, beam_m=2)


def an_order(boat: Boat, number: int, state: str = "open") -> Order:
    return Order.objects.create(ref=f"27-{number}", boat=boat, name="work", made_at=NOON + number * HOUR, state=state)


def a_job(order: Order, key: str, **more) -> Job:
    defaults = {"name": "Wash", "short_name": "wash", "letter": "W", "trade": "yard"}
    kind, _ = JobKind.objects.get_or_create(key="wash", defaults=defaults)
    job = Job.objects.create(order=order, kind=kind, key=key, name=key, **more)
    JobWay.objects.create(job=job, duration_min=60)
    fact = Fact.objects.create(order=order, kind="other", name=key, set_at=NOON)
    fact.jobs.add(job)
    return job


def test_boats_with_open_orders(django_assert_num_queries) -> None:
    for number in range(MANY):
        boat = a_boat(number)
        an_order(boat, number * 10 + 1)
        an_order(boat, number * 10)
        an_order(boat, number * 10 + 2, state="done")
    an_order(a_boat(MANY), 999, state="cancelled")
    with django_assert_num_queries(2):
        boats = list(queries.boats_with_open_orders())
        orders = [[(order.ref, order.package, order.season) for order in boat.open_orders] for boat in boats]
    assert [(boat.name, boat.pk) for boat in boats] == sorted((boat.name, boat.pk) for boat in boats)
    assert len(boats) == MANY
    assert {len(row) for row in orders} == {2}
    assert orders[0] == [("27-0", None, None), ("27-1", None, None)]


def test_the_network_of_a_boat(django_assert_num_queries) -> None:
    boat = a_boat(1)
    late, early = an_order(boat, 2), an_order(boat, 1)
    closed, other = an_order(boat, 3, state="done"), an_order(a_boat(2), 4)
    jobs = [a_job(early, f"job-{number}", sequence=number) for number in range(MANY)]
    follow = a_job(late, "follow")
    gone = a_job(late, "gone", state="cancelled")
    strangers = [a_job(closed, "closed"), a_job(other, "other")]
    kept = [JobLink.objects.create(before=job, after=follow) for job in jobs]
    for stranger in (*strangers, gone):
        JobLink.objects.create(before=stranger, after=follow)
    with django_assert_num_queries(4):
        network = queries.network_of(queries.orders_with_jobs(boat))
        seen = [(job.kind.key, job.order.ref, len(job.facts.all())) for job in network.jobs]
        sheets = [link.product_sheet for link in network.links]
    assert network.jobs == (*jobs, follow)
    assert seen[0] == ("wash", "27-1", 1)
    assert network.links == tuple(kept)
    assert sheets == [None] * MANY


def test_a_boat_without_open_work_has_an_empty_network() -> None:
    assert queries.network_of(queries.orders_with_jobs(a_boat(1))) == queries.BoatNetwork((), ())


def test_the_posted_plan(django_assert_num_queries) -> None:
    assert queries.posted_plan() is None
    Plan.objects.create(made_at=NOON, facts_revision=1)
    posted = Plan.objects.create(
        made_at=NOON, facts_revision=1, state="posted", number=3, posted_at=NOON, problem="{}" * 1000
    )
    with django_assert_num_queries(1):
        found = queries.posted_plan()
    assert found == posted
    with django_assert_num_queries(1):
        assert len(found.problem) == 2000


def test_planned_jobs_between_two_times(django_assert_num_queries) -> None:
    plan = Plan.objects.create(made_at=NOON, facts_revision=1)
    other = Plan.objects.create(made_at=NOON, facts_revision=1)
    order = an_order(a_boat(1), 1)
    ada, ramp = Person.objects.create(name="Ada Quill", short_name="Ada"), Place.objects.create(ref="r", name="Ramp")
    for number in range(MANY):
        job = a_job(order, f"job-{number}")
        starts = NOON + number * HOUR
        planned = PlannedJob.objects.create(plan=plan, job=job, starts_at=starts, ends_at=starts + HOUR)
        PlannedPerson.objects.create(planned_job=planned, person=ada, name="Ada")
        PlannedPlace.objects.create(planned_job=planned, place=ramp)
        PlannedJob.objects.create(plan=other, job=job, starts_at=starts, ends_at=starts + HOUR)

    def seen(starts_at: datetime, ends_at: datetime) -> list[str]:
        rows = queries.planned_jobs_between(plan, starts_at, ends_at)
        for row in rows:
            assert (row.job.kind.key, row.job.order.boat.name) == ("wash", "Boat 1")
            assert [each.person.name for each in row.planned_people.all()] == ["Ada Quill"]
            assert [each.place.name for each in row.planned_places.all()] == ["Ramp"]
        return [row.job.key for row in rows]

    with django_assert_num_queries(3):
        assert seen(NOON + 2 * HOUR, NOON + 4 * HOUR) == ["job-2", "job-3"]  # half-open at both ends
    with django_assert_num_queries(3):
        assert len(seen(NOON, NOON + MANY * HOUR)) == MANY
    assert seen(NOON + 2.5 * HOUR, NOON + 2.75 * HOUR) == ["job-2"]


def test_people_with_hours(django_assert_num_queries) -> None:
    hand = Skill.objects.create(key="hand", name="Yard hand")
    for number in range(MANY):
        person = Person.objects.create(name=f"Person {number}", short_name=f"P{MANY - number:02}")
        PersonSkill.objects.create(person=person, skill=hand)
        WeeklyHours.objects.create(person=person, weekday=0, starts=time(8), ends=time(12))
        DatedHours.objects.create(person=person, kind="away", starts_at=NOON, ends_at=NOON + HOUR)
    Person.objects.create(name="Gone", short_name="Gone", archived=True)
    with django_assert_num_queries(4):
        people = [
            (
                person.short_name,
                [held.skill.key for held in person.skills.all()],
                len(person.weekly_hours.all()),
                len(person.dated_hours.all()),
            )
            for person in queries.people_with_hours()
        ]
    assert people == [(f"P{number:02}", ["hand"], 1, 1) for number in range(1, MANY + 1)]


def test_places_in_use(django_assert_num_queries) -> None:
    ada = Person.objects.create(name="Ada Quill", short_name="Ada")
    for number in range(MANY):
        place = Place.objects.create(ref=f"p{number}", name=f"Place {number}", sequence=MANY - number)
        PlaceHours.objects.create(place=place, weekday=0, starts=time(8), ends=time(12))
        place.operators.add(ada)
    Place.objects.create(ref="gone", name="Old pier", archived=True)
    with django_assert_num_queries(3):
        places = [(p.name, len(p.hours.all()), len(p.operators.all())) for p in queries.places_in_use()]
    assert places == [(f"Place {number}", 1, 1) for number in reversed(range(MANY))]
