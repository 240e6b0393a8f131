"""The command line: JSON for programs, a table for people, one line and exit code 2 for bad input."""

import json
import subprocess
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from yard.tides import bench, open_source
from yard.tides.__main__ import main

DAYS = ["--from", "2027-05-04", "--to", "2027-05-05"]
PORTLAND = ["--station", "8418150"]
BEGINS, ENDS = datetime(2027, 5, 4, tzinfo=UTC), datetime(2027, 5, 6, tzinfo=UTC)


def answer(capsys: pytest.CaptureFixture[str], *argv: str) -> list[dict]:
    assert main([*argv, "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def refusal(capsys: pytest.CaptureFixture[str], *argv: str) -> str:
    try:
        code = main(list(argv))
    except SystemExit as exit_:
        code = exit_.code
    printed = capsys.readouterr()
    assert code == 2
    assert printed.out == ""
    assert printed.err.count("\n") == 1
    return printed.err


def test_events_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    """Both days are in it, in UTC."""
    rows = answer(capsys, "events", *PORTLAND, *DAYS)
    events = open_source("8418150").events(BEGINS, ENDS)
    assert [datetime.fromisoformat(row["time"]) for row in rows] == [event.at for event in events]
    assert all(row["time"].endswith("Z") for row in rows)
    assert [row["kind"] for row in rows] == [event.kind for event in events]
    assert [row["height_m"] for row in rows] == pytest.approx([event.height_m for event in events], abs=1e-4)
    assert {row["time"][:10] for row in rows} == {"2027-05-04", "2027-05-05"}


def test_heights_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    rows = answer(capsys, "heights", *PORTLAND, *DAYS, "--step-min", "30")
    assert len(rows) == 96
    assert rows[0]["time"] == "2027-05-04T00:00:00Z"
    assert rows[-1]["time"] == "2027-05-05T23:30:00Z"
    assert set(rows[0]) == {"time", "height_m"}


def test_windows_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    rows = answer(capsys, "windows", *PORTLAND, *DAYS, "--level-m", "2.2")
    [windows] = open_source("8418150").windows(BEGINS, ENDS, [2.2])
    assert [datetime.fromisoformat(row["starts_at"]) for row in rows] == [w.starts_at for w in windows]
    assert [datetime.fromisoformat(row["ends_at"]) for row in rows] == [w.ends_at for w in windows]
    assert rows[0]["starts_at"] == "2027-05-04T00:00:00Z"
    assert rows[0]["opens_before"]
    below = answer(capsys, "windows", *PORTLAND, *DAYS, "--level-m", "2.2", "--below")
    assert [row["starts_at"] for row in below[:2]] == [row["ends_at"] for row in rows[:2]]


def test_a_level_below_datum_may_be_asked_for(capsys: pytest.CaptureFixture[str]) -> None:
    assert len(answer(capsys, "windows", *PORTLAND, *DAYS, "--level-m", "-5")) == 1


def test_tables_for_people_are_in_local_time_and_say_what_is_not_in_them(capsys: pytest.CaptureFixture[str]) -> None:
    for command in (["events"], ["heights"], ["windows", "--level-m", "2.2"]):
        assert main([*command, *PORTLAND, *DAYS]) == 0
        printed = capsys.readouterr().out
        assert "Portland, ME: heights above MLLW, local time (America/New_York)" in printed
        assert " EDT" in printed
        assert "leave out wind, pressure and river flow" in printed
    assert main(["windows", *PORTLAND, *DAYS, "--level-m", "30"]) == 0
    assert "never at or above" in capsys.readouterr().out


def test_the_clock_change_in_a_table_for_people(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["heights", *PORTLAND, "--from", "2027-11-07", "--to", "2027-11-07"]) == 0
    printed = capsys.readouterr().out
    assert "2027-11-07 01:00 EDT" in printed
    assert "2027-11-07 01:00 EST" in printed


@pytest.mark.parametrize(
    ("argv", "words"),
    [
        (["events", "--station", "Portlnd", *DAYS], "did you mean 8418150 Portland, ME"),
        (["events", *PORTLAND, "--from", "2027-05-33", "--to", "2027-06-01"], "'2027-05-33' is no date"),
        (["events", *PORTLAND, "--from", "2027-05-05", "--to", "2027-05-04"], "comes after"),
        (["events", *PORTLAND, "--from", "2027-05-05", "--to", "9999-12-31"], "choose an earlier one"),
        (["events", *PORTLAND, "--from", "2300-05-05", "--to", "2300-05-06"], "has no tide"),
        (["events", "--station", "missing.json", *DAYS], "missing.json cannot be read"),
        (["events", *DAYS], "--station"),
        (["windows", *PORTLAND, *DAYS], "--level-m"),
        (["windows", *PORTLAND, *DAYS, "--level-m", "nan"], "finite height"),
        (["heights", *PORTLAND, *DAYS, "--step-min", "0"], "--step-min 0 is too short"),
        (["heights", *PORTLAND, *DAYS, "--step-min", "nan"], "--step-min nan"),
        (["heights", *PORTLAND, "--from", "1950-01-01", "--to", "2050-01-01", "--step-min", "1"], "1,000,000 heights"),
        (["ebb", *PORTLAND, *DAYS], "invalid choice"),
        ([], "required"),
    ],
)
def test_bad_input_gets_one_line_and_exit_code_2(
    capsys: pytest.CaptureFixture[str], argv: list[str], words: str
) -> None:
    assert words in refusal(capsys, *argv)


def test_a_faulty_file_gets_one_line(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    (tmp_path / "bad.json").write_text('{"name": 3}')
    (tmp_path / "bad.csv").write_text("# zone: UTC\n# unit: m\n# datum: MLLW\ndate,time,height,kind\nx,y,z,u\n")
    assert "name: Expected `str`" in refusal(capsys, "events", "--station", str(tmp_path / "bad.json"), *DAYS)
    assert "row 5, date" in refusal(capsys, "events", "--station", str(tmp_path / "bad.csv"), *DAYS)


def test_it_runs_as_a_module_and_never_loads_django() -> None:
    code = (
        "import sys; from yard.tides.__main__ import main; "
        "main(['events', '--station', '8418150', '--from', '2027-05-04', '--to', '2027-05-04', '--json']); "
        "import yard.tides.daylight, yard.tides.gauge, yard.tides.needed; "
        "assert not any(name.partition('.')[0] == 'django' for name in sys.modules)"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False, timeout=60)
    assert ran.returncode == 0, ran.stderr
    assert len(json.loads(ran.stdout)) in (3, 4)


def test_a_year_at_six_minutes_takes_at_most_5_ms_of_one_core() -> None:
    """Processor time, best of 15 rounds, so that other work on the machine does not count."""
    year = bench.year_at_six_minutes(2027)
    assert len(year) == 365 * 240
    heights, *others = bench.run("8418150")
    assert heights.best_ms <= 5.0
    assert all(timing.best_ms <= timing.median_ms for timing in [heights, *others])


def test_bench_prints_each_measurement(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["bench"]) == 0
    assert capsys.readouterr().out.count(" ms, median ") == 3


def test_days_are_utc_days_both_included(capsys: pytest.CaptureFixture[str]) -> None:
    rows = answer(capsys, "heights", *PORTLAND, "--from", "2027-05-04", "--to", "2027-05-04")
    assert [datetime.fromisoformat(row["time"]) for row in rows] == [BEGINS + timedelta(hours=n) for n in range(24)]
