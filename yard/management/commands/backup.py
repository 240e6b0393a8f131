"""manage.py backup: the whole yard in one file, while it works."""

from argparse import ArgumentParser
from datetime import datetime
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError
from django.db import DatabaseError
from django.utils import timezone
from django.utils.translation import gettext as _

from yard.management.on_tables import OnTables
from yard.services.backup.about import BackupRefused
from yard.services.backup.noted import note_backup
from yard.services.backup.read import Backup
from yard.services.backup.write import write_backup
from yard.speech import number


class Command(OnTables):
    help = (
        "Writes everything that is kept, rows and photographs, into one file of open JSON with its schema, while the"
        " yard works; then reads it again and compares. It holds owners' names and numbers: keep it private. The key"
        " that signs calendar and owner addresses (YARD_SECRET_KEY, or secret_key in the data folder) is not in it:"
        " keep that apart, or the addresses change."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help="a file that is there is replaced once the new one is whole")
        parser.add_argument("--check", action="store_true", help="only look whether a backup is whole")

    def handle(self, *args: Any, **options: Any) -> None:
        path: Path = options["file"]
        try:
            if not options["check"]:
                write_backup(path, now=timezone.now())
            with Backup(path) as backup:
                backup.verify()
        except BackupRefused as refused:
            raise CommandError(str(refused)) from refused
        except OSError as error:
            raise CommandError(
                _("{path}: {why}. Name another file, or make room.").format(path=path, why=error.strerror or error)
            ) from error
        about = backup.about
        if not options["check"]:
            self._note(about.made_at)
        rows = sum(held.rows for held in about.tables.values())
        self.stdout.write(
            _(
                "{yard}, {at} UTC: {rows} rows of {tables} tables, {files} files of photographs, {size} MB. Whole."
            ).format(
                yard=about.yard or _("A yard without a name"),
                at=f"{about.made_at:%Y-%m-%d %H:%M}",
                rows=rows,
                tables=len(about.tables),
                files=len(about.photographs),
                size=number(path.stat().st_size / 1e6, 1),
            )
        )
        if about.missing:
            names = ", ".join(about.missing[:5])
            self.stderr.write(
                _("{count} photographs that rows name were not on the disk: {names}").format(
                    count=len(about.missing), names=names
                )
            )

    def _note(self, made_at: datetime) -> None:
        try:
            note_backup(made_at)
        except DatabaseError as error:
            self.stderr.write(_("The backup stands, but /healthz will not tell of it: {error}").format(error=error))
