"""The forecast's page: whose it is and how old, what a file brings in, and what is said of one that is none."""

from __future__ import annotations

from datetime import UTC, timedelta
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.http import HttpResponse
from django.test import Client

from tests.conftest import Cast
from tests.web.made_creek import BACKEND, FRIDAY, NOW, launch, person, post, text_of
from yard.models import Closure, HourlyForecast, Job, Plan, Proposal, YardSettings
from yard.services.fetch_forecast import LARGEST_BYTES

pytestmark = pytest.mark.django_db
HEAD = "start_utc,wind_kn,gust_kn,rain_mm,pop_percent,temp_c,dew_c,rh_percent,thunder"


@pytest.fixture
def ada(cast: Cast, client: Client, creek: YardSettings, settings: Any, tmp_path: Path) -> Client:
    settings.DATA_DIR = tmp_path
    client.force_login(cast.ada, BACKEND)
    return client


def csv(gust_kn: int = 6, hours: int = 24) -> str:
    start = NOW.replace(minute=0)
    rows = (f"{start + timedelta(hours=n):%Y-%m-%dT%H:%MZ},4,{gust_kn},0,0,14,4,50,no" for n in range(hours))
    return "\n".join([HEAD, *rows])


def send(client: Client, body: str | bytes, kind: str = "csv") -> str:
    data = body if isinstance(body, bytes) else body.encode()
    return said(client.post("/forecast/", {"file": SimpleUploadedFile("f", data), "format": kind}, follow=True))


def said(answer: HttpResponse) -> str:
    """The whole page: what was said of a file stands above its contents."""
    return unescape(answer.content.decode())


def test_none_is_a_normal_state(ada: Client) -> None:
    text = text_of(ada.get("/forecast/"))
    assert "No forecast is kept" in text
    assert "Nobody is asked for forecasts." in text


def test_a_file_is_kept_once_and_shown_with_its_credit_and_age(ada: Client) -> None:
    assert "24 hours kept" in send(ada, csv())
    assert "24 hours were kept already" in send(ada, csv())
    text = text_of(ada.get("/forecast/"))
    row = HourlyForecast.objects.get()
    assert row.credit in text
    assert "Forecast of Thu 6 May 10:00" in text
    assert "10 to 20" in text  # every hour from now to the end of the page's day works for each kind


def test_a_gale_is_suggested_and_moves_nothing(ada: Client) -> None:
    row = launch(post(), "Tern", FRIDAY, "11:00", person("Ben"))
    Job.objects.filter(pk=row.job_id).update(weather_class="afloat")
    assert "suggested" in send(ada, csv(gust_kn=45, hours=48))
    assert set(Closure.objects.values_list("state", flat=True)) == {"suggested"}
    assert (Plan.objects.get(), Proposal.objects.count()) == (row.plan, 0)


@pytest.mark.parametrize(
    ("kind", "body", "says"),
    [
        ("csv", "", "no forecast"),
        ("csv", csv().replace(",6,", ",fast,", 1), "row 2"),
        ("csv", HEAD, "no forecast"),
        ("nws", '{"properties": {"updateTime": "2027-05-06T10', "no forecast"),
        ("nws", "<html>Service unavailable</html>", "no forecast"),
        ("metno", "{}", "no forecast"),
        ("csv", b"\xff\xfe\x00", "no forecast"),
        ("csv", b"0" * (LARGEST_BYTES + 1), "larger than any forecast"),
        ("tea leaves", csv(), "Choose whose format"),
    ],
    ids=["empty", "malformed", "head alone", "truncated", "no JSON", "nothing in it", "bytes", "huge", "no format"],
)
def test_what_is_no_forecast_is_refused_in_words_and_nothing_is_kept(
    ada: Client, kind: str, body: str | bytes, says: str
) -> None:
    assert says in send(ada, body, kind)
    assert not HourlyForecast.objects.exists()
    assert not Closure.objects.exists()


def test_no_file_at_all_is_said(ada: Client) -> None:
    assert "Choose a file first." in said(ada.post("/forecast/", {"format": "csv"}, follow=True))


def test_a_viewer_reads_and_brings_nothing_in(ada: Client, cast: Cast) -> None:
    send(ada, csv())
    ada.force_login(cast.dee, BACKEND)
    assert ada.get("/forecast/").status_code == 200
    assert ada.post("/forecast/", {"provider": "nws"}).status_code == 403


def test_an_old_one_says_that_it_is_old(ada: Client) -> None:
    send(ada, csv(hours=96))
    YardSettings.objects.update(clock_frozen_at=(NOW + timedelta(hours=13)).astimezone(UTC))
    assert "old" in text_of(ada.get("/forecast/")).split("Forecast of", 1)[1][:60]
