"""Bring in a forecast: from a file, or from a provider over the network."""

from __future__ import annotations

import time
from argparse import ArgumentParser
from collections.abc import Callable, Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

import httpx
from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from yard.models import YardSettings
from yard.services.store_forecast import store_forecast
from yard.weather.fetch import Fetched, Validators, fetch, metno_url, nws_point_url, open_meteo_url
from yard.weather.hourly import Forecast, ForecastNotRead
from yard.weather.readers import metno, nws, open_meteo, plain_csv

READERS: Mapping[str, Callable[[bytes], Forecast]] = {
    "nws": nws.read,
    "metno": metno.read,
    "open_meteo": open_meteo.read,
    "csv": lambda body: plain_csv.read(body, updated_at=None),
}


class Command(BaseCommand):
    help = (
        "Reads a forecast and keeps it, so that day sheets show gusts. Without --file it is fetched for the yard's "
        "place, with the yard's e-mail address as the contact that providers ask for."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--file", type=Path, help="a file instead of the network")
        parser.add_argument("--format", choices=sorted(READERS), default="nws", help="whose format, or which provider")

    def handle(self, *args: Any, **options: Any) -> None:
        """The clock of the machine: a forecast is of the real time, also in a yard whose clock stands still."""
        kind, now = options["format"], timezone.now()
        try:
            body = options["file"].read_bytes() if options["file"] else _from_provider(kind, now)
            row, new = store_forecast(READERS[kind](body), body, fetched_at=now, folder=settings.DATA_DIR)
        except (ForecastNotRead, OSError, ValueError) as error:
            raise CommandError(f"Nothing was kept: {error}") from error
        made, said = f"{row.updated_at:%Y-%m-%d %H:%M} UTC", "kept" if new else "kept already"
        self.stdout.write(f"{len(row.rows)} hours of {row.provider}, made {made}: {said}.")


def _from_provider(kind: str, now: datetime) -> bytes:
    yard = YardSettings.objects.filter(pk=1).first()
    if yard is None or yard.latitude is None or yard.longitude is None:
        raise CommandError("The yard's place is not entered: give its latitude and longitude first, or use --file.")
    if not yard.email:
        raise CommandError("Providers ask for a contact: enter the yard's e-mail address first, or use --file.")
    with httpx.Client() as client:
        match kind:
            case "nws":
                points = _ask(client, nws_point_url(yard.latitude, yard.longitude), yard.email, now)
                return _ask(client, nws.read_grid_url(points), yard.email, now)
            case "metno":
                return _ask(client, metno_url(yard.latitude, yard.longitude), yard.email, now)
            case "open_meteo":
                url = open_meteo_url(yard.latitude, yard.longitude, settings.OPEN_METEO_KEY)
                return _ask(client, url, yard.email, now)
            case _:
                raise CommandError("A CSV comes from a file: name it with --file.")


def _ask(client: httpx.Client, url: str, contact: str, now: datetime) -> bytes:
    answer = fetch(
        client, url, contact=contact, validators=Validators(), now=now, clock_s=time.monotonic, sleep_s=time.sleep
    )
    if not isinstance(answer, Fetched):
        raise CommandError("The provider says that nothing is new, though nothing was kept: try again.")
    return answer.body
