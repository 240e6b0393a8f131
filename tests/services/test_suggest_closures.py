"""A forecast suggests closures and moves nothing; a person accepts or drops each, once."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from django.utils import timezone

from tests.conftest import Cast
from tests.web.made_creek import FRIDAY, NOW, at, job, launch, make_creek, person, post
from yard.models import Closure, Event, HourlyForecast, Place, PlannedPlace, YardSettings
from yard.services.happenings import EventRefused
from yard.services.record_event import take_back
from yard.services.suggest_closures import accept_closure, drop_closure, suggest_closures, suggested_closures

pytestmark = pytest.mark.django_db


@pytest.fixture
def creek(db: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[YardSettings]:
    monkeypatch.chdir(tmp_path)
    with timezone.override("America/New_York"):
        yield make_creek(tmp_path)


def forecast(gusts: dict[int, float], made: datetime = NOW) -> HourlyForecast:
    """Friday by the hour: 8 kn of wind with gusts of 12, and those of `gusts` at the hours of the yard's clock."""
    rows = []
    for hour in range(24):
        gust = gusts.get(hour, 12.0)
        start = (at(FRIDAY, "00:00") + timedelta(hours=hour)).astimezone(UTC)
        rows.append(
            {
                "start": start.isoformat(),
                "wind_kn": 8.0 if gust < 20 else 18.0,
                "gust_kn": gust,
                "rain_mm": 0.0,
                "pop": 0.0,
                "temp_c": 18.0,
                "dew_c": 8.0,
                "rh": 50.0,
                "thunder": False,
            }
        )
    digest = f"{made.isoformat()}{sorted(gusts.items())}"
    return HourlyForecast.objects.create(
        provider="csv", fetched_at=made, updated_at=made, credit="the yard", raw_sha256=digest[:64], rows=rows
    )


def test_hours_afloat_over_the_limit_suggest_that_the_water_be_closed(creek: YardSettings) -> None:
    row = launch(post(), "Tern", FRIDAY, "11:00", person("Ben"))
    row.job.weather_class = "afloat"
    row.job.save()
    forecast({11: 31.0, 12: 28.0, 16: 40.0})  # at 16:00 nobody is on the water
    made = suggest_closures(real_now=NOW)
    assert [(one.covers, one.starts_at, one.ends_at) for one in made] == [
        ("water", at(FRIDAY, "11:00"), at(FRIDAY, "13:00"))
    ]
    assert made[0].reason == "forecast: gusts up to 31 kn, limit 22"
    assert suggest_closures(real_now=NOW) == []  # once
    assert not Closure.objects.filter(state="accepted").exists()  # nothing is closed by a forecast


def test_a_place_with_a_limit_of_its_own_is_suggested_alone(creek: YardSettings) -> None:
    pole = Place.objects.create(ref="pole", name="Gin pole", kind="gin_pole", outdoor=True, wind_factor=1.5)
    row = job(post(), "Tern", "Step", FRIDAY, "11:00", "12:00", person("Ben"), outdoor=True, weather_class="mast")
    PlannedPlace.objects.create(planned_job=row, place=pole)
    forecast({11: 13.0})  # 13 kn are 19.5 at the pole; the limit for masts is 15
    made = suggest_closures(real_now=NOW)
    assert [(one.covers, one.place) for one in made] == [("place", pole)]


def test_a_better_forecast_withdraws_what_nobody_decided(creek: YardSettings) -> None:
    row = launch(post(), "Tern", FRIDAY, "11:00", person("Ben"))
    row.job.weather_class = "afloat"
    row.job.save()
    forecast({11: 31.0})
    suggest_closures(real_now=NOW)
    forecast({}, made=NOW + timedelta(minutes=5))
    suggest_closures(real_now=NOW)
    assert Closure.objects.get().state == "withdrawn"


def test_accepted_is_an_event_that_can_be_taken_back(creek: YardSettings, cast: Cast) -> None:
    shut = Closure.objects.create(
        covers="water", starts_at=at(FRIDAY, "11:00"), ends_at=at(FRIDAY, "13:00"), reason="gale", made_at=NOW
    )
    assert suggested_closures(NOW) == [shut]
    event = accept_closure(shut, seen_version=shut.version, by=cast.ada, now=NOW)
    shut.refresh_from_db()
    assert (shut.state, shut.decided_by, event.kind) == ("accepted", cast.ada, Event.Kind.CLOSURE)
    with pytest.raises(EventRefused, match="accepted already"):
        drop_closure(shut, seen_version=1, by=cast.ada, now=NOW)  # the second of two is told
    take_back(event, by=cast.ada, now=NOW)
    assert suggested_closures(NOW) == [shut]


def test_what_was_dropped_is_suggested_again_only_where_it_has_grown(creek: YardSettings, cast: Cast) -> None:
    row = launch(post(), "Tern", FRIDAY, "11:00", person("Ben"))
    row.job.weather_class = "afloat"
    row.job.save()
    forecast({11: 31.0})
    (made,) = suggest_closures(real_now=NOW)
    drop_closure(made, seen_version=made.version, by=cast.ada, now=NOW)
    forecast({11: 33.0}, made=NOW + timedelta(minutes=5))
    assert suggest_closures(real_now=NOW) == []
    forecast({11: 33.0, 12: 33.0}, made=NOW + timedelta(minutes=9))
    assert [one.ends_at for one in suggest_closures(real_now=NOW)] == [at(FRIDAY, "13:00")]


def test_an_old_forecast_and_none_suggest_nothing(creek: YardSettings) -> None:
    row = launch(post(), "Tern", FRIDAY, "11:00", person("Ben"))
    row.job.weather_class = "afloat"
    row.job.save()
    assert suggest_closures(real_now=NOW) == []
    forecast({11: 31.0}, made=NOW - timedelta(hours=40))
    assert suggest_closures(real_now=NOW) == []
