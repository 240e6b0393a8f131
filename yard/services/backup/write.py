"""A backup written while the yard works."""

from __future__ import annotations

import json
import os
from datetime import datetime
from hashlib import sha256
from pathlib import Path
from typing import Any
from zipfile import ZIP_DEFLATED, ZIP_STORED, ZipFile, ZipInfo

from django.apps import apps
from django.core.files.storage import default_storage
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.utils.translation import gettext as _

from yard.models import Photograph, YardSettings
from yard.services.backup.about import ABOUT, PHOTOGRAPHS, SCHEMA, TABLES, About, BackupRefused, Held
from yard.services.backup.rows import KEPT_APPS, Digest, kept_models, lines_of, name_of
from yard.services.backup.schema import schema_of
from yard.services.photograph_files import small_name
from yard.services.snapshot import snapshot

CHUNK_BYTES = 1 << 20


def write_backup(to: Path, *, now: datetime) -> About:
    """Everything into one file, which is there whole or not at all.

    Rows are read as they were at one moment; photographs after them: a file is on the disk before its row is, and is
    never changed. Raises BackupRefused where the tables are not those of this program, OSError where the file cannot
    be written.
    """
    part = to.with_name(f"{to.name}.part")
    try:
        with part.open("wb") as file:
            with ZipFile(file, "w", ZIP_DEFLATED) as archive:
                about = _written(archive, now)
            file.flush()
            os.fsync(file.fileno())
        part.replace(to)
    finally:
        part.unlink(missing_ok=True)
    return about


def _written(archive: ZipFile, now: datetime) -> About:
    models = kept_models(apps)
    with snapshot():
        migrations = _migrations()
        yard = YardSettings.objects.values_list("name", flat=True).first() or ""
        tables = {name_of(model): _table(archive, model) for model in models}
        named = _files_named()
    found, missing = _photographs(archive, named)
    about = About(now, yard, migrations, tables, found, missing)
    archive.writestr(SCHEMA, json.dumps(schema_of(models), indent=1))
    archive.writestr(ABOUT, json.dumps(about.as_json(), indent=1))
    return about


def _migrations() -> tuple[tuple[str, str], ...]:
    """The newest migration of each app that is kept: the form in which the lines are."""
    executor = MigrationExecutor(connection)
    if executor.migration_plan(executor.loader.graph.leaf_nodes()):
        raise BackupRefused(_("The database is of an earlier version: run manage.py migrate first."))
    return tuple(sorted(leaf for app in KEPT_APPS for leaf in executor.loader.graph.leaf_nodes(app)))


def _table(archive: ZipFile, model: Any) -> Held:
    digest = Digest()
    with archive.open(f"{TABLES}{name_of(model)}.jsonl", "w", force_zip64=True) as out:
        for line in lines_of(model):
            digest.add(line)
            out.write(line + b"\n")
    return Held(digest.rows, digest.text)


def _files_named() -> list[str]:
    """Every file of the photographs' folder that a row names, and the small one beside it."""
    names = Photograph.objects.order_by("file").values_list("file", flat=True)
    return [each for name in names for each in (name, small_name(name))]


def _photographs(archive: ZipFile, named: list[str]) -> tuple[dict[str, str], tuple[str, ...]]:
    """Copied as they are: they are packed already."""
    found, missing = {}, []
    for name in named:
        try:
            source = default_storage.open(name)
        except FileNotFoundError:
            missing.append(name)
            continue
        digest = sha256()
        entry = ZipInfo(f"{PHOTOGRAPHS}{name}")
        entry.compress_type = ZIP_STORED
        with source, archive.open(entry, "w", force_zip64=True) as out:
            for chunk in source.chunks(CHUNK_BYTES):
                digest.update(chunk)
                out.write(chunk)
        found[name] = digest.hexdigest()
    return found, tuple(missing)
