"""A full disk, a database that only reads, one that another process holds: real ones, and the page for the person."""

from __future__ import annotations

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from typing import Any

import pytest
from django.db import OperationalError, connection
from django.test import Client

from tests.web.form_reading import PageForms
from yard.models import Boat, YardSettings
from yard.web.failing import BROKEN, FULL, HELD, READ_ONLY, SILENT, failing_of

BACKEND = "yard.web.access.RoleBackend"
on_sqlite = pytest.mark.skipif(connection.vendor != "sqlite", reason="faults of a SQLite file")


@pytest.fixture
def cy(cast: Any) -> Client:
    YardSettings.objects.create(name="Tallow Creek Yard", time_zone="America/New_York")
    client = Client(raise_request_exception=False)
    client.force_login(cast.cy, BACKEND)
    return client


@contextmanager
def pragma(words: str, back: str) -> Iterator[None]:
    with connection.cursor() as cursor:
        cursor.execute(f"PRAGMA {words}")
        try:
            yield
        finally:
            cursor.execute(f"PRAGMA {back}")


@contextmanager
def full() -> Iterator[None]:
    """SQLite's own limit of pages gives the error that a full disk gives, and rolls back as it does."""
    with connection.cursor() as cursor:
        [free], [size] = (cursor.execute(f"PRAGMA {name}").fetchone() for name in ("freelist_count", "page_size"))
        cursor.execute(f"CREATE TABLE filler AS SELECT zeroblob({free * size}) AS room")  # what tests before gave back
        [pages] = cursor.execute("PRAGMA page_count").fetchone()
        with pragma(f"max_page_count = {pages}", "max_page_count = 1073741823"):
            yield
        cursor.execute("DROP TABLE filler")


NEW_BOAT = {
    "name": "Heron",
    "ref": "heron",
    "length_m": "24 ft",
    "beam_m": "8 ft",
    "notes": "<b>her oars</b> " + "x" * 40_000,
}


def send(client: Client) -> Any:
    page = PageForms(client.get("/boats/new/").content.decode())
    form = next(form for form in page.forms if form.posts and any(each.name == "name" for each in form.fields))
    kept = {each.name: each.value for each in form.fields if each.kind == "hidden"}
    kept |= {each.name: each.options[-1][0] for each in form.fields if each.name in ("kind", "in_a_storm")}
    return client.post("/boats/new/", kept | NEW_BOAT)


@on_sqlite
@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize(
    ("fault", "status", "title"),
    [
        (full, 507, "The disk of the yard&#x27;s machine is full"),
        (lambda: pragma("query_only = ON", "query_only = OFF"), 503, "The yard&#x27;s machine lets nothing be written"),
    ],
    ids=["full", "read-only"],
)
def test_what_cannot_be_written_is_said_and_given_back(cy: Client, fault: Any, status: int, title: str) -> None:
    with fault():
        answer = send(cy)
        assert cy.get("/boats/").status_code == 200, "reading goes on"
    page = answer.content.decode()
    assert (answer.status_code, title in page) == (status, True)
    assert "What you sent just now was not saved, or not all of it." in page
    assert not Boat.objects.exists()
    [again] = PageForms(page).forms
    given = {each.name: each.value for each in again.fields if each.name != "csrfmiddlewaretoken"}
    assert given["notes"] == NEW_BOAT["notes"]
    assert cy.post(again.attrs["action"], given).status_code == 302
    assert Boat.objects.get().name == "Heron"


@on_sqlite
@pytest.mark.django_db(transaction=True)
def test_a_database_that_another_process_holds_is_waited_for_and_said(cy: Client) -> None:
    with closing(sqlite3.connect(connection.settings_dict["NAME"], isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pragma("busy_timeout = 50", "busy_timeout = 20000"):
            answer = send(cy)
            assert cy.get("/boats/").status_code == 200, "reading goes on"
        other.execute("ROLLBACK")
    assert (answer.status_code, answer.headers["Retry-After"]) == (503, "5")
    assert "Somebody else is writing at this moment" in answer.content.decode()
    assert not Boat.objects.exists()


@pytest.mark.django_db
def test_a_phone_is_told_in_json_and_any_other_fault_is_ours(cy: Client, monkeypatch: Any) -> None:
    def fails(error: Exception) -> Any:
        def view(*args: object, **named: object) -> None:
            raise error

        monkeypatch.setattr("yard.web.views.phone.read_tap", view)
        return cy.post("/today/tap/", {"kind": "finished"}, headers={"Accept": "application/json"})

    answer = fails(OSError(errno.ENOSPC, "No space left on device"))
    assert (answer.status_code, answer.json()["says"][:8]) == (507, "The disk")
    assert fails(ValueError("ours")).status_code == 500


@pytest.mark.django_db
def test_a_part_of_a_page_is_told_in_a_header(cy: Client, monkeypatch: Any) -> None:
    """For the script, which says it above the page that stays."""

    def view(*args: object, **named: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr("yard.web.views.phone.read_tap", view)
    answer = cy.post("/today/tap/", {"kind": "finished"}, headers={"HX-Request": "true"})
    assert answer.headers["X-Yard-Says"].startswith("The disk of the yard's machine is full. Tell whoever")


@pytest.mark.django_db
def test_a_password_is_never_given_back(cy: Client, monkeypatch: Any) -> None:
    def view(*args: object, **named: object) -> None:
        raise OSError(errno.EROFS, "Read-only file system")

    monkeypatch.setattr("yard.web.views.phone.read_tap", view)
    page = cy.post("/today/tap/", {"new_password1": "a heron stands", "kind": "x"}).content.decode()
    assert "a heron stands" not in page
    assert "most browsers still have what you typed" in page


class Said(Exception):
    def __init__(self, sqlstate: str) -> None:
        self.sqlstate = sqlstate


@pytest.mark.parametrize(
    ("state", "failing"),
    [("53100", FULL), ("25006", READ_ONLY), ("55P03", HELD), ("40P01", HELD), ("08006", SILENT), ("23505", None)],
)
def test_what_postgresql_says(state: str, failing: Any) -> None:
    """SQLSTATE as appendix A of PostgreSQL's manual has them."""
    error = OperationalError("so it is")
    error.__cause__ = Said(state)
    assert failing_of(error) is failing


def test_a_disk_that_fails_is_not_called_full() -> None:
    """SQLITE_IOERR_WRITE is 778, primary code 10 (https://sqlite.org/rescode.html)."""
    error = OperationalError("disk I/O error")
    error.__cause__ = sqlite3.OperationalError("disk I/O error")
    error.__cause__.sqlite_errorcode = 778
    assert failing_of(error) is failing_of(OSError(errno.EIO, "Input/output error")) is BROKEN


def test_a_connection_that_is_refused_and_no_error_at_all() -> None:
    assert failing_of(OperationalError("connection failed: refused")) is SILENT
    assert failing_of(None) is None
