"""Forecast hours judged by kind of work: may it be done in this hour, and if not, why not.

The tool plans; the person in charge decides and may stop any job. A machine's manual binds where it is lower.
A forecast knows the air, not the hull: before coating, measure the surface.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import IntEnum, StrEnum

from yard.speech import gettext_noop
from yard.weather.hourly import HOUR, Hour
from yard.weather.humidity import dew_point_c, relative_humidity
from yard.weather.limits import (
    DRY_BELOW_PERCENT,
    GUST_PER_WIND,
    OPEN_PLACE,
    RAIN_FROM_MM,
    WET_ABOVE_PERCENT,
    Limits,
    Place,
)


class Verdict(IntEnum):
    """From best to worst; an hour has the worst of its reasons. UNKNOWN: the forecast does not say."""

    WORKABLE = 0
    DOUBTFUL = 1
    UNKNOWN = 2
    CLOSED = 3


class Measure(StrEnum):
    """A code, and the English word for it: people read `_(measure.value)`."""

    WIND = gettext_noop("wind")
    GUST = gettext_noop("gust")
    RAIN = gettext_noop("rain")
    TEMPERATURE = gettext_noop("temperature")
    HUMIDITY = gettext_noop("humidity")
    DEW_SPREAD = gettext_noop("dew spread")
    WARMTH_AFTER = gettext_noop("warmth after")
    THUNDER = gettext_noop("thunder")


@dataclass(frozen=True, slots=True)
class Reason:
    """Why an hour is not plainly workable. value and limit share a unit: kn, mm or %, C, %, C, C, h."""

    verdict: Verdict
    measure: Measure
    value: float | None = None
    limit: float | None = None


@dataclass(frozen=True, slots=True)
class JudgedHour:
    """An hour and its reasons. estimated: what was not in the forecast and was derived or done without."""

    start: datetime
    reasons: tuple[Reason, ...] = ()
    estimated: frozenset[Measure] = frozenset()

    @property
    def verdict(self) -> Verdict:
        return max((reason.verdict for reason in self.reasons), default=Verdict.WORKABLE)


@dataclass(frozen=True, slots=True)
class Interval:
    """[starts_at, ends_at), UTC."""

    starts_at: datetime
    ends_at: datetime


@dataclass(frozen=True, slots=True)
class Judgement:
    """The hours of a forecast judged for one kind of work at one place, in order."""

    hours: tuple[JudgedHour, ...]

    def intervals(self, *, up_to: Verdict = Verdict.WORKABLE) -> tuple[Interval, ...]:
        """Stretches whose hours are no worse than `up_to`; a missing hour ends a stretch."""
        found: list[Interval] = []
        for hour in self.hours:
            if hour.verdict > up_to:
                continue
            if found and found[-1].ends_at == hour.start:
                found[-1] = Interval(found[-1].starts_at, hour.start + HOUR)
            else:
                found.append(Interval(hour.start, hour.start + HOUR))
        return tuple(found)


def judge(hours: Sequence[Hour], limits: Limits, *, place: Place = OPEN_PLACE) -> Judgement:
    """Judge each hour of a forecast. Hours that the forecast lacks are absent, neither open nor closed."""
    by_start = {hour.start: hour for hour in hours}
    return Judgement(tuple(_judged(hour, by_start, limits, place) for hour in hours))


def _judged(hour: Hour, by_start: Mapping[datetime, Hour], limits: Limits, place: Place) -> JudgedHour:
    estimated: set[Measure] = set()
    reasons = [
        *_wind(hour, limits, place, estimated),
        *(_rain(hour, estimated) if limits.dry else ()),
        *_temperature(hour, limits),
        *_damp(hour, limits, estimated),
        *_warmth_after(hour, by_start, limits),
        *_thunder(hour, by_start, limits),
    ]
    return JudgedHour(hour.start, tuple(reasons), frozenset(estimated))


def _wind(hour: Hour, limits: Limits, place: Place, estimated: set[Measure]) -> Iterator[Reason]:
    factor = place.wind_factor(hour.wind_from_deg)
    if limits.wind_kn is not None:
        yield from _at_most(Measure.WIND, _scaled(hour.wind_kn, factor), limits.wind_kn)
    if limits.gust_kn is not None:
        gust_kn = hour.gust_kn
        if gust_kn is None and hour.wind_kn is not None:
            gust_kn = GUST_PER_WIND * hour.wind_kn
            estimated.add(Measure.GUST)
        yield from _at_most(Measure.GUST, _scaled(gust_kn, factor), limits.gust_kn)


def _scaled(wind_kn: float | None, factor: float) -> float | None:
    # A hundredth of a knot, as the readers give it: a product must not miss a limit by a rounding error.
    return None if wind_kn is None else round(wind_kn * factor, 2)


def _at_most(measure: Measure, value: float | None, limit: float) -> Iterator[Reason]:
    if value is None:
        yield Reason(Verdict.UNKNOWN, measure, None, limit)
    elif value > limit:
        yield Reason(Verdict.CLOSED, measure, value, limit)


def _rain(hour: Hour, estimated: set[Measure]) -> Iterator[Reason]:
    """By probability and amount; where one is missing by the other alone, and marked as estimated."""
    if hour.pop is None and hour.rain_mm is None:
        yield Reason(Verdict.UNKNOWN, Measure.RAIN)
        return
    if hour.pop is None or hour.rain_mm is None:
        estimated.add(Measure.RAIN)
    falls = hour.rain_mm is not None and hour.rain_mm >= RAIN_FROM_MM
    if hour.pop is None:
        if falls:
            yield Reason(Verdict.CLOSED, Measure.RAIN, hour.rain_mm, RAIN_FROM_MM)
    elif hour.pop > WET_ABOVE_PERCENT:
        yield Reason(Verdict.CLOSED, Measure.RAIN, hour.pop, WET_ABOVE_PERCENT)
    elif hour.pop >= DRY_BELOW_PERCENT:
        yield Reason(Verdict.DOUBTFUL, Measure.RAIN, hour.pop, DRY_BELOW_PERCENT)
    elif falls:
        yield Reason(Verdict.DOUBTFUL, Measure.RAIN, hour.rain_mm, RAIN_FROM_MM)


def _temperature(hour: Hour, limits: Limits) -> Iterator[Reason]:
    bounds = (limits.above_temp_c, limits.min_temp_c, limits.max_temp_c)
    asked = [bound for bound in bounds if bound is not None]
    if not asked:
        return
    if hour.temp_c is None:
        yield Reason(Verdict.UNKNOWN, Measure.TEMPERATURE, None, asked[0])
        return
    if limits.above_temp_c is not None and hour.temp_c <= limits.above_temp_c:
        yield Reason(Verdict.CLOSED, Measure.TEMPERATURE, hour.temp_c, limits.above_temp_c)
    if limits.min_temp_c is not None and hour.temp_c < limits.min_temp_c:
        yield Reason(Verdict.CLOSED, Measure.TEMPERATURE, hour.temp_c, limits.min_temp_c)
    if limits.max_temp_c is not None and hour.temp_c > limits.max_temp_c:
        yield Reason(Verdict.CLOSED, Measure.TEMPERATURE, hour.temp_c, limits.max_temp_c)


def _damp(hour: Hour, limits: Limits, estimated: set[Measure]) -> Iterator[Reason]:
    """Humidity and dew spread, each from the other where only one is known."""
    if limits.below_rh is not None:
        rh = hour.rh
        if rh is None and hour.temp_c is not None and hour.dew_c is not None:
            rh = relative_humidity(hour.temp_c, hour.dew_c)
            estimated.add(Measure.HUMIDITY)
        if rh is None:
            yield Reason(Verdict.UNKNOWN, Measure.HUMIDITY, None, limits.below_rh)
        elif rh >= limits.below_rh:
            yield Reason(Verdict.CLOSED, Measure.HUMIDITY, rh, limits.below_rh)
    if limits.min_dew_spread_c is not None:
        yield from _dew_spread(hour, limits.min_dew_spread_c, limits.firm_dew_spread_c, estimated)


def _dew_spread(hour: Hour, lowest_c: float, firm_c: float | None, estimated: set[Measure]) -> Iterator[Reason]:
    dew_c = hour.dew_c
    if dew_c is None and hour.temp_c is not None and hour.rh is not None and hour.rh > 0:
        dew_c = dew_point_c(hour.temp_c, hour.rh)
        estimated.add(Measure.DEW_SPREAD)
    if dew_c is None or hour.temp_c is None:
        yield Reason(Verdict.UNKNOWN, Measure.DEW_SPREAD, None, lowest_c)
        return
    spread_c = round(hour.temp_c - dew_c, 2)
    if spread_c < lowest_c:
        yield Reason(Verdict.CLOSED, Measure.DEW_SPREAD, spread_c, lowest_c)
    elif firm_c is not None and spread_c < firm_c:
        yield Reason(Verdict.DOUBTFUL, Measure.DEW_SPREAD, spread_c, firm_c)


def _warmth_after(hour: Hour, by_start: Mapping[datetime, Hour], limits: Limits) -> Iterator[Reason]:
    """The hours after must stay warm; one that the forecast lacks makes the warmth unknown."""
    lowest_c = limits.min_temp_c
    if not limits.warm_after_h or lowest_c is None:
        return
    following = [by_start.get(hour.start + number * HOUR) for number in range(1, limits.warm_after_h + 1)]
    known = [later.temp_c for later in following if later is not None and later.temp_c is not None]
    if known and min(known) < lowest_c:
        yield Reason(Verdict.CLOSED, Measure.WARMTH_AFTER, min(known), lowest_c)
    elif len(known) < limits.warm_after_h:
        yield Reason(Verdict.UNKNOWN, Measure.WARMTH_AFTER, None, lowest_c)


def _thunder(hour: Hour, by_start: Mapping[datetime, Hour], limits: Limits) -> Iterator[Reason]:
    """Thunder in this hour or near it closes; unknown where an hour that is forecast does not say.

    value: hours from this hour to the thunder, below 0 where it was before. Hours that the forecast lacks
    count as without thunder: else its first and last hour would never be workable.
    """
    if limits.thunder_before_h is None or limits.thunder_after_h is None:
        return
    near = range(-limits.thunder_after_h, limits.thunder_before_h + 1)
    heard: dict[int, bool | None] = {}
    for offset in near:
        other = by_start.get(hour.start + timedelta(hours=offset))
        if other is not None:
            heard[offset] = other.thunder
    thunder = [offset for offset, there in heard.items() if there]
    if thunder:
        yield Reason(Verdict.CLOSED, Measure.THUNDER, float(min(thunder, key=abs)))
    elif None in heard.values():
        yield Reason(Verdict.UNKNOWN, Measure.THUNDER)
