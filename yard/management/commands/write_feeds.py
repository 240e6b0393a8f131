"""manage.py write_feeds: every calendar of the posted plan as a file."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError
from django.utils import timezone
from django.utils.translation import gettext as _

from yard.management.on_tables import OnTables
from yard.services.feeds.files import write_files


class Command(OnTables):
    help = (
        "Writes every feed of the posted plan as an .ics file: people, boats, places, owners (by number), the whole"
        " yard, tides, closures, deadlines. For checks, and for yards that serve files elsewhere. They tell what the"
        " site shows only to some: keep the folder private."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--to", required=True, type=Path, metavar="FOLDER", help="made if it is not there")

    def handle(self, *args: Any, **options: Any) -> None:
        folder: Path = options["to"]
        try:
            written = write_files(folder, real_now=timezone.now())
        except OSError as error:
            raise CommandError(
                _("Cannot write into {folder}: {why}. Name another folder.").format(
                    folder=folder, why=error.strerror or error
                )
            ) from error
        except ValueError as error:
            raise CommandError(str(error)) from error
        size = sum(path.stat().st_size for path in written)
        self.stdout.write(
            _("{count} calendars in {folder}, {size} kB.").format(
                count=len(written), folder=folder, size=f"{size / 1000:.0f}"
            )
        )
