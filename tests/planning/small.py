"""Random seasons small enough to try every plan, with every kind of fact the planner knows."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from typing import Any

from hypothesis import strategies as st

from yard.planning.problem import (
    Boat,
    Calendar,
    Charge,
    CostRates,
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

QUARTER_MIN = 15
Draw = Callable[[st.SearchStrategy[Any]], Any]


@st.composite
def problems(draw: Draw, *, max_jobs: int = 3) -> Problem:
    """One or two days of three to five quarters, two people, two places, two boats, up to `max_jobs` jobs."""
    days, per_day = draw(st.sampled_from([2, 2, 1])), draw(st.integers(3, 5))
    night = draw(st.sampled_from([0, 2, 40]))  # quarters between two days
    starts = tuple(day * (per_day + night) * QUARTER_MIN for day in range(days))
    opens = draw(st.integers(0, 1))
    calendar = Calendar(
        epoch="2027-05-03T06:00:00+00:00",
        quarters_per_day=per_day,
        day_starts=starts,
        weeks=(0,) * days,
        opens_quarter=opens,
        closes_quarter=draw(st.sampled_from([None, per_day - 1 if per_day - 1 > opens else None])),
    )
    end = starts[-1] + per_day * QUARTER_MIN
    jobs = tuple(_job(draw, number, per_day, end) for number in range(draw(st.integers(2, max_jobs))))
    return Problem(
        calendar=calendar,
        people=tuple(_person(draw, number, starts, per_day) for number in range(2)),
        places=_places(draw, jobs, starts, per_day, end),
        window_sets=(WindowSet(key="w", rule="water", intervals=_intervals(draw, end, most=2, step=5)),),
        boats=(Boat(key="b0", name="Wren"), Boat(key="b1", name="Teal")),
        orders=tuple(_order(draw, number) for number in range(2)),
        jobs=jobs,
        links=_links(draw, len(jobs)),
        stays=_stays(draw, jobs),
        pins=_pins(draw, jobs, days * per_day),
        now=draw(st.sampled_from([0, 0, 0, 1])),
        forecast_until=_rarely(draw, st.integers(1, end), 0),
        rates=CostRates(late_day=draw(st.sampled_from([100, 3, 0])), flow_day=draw(st.sampled_from([1, 7, 0]))),
    )


def _rarely(draw: Draw, strategy: st.SearchStrategy[Any], otherwise: Any, *, one_in: int = 4) -> Any:
    """What the strategy gives once in so many times."""
    return draw(strategy) if draw(st.integers(1, one_in)) == one_in else otherwise


def _intervals(draw: Draw, end: int, *, most: int, step: int) -> tuple[Minutes, ...]:
    """Sorted, disjoint, on no grid of quarters."""
    edges = sorted(draw(st.sets(st.integers(0, end // step), min_size=0, max_size=2 * most)))
    return tuple((edges[at] * step, edges[at + 1] * step) for at in range(0, len(edges) - 1, 2))


def _person(draw: Draw, number: int, starts: tuple[int, ...], per_day: int) -> Person:
    first = draw(st.integers(0, 1))
    last = draw(st.integers(per_day - 1, per_day))
    pause = _rarely(draw, st.integers(first + 1, max(first + 1, last - 1)), None)
    hours: list[Minutes] = []
    for start in starts:
        edges = [first, last] if pause is None or pause + 1 >= last else [first, pause, pause + 1, last]
        hours += [
            (start + QUARTER_MIN * a, start + QUARTER_MIN * b) for a, b in zip(edges[::2], edges[1::2], strict=True)
        ]
    end = starts[-1] + per_day * QUARTER_MIN
    slides = st.builds(
        Slide,
        early_min=st.sampled_from([0, 15, 30]),
        late_min=st.sampled_from([0, 15, 30]),
        days_per_week=st.integers(0, 2),
        span_min=st.just(30),
    )
    return Person(
        key=f"p{number}",
        name=("Jo", "Ann")[number],
        skills=draw(st.sampled_from([{"rig": 2, "sew": 1}, {"rig": 2, "sew": 1}, {"rig": 1}, {"sew": 1}])),
        hours=tuple(hours),
        away=(_rarely(draw, st.just(True), False) and _intervals(draw, end, most=1, step=5)) or (),
        slide=_rarely(draw, slides, None, one_in=2),
    )


def _place(draw: Draw, number: int, end: int) -> Place:
    closed = _intervals(draw, end, most=1, step=5) if draw(st.integers(1, 4)) == 4 else ()
    return Place(key=f"pl{number}", name=("Floor", "Lines")[number], capacity=draw(st.integers(1, 2)), closed=closed)


def _places(draw: Draw, jobs: tuple[Job, ...], starts: tuple[int, ...], per_day: int, end: int) -> tuple[Place, ...]:
    """Once in four, where all work is of one stretch, the second runs on charges: one a day, or two."""
    places = tuple(_place(draw, number, end) for number in range(2))
    if draw(st.integers(1, 4)) < 4 or any(job.pausing != "fitted" for job in jobs):
        return places
    edges = draw(st.sampled_from([(0, per_day), (0, 1, per_day), (1, per_day)]))
    charges = tuple(
        Charge(starts=start + QUARTER_MIN * a, ends=start + QUARTER_MIN * b, quarters=draw(st.integers(0, 3)))
        for start in starts
        for a, b in pairwise(edges)
    )
    return places[0], replace(places[1], charges=charges)


def _order(draw: Draw, number: int) -> Order:
    return Order(
        key=f"o{number}",
        name=f"Order {number}",
        due_day=draw(st.integers(-1, 1)),
        goes_first=draw(st.integers(1, 3)),
        began_day=_rarely(draw, st.integers(-2, 1), None),
    )


def _job(draw: Draw, number: int, per_day: int, end: int) -> Job:
    pausing = draw(st.sampled_from(["fitted", "fitted", "paused", "elapsed"]))
    not_alone = pausing != "elapsed" and draw(st.integers(1, 6)) == 6
    ways = tuple(_way(draw, pausing, per_day, not_alone) for _way_number in range(_rarely(draw, st.just(2), 1)))
    first = _rarely(draw, st.integers(0, end // 2), None)
    last = _rarely(draw, st.integers(end // 3, end), None, one_in=6)
    if first is not None and last is not None and last < first:
        first, last = last, first
    return Job(
        key=f"j{number}",
        name=f"Job {number}",
        boat=draw(st.integers(0, 1)),
        order=draw(st.integers(0, 1)),
        ways=ways,
        pausing=pausing,
        not_before=first,
        not_after=last,
        allowance_quarters=_rarely(draw, st.integers(1, 3), 0),
        needs_boat=draw(st.booleans()),
        not_alone=not_alone,
    )


def _way(draw: Draw, pausing: str, per_day: int, not_alone: bool) -> Way:
    quarters = draw(st.sampled_from([1, 1, 2, 2, 3] if pausing == "fitted" else [1, 2, 2, 3, 4, per_day + 1]))
    crews = [(), (Crew(skill="rig"),), (Crew(skill="rig", level=2),), (Crew(skill="sew"), Crew(skill="rig"))]
    needs = st.builds(
        PlaceNeed,
        any_of=st.sampled_from([(0,), (1,), (0, 1)]),
        units=st.sampled_from([1, 1, 1, 1, 1, 2]),
    )
    inside: tuple[Inside, ...] = ()
    if pausing == "fitted" and draw(st.integers(1, 5)) == 5:
        offset = draw(st.integers(0, quarters - 1))
        length = draw(st.sampled_from([None, 1]))
        inside = (Inside(window_set=0, offset_quarters=offset, length_quarters=length),)
    crew: tuple[Crew, ...] = () if pausing == "elapsed" else draw(st.sampled_from(crews))
    if not_alone:
        crew = draw(st.sampled_from([(Crew(skill="rig", count=2),), (Crew(skill="sew"), Crew(skill="rig"))]))
    return Way(
        duration_quarters=quarters,
        crew=crew,
        places=_rarely(draw, st.tuples(needs), (), one_in=2),
        inside=inside,
        place_extra_quarters=_rarely(draw, st.integers(1, 3), 0),
        slides=draw(st.booleans()),
    )


def _links(draw: Draw, jobs: int) -> tuple[Link, ...]:
    found = []
    for _number in range(draw(st.integers(0, 2))):
        before = draw(st.integers(0, jobs - 2))
        after = draw(st.integers(before + 1, jobs - 1))
        least = draw(st.sampled_from([0, 0, 20, -15, None]))
        most = draw(st.sampled_from([None, None, None, 15, 60]))
        if least is None and most is None:
            least = 0
        if least is not None and most is not None and most < least:
            most = least
        found.append(Link(before=before, after=after, min_wait=least, max_wait=most))
    return tuple(found)


def _stays(draw: Draw, jobs: tuple[Job, ...]) -> tuple[Stay, ...]:
    ends = st.sampled_from([None, *range(len(jobs))])
    found = []
    for _number in range(draw(st.sampled_from([0, 0, 1, 2]))):
        one, two = draw(ends), draw(ends)
        if one is not None and two is not None and one >= two:
            two = None
        known = one if one is not None else two
        boat = 0 if known is None else jobs[known].boat
        found.append(Stay(boat=boat, any_of=draw(st.sampled_from([(0,), (0, 1)])), from_job=one, until_job=two))
    return tuple(found)


def _pins(draw: Draw, jobs: tuple[Job, ...], size: int) -> tuple[Pin, ...]:
    if draw(st.integers(1, 3)) < 3:
        return ()
    job = draw(st.integers(0, len(jobs) - 1))
    starts = draw(st.integers(0, size - 1))
    elapsed = jobs[job].pausing == "elapsed"
    return (
        Pin(
            job=job,
            way=0,
            starts_at=starts,
            ends_at=draw(st.integers(starts + 1, min(size, starts + 4))),
            people=() if elapsed else draw(st.sampled_from([(), (0,), (1,), (0, 1)])),
            places=draw(st.sampled_from([(), ((0, 0),), ((1, 0),)])),
        ),
    )
