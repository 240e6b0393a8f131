"""The usual hours of a week: a person's and a place's, which stand beside them, and the yard's own."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import time
from itertools import pairwise
from typing import Any

from django.utils.translation import gettext as _

from yard.models import PlaceHours, ShopHours, Weekday, WeeklyHours
from yard.services.keeping import Writer, rows_as_of

Hours = tuple[tuple[int, time, time], ...]
"""(weekday, starts, ends), in order; Monday is 0."""


@dataclass(frozen=True)
class WeekOf:
    """Hours whose model names the row in the field `of`; "" where the yard itself has them."""

    model: type[WeeklyHours] | type[PlaceHours] | type[ShopHours]
    of: str = ""

    def read(self, row: Any) -> Hours:
        return _in_order(self._rows(row))

    def was(self, pasts: Sequence[Any]) -> list[Hours]:
        told = self.model.history.all()
        if self.of:
            told = told.filter(**{f"{self.of}_id__in": {past.id for past in pasts}})
        return [_in_order(rows) for rows in rows_as_of(told, [past.history_date for past in pasts])]

    def write(self, row: Any, value: Iterable[tuple[int, time, time]], writer: Writer, reason: str) -> None:
        wanted = set(value)
        for each in self._rows(row):
            key = (each.weekday, each.starts, each.ends)
            if key in wanted:
                wanted.remove(key)
            else:
                writer.sign(each, reason)
                each.delete()
        for weekday, starts, ends in sorted(wanted):
            fresh = self.model(**({self.of: row} if self.of else {}), weekday=weekday, starts=starts, ends=ends)
            fresh.full_clean()
            writer.sign(fresh, reason)
            fresh.save()

    def _rows(self, row: Any) -> Any:
        return self.model._default_manager.filter(**({self.of: row} if self.of else {}))


def overlap_in(hours: Hours) -> tuple[str, ...]:
    """Which stretches of a day overlap, with the remedy; nothing where none do."""
    return tuple(
        _("{day}: two stretches overlap. Let one end before the next.").format(day=Weekday(day).label)
        for (day, _starts, ends), (next_day, starts, _ends) in pairwise(sorted(hours))
        if day == next_day and starts < ends
    )


def _in_order(rows: Any) -> Hours:
    return tuple(sorted((each.weekday, each.starts, each.ends) for each in rows))
