"""Sun and civil twilight of a day at a place, and the light a yard works in.

Times come from astral (the NOAA solar equations), within a minute of the U.S. Naval Observatory's printed
table (tests/tides/). A day is the yard's own: its sunrise is the one before that day's noon, its sunset
the one after, even where that sunset falls after midnight. Hills and cloud are not in it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from enum import Enum
from functools import lru_cache
from typing import Final
from zoneinfo import ZoneInfo

from astral import Observer, SunDirection
from astral.sun import SUN_APPARENT_RADIUS, elevation, noon, time_of_transit

from yard.speech import _
from yard.tides.source import TideError

SUNRISE_ELEVATION_DEG: Final = -0.833
"""Of the sun's centre when its upper edge is seen on the horizon: 16' of radius, 34' of refraction."""
CIVIL_ELEVATION_DEG: Final = -6.0
"""Of the sun's centre at civil dawn and dusk, refraction not counted (U.S. Naval Observatory's definition)."""
NOON_TO_EDGE: Final = timedelta(hours=12, minutes=30)
"""No rise or set lies farther from that day's noon."""


class NeverCrosses(Enum):
    """The sun does not pass this elevation between that day's noon and midnight."""

    STAYS_ABOVE = "stays above"
    STAYS_BELOW = "stays below"


SunTime = datetime | NeverCrosses
"""When it happens (UTC), or why it does not."""


@dataclass(frozen=True, slots=True)
class Daylight:
    """The light of one day at one place; all times UTC.

    sunrise and sunset: the sun's upper edge on the horizon. civil_dawn and civil_dusk: 6 degrees below,
    light enough to work without lamps in clear weather. day_starts_at, day_ends_at: the zone's midnights.
    """

    sunrise: SunTime
    sunset: SunTime
    civil_dawn: SunTime
    civil_dusk: SunTime
    day_starts_at: datetime
    day_ends_at: datetime


@dataclass(frozen=True, slots=True)
class LightRule:
    """What a yard calls working light.

    civil: from civil dawn to civil dusk instead of from sunrise to sunset. after_start_min and
    before_end_min: minutes kept clear at either end; negative to begin earlier or end later.
    """

    civil: bool = False
    after_start_min: float = 0.0
    before_end_min: float = 0.0


@dataclass(frozen=True, slots=True)
class LightWindow:
    """Working light [starts_at, ends_at), UTC."""

    starts_at: datetime
    ends_at: datetime


def daylight(latitude: float, longitude: float, day: date, zone: str | tzinfo) -> Daylight:
    """The light of a local day.

    latitude, longitude: degrees north and east. zone: an IANA name or a time zone.
    Raises TideError for a place or zone that does not exist.
    """
    if not (-90 <= latitude <= 90 and -180 <= longitude <= 180):
        raise TideError(
            _("{latitude}, {longitude} is no place: latitude is -90 to 90, longitude -180 to 180").format(
                latitude=latitude, longitude=longitude
            )
        )
    return _daylight(latitude, longitude, day, _zone(zone))


def working_light(light: Daylight, rule: LightRule) -> LightWindow | None:
    """When a yard may work by daylight; None where that day has no such light.

    Where the sun does not set, work may go on to the zone's midnight on that side.
    """
    first, last = (light.civil_dawn, light.civil_dusk) if rule.civil else (light.sunrise, light.sunset)
    if NeverCrosses.STAYS_BELOW in (first, last):
        return None
    starts_at = light.day_starts_at if isinstance(first, NeverCrosses) else first
    ends_at = light.day_ends_at if isinstance(last, NeverCrosses) else last
    starts_at += timedelta(minutes=rule.after_start_min)
    ends_at -= timedelta(minutes=rule.before_end_min)
    return LightWindow(starts_at, ends_at) if starts_at < ends_at else None


@lru_cache(maxsize=4096)
def _daylight(latitude: float, longitude: float, day: date, zone: tzinfo) -> Daylight:
    # At a pole itself the sun has no bearing and astral divides by zero; a kilometre beside it will do.
    observer = Observer(max(-89.99, min(89.99, latitude)), longitude, 0.0)
    midday = datetime.combine(day, time(12), zone).astimezone(UTC)
    noons = (noon(observer, midday.date() + timedelta(days=n), tzinfo=UTC) for n in (-1, 0, 1))
    own_noon = min(noons, key=lambda at: abs(at - midday))
    rising, setting = SunDirection.RISING, SunDirection.SETTING
    return Daylight(
        sunrise=_crossing(observer, own_noon, rising, civil=False),
        sunset=_crossing(observer, own_noon, setting, civil=False),
        civil_dawn=_crossing(observer, own_noon, rising, civil=True),
        civil_dusk=_crossing(observer, own_noon, setting, civil=True),
        day_starts_at=datetime.combine(day, time(0), zone).astimezone(UTC),
        day_ends_at=datetime.combine(day + timedelta(days=1), time(0), zone).astimezone(UTC),
    )


def _crossing(observer: Observer, own_noon: datetime, direction: SunDirection, *, civil: bool) -> SunTime:
    """The crossing next to a noon on one side.

    time_of_transit works on UTC dates, so the dates to either side are asked too. (astral's sunrise() and
    sunset() refuse a UTC date that has none because it falls seconds after midnight.)
    """
    zenith = 90 - CIVIL_ELEVATION_DEG if civil else 90 + SUN_APPARENT_RADIUS
    found = []
    for days in (-1, 0, 1):
        day = own_noon.date() + timedelta(days=days)
        try:
            at = time_of_transit(observer, day, zenith, direction, with_refraction=not civil)
        except ValueError:  # the arc cosine has no value: the sun does not pass this zenith then
            continue
        from_noon = own_noon - at if direction is SunDirection.RISING else at - own_noon
        if timedelta(0) <= from_noon <= NOON_TO_EDGE:
            found.append((from_noon, at))
    if found:
        return min(found)[1]
    at_noon_deg = elevation(observer, own_noon, with_refraction=False)
    passed_deg = CIVIL_ELEVATION_DEG if civil else SUNRISE_ELEVATION_DEG
    return NeverCrosses.STAYS_ABOVE if at_noon_deg > passed_deg else NeverCrosses.STAYS_BELOW


def _zone(zone: str | tzinfo) -> tzinfo:
    if isinstance(zone, tzinfo):
        return zone
    try:
        return ZoneInfo(zone)
    except (KeyError, ValueError, OSError) as error:
        raise TideError(_("{zone!r} is no time zone: write one such as America/New_York").format(zone=zone)) from error
