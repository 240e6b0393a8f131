"""High and low water, water at the ramp and daylight: reckoned when a calendar is written, kept in no row.

Their identities are made from one random name that is stored and from what each event is; they share one revision.
Texts are kept in memory by what they were reckoned from, so that a day's first reader pays for all.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import lru_cache
from uuid import UUID, uuid5
from zoneinfo import ZoneInfo

import numpy as np
from django.utils.translation import gettext as _

from yard.feeds.event import Days, FeedEvent, Geo, Hours, Revision, Shown
from yard.feeds.writing import midnight, write_event
from yard.models import FeedPart, YardSettings
from yard.services.feeds.wanted import span_of
from yard.services.feeds.water import height_words
from yard.services.read_problem import tide_at
from yard.tides.daylight import daylight
from yard.tides.source import ASTRONOMICAL_ONLY, TideError, TideSource

DAYS_BACK, DAYS_AHEAD = 14, 90
"""A spring and a neap behind, a season ahead: about 400 high and low waters, 200 kB."""
SHORTEST_RAMP_MIN = 30
"""Minutes of water asked for to float a boat off: as the kind `launch` has them (common practice)."""
MINUTE = timedelta(minutes=1)


@dataclass(frozen=True)
class Reckoned:
    """One written event: its start and end (UTC), its identity and its lines; whole_days: it has no hours."""

    title: str
    starts_at: datetime
    ends_at: datetime
    whole_days: bool
    uid: str
    lines: str


@dataclass(frozen=True)
class Ground:
    """All that the events depend on; equal ones give equal texts. place: latitude and longitude, or None."""

    yard: YardSettings
    fingerprint: str
    reckoned: UUID
    sequence: int
    revised_at: datetime
    today: date

    def __hash__(self) -> int:
        return hash((self.fingerprint, self.reckoned, self.sequence, self.revised_at, self.today))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Ground) and hash(self) == hash(other)


def tide_fingerprint(yard: YardSettings) -> str:
    """Equal as long as tides and lights of this yard are the same."""
    made_of = (
        yard.tide_station,
        yard.ramp_time_min,
        yard.ramp_height_m,
        yard.ramp_ratio,
        yard.ramp_toe_m_above_datum,
        yard.trailer_height_m,
        yard.margin_rising_m,
        yard.margin_falling_m,
        yard.latitude,
        yard.longitude,
        yard.time_zone,
        yard.units,
    )
    return hashlib.sha256(repr(made_of).encode()).hexdigest()


@lru_cache(maxsize=16)
def reckoned(ground: Ground, part: str, draft_m: float | None) -> tuple[Reckoned, ...]:
    """The written events of one part, by start; none where the yard has no tide station or no position."""
    zone = ground.yard.time_zone
    revision = Revision(sequence=ground.sequence, made_at=ground.revised_at, revised_at=ground.revised_at)
    found = []
    for key, shown in _events(ground, part, draft_m):
        uid = uuid5(ground.reckoned, key)
        lines = _lines(FeedEvent(uid, shown, revision), zone)
        starts, ends = span_of(shown, zone)
        found.append(Reckoned(shown.summary, starts, ends, isinstance(shown.when, Days), str(uid), lines))
    return tuple(found)


@lru_cache(maxsize=4096)
def _lines(event: FeedEvent, zone: str) -> str:
    """A day later all but a few events are the same: they are not written again. Two megabytes at most."""
    return write_event(event, zone=zone).decode("utf-8")


def _events(ground: Ground, part: str, draft_m: float | None) -> Iterator[tuple[str, Shown]]:
    try:
        match part:
            case FeedPart.HIGHS_LOWS:
                yield from _highs_and_lows(ground)
            case FeedPart.RAMP if draft_m is not None:
                yield from _at_the_ramp(ground, draft_m)
            case FeedPart.DAYLIGHT:
                yield from _lights(ground)
    except TideError:  # the page of the tides says what is wrong with the station
        return


def _span(ground: Ground) -> tuple[datetime, datetime]:
    first, until = ground.today - timedelta(days=DAYS_BACK), ground.today + timedelta(days=DAYS_AHEAD)
    return midnight(first, ground.yard.time_zone), midnight(until, ground.yard.time_zone)


def _geo(yard: YardSettings) -> Geo | None:
    return None if yard.latitude is None or yard.longitude is None else Geo(yard.latitude, yard.longitude)


def _highs_and_lows(ground: Ground) -> Iterator[tuple[str, Shown]]:
    yard = ground.yard
    if not yard.tide_station:
        return
    tide = tide_at(yard, "ramp")
    for event in tide.events(*_span(ground)):
        at = _minute(event.at)
        shown = Shown(
            summary=(_("High water {height}") if event.kind == "high" else _("Low water {height}")).format(
                height=height_words(event.height_m, yard)
            ),
            when=Hours(at, at + MINUTE),
            notes=(_("Predicted above {datum}, at the ramp.").format(datum=tide.datum), _(ASTRONOMICAL_ONLY)),
            location=yard.name,
            geo=_geo(yard),
            categories=("tide",),
            busy=False,
        )
        yield f"{event.kind} {at:%Y%m%dT%H%M}", shown


def _minute(at: datetime) -> datetime:
    """The nearest whole minute."""
    return (at.astimezone(UTC) + MINUTE / 2).replace(second=0, microsecond=0)


def _at_the_ramp(ground: Ground, draft_m: float) -> Iterator[tuple[str, Shown]]:
    yard = ground.yard
    if not yard.tide_station or yard.ramp_toe_m_above_datum is None:
        return
    tide = tide_at(yard, "ramp")
    base = yard.ramp_toe_m_above_datum + (yard.trailer_height_m or 0.0) + draft_m
    draft = height_words(draft_m, yard)
    for starts, ends in _windows(tide, yard, base, *_span(ground)):
        shown = Shown(
            summary=_("Water at the ramp for {draft} draft").format(draft=draft),
            when=Hours(starts, ends),
            notes=(
                _("Needs {rising} above {datum} on a rising tide, {falling} on a falling one.").format(
                    rising=height_words(base + yard.margin_rising_m, yard),
                    datum=tide.datum,
                    falling=height_words(base + yard.margin_falling_m, yard),
                ),
                _(ASTRONOMICAL_ONLY),
            ),
            location=yard.name,
            geo=_geo(yard),
            categories=("tide",),
            busy=False,
        )
        yield f"ramp {draft_m:.3f} {starts:%Y%m%dT%H%M}", shown


def _windows(
    tide: TideSource, yard: YardSettings, base_m: float, starts_at: datetime, ends_at: datetime
) -> Iterator[tuple[datetime, datetime]]:
    """Stretches of enough water by whole minutes, with the margin of a rising or a falling tide in each minute."""
    count = int((ends_at - starts_at).total_seconds() // 60)
    heights = tide.heights_m(starts_at.timestamp() + 60.0 * np.arange(count, dtype=np.float64))
    margins = np.where(np.gradient(heights) >= 0, yard.margin_rising_m, yard.margin_falling_m)
    enough = heights >= base_m + margins
    edges = np.flatnonzero(np.diff(np.concatenate(([0], enough.astype(np.int8), [0]))))
    for first, last in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
        if last - first >= SHORTEST_RAMP_MIN:
            yield starts_at + first * MINUTE, starts_at + last * MINUTE


def _lights(ground: Ground) -> Iterator[tuple[str, Shown]]:
    yard = ground.yard
    if yard.latitude is None or yard.longitude is None:
        return
    zone = ZoneInfo(yard.time_zone)
    for count in range(-DAYS_BACK, DAYS_AHEAD):
        day = ground.today + timedelta(days=count)
        light = daylight(yard.latitude, yard.longitude, day, yard.time_zone)
        rise, sets = light.sunrise, light.sunset
        if not isinstance(rise, datetime) or not isinstance(sets, datetime):
            continue
        shown = Shown(
            summary=_("Sun {rise} to {sets}").format(
                rise=f"{rise.astimezone(zone):%H:%M}", sets=f"{sets.astimezone(zone):%H:%M}"
            ),
            when=Days(day, day + timedelta(days=1)),
            categories=("daylight",),
            busy=False,
        )
        yield f"light {day}", shown
