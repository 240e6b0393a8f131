"""What /healthz tells whoever watches the machine, and that only a silent database takes the site away."""

from __future__ import annotations

from collections import namedtuple
from datetime import timedelta
from pathlib import Path

import pytest
from django.core.management import call_command
from django.db import OperationalError
from django.db.models.functions import Now
from django.test import Client
from django.utils import timezone

from yard.models import WorkerLease
from yard.services import leases
from yard.services.backup.noted import last_backup_at, note_backup

Usage = namedtuple("Usage", "total used free")


@pytest.fixture
def well(db: None, monkeypatch: pytest.MonkeyPatch) -> str:
    """All is well; the key of the worker's lease."""
    monkeypatch.setattr("shutil.disk_usage", lambda path: Usage(9e9, 1e9, 8e9))
    note_backup(timezone.now() - timedelta(hours=3))
    return leases.take_lease("shed", 7)


def asked(client: Client) -> dict[str, object]:
    answer = client.get("/healthz")
    assert answer.status_code == 200
    return answer.json()


def test_all_is_well_in_two_queries_and_without_signing_in(
    well: str, client: Client, django_assert_num_queries
) -> None:
    with django_assert_num_queries(2):
        told = asked(client)
    parts = dict.fromkeys(("status", "database", "worker", "disk", "backup"), "ok")
    assert told == parts | {"backup_age_hours": 3.0}
    assert client.head("/healthz").status_code == 200


def test_a_worker_that_is_silent_for_a_minute_is_missed(well: str, client: Client) -> None:
    WorkerLease.objects.update(heartbeat_at=Now() - timedelta(seconds=50))
    assert asked(client)["worker"] == "ok"
    WorkerLease.objects.update(heartbeat_at=Now() - timedelta(seconds=61))
    told = asked(client)
    assert (told["worker"], told["status"]) == ("no worker gave a sign in the last minute", "see below")
    leases.renew(well)
    leases.give_back(well)
    assert asked(client)["worker"] != "ok"


def test_a_full_disk_is_told_of(well: str, client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("shutil.disk_usage", lambda path: Usage(9e9, 8.6e9, 4e8))
    told = asked(client)
    assert (told["disk"], told["status"]) == ("less than 500 MB are left in the data folder", "see below")


def test_an_old_backup_and_none_at_all(well: str, client: Client) -> None:
    note_backup(timezone.now() - timedelta(hours=49))
    told = asked(client)
    assert (told["backup"], told["backup_age_hours"], told["status"]) == (
        "the last one is older than two days",
        49.0,
        "see below",
    )


@pytest.mark.django_db
def test_before_the_first_backup(client: Client) -> None:
    told = asked(client)
    assert (told["backup"], told["backup_age_hours"]) == ("none was written yet", None)


def test_a_database_that_does_not_answer_takes_the_site_away(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    def dead() -> bool:
        raise OperationalError("gone")

    monkeypatch.setattr("yard.web.health.somebody_works", dead)
    answer = client.get("/healthz")
    assert (answer.status_code, answer.json()) == (503, {"status": "the database does not answer"})


@pytest.mark.django_db(transaction=True)
def test_a_backup_that_was_read_again_is_noted(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("yard.services.backup.write._migrations", lambda: ())
    before = timezone.now()
    call_command("backup", tmp_path / "yard.zip", verbosity=0)
    noted = last_backup_at()
    assert noted is not None
    assert noted >= before
