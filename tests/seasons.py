"""The generator's seasons as Problems of the planner, and the generator's own verdict on a plan.

    python -m tests.seasons season SIZE SEED [--out FILE]          make a season
    python -m tests.seasons problem SEASON.json [--out FILE]       the same season as a Problem
    python -m tests.seasons judge SEASON.json PLAN.json            cost, boats unplaced and faults as JSON

`judge` reads only the placements of the plan; rules and cost are the generator's (`season_generator.check`).
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from tests import season_generator as generator
from yard.planning.plan import Plan, read_plan_json
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
    Place,
    PlaceNeed,
    Problem,
    Way,
    WindowSet,
    write_problem_json,
)

Season = dict[str, Any]
PER_DAY = generator.Q
DAY_MIN = PER_DAY * 15
OPENS_MIN = generator.OPEN_Q * 15
DRY, LIGHT = 0, 1
EPOCH = "2027-01-01T00:00:00Z"  # the generator's days have no date; any instant serves


def problem_of(season: Season) -> Problem:
    """The season as a Problem: a boat and an order for each of the generator's jobs, a job for each step."""
    starts = tuple(day * 1440 + OPENS_MIN for day in season["calendar"])
    jobs: list[Job] = []
    links: list[Link] = []
    water: dict[float, int] = {}
    window_sets = [_dry_days(season, starts), _light(season, starts)]
    for boat, row in enumerate(season["jobs"]):
        first = len(jobs)
        for number, step in enumerate(row["steps"]):
            jobs.append(_job(season, boat, number, step, starts[row["release_day"]], water, window_sets, starts))
        links += [
            Link(before=first + a, after=first + b, min_wait=least * 15, max_wait=None if most is None else most * 15)
            for a, b, least, most in row["arcs"]
        ]
    return Problem(
        calendar=Calendar(epoch=EPOCH, quarters_per_day=PER_DAY, day_starts=starts),
        people=tuple(_person(person, starts) for person in season["people"]),
        places=tuple(Place(key=p["name"], name=p["name"], capacity=p["units"]) for p in season["places"]),
        window_sets=tuple(window_sets),
        boats=tuple(Boat(key=f"boat {b}", name=f"boat {b}") for b in range(len(season["jobs"]))),
        orders=tuple(
            Order(key=f"order {b}", name=row["kind"], due_day=row["due_day"], goes_first=row["weight"])
            for b, row in enumerate(season["jobs"])
        ),
        jobs=tuple(jobs),
        links=tuple(links),
    )


def _job(
    season: Season,
    boat: int,
    number: int,
    step: dict[str, Any],
    release: int,
    water: dict[float, int],
    window_sets: list[WindowSet],
    starts: tuple[int, ...],
) -> Job:
    inside = [Inside(window_set=DRY), Inside(window_set=LIGHT)] if step["outdoor"] else []
    if step["tidal"]:
        height = step["need_height_m"]
        if height not in water:
            water[height] = len(window_sets)
            window_sets.append(_water(season, starts, height))
        inside.append(Inside(window_set=water[height]))
    places = (PlaceNeed(any_of=(generator.PLACES.index(step["place"]),)),) if step["place"] else ()
    way = Way(
        duration_quarters=step["dur"],
        crew=tuple(Crew(skill=skill, count=count) for skill, count in step["needs"]),
        places=places,
        inside=tuple(inside),
    )
    return Job(
        key=f"{boat}.{number}",
        name=step["name"],
        boat=boat,
        order=boat,
        ways=(way,),
        pausing="paused" if step["pausable"] else "fitted",
        not_before=release,
    )


def _person(person: dict[str, Any], starts: tuple[int, ...]) -> Person:
    off = set(person["off"])
    away: list[Minutes] = []
    for day, start in enumerate(starts):
        if day in off:
            away.append((start, start + DAY_MIN))
        elif person["half"]:
            away.append((start + DAY_MIN // 2, start + DAY_MIN))
    return Person(
        key=person["name"],
        name=person["name"],
        skills=dict.fromkeys(person["skills"], 1),
        hours=tuple((start, start + DAY_MIN) for start in starts),
        away=tuple(away),
    )


def _dry_days(season: Season, starts: tuple[int, ...]) -> WindowSet:
    lost = set(season["lost_days"])
    days = tuple((start, start + DAY_MIN) for day, start in enumerate(starts) if day not in lost)
    return WindowSet(key="dry days", rule="weather", intervals=days)


def _light(season: Season, starts: tuple[int, ...]) -> WindowSet:
    edges = ((start, *generator.light(season, day)) for day, start in enumerate(starts))
    return WindowSet(
        key="light", rule="light", intervals=tuple((start + 15 * a, start + 15 * b) for start, a, b in edges if a < b)
    )


def _water(season: Season, starts: tuple[int, ...], height_m: float) -> WindowSet:
    """Quarters with water at both edges, as the generator asks, joined into intervals."""
    hours = [[day * 24 + 8 + b / 4 for b in range(PER_DAY + 1)] for day in season["calendar"]]
    enough = generator.tide(generator.np.array(hours), season["tide_phases"]) >= height_m
    intervals: list[Minutes] = []
    for day, start in enumerate(starts):
        runs: list[list[int]] = []
        for b in range(PER_DAY):
            if not (enough[day, b] and enough[day, b + 1]):
                continue
            if runs and runs[-1][1] == b:
                runs[-1][1] = b + 1
            else:
                runs.append([b, b + 1])
        intervals += [(start + 15 * a, start + 15 * b) for a, b in runs]
    return WindowSet(key=f"water {height_m}", rule="water", intervals=tuple(intervals))


def judge(season: Season, plan: Plan) -> dict[str, Any]:
    """The generator's verdict: its cost (boats without a plan at its own price), boats unplaced, faults."""
    placed = plan.by_job()
    kept: list[dict[str, Any]] = []
    starts: list[list[int]] = []
    who: list[list[list[int]]] = []
    unit: list[list[int | None]] = []
    unplaced = missing_cost = 0
    first = 0
    for row in season["jobs"]:
        indices = range(first, first + len(row["steps"]))
        first += len(row["steps"])
        if not all(index in placed for index in indices):
            unplaced += 1
            last = season["horizon_days"] - 1
            missing_cost += 100 * row["weight"] * max(0, last - row["due_day"]) + last - row["release_day"]
            continue
        rows = [placed[index] for index in indices]
        kept.append(row)
        starts.append([p.starts_at for p in rows])
        who.append([list(p.people) for p in rows])
        unit.append([p.places[0][1] if p.places else None for p in rows])
    faults, cost = generator.check(season | {"jobs": kept}, starts, who, unit)
    return {"cost": int(cost) + missing_cost, "unplaced": unplaced, "faults": [list(map(str, f)) for f in faults]}


def main(arguments: Iterable[str] | None = None) -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.seasons", description="Made-up seasons for the planner.")
    commands = parser.add_subparsers(dest="command", required=True)
    make = commands.add_parser("season", help="make a season")
    make.add_argument("size", choices=sorted(generator.SIZES))
    make.add_argument("seed", type=int)
    make.add_argument("--out", type=Path)
    turn = commands.add_parser("problem", help="a season as a Problem")
    turn.add_argument("season", type=Path)
    turn.add_argument("--out", type=Path)
    verdict = commands.add_parser("judge", help="the generator's verdict on a plan")
    verdict.add_argument("season", type=Path)
    verdict.add_argument("plan", type=Path)
    given = parser.parse_args(None if arguments is None else list(arguments))
    if given.command == "season":
        _write(given.out, json.dumps(generator.season(given.size, seed=given.seed)).encode())
    elif given.command == "problem":
        _write(given.out, write_problem_json(problem_of(json.loads(given.season.read_text()))))
    else:
        plan = read_plan_json(given.plan.read_bytes())
        print(json.dumps(judge(json.loads(given.season.read_text()), plan)))
    return 0


def _write(out: Path | None, data: bytes) -> None:
    if out is None:
        sys.stdout.buffer.write(data + b"\n")
    else:
        out.write_bytes(data)


if __name__ == "__main__":
    raise SystemExit(main())
