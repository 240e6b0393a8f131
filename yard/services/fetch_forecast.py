"""Asking a provider for a forecast, by hand or by the worker on its rule; how the last asking went is kept."""

from __future__ import annotations

import random
import time
from collections.abc import Callable, Mapping
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import httpx
from django.utils.translation import gettext as _

from yard.models import ForecastSource, HourlyForecast, YardSettings
from yard.services.store_forecast import store_forecast
from yard.weather.fetch import Fetched as Answer
from yard.weather.fetch import NotModified, Validators, fetch, metno_url, nws_point_url, open_meteo_url
from yard.weather.hourly import Forecast, ForecastNotRead, Provider
from yard.weather.readers import metno, nws, open_meteo, plain_csv
from yard.weather.refresh import next_fetch_at

READERS: Mapping[str, Callable[[bytes], Forecast]] = {
    "nws": nws.read,
    "metno": metno.read,
    "open_meteo": open_meteo.read,
    "csv": lambda body: plain_csv.read(body, updated_at=None),
}
LARGEST_BYTES = 5_000_000
"""A file larger than this is no forecast of ten days by the hour."""


class ForecastRefused(Exception):
    """No forecast was kept; the text says why and what to do."""


def keep_file(kind: str, body: bytes, *, now: datetime, folder: Path) -> tuple[HourlyForecast, bool]:
    """Keep a forecast that came as a file, and say whether it was new.  Raises ForecastRefused."""
    if kind not in READERS:
        raise ForecastRefused(_("Choose whose format the file has."))
    if len(body) > LARGEST_BYTES:
        raise ForecastRefused(_("The file is larger than any forecast: is it the right one?"))
    try:
        return store_forecast(READERS[kind](body), body, fetched_at=now, folder=folder)
    except (ForecastNotRead, ValueError) as error:
        raise ForecastRefused(
            _(
                "The file is no forecast of that format: {error}. Choose another file, or the format that it has."
            ).format(error=error)
        ) from error
    except OSError as error:
        raise ForecastRefused(_("It could not be written: is there room in the yard's data folder?")) from error


def choose_provider(provider: str, *, real_now: datetime) -> ForecastSource:
    """Whom the worker asks from now on; "" for nobody. A minute is drawn once, so that not all ask at the hour."""
    row = ForecastSource.objects.filter(pk=1).first() or ForecastSource(minute=random.SystemRandom().randrange(60))
    if row.provider != provider:
        row.provider, row.last_tried_at, row.last_error = provider, None, ""
        row.etag, row.last_modified, row.not_before = "", "", None
    row.save()
    return row


def due_at(source: ForecastSource, zone: str, *, real_now: datetime) -> datetime | None:
    """When the worker asks next; None where nobody is asked."""
    if not source.provider:
        return None
    return next_fetch_at(
        real_now,
        source.last_tried_at,
        Provider(source.provider),
        ZoneInfo(zone),
        minute=source.minute,
        not_before=source.not_before,
    )


def fetch_if_due(
    *, real_now: datetime, folder: Path, key: str, client: httpx.Client | None = None
) -> HourlyForecast | None:
    """Ask if it is time, and note how it went; gives a forecast only where a new one was kept."""
    source, yard = ForecastSource.objects.filter(pk=1).first(), YardSettings.objects.filter(pk=1).first()
    if source is None or yard is None:
        return None
    due = due_at(source, yard.time_zone, real_now=real_now)
    if due is None or due > real_now:
        return None
    as_read = ForecastSource.objects.filter(pk=1, provider=source.provider, last_tried_at=source.last_tried_at)
    if as_read.update(last_tried_at=real_now) != 1:
        return None  # another worker asks at this moment, or a person chose somebody else
    source.last_tried_at, source.last_error = real_now, ""
    kept = None
    try:
        answer = ask_provider(source.provider, yard, key=key, validators=_known(source), now=real_now, client=client)
        source.not_before = answer.expires_at
        if isinstance(answer, Answer):
            source.etag = (answer.validators.etag or "")[:200]
            source.last_modified = (answer.validators.last_modified or "")[:60]
            row, new = store_forecast(
                READERS[source.provider](answer.body), answer.body, fetched_at=real_now, folder=folder
            )
            kept = row if new else None
    except (ForecastRefused, ForecastNotRead, OSError, ValueError) as error:
        source.last_error = str(error)[:300]
    source.save()
    return kept


def ask_provider(
    kind: str,
    yard: YardSettings,
    *,
    key: str,
    validators: Validators,
    now: datetime,
    client: httpx.Client | None = None,
) -> Answer | NotModified:
    """One answer of a provider for the yard's place.  Raises ForecastRefused, ForecastNotRead and ValueError."""
    if yard.latitude is None or yard.longitude is None:
        raise ForecastRefused(_("The yard's place is not entered: give its latitude and longitude first (Yard)."))
    if not yard.email:
        raise ForecastRefused(_("Providers ask for a contact: enter the yard's e-mail address first (Yard)."))
    asking = client or httpx.Client()
    with asking:
        match kind:
            case "nws":
                points = _ask(asking, nws_point_url(yard.latitude, yard.longitude), yard.email, Validators(), now)
                if not isinstance(points, Answer):
                    raise ForecastRefused(_("The provider did not say which grid the yard lies in: try again."))
                return _ask(asking, nws.read_grid_url(points.body), yard.email, validators, now)
            case "metno":
                return _ask(asking, metno_url(yard.latitude, yard.longitude), yard.email, validators, now)
            case "open_meteo":
                url = open_meteo_url(yard.latitude, yard.longitude, key)
                return _ask(asking, url, yard.email, validators, now)
            case _:
                raise ForecastRefused(_("A CSV comes from a file."))


def _ask(client: httpx.Client, url: str, contact: str, validators: Validators, now: datetime) -> Answer | NotModified:
    return fetch(
        client, url, contact=contact, validators=validators, now=now, clock_s=time.monotonic, sleep_s=time.sleep
    )


def _known(source: ForecastSource) -> Validators:
    return Validators(source.etag or None, source.last_modified or None)
