"""A season is read row after row: what others write meanwhile is in all of it or in none."""

from __future__ import annotations

from datetime import UTC, datetime
from threading import Thread

import pytest
from django.db import connections

from yard.models import YardHoliday
from yard.services.read_problem import YardNotReady, read_problem, reading

NOW = datetime(2027, 5, 6, 12, 0, tzinfo=UTC)


@pytest.mark.django_db(transaction=True)
def test_what_is_written_while_a_season_is_read_is_not_in_half_of_it(monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[int] = []

    def looks_twice(*, now: datetime) -> None:
        seen.append(YardHoliday.objects.count())
        somebody = Thread(target=_close_a_day)
        somebody.start()
        somebody.join()
        seen.append(YardHoliday.objects.count())
        raise YardNotReady("read no further")

    monkeypatch.setattr(reading, "read_rows", looks_twice)
    with pytest.raises(YardNotReady):
        read_problem(now=NOW)
    assert seen == [0, 0]
    assert YardHoliday.objects.count() == 1  # it was written, and nobody was kept waiting


def _close_a_day() -> None:
    try:
        YardHoliday.objects.create(day=NOW.date(), name="Regatta")
    finally:
        connections.close_all()
