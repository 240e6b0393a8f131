"""A Problem is checked at birth: each wrong fact is one sentence that names where it stands."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from tests.planning.tiny import calendar, crew, job, person, place, way, windows, yard
from yard.planning.problem import (
    Boat,
    CostRates,
    Inside,
    Link,
    Order,
    Pin,
    PlaceNeed,
    Problem,
    ProblemInvalid,
    Slide,
    Stay,
    Waiver,
)

GOOD = yard(job("cut", 2), job("sew", 2), places=(place("Floor", 2),))


def good(**facts: Any) -> Problem:
    return replace(GOOD, **facts)


def cut(*ways: Any, **facts: Any) -> Problem:
    return yard(job("cut", *(ways or (2,)), **facts), places=(place("Floor"),), window_sets=(windows("dry", (0, 9)),))


def pin(**facts: Any) -> Problem:
    values: dict[str, Any] = {"job": 0, "way": 0, "starts_at": 0, "ends_at": 2}
    return good(pins=(Pin(**{**values, **facts}),))


def slide(**facts: Any) -> Slide:
    values = {"early_min": 60, "late_min": 60, "days_per_week": 2, "span_min": 480}
    return Slide(**{**values, **facts})


WRONG: dict[str, Callable[[], object]] = {
    "the epoch 'Monday' is not an instant": lambda: calendar(epoch="Monday"),
    "names no time zone": lambda: calendar(epoch="2027-05-03T00:00:00"),
    "the calendar has 63 quarters a day": lambda: calendar(quarters_per_day=63, day_starts=(0,), weeks=()),
    "the calendar has 0 quarters a day": lambda: calendar(quarters_per_day=0),
    "the calendar has no day": lambda: calendar(day_starts=(), weeks=()),
    "the yard opens at quarter 5 and closes at 5": lambda: calendar(opens_quarter=5, closes_quarter=5),
    "closes at 9 of 8": lambda: calendar(closes_quarter=9),
    "2 days and 1 weeks": lambda: calendar(weeks=(0,)),
    "2 days and 3 day_names": lambda: calendar(day_names=("a", "b", "c")),
    "day 1 of the calendar starts before day 0 is over": lambda: calendar(day_starts=(0, 119)),
    "hours of Jo: the interval 10 to 10 is empty": lambda: person("Jo", hours=[(10, 10)]),
    "hours of Jo: the interval from 5 begins before the one before it ends (10)": lambda: person(
        "Jo", hours=[(0, 10), (5, 20)]
    ),
    "time away of Jo: the interval 9 to 3": lambda: person("Jo", away=((9, 3),)),
    "the day of Jo slides by less than nothing": lambda: person("Jo", slide=slide(early_min=-15)),
    "Floor has a capacity of 0": lambda: place("Floor", 0),
    "closed times of Floor": lambda: place("Floor", closed=((5, 1),)),
    "windows 'dry'": lambda: windows("dry", (5, 1)),
    "has no way of doing it": lambda: replace(job("cut", 2), ways=()),
    "takes 0 quarters": lambda: job("cut", 0),
    "runs on the clock by itself": lambda: job("dry", way(2, crew=crew(1)), pausing="elapsed"),
    "the crew is fewer than two": lambda: job("aloft", way(2, crew=crew(1)), not_alone=True),
    "asks for 0 people": lambda: job("cut", way(2, crew=crew(0))),
    "at level 0": lambda: job("cut", way(2, crew=(replace(crew(1)[0], level=0),))),
    "asks for 0 units": lambda: job("cut", way(2, places=(PlaceNeed(any_of=(0,), units=0),))),
    "keeps its places -1 quarters longer": lambda: job("cut", way(2, place_extra_quarters=-1)),
    "an allowance of -1": lambda: job("cut", 2, allowance_quarters=-1),
    "only a job of one stretch": lambda: job("cut", way(2, inside=(0,)), pausing="paused"),
    "before the job begins": lambda: job("cut", way(2, inside=(Inside(window_set=0, offset_quarters=-1),))),
    "longer than the job": lambda: job("cut", way(2, inside=(Inside(window_set=0, offset_quarters=2),))),
    "way 0: a window is asked for longer": lambda: job(
        "cut", way(2, inside=(Inside(window_set=0, offset_quarters=1, length_quarters=2),))
    ),
    "a window is asked for 0 quarters": lambda: job("cut", way(2, inside=(Inside(window_set=0, length_quarters=0),))),
    "may not start before 9 nor after 8": lambda: job("cut", 2, not_before=9, not_after=8),
    "two people share the key 'jo'": lambda: good(people=(person("Jo"), person("Jo"))),
    "two places share the key": lambda: good(places=(place("Floor"), place("Floor"))),
    "two boats share the key": lambda: good(boats=(Boat(key="b", name="1"), Boat(key="b", name="2"))),
    "two jobs share the key": lambda: good(jobs=(job("cut", 2), job("cut", 2))),
    "now is position 17 of a calendar of 16": lambda: good(now=17),
    "now is position -1": lambda: good(now=-1),
    "costs less than nothing": lambda: good(rates=CostRates(late_day=-1)),
    "goes first -1 times": lambda: good(orders=(Order(key="o", name="o", due_day=0, goes_first=-1),)),
    "names boat 1, which is not": lambda: good(jobs=(job("cut", 2, boat=1), job("sew", 2))),
    "names order 1, which is not": lambda: good(jobs=(job("cut", 2, order=1), job("sew", 2))),
    "job 'cut' names a place that is not": lambda: cut(way(2, places=(1,))),
    "job 'cut' names a place": lambda: cut(way(2, places=(PlaceNeed(any_of=()),))),
    "names a window set that is not": lambda: cut(way(2, inside=(1,))),
    "a wait names jobs 0 and 2": lambda: good(links=(Link(before=0, after=2),)),
    "a wait names jobs 1 and 1": lambda: good(links=(Link(before=1, after=1),)),
    "a stay names a job or boat": lambda: good(stays=(Stay(boat=0, any_of=(0,), until_job=2),)),
    "a stay names a job or boat that": lambda: good(stays=(Stay(boat=3, any_of=(0,)),)),
    "a stay names a place": lambda: good(stays=(Stay(boat=0, any_of=(4,)),)),
    "a stay names a place that": lambda: good(stays=(Stay(boat=0, any_of=()),)),
    "a waiver of 'hours' names job 7": lambda: good(waivers=(Waiver(rule="hours", job=7, reason="r", by="Ada"),)),
    "a pin names job 7": lambda: pin(job=7),
    "job 'cut' is pinned twice": lambda: good(pins=(pin().pins[0], pin().pins[0])),
    "names way 3": lambda: pin(way=3),
    "lies outside the calendar": lambda: pin(ends_at=17),
    "the pin of job 'cut' lies outside": lambda: pin(starts_at=2),
    "names a person who is not": lambda: pin(people=(2,)),
    "names place 1, which is not": lambda: pin(places=((1, 0),)),
    "names unit 2 of Floor, which has 2": lambda: pin(places=((0, 2),)),
    "wait for one another in a circle: cut, sew": lambda: good(
        links=(Link(before=0, after=1), Link(before=1, after=0))
    ),
}


@pytest.mark.parametrize("sentence", WRONG)
def test_wrong(sentence: str) -> None:
    with pytest.raises(ProblemInvalid) as caught:
        WRONG[sentence]()
    assert any(sentence in fault for fault in caught.value.faults), caught.value.faults
    assert str(caught.value) == "; ".join(caught.value.faults)


def test_the_smallest_changes_make_it_right() -> None:
    """The edges of what is refused above are accepted."""
    calendar(quarters_per_day=62, day_starts=(0,), weeks=())
    calendar(day_starts=(0, 120))
    calendar(opens_quarter=7, closes_quarter=8)
    person("Jo", hours=[(0, 10), (10, 20)], slide=slide(early_min=0))
    job("cut", way(2, inside=(Inside(window_set=0, offset_quarters=1, length_quarters=1),)))
    job("cut", 2, not_before=8, not_after=8)
    good(now=16)
    pin(ends_at=16, people=(1,), places=((0, 1),))
    good(links=(Link(before=0, after=1), Link(before=1, after=0, min_wait=None, max_wait=60)))


def test_every_wrong_fact_is_told_at_once() -> None:
    with pytest.raises(ProblemInvalid) as caught:
        good(jobs=(job("cut", 2, boat=5, order=6), job("sew", 2, boat=7)))
    assert len(caught.value.faults) == 3
