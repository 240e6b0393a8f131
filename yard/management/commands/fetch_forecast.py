"""Bring in a forecast: from a file, or from a provider over the network."""

from __future__ import annotations

from argparse import ArgumentParser
from datetime import datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import CommandError
from django.utils import timezone
from django.utils.translation import gettext as _

from yard.management.on_tables import OnTables
from yard.models import YardSettings
from yard.services.fetch_forecast import READERS, ForecastRefused, ask_provider
from yard.services.store_forecast import store_forecast
from yard.weather.fetch import Fetched, Validators
from yard.weather.hourly import ForecastNotRead


class Command(OnTables):
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
            raise CommandError(_("Nothing was kept: {error}").format(error=error)) from error
        made = f"{row.updated_at:%Y-%m-%d %H:%M}"
        self.stdout.write(
            (
                _("{hours} hours of {provider}, made {made} UTC: kept.")
                if new
                else _("{hours} hours of {provider}, made {made} UTC: kept already.")
            ).format(hours=len(row.rows), provider=row.provider, made=made)
        )


def _from_provider(kind: str, now: datetime) -> bytes:
    yard = YardSettings.objects.filter(pk=1).first() or YardSettings()
    try:
        answer = ask_provider(kind, yard, key=settings.OPEN_METEO_KEY, validators=Validators(), now=now)
    except ForecastRefused as error:
        raise CommandError(_("{error} Or name a file with --file.").format(error=error)) from error
    if not isinstance(answer, Fetched):
        raise CommandError(_("The provider says that nothing is new, though nothing was kept: try again."))
    return answer.body
