"""A walk over pages, private addresses, failures and the worker, with its log read afterwards: lines of JSON in which
nobody is named, no address stands and no token opens anything."""

from __future__ import annotations

import io
import json
import logging
from collections.abc import Iterator
from datetime import timedelta
from typing import Any

import pytest
from django.conf import settings as configured
from django.db import IntegrityError, OperationalError
from django.test import Client
from django.urls import reverse
from django.utils.module_loading import import_string
from gunicorn.config import Config

from tests.conftest import Cast
from tests.letters.told_yard import NOW, make_order, make_owner, make_plan
from tests.operation.small_yard import make_small_yard
from tests.operation.test_plan_runs import Clock
from yard.log_lines import JsonLines, without_secrets
from yard.management.background import new_worker, work
from yard.models import Owner, Person, YardSettings
from yard.services.carry_out_run import carry_out
from yard.services.feeds.addresses import owners_own_address
from yard.services.feeds.addresses import token_of as calendar_token
from yard.services.owner_pages.addresses import open_page, token_of
from yard.services.plan_runs import Asked, ask_for_plan
from yard.site_log import SiteLog
from yard.tasks import send_letters

PAGES = ("season", "boats", "orders", "crew", "plans", "by_hand", "yard_settings", "accounts", "owners")
SAID = "Bertram Quill, bertram@quill.example"


@pytest.fixture
def log() -> Iterator[io.StringIO]:
    """Through the formatter that the settings name."""
    told = configured.LOGGING
    out = io.StringIO()
    handler = logging.StreamHandler(out)
    handler.setFormatter(import_string(told["formatters"][told["handlers"]["stderr"]["formatter"]]["()"])())
    logging.getLogger().addHandler(handler)
    yield out
    logging.getLogger().removeHandler(handler)


def raises(error: Exception) -> Any:
    def fail(*args: Any, **kwargs: Any) -> None:
        raise error

    return fail


@pytest.mark.once
@pytest.mark.django_db(transaction=True)
def test_nobody_is_named(
    cast: Cast, log: io.StringIO, settings: Any, monkeypatch: pytest.MonkeyPatch, client: Client
) -> None:
    make_small_yard()
    YardSettings.objects.update(clock_frozen_at=NOW, email="office@creek.example")
    owner = make_owner("Bertram Quill", email="bertram@quill.example", phone="555 0177")
    make_order(make_plan(), owner, "Wren", NOW + timedelta(days=3))
    page, calendar = open_page(owner, by=cast.ada, now=NOW), owners_own_address(owner, now=NOW)
    tokens = [token_of(page), calendar_token(calendar)]
    secrets = [*(word for token in tokens if token for word in (token, token[:-1] + "x")), "555 0177", "127.0.0.1"]

    client.raise_request_exception = False
    for token in secrets[:4]:
        client.get(f"/owner/{token}/")
        client.get(f"/calendar/{token}.ics")
    for _ in range(7):  # the last ones are locked out
        client.post(reverse("sign_in"), {"username": "bertram@quill.example", "password": "wrong"})
    client.get("/season/", headers={"host": "nowhere.example"})
    client.force_login(cast.ada, "yard.web.access.RoleBackend")
    for name in PAGES:
        assert client.get(reverse(name)).status_code == 200
    client.get("/boats/999/")
    for error in (ValueError(SAID), IntegrityError(f"Key (email)=({SAID}) already exists."), KeyError(SAID)):
        monkeypatch.setattr("yard.web.health.somebody_works", raises(error))
        assert client.get("/healthz").status_code in (500, 503)
    a_planning_run_fails(settings)
    a_task_fails(monkeypatch)

    lines = [json.loads(line) for line in log.getvalue().splitlines()]
    assert {"yard.services.carry_out_run", "django.request", "django_tasks"} <= {line["logger"] for line in lines}
    assert all(line.keys() >= {"at", "level", "logger", "process", "message"} for line in lines)
    (failed,) = [line for line in lines if line.get("error") == "builtins.KeyError"]
    assert any(where.startswith("yard/web/health.py:") for where in failed["where"]), "what is needed to mend it"
    people = [*Owner.objects.values_list("name", flat=True), *Person.objects.values_list("name", flat=True)]
    words = {part for name in people for part in name.split()} | {"quill", "creek.example", *secrets}
    said = log.getvalue().lower()
    assert [word for word in words if word.lower() in said] == []


def a_planning_run_fails(settings: Any) -> None:
    settings.PLAN_SOLVER = "tests.operation.solvers.naming"
    asked = ask_for_plan(seconds=5, seed=1, by=None, now=NOW)
    assert isinstance(asked, Asked)
    carry_out(asked.run.pk, clock=Clock(), should_leave=lambda: False)
    asked.run.refresh_from_db()
    assert "Bertram Quill" in asked.run.error, "people read it on its page"


def a_task_fails(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("yard.services.letters.sending.send_released", raises(ValueError(SAID)))
    send_letters.enqueue()
    work(new_worker(batch=True), alone=True)


@pytest.mark.parametrize(
    ("text", "becomes"),
    [
        ("Not Found: /owner/dGhpcyBpcyBhIHRva2Vu/yes", "Not Found: /owner/(hidden)/yes"),
        ("mail to Bo.Tern+boats@mail.example.org.uk failed", "mail to (e-mail) failed"),
        ("key 4Yz0abcdefghijklmnopqrstuvwxyz012345", "key (hidden)"),
        ("/static/yard/season_board.css", "/static/yard/season_board.css"),
        ("yard.services.carry_out_run of run 17", "yard.services.carry_out_run of run 17"),
    ],
)
def test_what_is_taken_out_of_a_text(text: str, becomes: str) -> None:
    assert without_secrets(text) == becomes


def test_what_the_machine_says_is_told() -> None:
    for error, says in (
        (OSError(28, "No space left on device"), "No space left"),
        (OperationalError("locked"), "locked"),
    ):
        try:
            raise error
        except Exception as caught:
            record = logging.LogRecord("yard", logging.ERROR, "", 0, "stopped", (), (type(caught), caught, None))
        assert says in json.loads(JsonLines().format(record))["says"]


def test_gunicorn_speaks_in_the_same_lines(capsys: pytest.CaptureFixture[str]) -> None:
    SiteLog(Config()).error("Worker (pid:%s) was sent SIGKILL! Asked for by bertram@quill.example", 17)
    (line,) = capsys.readouterr().err.splitlines()
    said = json.loads(line)
    assert (said["logger"], said["level"]) == ("gunicorn.error", "ERROR")
    assert said["message"] == "Worker (pid:17) was sent SIGKILL! Asked for by (e-mail)"
