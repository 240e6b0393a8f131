"""When the last backup was found whole, for whoever watches the machine."""

from __future__ import annotations

from datetime import datetime

from yard.models import LastBackup


def note_backup(made_at: datetime) -> None:
    """Raises DatabaseError where it cannot be written; the backup itself stands."""
    LastBackup.objects.update_or_create(pk=1, defaults={"made_at": made_at})


def last_backup_at() -> datetime | None:
    """One query."""
    return LastBackup.objects.filter(pk=1).values_list("made_at", flat=True).first()
