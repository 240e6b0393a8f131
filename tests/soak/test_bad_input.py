"""A sample of `python -m tests.soak bad-input`, and each thing that the whole of it found."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from django.test import Client

from tests.soak.forecasts_trial import try_forecasts
from tests.soak.limits import TooLong, at_most
from tests.soak.pages_trial import try_addresses, try_forms, walk
from tests.soak.problems_trial import good_problem, try_problems
from tests.soak.sheets_trial import try_sheets
from yard.models import Package
from yard.planning.problem import ProblemInvalid, read_problem_json, write_problem_json
from yard.sheets.checks import row_faults
from yard.sheets.grid import SheetRefused
from yard.sheets.read_file import read_sheets

BACKEND = "yard.web.access.RoleBackend"


@pytest.fixture
def ada(cast: Any, posted_in_january: Any) -> Client:
    client = Client()
    client.force_login(cast.ada, BACKEND)
    return client


def test_a_hang_is_cut() -> None:
    def hang() -> None:
        with at_most(0.05):
            while True:
                pass

    with pytest.raises(TooLong):
        hang()


@pytest.mark.django_db
def test_no_sheet_fails_a_page_or_is_half_saved(ada: Client, settings: Any, tmp_path: Path) -> None:
    assert list(try_sheets(ada, [270, 1040, 77, 114])) == []


def test_no_problem_plan_or_order_fails_the_planner(tmp_path: Path) -> None:
    assert list(try_problems(range(2025, 2075), tmp_path)) == []


@pytest.mark.django_db
def test_no_forecast_fails_its_page(ada: Client, settings: Any, tmp_path: Path) -> None:
    settings.DATA_DIR = tmp_path
    assert list(try_forecasts(ada, range(12))) == []


@pytest.mark.django_db
def test_no_question_and_no_answer_fails_a_page(ada: Client) -> None:
    found = walk(ada, ["/today/", "/orders/", "/boats/"], most=12)
    assert list(try_addresses(ada, found, range(12))) == []
    assert list(try_forms(ada, found, range(12))) == []


# --- what the whole of it found ---


def changed(*path: str | int, value: Any) -> bytes:
    tree = at = json.loads(write_problem_json(good_problem()))
    for step in path[:-1]:
        at = at[step]
    at[path[-1]] = value
    return json.dumps(tree).encode()


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (changed("places", 0, "capacity", value=10**18), "the capacity of Apron is 1000000000000000000; at most 1000"),
        (changed("jobs", 0, "ways", 0, "crew", 0, "count", value=10**12), "the crew of job 'strip'"),
        (changed("jobs", 0, "ways", 0, "duration_quarters", value=2**63), "the quarters of job 'strip'"),
        (
            changed("jobs", 0, "ways", 0, "crew", value=[{"skill": "rig"}] * 45),
            "the number of needs of job 'strip' is 45",
        ),
        (changed("jobs", 0, "ways", value=[{"duration_quarters": 1}] * 201), "the number of ways of job 'strip'"),
        (changed("jobs", 1, "allowance_quarters", value=10**6), "the allowance of job 'paint'"),
        (changed("jobs", 1, "not_before", value=-(10**11)), "job 'paint': minute -100000000000 lies more than"),
        (changed("jobs", 0, "ways", 0, "places", 0, "units", value=10**9), "the units that job 'strip' asks for"),
        (changed("orders", 0, "began_day", value=2**63), "a day of order 'o0'"),
        (changed("orders", 0, "goes_first", value=10**7), "how much order 'o0' goes first"),
        (changed("links", 0, "max_wait", value=10**12), "the wait of jobs 0 and 1"),
        (changed("people", 0, "away", value=[[0, 10**12]]), "hours of Jo"),
        (changed("people", 0, "slide", "late_min", value=10**9), "the slide of Jo"),
        (changed("people", 0, "skills", "rig", value=10**9), "a level of Jo"),
        (changed("places", 1, "charges", 0, "quarters", value=10**9), "a charge of Skiff"),
        (changed("window_sets", 0, "intervals", value=[[0, 10**12]]), "windows 'light'"),
        (changed("forecast_until", value=10**12), "the forecast's end"),
        (changed("rates", "late_day", value=10**9), "a rate of cost"),
    ],
    ids=lambda value: value[:30] if isinstance(value, str) else "",
)
def test_a_number_beyond_any_yard_is_named(data: bytes, said: str) -> None:
    with pytest.raises(ProblemInvalid) as caught:
        read_problem_json(data)
    assert said in str(caught.value)


def test_a_calendar_beyond_any_yard_is_named() -> None:
    tree = json.loads(write_problem_json(good_problem()))
    tree["calendar"] |= {"day_starts": [1440 * day for day in range(8001)], "day_names": [], "weeks": []}
    with pytest.raises(ProblemInvalid, match="the calendar has 8001 days; at most 8000"):
        read_problem_json(json.dumps(tree))


def test_the_last_date_that_can_be_written_is_no_fault() -> None:
    """An owner's date of the year 9999 is a slip of hers, and no reason not to plan."""
    read_problem_json(changed("jobs", 1, "not_after", value=7973 * 366 * 1440))
    read_problem_json(changed("orders", 0, "due_day", value=7973 * 366))


def test_options_of_no_package_are_a_fault_of_their_line() -> None:
    said = {"boat": "wren", "options": ("covers",)}
    assert list(row_faults("orders", said)) == [
        ("options", "options, of no package", "name the package too, or leave the cell empty")
    ]
    assert list(row_faults("orders", said | {"package": "delivery"})) == []


def test_a_cell_that_is_too_long_says_where_and_what_to_do() -> None:
    with pytest.raises(SheetRefused, match=r"Line 2 .* in column 2: close the quotation mark .* or shorten the text"):
        read_sheets(b"name,notes\nWren," + b"x" * 4001, "a.csv")


@pytest.mark.django_db
@pytest.mark.parametrize("back", ["\\", "season", "'; DROP TABLE yard_boat; --", "//elsewhere.example/"])
def test_a_way_back_that_is_no_path_leads_to_today(ada: Client, back: str) -> None:
    answer = ada.post("/today/tap/", {"key": "934660fb-e8cd-43ad-b4f7-1b8bbd1bc180", "kind": "finished", "back": back})
    assert answer.status_code in (302, 400, 422)
    assert answer.headers.get("Location", "/today/") == "/today/"


@pytest.mark.django_db
def test_more_rows_than_a_form_has_are_not_drawn(ada: Client) -> None:
    """2,000 rows took 8 s of a machine."""
    page = f"/packages/{Package.objects.earliest('pk').pk}/jobs/new/"
    sent = {f"{prefix}-{name}": "1000" for prefix in ("ways", "links") for name in ("TOTAL_FORMS", "INITIAL_FORMS")}
    answer = ada.post(page, sent)
    assert answer.status_code == 422
    assert len(answer.context["sheet"].ways) <= 24
