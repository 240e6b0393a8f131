"""The worker asks for forecasts on its rule, says how it went, and comes again when it is time."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import httpx
import pytest
from django.utils import timezone
from django_tasks_db.models import DBTaskResult

from yard.models import ForecastSource, HourlyForecast, YardSettings
from yard.services import fetch_forecast, suggest_closures
from yard.services.fetch_forecast import ForecastRefused, choose_provider, due_at, fetch_if_due, keep_file
from yard.tasks import come_again_for_forecast, refresh_forecast

pytestmark = pytest.mark.django_db
NOON = datetime(2027, 5, 6, 16, tzinfo=UTC)


def entry(hour: int) -> dict[str, Any]:
    values = {"air_temperature": 14.0, "wind_speed": 6.0, "relative_humidity": 60.0, "dew_point_temperature": 6.0}
    rain = {"details": {"precipitation_amount": 0.0}, "summary": {"symbol_code": "fair_day"}}
    return {"time": f"2027-05-06T{hour}:00:00Z", "data": {"instant": {"details": values}, "next_1_hours": rain}}


UNITS = {
    "air_temperature": "celsius",
    "dew_point_temperature": "celsius",
    "precipitation_amount": "mm",
    "relative_humidity": "%",
    "wind_speed": "m/s",
}
META = {"updated_at": "2027-05-06T15:00:00Z", "units": UNITS}
BODY = json.dumps(
    {"type": "Feature", "properties": {"meta": META, "timeseries": [entry(hour) for hour in (16, 17, 18)]}}
).encode()


@pytest.fixture
def yard() -> YardSettings:
    return YardSettings.objects.create(
        name="Test Yard", time_zone="America/New_York", latitude=41.5, longitude=-70.7, email="yard@example.org"
    )


def answering(status: int, body: bytes = BODY) -> httpx.Client:
    headers = {"Last-Modified": "Thu, 06 May 2027 15:00:00 GMT", "Expires": "Thu, 06 May 2027 16:40:00 GMT"}
    return httpx.Client(transport=httpx.MockTransport(lambda _: httpx.Response(status, content=body, headers=headers)))


def ask(folder: Path, client: httpx.Client, now: datetime = NOON) -> HourlyForecast | None:
    return fetch_if_due(real_now=now, folder=folder, key="", client=client)


def test_asked_when_due_and_kept_once(yard: YardSettings, tmp_path: Path) -> None:
    assert ask(tmp_path, answering(200)) is None  # nobody is to be asked
    choose_provider("metno", real_now=NOON)
    row = ask(tmp_path, answering(200))
    assert row is not None, ForecastSource.objects.get().last_error
    assert (row.provider, row.credit) == ("metno", "MET Norway, api.met.no, CC BY 4.0")
    source = ForecastSource.objects.get()
    assert (source.last_tried_at, source.last_error) == (NOON, "")
    assert source.last_modified == "Thu, 06 May 2027 15:00:00 GMT"
    assert ask(tmp_path, answering(500)) is None  # it is not time again: nobody is asked, nothing fails
    assert ForecastSource.objects.get().last_error == ""


def test_a_failure_is_said_and_the_next_time_is_kept(yard: YardSettings, tmp_path: Path) -> None:
    choose_provider("metno", real_now=NOON)
    assert ask(tmp_path, answering(403)) is None
    source = ForecastSource.objects.get()
    assert "403" in source.last_error
    due = due_at(source, "America/New_York", real_now=NOON)
    assert due is not None
    assert due > NOON


@pytest.mark.parametrize("body", [b"", b"{", b'{"properties": {}}', b"\x00" * 50])
def test_a_broken_answer_keeps_nothing(yard: YardSettings, tmp_path: Path, body: bytes) -> None:
    choose_provider("metno", real_now=NOON)
    assert ask(tmp_path, answering(200, body)) is None
    assert ForecastSource.objects.get().last_error
    assert not HourlyForecast.objects.exists()


def test_without_a_contact_it_says_what_is_missing(yard: YardSettings, tmp_path: Path) -> None:
    YardSettings.objects.update(email="")
    choose_provider("metno", real_now=NOON)
    ask(tmp_path, answering(200))
    assert "e-mail address" in ForecastSource.objects.get().last_error


def test_the_worker_comes_again_once(yard: YardSettings) -> None:
    choose_provider("metno", real_now=timezone.now())
    ForecastSource.objects.update(last_tried_at=timezone.now())
    for _ in range(3):
        come_again_for_forecast()
    waiting = DBTaskResult.objects.filter(task_path=refresh_forecast.module_path)
    assert waiting.count() == 1
    run_after = waiting.get().run_after
    assert run_after is not None
    assert timezone.now() - timedelta(minutes=1) < run_after < timezone.now() + timedelta(hours=13)
    choose_provider("", real_now=timezone.now())
    come_again_for_forecast()
    assert not waiting.exists()


def test_a_file_that_is_too_large_or_of_another_format_is_refused(tmp_path: Path) -> None:
    for kind, body, says in (
        ("csv", b"x" * 5_000_001, "larger"),
        ("csv", b"not a forecast", "no forecast"),
        ("sheet", b"", "format"),
    ):
        with pytest.raises(ForecastRefused, match=says):
            keep_file(kind, body, now=NOON, folder=tmp_path)
    assert not HourlyForecast.objects.exists()


def test_a_new_forecast_suggests_and_an_old_one_does_not(yard: YardSettings, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[datetime] = []
    monkeypatch.setattr(suggest_closures, "suggest_closures", lambda *, real_now: asked.append(real_now))
    for answer in (None, HourlyForecast()):
        monkeypatch.setattr(fetch_forecast, "fetch_if_due", lambda answer=answer, **_: answer)
        refresh_forecast.func()
    assert len(asked) == 1
