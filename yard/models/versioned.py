"""Facts that a plan reads: each row counts its versions, so that a stale page cannot overwrite a newer one."""

from typing import Any, Self

from django.db import models, transaction
from django.utils.translation import gettext as _

from yard.models.spoken import Spoken


class StaleRow(Exception):
    """The row was changed by somebody else since it was read; nothing was saved."""

    def __init__(self, row: models.Model) -> None:
        super().__init__(_("{row} was changed meanwhile: read it again, then change it.").format(row=row))
        self.row = row


class Versioned(Spoken):
    """A fact with a version. Each save of an existing row raises it; bulk writes must raise it themselves."""

    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        if not self._state.adding:
            self.version += 1
            if (fields := kwargs.get("update_fields")) is not None:
                kwargs["update_fields"] = {*fields, "version"}
        super().save(*args, **kwargs)

    def save_over(self, seen_version: int) -> Self:
        """Save only if the stored row still has the version that was read.

        Raises StaleRow when it has another, or is gone. The row is claimed by one guarded update first.
        """
        rows = type(self)._default_manager.filter(pk=self.pk, version=seen_version)
        with transaction.atomic():
            if rows.update(version=seen_version) != 1:
                raise StaleRow(self)
            self.version = seen_version
            self.save()
        return self
