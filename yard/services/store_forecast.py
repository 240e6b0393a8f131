"""Keep a forecast that was read: its hours as rows, its bytes in the data folder, each answer once."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path

from django.db import transaction
from django.utils.translation import gettext as _

from yard.models import HourlyForecast
from yard.weather.hourly import Forecast, hours_as_rows

CREDITS: Mapping[str, str] = {
    "nws": "National Weather Service, weather.gov",
    "metno": "MET Norway, api.met.no, CC BY 4.0",
    "open_meteo": "Weather data by Open-Meteo.com, CC BY 4.0",
}


def store_forecast(
    forecast: Forecast, body: bytes, *, fetched_at: datetime, folder: Path
) -> tuple[HourlyForecast, bool]:
    """Keep it, and say whether it was new; an answer kept already is given back as it stands.

    body: the bytes it was read from; folder: the data folder, under which they are kept. updated_at is the
    provider's own time, or fetched_at where the provider tells none.
    """
    digest = hashlib.sha256(body).hexdigest()
    path = Path("forecasts") / f"{forecast.provider}-{digest[:20]}"
    with transaction.atomic():
        row, new = HourlyForecast.objects.get_or_create(
            provider=forecast.provider,
            raw_sha256=digest,
            defaults={
                "fetched_at": fetched_at,
                "updated_at": forecast.updated_at or fetched_at,
                "credit": CREDITS.get(forecast.provider) or _("the yard's own file"),
                "raw_path": path.as_posix(),
                "rows": hours_as_rows(forecast.hours),
            },
        )
        if new:  # inside the transaction: where the disk is full, no row says that the bytes are there
            (folder / path).parent.mkdir(parents=True, exist_ok=True)
            (folder / path).write_bytes(body)
    return row, new
