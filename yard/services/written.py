"""What an event writes, before it is written."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.db import models

from yard.models import Event, Job

Changed = tuple[tuple[models.Model, dict[str, Any]], ...]


@dataclass(frozen=True, slots=True)
class Written:
    """The kind of event and its sentence; rows to make, in order; rows that exist, with the fields to set."""

    kind: Event.Kind
    says: str
    made: tuple[models.Model, ...] = ()
    changed: Changed = ()
    job: Job | None = None

    def __add__(self, other: Written) -> Written:
        """Both at once, under the first one's name."""
        return Written(self.kind, self.says, self.made + other.made, self.changed + other.changed, self.job)
