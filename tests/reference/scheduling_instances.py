"""Published scheduling instances as seasons: one time unit is one axis day of one quarter.

The data, the optimum and the source of each stand in scheduling_instances.json.  Optima marked "re-proved" or with a
`proof` were found again with an independent model in ortools 9.12 before they were written down.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from yard.planning.problem import (
    Boat,
    Calendar,
    CostRates,
    Crew,
    Job,
    Link,
    Order,
    Person,
    Place,
    PlaceNeed,
    Problem,
    Way,
)

UNIT_MIN = 15  # one time unit of an instance is one quarter

INSTANCES: dict[str, dict[str, Any]] = {
    row["id"]: row for row in json.loads(Path(__file__).with_suffix(".json").read_text(encoding="utf-8"))
}


def season_of(instance: dict[str, Any]) -> Problem:
    """The instance as a Problem whose cost is the instance's objective."""
    data = instance["data"]
    match instance["type"]:
        case "job shop":
            return _job_shop(data)
        case "flexible job shop":
            return _flexible(data)
        case "single machine":
            return _single(data)
        case "resource project":
            return _project(data)
        case "multi-skill project":
            return _multi_skill(data)
    raise ValueError(f"no such type of instance: {instance['type']}")


def _season(
    horizon: int,
    jobs: list[Job],
    orders: list[Order],
    *,
    boats: int,
    links: list[Link],
    places: Sequence[Place] = (),
    people: Sequence[Person] = (),
) -> Problem:
    return Problem(
        calendar=Calendar(
            epoch="2027-01-01T00:00:00+00:00",
            quarters_per_day=1,
            day_starts=tuple(UNIT_MIN * day for day in range(horizon)),
        ),
        people=tuple(people),
        places=tuple(places),
        window_sets=(),
        boats=tuple(Boat(key=f"b{boat}", name=f"Boat {boat}") for boat in range(boats)),
        orders=tuple(orders),
        jobs=tuple(jobs),
        links=tuple(links),
        rates=CostRates(late_day=1, flow_day=0),
    )


def _makespan_order() -> Order:
    """Due a day before the season: the days late are the makespan."""
    return Order(key="all", name="all", due_day=-1)


def _job(number: int, boat: int, order: int, *ways: Way) -> Job:
    return Job(key=f"j{number}", name=f"Job {number}", boat=boat, order=order, ways=ways, pausing="paused")


def _job_shop(data: dict[str, Any]) -> Problem:
    if "jobs" in data:  # rows of [machine, duration]
        routes = [[[(machine, time)] for machine, time in row] for row in data["jobs"]]
    else:
        rows = zip(data["machines"], data["durations"], strict=True)
        routes = [[[step] for step in zip(machines, times, strict=True)] for machines, times in rows]
    return _shop(routes, data.get("due"), data.get("weight"))


def _flexible(data: dict[str, Any]) -> Problem:
    return _shop([[[tuple(choice) for choice in step] for step in row] for row in data["jobs"]], None, None)


def _shop(routes: list[list[list[tuple[int, int]]]], due: list[int] | None, weight: list[int] | None) -> Problem:
    """routes[job][step] = choices of (machine, time). With due dates: total weighted tardiness, else makespan."""
    jobs: list[Job] = []
    links: list[Link] = []
    for number, route in enumerate(routes):
        for step, choices in enumerate(route):
            ways = [
                Way(duration_quarters=time, places=(PlaceNeed(any_of=(machine,)),), name=f"machine {machine}")
                for machine, time in choices
            ]
            if step:
                links.append(Link(before=len(jobs) - 1, after=len(jobs)))
            jobs.append(_job(len(jobs), number, 0 if due is None else number, *ways))
    orders = [_makespan_order()]
    if due is not None and weight is not None:
        orders = [
            Order(key=f"o{row}", name=f"Order {row}", due_day=date - 1, goes_first=weight[row])
            for row, date in enumerate(due)
        ]
    machines = 1 + max(machine for route in routes for step in route for machine, _time in step)
    horizon = sum(max(time for _machine, time in step) for route in routes for step in route)
    places = [Place(key=f"m{row}", name=f"Machine {row}", capacity=1) for row in range(machines)]
    return _season(horizon, jobs, orders, boats=len(routes), links=links, places=places)


def _single(data: dict[str, Any]) -> Problem:
    """One machine, all jobs there from the start: total (weighted) tardiness."""
    weights = data.get("w", [1] * len(data["p"]))
    way = [Way(duration_quarters=time, places=(PlaceNeed(any_of=(0,)),)) for time in data["p"]]
    return _season(
        sum(data["p"]),
        [_job(number, number, number, way[number]) for number in range(len(way))],
        [
            Order(key=f"o{row}", name=f"Order {row}", due_day=date - 1, goes_first=weights[row])
            for row, date in enumerate(data["d"])
        ],
        boats=len(way),
        links=[],
        places=[Place(key="m", name="Machine", capacity=1)],
    )


def _project(data: dict[str, Any]) -> Problem:
    """RCPSP and RCPSP/max. The first and the last activity are dummies of no length: they are left out."""
    times = data.get("durations", data.get("p"))
    requests = data.get("requests", data.get("u"))
    capacities = data.get("capacities", data.get("c"))
    lags = data.get("lags") or [[one, two, times[one]] for one, two in data["S"]]
    last = len(times) - 1
    jobs = []
    for activity in range(1, last):
        needs = tuple(PlaceNeed(any_of=(row,), units=count) for row, count in enumerate(requests[activity]) if count)
        jobs.append(_job(activity, activity - 1, 0, Way(duration_quarters=times[activity], places=needs)))
    links = []
    for one, two, lag in lags:
        if one == 0:
            assert lag == 0, "a release date, which none of these instances has"
        elif two == last:
            assert lag == times[one], "the makespan is the last end"
        elif lag >= 0:
            links.append(Link(before=one - 1, after=two - 1, min_wait=UNIT_MIN * (lag - times[one])))
        else:  # start of `one` at most -lag after the start of `two`
            wait = UNIT_MIN * (-lag - times[two])
            links.append(Link(before=two - 1, after=one - 1, min_wait=None, max_wait=wait))
    horizon = sum(
        max([times[activity], *[lag for one, _two, lag in lags if one == activity]]) for activity in range(1, last)
    )
    places = [Place(key=f"r{row}", name=f"Resource {row}", capacity=count) for row, count in enumerate(capacities)]
    return _season(horizon, jobs, [_makespan_order()], boats=len(jobs), links=links, places=places)


def _multi_skill(data: dict[str, Any]) -> Problem:
    """People with several skills, each giving one of them at a time. First and last activity are dummies."""
    times, last = data["durations"], len(data["durations"]) - 1
    horizon = sum(times)
    always = ((0, UNIT_MIN * horizon),)
    people = [
        Person(
            key=f"p{row}",
            name=f"Person {row}",
            skills={f"s{skill}": 1 for skill, has in enumerate(skills) if has},
            hours=always,
        )
        for row, skills in enumerate(data["mastery"])
    ]
    jobs = []
    for activity in range(1, last):
        wanted = data["skill_requirement"][activity]
        crew = tuple(Crew(skill=f"s{skill}", count=count) for skill, count in enumerate(wanted) if count)
        jobs.append(_job(activity, activity - 1, 0, Way(duration_quarters=times[activity], crew=crew)))
    links = [Link(before=one - 1, after=two - 1) for one, two in data["precedences"] if one != 0 and two != last]
    return _season(horizon, jobs, [_makespan_order()], boats=len(jobs), links=links, people=people)
