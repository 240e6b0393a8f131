"""manage.py restore: a backup into an empty database."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils.translation import gettext as _

from yard.services.backup.about import BackupRefused
from yard.services.backup.restore import restore


class Command(BaseCommand):
    help = (
        "Brings a backup back into a new data folder (YARD_DATA) or a new database (DATABASE_URL), of either kind: all"
        " of it, compared with what it was, or nothing. A new database needs no migrate before."
    )
    requires_migrations_checks = False

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path)

    def handle(self, *args: Any, **options: Any) -> None:
        path: Path = options["file"]
        try:
            about = restore(path)
        except BackupRefused as refused:
            raise CommandError(str(refused)) from refused
        except OSError as error:
            raise CommandError(f"{error.filename or path}: {error.strerror or error}.") from error
        rows = sum(held.rows for held in about.tables.values())
        self.stdout.write(
            _("{yard} as it was {at} UTC: {rows} rows, all as kept.").format(
                yard=about.yard or _("The yard"), at=f"{about.made_at:%Y-%m-%d %H:%M}", rows=rows
            )
        )
        if about.missing:
            self.stderr.write(
                _("{count} photographs were missing when the backup was made.").format(count=len(about.missing))
            )
