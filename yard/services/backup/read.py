"""A backup read and believed only where everything in it is what it says."""

from __future__ import annotations

import json
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path, PurePosixPath
from zipfile import BadZipFile, ZipFile

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from yard.services.backup.about import ABOUT, PHOTOGRAPHS, TABLES, BackupRefused, about_from
from yard.services.backup.rows import Digest

LONGEST_LINE = 64 << 20
"""Bytes; a line that is longer was not written here."""
DAMAGED = gettext_noop("take another backup: this one is damaged")


class Backup:
    """An open backup: about, its tables' lines, its photographs. Use it in a with statement."""

    def __init__(self, path: Path) -> None:
        """Raises BackupRefused where it is no backup, OSError where there is no such file."""
        try:
            self._archive = ZipFile(path)
            self.about = about_from(json.loads(self._archive.read(ABOUT)))
        except (BadZipFile, KeyError, ValueError, NotImplementedError, RuntimeError, EOFError) as error:
            raise BackupRefused(
                _("{path} is no backup of a yard, or not whole ({error}).").format(path=path.name, error=error)
            ) from error

    def __enter__(self) -> Backup:
        return self

    def __exit__(self, *_: object) -> None:
        self._archive.close()

    def lines(self, table: str) -> Iterator[bytes]:
        """The lines of a table. Raises BackupRefused at the first that cannot be read."""
        try:
            with self._archive.open(f"{TABLES}{table}.jsonl") as file:
                while line := file.readline(LONGEST_LINE):
                    yield line.rstrip(b"\n")
        except (BadZipFile, KeyError, EOFError, OSError, ValueError) as error:
            raise BackupRefused(
                _("The table {table} cannot be read ({error}): {damaged}.").format(
                    table=table, error=error, damaged=_(DAMAGED)
                )
            ) from error

    def photograph(self, name: str) -> bytes:
        """A photograph, which is what it was. Raises BackupRefused where it is not, or would lie outside the folder."""
        way = PurePosixPath(name)
        if way.is_absolute() or ".." in way.parts or "\\" in name:
            raise BackupRefused(
                _("The photograph {name} would lie outside the photographs' folder: {damaged}.").format(
                    name=repr(name), damaged=_(DAMAGED)
                )
            )
        try:
            kept = self._archive.read(f"{PHOTOGRAPHS}{name}")
        except (BadZipFile, KeyError, EOFError, OSError, ValueError) as error:
            raise BackupRefused(
                _("The photograph {name} cannot be read ({error}): {damaged}.").format(
                    name=name, error=error, damaged=_(DAMAGED)
                )
            ) from error
        if sha256(kept).hexdigest() != self.about.photographs[name]:
            raise BackupRefused(
                _("The photograph {name} is not the one that was kept: {damaged}.").format(
                    name=name, damaged=_(DAMAGED)
                )
            )
        return kept

    def verify(self) -> None:
        """Every line and photograph is looked at, and nothing is kept. Raises BackupRefused."""
        for table, held in self.about.tables.items():
            digest = Digest()
            for line in self.lines(table):
                digest.add(line)
            if (digest.rows, digest.text) != (held.rows, held.digest):
                raise BackupRefused(
                    _("The table {table} has {found} rows that are not the {kept} kept: {damaged}.").format(
                        table=table, found=digest.rows, kept=held.rows, damaged=_(DAMAGED)
                    )
                )
        for name in self.about.photographs:
            self.photograph(name)
