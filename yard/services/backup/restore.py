"""A backup brought back into an empty database, of either kind, and compared with what it was."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice
from pathlib import Path
from typing import Any

from django.apps.registry import Apps
from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.management.color import no_style
from django.db import IntegrityError, connection, transaction
from django.db.migrations.executor import MigrationExecutor
from django.db.models import Model
from django.utils.translation import gettext as _

from yard.services.backup.about import About, BackupRefused
from yard.services.backup.read import DAMAGED, Backup
from yard.services.backup.rows import AT_ONCE, MADE_WITH_THE_TABLES, Digest, kept_models, lines_of, name_of, row_of


def restore(path: Path) -> About:
    """All of it, or nothing: rows in one transaction, after everything in the file was found to be whole.

    The tables are made as they were when the backup was, filled, compared line by line with the backup, and then
    brought to this program's form. Raises BackupRefused where the file is damaged, made by a later program, or the
    database holds something already.
    """
    with Backup(path) as backup:
        backup.verify()
        apps = _tables_as_they_were(backup.about)
        models = kept_models(apps)
        refuse_unless_same_and_empty(models, backup.about)
        _bring_back_photographs(backup)
        with transaction.atomic():
            for model in models:
                _bring_back(model, backup)
            _compare(models, backup.about)
    _to_this_form()
    return backup.about


def _tables_as_they_were(about: About) -> Apps:
    """The models of the backup's form, and their tables. A new database is brought there; one that is in use must be
    there."""
    executor = MigrationExecutor(connection)
    targets = [node for node in about.migrations if node in executor.loader.graph.nodes]
    if len(targets) < len(about.migrations):
        unknown = ", ".join(f"{app} {name}" for app, name in sorted(set(about.migrations) - set(targets)))
        raise BackupRefused(
            _("It was made by another version ({version}): restore it with that version, then upgrade.").format(
                version=unknown
            )
        )
    if not executor.loader.applied_migrations:
        executor.migrate(targets)
    elif executor.migration_plan(targets) or not all(node in executor.loader.applied_migrations for node in targets):
        raise BackupRefused(_("The database has another form than the backup: restore into a new one."))
    return MigrationExecutor(connection).loader.project_state(targets).apps


def refuse_unless_same_and_empty(models: list[type[Model]], about: About) -> None:
    """Raises BackupRefused where the backup has other tables, or any of these holds what somebody wrote."""
    names = {name_of(model) for model in models}
    if names != about.tables.keys():
        other = ", ".join(sorted(names ^ about.tables.keys()))
        raise BackupRefused(
            _("Its tables are not those of its version ({other}): {damaged}.").format(other=other, damaged=_(DAMAGED))
        )
    mattering = [model for model in models if name_of(model) not in MADE_WITH_THE_TABLES]
    if full := [name_of(model) for model in mattering if model._base_manager.exists()]:
        raise BackupRefused(
            _("This yard is not empty ({tables}): restore into a new folder (YARD_DATA) or a new database.").format(
                tables=", ".join(full[:3])
            )
        )


def _bring_back_photographs(backup: Backup) -> None:
    """Before the rows that name them. Those of a restore that was broken off are written once more."""
    for name in backup.about.photographs:
        kept = backup.photograph(name)
        if default_storage.exists(name):
            default_storage.delete(name)
        default_storage.save(name, ContentFile(kept))


def _bring_back(model: type[Model], backup: Backup) -> None:
    name = name_of(model)
    lines = backup.lines(name)
    if name in MADE_WITH_THE_TABLES:
        model._base_manager.all().delete()
    try:
        while rows := [row_of(model, line) for line in islice(lines, AT_ONCE)]:
            model._base_manager.bulk_create(rows, batch_size=AT_ONCE)
    except (ValueError, ValidationError, IntegrityError) as error:
        raise BackupRefused(
            _("A row of {name} cannot be kept ({error}): {damaged}.").format(name=name, error=error, damaged=_(DAMAGED))
        ) from error


def _compare(models: list[type[Model]], about: About) -> None:
    """What stands in the database now is what the backup says, and every key points at a row."""
    for model in models:
        digest, held = _digest_of(lines_of(model)), about.tables[name_of(model)]
        if (digest.rows, digest.text) != (held.rows, held.digest):
            raise BackupRefused(
                _("The table {model} came back other than it was: nothing was kept.").format(model=name_of(model))
            )
    try:
        connection.check_constraints()
    except IntegrityError as error:
        raise BackupRefused(
            _("A row points at one that is not there ({error}): {damaged}.").format(error=error, damaged=_(DAMAGED))
        ) from error
    with connection.cursor() as cursor:
        for sql in connection.ops.sequence_reset_sql(no_style(), models):
            cursor.execute(sql)


def _digest_of(lines: Iterator[bytes]) -> Digest:
    digest = Digest()
    for line in lines:
        digest.add(line)
    return digest


def _to_this_form() -> None:
    executor = MigrationExecutor(connection)
    leaves: Any = executor.loader.graph.leaf_nodes()
    executor.migrate(leaves)
