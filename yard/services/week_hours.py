"""The usual hours of a week that stand beside a row: a person's, a place's."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import time
from itertools import pairwise
from typing import Any

from yard.models import PlaceHours, Weekday, WeeklyHours
from yard.services.keep_row import RowRefused, Writer, rows_as_of

Hours = tuple[tuple[int, time, time], ...]
"""(weekday, starts, ends), in order; Monday is 0."""


@dataclass(frozen=True)
class WeekOf:
    """Beside a row: its hours, whose model names the row in the field `of`; to the row they are `related`."""

    model: type[WeeklyHours] | type[PlaceHours]
    of: str
    related: str

    def read(self, row: Any) -> Hours:
        return _in_order(getattr(row, self.related).all())

    def was(self, pasts: Sequence[Any]) -> list[Hours]:
        told = self.model.history.filter(**{f"{self.of}_id__in": {past.id for past in pasts}})
        return [_in_order(rows) for rows in rows_as_of(told, [past.history_date for past in pasts])]

    def write(self, row: Any, value: Hours, writer: Writer, reason: str) -> None:
        wanted = set(value)
        for each in getattr(row, self.related).all():
            key = (each.weekday, each.starts, each.ends)
            if key in wanted:
                wanted.remove(key)
            else:
                writer.sign(each, reason)
                each.delete()
        for weekday, starts, ends in sorted(wanted):
            fresh = self.model(**{self.of: row}, weekday=weekday, starts=starts, ends=ends)
            fresh.full_clean()
            writer.sign(fresh, reason)
            fresh.save()


def refuse_overlap(hours: Hours) -> None:
    """Raises RowRefused where two stretches of a day overlap."""
    for (day, _, ends), (next_day, starts, _) in pairwise(sorted(hours)):
        if day == next_day and starts < ends:
            raise RowRefused("hours", f"{Weekday(day).label}: two stretches overlap. Let one end before the next.")


def _in_order(rows: Any) -> Hours:
    return tuple(sorted((each.weekday, each.starts, each.ends) for each in rows))
