"""The visits of a job: one stretch of time, or one a day where bench work pauses overnight."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from yard.feeds.event import Hours
from yard.models import Pausing, Person, ShopHours


@dataclass(frozen=True)
class OpenHours:
    """When the yard works: by weekday the first opening and the last closing; days on which it is shut."""

    zone: str
    shop: Mapping[int, tuple[time, time]]
    holidays: frozenset[date]

    @classmethod
    def of(cls, zone: str, rows: Iterable[ShopHours], holidays: Iterable[date]) -> OpenHours:
        shop: dict[int, tuple[time, time]] = {}
        for row in rows:
            starts, ends = shop.get(row.weekday, (row.starts, row.ends))
            shop[row.weekday] = (min(starts, row.starts), max(ends, row.ends))
        return cls(zone, shop, frozenset(holidays))


def visits_of(
    starts_at: datetime, ends_at: datetime, pausing: str, people: Sequence[Person], hours: OpenHours
) -> list[Hours]:
    """The stretches [start, end) at which somebody is at the job, in order; meals are not cut out.

    Work that pauses overnight is one visit a day within the hours of its people (of the yard, where they have none);
    if no day has any, and for all other work, it is the whole stretch.
    """
    whole = Hours(starts_at, ends_at)
    zone = ZoneInfo(hours.zone)
    first, last = whole.starts_at.astimezone(zone).date(), (ends_at - timedelta(seconds=1)).astimezone(zone).date()
    if pausing != Pausing.PAUSED or first == last:
        return [whole]
    found = []
    for day in (first + timedelta(days=count) for count in range((last - first).days + 1)):
        at_work = None if day in hours.holidays else _at_work(day, people, hours)
        if at_work is None:
            continue
        opens, closes = (datetime.combine(day, at, zone).astimezone(UTC) for at in at_work)
        starts, ends = max(opens, whole.starts_at), min(closes, whole.ends_at)
        if starts < ends:
            found.append(Hours(starts, ends))
    return found or [whole]


def _at_work(day: date, people: Sequence[Person], hours: OpenHours) -> tuple[time, time] | None:
    rows = [row for person in people if person.of_the_yard_on(day) for row in person.weekly_hours.all()]
    if not rows:
        return hours.shop.get(day.weekday())
    today = [row for row in rows if row.weekday == day.weekday()]
    return (min(row.starts for row in today), max(row.ends for row in today)) if today else None
