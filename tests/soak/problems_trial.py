"""Bad Problems, plans and new orders through `python -m yard.planning`, in this process."""

from __future__ import annotations

import contextlib
import io
import json
import traceback
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from tests.planning.tiny import ANN, JO, calendar, crew, job, person, place, plan, put, span, way, windows, yard
from tests.soak.bad_json import bad_json
from tests.soak.limits import TooLong, at_most
from yard.planning.__main__ import main
from yard.planning.plan import write_plan_json
from yard.planning.problem import (
    Charge,
    CostRates,
    Link,
    Order,
    Pin,
    PlaceNeed,
    Problem,
    Slide,
    Stay,
    Waiver,
    write_problem_json,
)

MOST_CPU_S = 5.0
"""For one document read, planned for one round by the engine in plain Python, and checked."""


def good_problem() -> Problem:
    """Two days, with every kind of fact that a Problem can say."""
    skiff = place("Skiff", charges=(Charge(starts=480, ends=600, quarters=6),))
    slide = Slide(early_min=30, late_min=30, days_per_week=2, span_min=120)
    return yard(
        job("strip", way(2, crew=crew(1), places=(0,)), way(3, crew=crew(1)), needs_boat=True),
        job("paint", way(2, crew=crew(1), inside=(0,), place_extra_quarters=1), allowance_quarters=1, not_before=480),
        job("dry", 6, pausing="elapsed"),
        job("sew", way(5, crew=crew(1)), pausing="paused", boat=1, order=1, waits_on=("cloth by 4 May",)),
        job("tow", way(2, crew=crew(2), places=(PlaceNeed(any_of=(1,)),), slides=True), not_alone=True, not_after=2300),
        job("held", way(2, crew=crew(1)), boat=1, order=1),
        calendar=calendar(2, day_names=("2027-05-03", "2027-05-04"), opens_quarter=0, closes_quarter=8),
        people=(person("Jo", away=(span(1, "09:30", "10:00"),), slide=slide), person("Ann")),
        places=(place("Apron", 2, closed=(span(0, "08:00", "08:15"),)), skiff),
        window_sets=(windows("light", span(0, "08:30", "10:00"), span(1, "08:00", "10:00")),),
        orders=(
            Order(key="o0", name="Spring", due_day=0, goes_first=2),
            Order(key="o1", name="Cover", due_day=1, began_day=0),
        ),
        links=(
            Link(before=0, after=1, max_wait=2880),
            Link(before=1, after=2, min_wait=0, reason="wet"),
            Link(before=2, after=4, min_wait=None, max_wait=3000),
        ),
        stays=(Stay(boat=0, any_of=(0,), from_job=0, until_job=4),),
        pins=(Pin(job=5, way=0, starts_at=0, ends_at=2, people=(ANN,)),),
        waivers=(Waiver(rule="light", job=1, reason="under lamps", by="Jo"),),
        now=0,
        forecast_until=600,
        rates=CostRates(late_day=100, flow_day=1),
    )


GOOD_PLAN = plan(put(0, 1, 3, [JO], [(0, 0)]), put(3, 2, 7, [JO]), put(5, 0, 2, [ANN]), stays=[(0, 0, 1)])
NEW_ORDER = {
    "boat": "b0",
    "boat_name": "Wren",
    "name": "gunwale",
    "jobs": [
        {
            "key": "oil",
            "name": "Oil",
            "boat": 0,
            "order": 0,
            "ways": [{"duration_quarters": 2, "crew": [{"skill": "rig"}]}],
        }
    ],
    "links": [],
    "stays": [],
    "due_day": 1,
}
EFFORT = ("--rounds", "1", "--backend", "python")


def try_problems(numbers: Sequence[int], folder: Path) -> Iterator[str]:
    """What went wrong, a line for each: an exception, a hang, or bad input that is not said in one clear line."""
    good = {
        "problem": json.loads(write_problem_json(good_problem())),
        "plan": json.loads(write_plan_json(GOOD_PLAN)),
        "order": NEW_ORDER,
    }
    paths = {kind: folder / f"{kind}.json" for kind in good}
    for number in numbers:
        kind = ("problem", "problem", "plan", "problem", "order")[number % 5]
        for name, tree in good.items():
            paths[name].write_text(json.dumps(tree))
        done, data = bad_json(number, good[kind])
        paths[kind].write_bytes(data)
        for command in COMMANDS[kind]:
            wrong = _run([*command[:1], *(str(paths.get(word, word)) for word in command[1:])])
            if wrong:
                yield f"{kind} {number} ({done}), {command[0]}: {wrong}"


COMMANDS: dict[str, tuple[tuple[str, ...], ...]] = {
    "problem": (
        ("solve", "problem", *EFFORT, "--workers", "1", "--json"),
        ("check", "problem", "plan", "--json"),
        ("bound", "problem", *EFFORT, "--workers", "1", "--json"),
    ),
    "plan": (
        ("check", "problem", "plan"),
        ("solve", "problem", "--start", "plan", *EFFORT, "--workers", "1", "--json"),
    ),
    "order": (("fit", "problem", "plan", "order", *EFFORT, "--json"),),
}


def _run(arguments: list[str]) -> str:
    out, err = io.StringIO(), io.StringIO()
    try:
        with at_most(MOST_CPU_S), contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            code: Any = main(arguments)
    except TooLong as error:
        return str(error)
    except Exception:  # whatever it is: a person would see it as it is
        return traceback.format_exc(limit=-3)
    if code == 2:
        said = err.getvalue().strip()
        names = any(name in said for name in ("$", "'", "`", "byte", "truncated", "character", "recursion"))
        return "" if said.startswith("yard.planning: ") and (names or len(said) > 60) else f"not clear: {said!r}"
    return "" if code in (0, 1) else f"ended with {code}"
