"""A time zone as a VTIMEZONE that every client reads alike.

One STANDARD and one DAYLIGHT with a yearly RRULE where the zone follows one; else one observance for each change of
the clock, until some years after the last event.  A table of RDATEs (as icalendar would add by itself) was read an
hour wrong by two clients on most half-hours of the year, so it is never written.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

from icalendar import Timezone, TimezoneDaylight, TimezoneStandard

OLDEST_YEAR = 1990
"""A rule is written from the year in which it came into force, so that the text stays the same; not before this."""
YEARS_BEYOND = 5
"""So many years after the last event the zone is still described where no rule describes it for ever."""
_WEEKDAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")


@dataclass(frozen=True, slots=True)
class Change:
    """The clock goes from one offset to another. local: what it shows just before, without a zone."""

    local: datetime
    before: timedelta
    after: timedelta
    name: str

    @property
    def forward(self) -> bool:
        return self.after > self.before


@dataclass(frozen=True, slots=True)
class Rule:
    """Each year in this month, on the nth such weekday (-1: the last), at this time of the old clock."""

    month: int
    nth: int
    weekday: int
    clock: timedelta
    before: timedelta
    after: timedelta
    name: str


@lru_cache(maxsize=64)
def timezone_of(zone: str, first_year: int, last_year: int) -> Timezone:
    """The VTIMEZONE of an IANA zone that is right from the start of first_year to the end of last_year, and after.

    Raises zoneinfo.ZoneInfoNotFoundError for a name that the machine does not know.
    """
    where = ZoneInfo(zone)
    written = Timezone()
    written.add("tzid", zone)
    rules = _rules(where, first_year, last_year)
    if rules is not None:
        since = _in_force_since(where, rules, first_year)
        for rule in rules:
            written.add_component(_by_rule(rule, since))
        return written
    changes = list(_changes(where, first_year - 1, last_year + YEARS_BEYOND))
    if not changes or changes[0].local.year >= first_year:
        written.add_component(_standing(where, first_year))
    for change in changes:
        written.add_component(_observance(change))
    return written


def _rules(where: ZoneInfo, first_year: int, last_year: int) -> tuple[Rule, Rule] | None:
    """The rule of either change if one pair describes every year asked for and those after; else None."""
    found: set[tuple[Rule, Rule]] | None = None
    for year in range(first_year - 1, last_year + YEARS_BEYOND + 1):
        changes = list(_changes(where, year, year))
        if len(changes) != 2:
            return None
        pairs = {(one, two) for one in _described(changes[0]) for two in _described(changes[1])}
        found = pairs if found is None else found & pairs
        if not found:
            return None
    assert found is not None
    return min(found, key=lambda pair: (pair[0].nth, pair[1].nth))


def _described(change: Change) -> set[Rule]:
    """The ways of naming its day: the nth such weekday of its month, and the last one where it is."""
    local = change.local
    nths = {(local.day - 1) // 7 + 1}
    if (local + timedelta(days=7)).month != local.month:
        nths = {*nths, -1}
    clock = timedelta(hours=local.hour, minutes=local.minute, seconds=local.second)
    return {
        Rule(local.month, nth, local.weekday(), clock, change.before, change.after, change.name)
        for nth in nths
        if nth in (1, 2, 3, 4, -1)
    }


def _in_force_since(where: ZoneInfo, rules: tuple[Rule, Rule], first_year: int) -> int:
    since = first_year - 1
    while since > OLDEST_YEAR:
        changes = list(_changes(where, since - 1, since - 1))
        if len(changes) != 2 or not all(
            rule in _described(change) for rule, change in zip(rules, changes, strict=True)
        ):
            break
        since -= 1
    return since


def _changes(where: ZoneInfo, first_year: int, last_year: int) -> Iterator[Change]:
    """Every change of the clock in these years (UTC), in order."""
    at, end = datetime(first_year, 1, 1, tzinfo=UTC), datetime(last_year + 1, 1, 1, tzinfo=UTC)
    day = timedelta(days=1)
    while at < end:
        if _offset(where, at) != _offset(where, at + day):
            low, high = at, at + day
            while high - low > timedelta(seconds=1):
                middle = low + (high - low) // 2
                middle = middle.replace(microsecond=0)
                low, high = (middle, high) if _offset(where, middle) == _offset(where, low) else (low, middle)
            before, after = _offset(where, low), _offset(where, high)
            name = high.astimezone(where).tzname() or "UTC"
            yield Change((high + before).replace(tzinfo=None), before, after, name)
        at += day


def _offset(where: ZoneInfo, at: datetime) -> timedelta:
    offset = at.astimezone(where).utcoffset()
    assert offset is not None
    return offset


def _by_rule(rule: Rule, since: int) -> TimezoneStandard | TimezoneDaylight:
    local = _day_of(rule, since) + rule.clock
    made = _observance(Change(local, rule.before, rule.after, rule.name))
    made.add("rrule", {"freq": "yearly", "bymonth": rule.month, "byday": f"{rule.nth}{_WEEKDAYS[rule.weekday]}"})
    return made


def _day_of(rule: Rule, year: int) -> datetime:
    if rule.nth > 0:
        first = datetime(year, rule.month, 1)
        return first + timedelta(days=(rule.weekday - first.weekday()) % 7 + 7 * (rule.nth - 1))
    last = datetime(year + rule.month // 12, rule.month % 12 + 1, 1) - timedelta(days=1)
    return last - timedelta(days=(last.weekday() - rule.weekday) % 7)


def _observance(change: Change) -> TimezoneStandard | TimezoneDaylight:
    made = TimezoneDaylight() if change.forward else TimezoneStandard()
    made.add("dtstart", change.local)
    made.add("tzoffsetfrom", change.before)
    made.add("tzoffsetto", change.after)
    made.add("tzname", change.name)
    return made


def _standing(where: ZoneInfo, year: int) -> TimezoneStandard:
    """A zone whose clock does not change, or what it shows before its first change."""
    start = datetime(year - 1, 1, 1, tzinfo=UTC)
    offset = _offset(where, start)
    name = start.astimezone(where).tzname() or "UTC"
    made = TimezoneStandard()
    made.add("dtstart", datetime(year - 1, 1, 1))
    made.add("tzoffsetfrom", offset)
    made.add("tzoffsetto", offset)
    made.add("tzname", name)
    return made
