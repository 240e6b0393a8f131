"""The day the weather takes, page by page: forecast, closure, proposal, a boat that stays, accepted, undone, closed."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from uuid import uuid4
from zoneinfo import ZoneInfo

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from tests.conftest import Cast
from tests.services.test_proposals import made
from tests.web.made_creek import BACKEND, text_of
from yard.models import Closure, DayClosing, Event, Job, Plan, PlannedJob, Proposal, YardSettings

pytestmark = [pytest.mark.django_db, pytest.mark.once]
ZONE = ZoneInfo("America/New_York")


def first_windy_work() -> PlannedJob:
    """The first work of the plan that a gale shuts."""
    rows = PlannedJob.objects.filter(plan__state="posted", job__outdoor=True, job__weather_class__in=("sails", "mast"))
    return rows.select_related("job__order__boat").order_by("starts_at")[0]


def live_until(now: datetime) -> None:
    """Everything that the plan has before then is done, and the yard's clock stands there."""
    for row in PlannedJob.objects.filter(plan__state="posted", starts_at__lt=now):
        Job.objects.filter(pk=row.job_id).update(
            state="done", actual_starts_at=row.starts_at, actual_ends_at=min(row.ends_at, now)
        )
    YardSettings.objects.update(clock_frozen_at=now)


def gale_on(day: datetime, now: datetime) -> SimpleUploadedFile:
    """A forecast by the hour from now on, calm but for that day."""
    lines = ["start_utc,wind_kn,gust_kn,rain_mm,pop_percent,temp_c,dew_c,rh_percent,thunder"]
    start = now.replace(minute=0, second=0)
    for hour in range(72):
        at = (start + timedelta(hours=hour)).astimezone(UTC)
        wind, gust = (30, 42) if at.astimezone(ZONE).date() == day.date() else (4, 6)
        lines.append(f"{at:%Y-%m-%dT%H:%MZ},{wind},{gust},0,0,14,4,50,no")
    return SimpleUploadedFile("forecast.csv", "\n".join(lines).encode())


def test_a_day_lost_to_a_gale(posted_in_january: int, cast: Cast, client: Client) -> None:
    row = first_windy_work()
    morning = row.starts_at.astimezone(ZONE).replace(hour=0, minute=0)
    now = morning - timedelta(hours=6)
    live_until(now)
    client.force_login(cast.ada, BACKEND)

    sent = {"file": gale_on(morning, now), "format": "csv"}
    assert "suggested" in client.post("/forecast/", sent, follow=True).content.decode()
    shut = Closure.objects.filter(state="suggested", forecast__isnull=False).order_by("starts_at")[0]
    posted = Plan.objects.get(state="posted")
    assert "none" in text_of(client.get("/forecast/"))

    answer = client.post(f"/proposals/closures/{shut.pk}/accept/", {"version": shut.version})
    first = made(Proposal.objects.get(), rounds=2)
    page = text_of(client.get(answer.headers["Location"]))
    assert "nothing" in page or "move" in page
    assert Plan.objects.get(state="posted") == posted  # nothing moved by itself

    launched = posted.planned_jobs.filter(job__water_need="ramp").values("job__order__boat")
    later = posted.planned_jobs.filter(starts_at__gt=morning + timedelta(days=9), job__order__boat__in=launched)
    still = later.order_by("starts_at")[0]
    boat = still.job.order.boat_id
    again = client.post(f"/proposals/{first.pk}/again/", {"keep_boats": boat})
    second = made(Proposal.objects.exclude(pk=first.pk).get(), rounds=2)
    assert again.headers["Location"] == f"/proposals/{second.pk}/"
    choice = second.choices.get(proposed=True)
    read = text_of(client.get(f"/proposals/{second.pk}/"))
    stays = [row.starts_at for row in posted.planned_jobs.filter(job__order__boat=boat).order_by("job")]
    if second.not_kept:
        assert "Not everything could stay" in read
    else:
        assert [
            row.starts_at for row in choice.plan.planned_jobs.filter(job__order__boat=boat).order_by("job")
        ] == stays
    client.post(f"/proposals/{second.pk}/accept/", {"choice": choice.rank})
    new = Plan.objects.get(state="posted")
    assert new.pk == choice.plan_id
    moved = new.planned_jobs.filter(job=row.job).first()
    assert moved is None or moved.starts_at >= shut.ends_at or moved.ends_at <= shut.starts_at

    day = {"day": f"{morning:%Y-%m-%d}", "all": 1}
    if not new.planned_jobs.filter(job=row.job, starts_at__lt=morning + timedelta(days=1)).exists():
        assert f"{row.job.order.boat.name} {row.job.name}" not in text_of(client.get("/today/", day))
    assert f"plan {new.number} posted" in text_of(client.get("/changed/"))

    event = Event.objects.get(kind="closure")
    client.post(f"/proposals/events/{event.pk}/take-back/")
    client.post(f"/proposals/{second.pk}/undo/")
    assert Plan.objects.get(state="posted") == posted
    assert f"{row.job.order.boat.name} {row.job.name}" in text_of(client.get("/today/", day))

    YardSettings.objects.update(clock_frozen_at=morning + timedelta(hours=17))
    client.post(f"/today/close/{morning:%Y-%m-%d}/", {"form_key": str(uuid4())})
    assert DayClosing.objects.get().day == morning.date()
    assert Job.objects.get(pk=row.job_id).state in ("done", "open", "started")
