"""Small made-up yards with every feature at once, from a seed: for property tests."""

from __future__ import annotations

import random

from yard.planning.problem import (
    Boat,
    Calendar,
    Crew,
    Inside,
    Job,
    Link,
    Minutes,
    Order,
    Person,
    Pin,
    Place,
    PlaceNeed,
    Problem,
    Slide,
    Stay,
    Way,
    WindowSet,
)

DAY = 1440
OPENS = 300  # 05:00, the first of 62 quarters
QUARTERS = 62
SKILLS = ("hand", "rigger", "sailmaker", "operator")


def yard(seed: int, *, boats: int = 6, weeks: int = 4) -> Problem:
    """A yard of 62-quarter days, five days a week; everything else by chance."""
    rng = random.Random(seed)
    days = [week * 7 + day for week in range(weeks) for day in range(5)]
    starts = tuple(day * DAY + OPENS for day in days)
    calendar = Calendar(
        epoch="2027-03-01T00:00:00Z",
        quarters_per_day=QUARTERS,
        day_starts=starts,
        weeks=tuple(day // 7 for day in days),
        opens_quarter=12,
        closes_quarter=48,
    )
    tide = tuple(
        (day * DAY + at, day * DAY + at + 180)
        for day in range(weeks * 7)
        for at in ((360 + 50 * day) % 745, (360 + 50 * day) % 745 + 745)
        if at + 180 <= DAY
    )
    windows = (
        WindowSet(key="tide", rule="water", intervals=tide),
        WindowSet(key="light", rule="light", intervals=tuple((s + 30, s + 870) for s in starts)),
        WindowSet(key="dry", rule="weather", intervals=tuple((s, s + 930) for s in starts if rng.random() < 0.8)),
    )
    people = tuple(_person(rng, number, starts) for number in range(5))
    places = (
        Place(key="ramp", name="ramp", capacity=1, closed=_closed(rng, starts)),
        Place(key="deck", name="wash deck", capacity=1),
        Place(key="shed", name="shed", capacity=3, closed=_closed(rng, starts)),
        Place(key="lines", name="drying lines", capacity=3),
        Place(key="berths", name="berths", capacity=2),
        Place(key="float", name="float", capacity=1),
    )
    jobs: list[Job] = []
    links: list[Link] = []
    stays: list[Stay] = []
    for boat in range(boats):
        _boat(rng, boat, jobs, links, stays)
    for _ in range(2):  # a store row: who lies in front goes out first
        front, behind = sorted(rng.sample(range(boats), 2))
        one = next(n for n, job in enumerate(jobs) if job.boat == front and job.name == "haul out of store")
        two = next(n for n, job in enumerate(jobs) if job.boat == behind and job.name == "haul out of store")
        links.append(Link(before=one, after=two, min_wait=0))
    pins = (Pin(job=0, way=0, starts_at=14, ends_at=14 + jobs[0].ways[0].duration_quarters, people=(0,)),)
    return Problem(
        calendar=calendar,
        people=people,
        places=places,
        window_sets=windows,
        boats=tuple(Boat(key=f"b{n}", name=f"boat {n}") for n in range(boats)),
        orders=tuple(
            Order(key=f"o{n}", name="o", due_day=rng.randint(4, 18), goes_first=rng.choice((1, 1, 3)))
            for n in range(2 * boats)
        ),
        jobs=tuple(jobs),
        links=tuple(links),
        stays=tuple(stays),
        pins=pins if rng.random() < 0.5 else (),
        now=0 if rng.random() < 0.5 else 62,
    )


def _person(rng: random.Random, number: int, starts: tuple[int, ...]) -> Person:
    short = number == 3
    hours: list[Minutes] = []
    for start in starts:
        opens = start + 180  # 08:00
        hours += [(opens, opens + 240)] if short else [(opens, opens + 240), (opens + 270, opens + 540)]
    skills = {"hand": 1} | {skill: rng.randint(1, 2) for skill in rng.sample(SKILLS, 2)}
    if number < 4:
        skills[SKILLS[number]] = 2
    away = tuple((s, s + 930) for s in starts if rng.random() < 0.08)
    slide = Slide(early_min=60, late_min=60, days_per_week=2, span_min=540) if number != 1 else None
    return Person(key=f"p{number}", name=f"person {number}", skills=skills, hours=tuple(hours), away=away, slide=slide)


def _closed(rng: random.Random, starts: tuple[int, ...]) -> tuple[Minutes, ...]:
    return tuple((s + 400, s + 500) for s in starts if rng.random() < 0.15)


def _boat(rng: random.Random, boat: int, jobs: list[Job], links: list[Link], stays: list[Stay]) -> None:
    first = len(jobs)

    def job(name: str, *ways: Way, order: int = 2 * boat, **rest: object) -> int:
        jobs.append(Job(key=f"{boat}.{name}", name=name, boat=boat, order=order, ways=ways, **rest))
        return len(jobs) - 1

    out = job(
        "haul out of store", Way(duration_quarters=rng.randint(2, 6), crew=(Crew(skill="hand"),)), needs_boat=True
    )
    paint = job(
        "paint",
        Way(
            duration_quarters=rng.randint(6, 14),
            crew=(Crew(skill="hand", count=2),),
            places=(PlaceNeed(any_of=(1, 2)),),
            inside=(Inside(window_set=2), Inside(window_set=1)),
            place_extra_quarters=rng.choice((0, 5)),
        ),
        Way(
            duration_quarters=rng.randint(14, 24), crew=(Crew(skill="hand"),), places=(PlaceNeed(any_of=(2,), units=2),)
        ),
        needs_boat=True,
        allowance_quarters=rng.choice((0, 7)),
    )
    launch = job(
        "launch",
        Way(
            duration_quarters=8,
            crew=(Crew(skill="operator", level=2), Crew(skill="hand"), Crew(skill="rigger")),
            places=(PlaceNeed(any_of=(0,)),),
            inside=(Inside(window_set=0, offset_quarters=2, length_quarters=4), Inside(window_set=1)),
            slides=True,
        ),
        needs_boat=True,
        not_alone=True,
        not_before=rng.randint(0, 4) * DAY,
    )
    step = job(
        "step the mast",
        Way(duration_quarters=6, crew=(Crew(skill="rigger"), Crew(skill="hand", count=2)), slides=rng.random() < 0.5),
        needs_boat=True,
    )
    deliver = job(
        "deliver",
        Way(duration_quarters=5, crew=(Crew(skill="hand"),), inside=(Inside(window_set=0),), slides=True),
        needs_boat=True,
    )
    sails = 2 * boat + 1
    wash = job(
        "wash sails",
        Way(duration_quarters=4, crew=(Crew(skill="sailmaker"),), places=(PlaceNeed(any_of=(1,)),)),
        order=sails,
    )
    dry = job(
        "dry sails",
        Way(duration_quarters=rng.choice((40, 120)), places=(PlaceNeed(any_of=(3,), units=rng.randint(1, 2)),)),
        order=sails,
        pausing="elapsed",
        allowance_quarters=rng.choice((0, 3)),
    )
    sew = job(
        "sew",
        Way(
            duration_quarters=rng.randint(10, 50),
            crew=(Crew(skill="sailmaker"),),
            places=(PlaceNeed(any_of=(2, 3)),),
            place_extra_quarters=rng.choice((0, 4)),
        ),
        order=sails,
        pausing="paused",
    )
    links += [
        Link(before=out, after=paint),
        Link(before=paint, after=launch, min_wait=960, max_wait=rng.choice((None, 14 * DAY))),
        Link(before=launch, after=step, max_wait=rng.choice((2 * DAY, 6 * DAY))),
        Link(before=step, after=deliver),
        Link(before=wash, after=dry, max_wait=DAY),
        Link(before=dry, after=sew, min_wait=rng.choice((0, 30))),
    ]
    if rng.random() < 0.5:
        links.append(Link(before=sew, after=deliver, min_wait=-60))
    if rng.random() < 0.3:
        links.append(Link(before=wash, after=step, min_wait=None, max_wait=12 * DAY))
    stays.append(Stay(boat=boat, any_of=(4, 5), from_job=launch, until_job=deliver))
    if rng.random() < 0.3:
        stays.append(Stay(boat=boat, any_of=(4,), from_job=None, until_job=first))
