"""python -m yard.planning: figures on standard output, one clear line and exit code 2 for bad input."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.planning.tiny import crew, job, way, yard
from yard.planning.__main__ import main
from yard.planning.problem import write_problem_json


@pytest.fixture
def problem_file(tmp_path: Path) -> Path:
    problem = yard(job("wash", way(2, crew=crew(1))), job("rinse", way(2, crew=crew(1)), boat=1, order=1))
    path = tmp_path / "problem.json"
    path.write_bytes(write_problem_json(problem))
    return path


def test_solve_then_check(problem_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plan = tmp_path / "plan.json"
    solve = ["solve", str(problem_file), "--rounds", "20", "--workers", "1", "--backend", "python", "--json"]
    assert main([*solve, "--out", str(plan)]) == 0
    figures = json.loads(capsys.readouterr().out)
    assert (figures["cost"], figures["late"], figures["unplaced"]) == (0, 0, 0)
    assert figures["seconds"] >= 0
    assert main(["check", str(problem_file), str(plan), "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == {"cost": 0, "faults": []}


def test_check_lists_rule_job_and_numbers(
    problem_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Both boats' jobs with Jo at 08:00: she is in two places, and exit code 1 says that there is a fault."""
    rows = [{"job": n, "way": 0, "starts_at": 0, "ends_at": 2, "people": [0], "places": []} for n in range(2)]
    plan = tmp_path / "plan.json"
    plan.write_text(json.dumps({"placements": rows}))
    assert main(["check", str(problem_file), str(plan), "--json"]) == 1
    (fault,) = json.loads(capsys.readouterr().out)["faults"]
    assert (fault["rule"], fault["job"]) == ("double_booking", "rinse")
    assert fault["numbers"]["person"] == 0
    assert main(["check", str(problem_file), str(plan)]) == 1
    assert capsys.readouterr().out.startswith("double_booking: rinse: ")


def test_schema(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["schema"]) == 0
    schemas = json.loads(capsys.readouterr().out)
    assert set(schemas) == {"problem", "plan"}
    assert "jobs" in json.dumps(schemas["problem"])


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (None, "No such file"),
        (b"{", "is not a problem"),
        (b'{"calendar": 3}', "calendar"),
        (b"\xff\xfe", "is not a problem"),
    ],
)
def test_bad_input_is_one_line_and_exit_code_2(
    content: bytes | None, says: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "bad.json"
    if content is not None:
        path.write_bytes(content)
    assert main(["solve", str(path), "--rounds", "1", "--backend", "python"]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert says in said.err
    assert said.err.count("\n") == 1


def test_a_problem_that_contradicts_itself(
    problem_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    data = json.loads(problem_file.read_text())
    data["jobs"][1]["boat"] = 9
    path = tmp_path / "wrong.json"
    path.write_text(json.dumps(data))
    assert main(["check", str(path), str(path)]) == 2
    assert "names boat 9" in capsys.readouterr().err


def test_wrong_numbers_and_a_folder_that_is_not_there(
    problem_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    solve = ["solve", str(problem_file), "--backend", "python"]
    assert main([*solve, "--seconds", "-1"]) == 2
    assert main([*solve, "--rounds", "1", "--workers", "0"]) == 2
    assert main([*solve, "--rounds", "1", "--out", str(tmp_path / "none" / "plan.json")]) == 2
    assert capsys.readouterr().err.count("\n") == 3
