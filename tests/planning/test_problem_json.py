"""Problems and plans as JSON: there and back, a schema, and errors that name the place."""

from __future__ import annotations

import json
from dataclasses import fields
from typing import Any

import pytest
from hypothesis import given, settings

from tests.planning.small import problems
from tests.planning.tiny import job, plan, put, yard
from yard.planning.plan import LeftOut, PlanInvalid, plan_schema, read_plan_json, write_plan_json
from yard.planning.problem import Problem, ProblemInvalid, problem_schema, read_problem_json, write_problem_json

PROBLEM = yard(job("cut", 2), job("dry", 9, pausing="elapsed"))
PLAN = plan(
    put(0, 0, 2, [1], [(0, 1)]), stays=[(0, 1, 2)], left_out=(LeftOut(boat=0, rule="hours", job=None, reason="r"),)
)


@settings(max_examples=100, deadline=None)
@given(problem=problems())
def test_there_and_back(problem: Problem) -> None:
    data = write_problem_json(problem)
    assert read_problem_json(data) == problem
    assert read_problem_json(data.decode()) == problem
    assert write_problem_json(read_problem_json(data)) == data


def test_a_plan_there_and_back() -> None:
    assert read_plan_json(write_plan_json(PLAN)) == PLAN


def document(*path: str | int, value: Any) -> bytes:
    """The good problem with one value changed, or taken away where the value is `...`."""
    found = json.loads(write_problem_json(PROBLEM))
    at = found
    for step in path[:-1]:
        at = at[step]
    if value is ...:
        del at[path[-1]]
    else:
        at[path[-1]] = value
    return json.dumps(found).encode()


@pytest.mark.parametrize(
    ("data", "where"),
    [
        (b"", "truncated"),
        (b"{", "truncated"),
        (b"[]", "Expected `object`"),
        (b'{"x":' + b"[" * 100_000, "recursion"),
        (b'{"calendar": \xff}', "malformed"),
        (document("calendar", value=...), "`calendar`"),
        (document("jobs", 0, "boat", value="Wren"), "$.jobs[0].boat"),
        (document("jobs", 1, "pausing", value="sometimes"), "$.jobs[1].pausing"),
        (document("jobs", 0, "ways", 0, "duration_quarters", value=1.5), "$.jobs[0].ways[0].duration_quarters"),
        (document("people", 0, "hours", 0, value=[1]), "$.people[0].hours[0]"),
        (document("jobs", 0, "ways", 0, "duration_quarters", value=0), "takes 0 quarters"),
        (document("jobs", 0, "boat", value=9), "names boat 9"),
        (document("calendar", "day_starts", value=[]), "the calendar has no day"),
    ],
)
def test_bad_json_says_where(data: bytes, where: str) -> None:
    with pytest.raises(ProblemInvalid) as caught:
        read_problem_json(data)
    assert where in str(caught.value)


@pytest.mark.parametrize(
    "data", [b"", b"[]", b'{"x":' + b"[" * 100_000, b'{"placements": [{"job": "launch"}]}', b'{"placements": 3}']
)
def test_a_bad_plan_is_refused(data: bytes) -> None:
    with pytest.raises(PlanInvalid):
        read_plan_json(data)


def test_what_is_not_given_takes_its_default() -> None:
    data = json.loads(write_problem_json(PROBLEM))
    for name in ("links", "stays", "pins", "waivers", "now", "rates"):
        del data[name]
    assert read_problem_json(json.dumps(data)) == PROBLEM


@pytest.mark.parametrize("schema", [problem_schema(), plan_schema()], ids=["problem", "plan"])
def test_the_schema_is_whole(schema: dict[str, Any]) -> None:
    """Every reference in it leads somewhere, and every class names its properties."""
    text = json.dumps(schema)
    names = {part.split('"')[0] for part in text.split('"#/$defs/')[1:]}
    assert names <= set(schema["$defs"])
    assert all(row["properties"] for row in schema["$defs"].values() if row.get("type") == "object")


def test_the_schema_says_what_a_problem_needs() -> None:
    row = problem_schema()["$defs"]["Problem"]
    assert set(row["required"]) == {"calendar", "people", "places", "window_sets", "boats", "orders", "jobs"}
    assert set(row["properties"]) == {field.name for field in fields(Problem)}
    job_row = problem_schema()["$defs"]["Job"]
    assert job_row["properties"]["pausing"]["enum"] == ["elapsed", "fitted", "paused"]
