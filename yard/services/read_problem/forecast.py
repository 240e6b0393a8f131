"""Hours that the forecast shuts for a job: by its kind of work, the products put on in it, and the wind at its place.

Only the first two days of a forecast bind a plan: with that horizon the allowance was measured (hours inside it are
planned bare), and further out the climate says as much. A forecast alone moves nothing; it binds the next plan made.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from yard.models import HourlyForecast, Job, Place, YardSettings
from yard.planning.problem import WindowSet
from yard.services.product_limits import Sheets, WeatherBook
from yard.services.read_problem.axis import Axis
from yard.services.read_problem.intervals import Interval, minus, union
from yard.weather.hourly import HOUR, Hour, hours_from_rows
from yard.weather.judge import JudgedHour, Verdict, judge
from yard.weather.limits import Limits, WindSector, stricter
from yard.weather.limits import Place as Wind
from yard.weather.refresh import TOO_OLD_AFTER

TRUSTED = timedelta(hours=48)


def hours_known(now: datetime) -> tuple[Hour, ...]:
    """The hours of the newest forecast fetched by `now`, up to TRUSTED from then; none where it is too old."""
    row = HourlyForecast.objects.filter(fetched_at__lte=now).order_by("-updated_at", "-id").first()
    if row is None or now - row.updated_at > TOO_OLD_AFTER:
        return ()
    hours = hours_from_rows(row.rows)
    return tuple(hour for hour in hours if now < hour.start + HOUR <= now + TRUSTED)


@dataclass(frozen=True)
class ForecastBook:
    """The hours known, what weather jobs bear, and the places whose wind is not the forecast's.

    Without a forecast there are no hours and no sets.
    """

    axis: Axis
    hours: Sequence[Hour]
    windy: Sequence[Place]
    weather: WeatherBook

    @classmethod
    def read(
        cls, axis: Axis, places: Iterable[Place], yard: YardSettings, now: datetime, *, sheets: Sheets | None = None
    ) -> ForecastBook:
        windy = [place for place in places if place.outdoor and (place.wind_factor != 1.0 or place.wind_limits)]
        return cls(axis, hours_known(now), windy, WeatherBook.of(yard, sheets or {}))

    @property
    def until_minute(self) -> int:
        """Up to where there is a forecast, in minutes since the epoch; 0 without one."""
        return self.axis.minute(self.hours[-1].start + HOUR) if self.hours else 0

    def sets(self, jobs: Iterable[Job]) -> list[WindowSet]:
        """A set for each kind of outdoor work, with its products, and each group of windy places that some job has."""
        made: dict[str, WindowSet] = {}
        for job in jobs if self.hours else ():
            limits = self.weather.of_job(job) if job.outdoor else None
            for way in job.ways.all() if limits is not None else ():
                key = self.key(job, way.place_kinds)
                if limits is not None and key not in made:
                    intervals = self._open(limits, self._at(way.place_kinds))
                    made[key] = WindowSet(key=key, rule="forecast", intervals=intervals)
        return list(made.values())

    def key(self, job: Job, place_kinds: Iterable[str]) -> str:
        """Jobs with the same key have the same hours: of one kind of work, with the same products and windy places."""
        sheets = (f"sheet{sheet.pk}" for sheet in self.weather.named(job))
        return "-".join(["forecast", job.weather_class, *sheets, *(str(place.pk) for place in self._at(place_kinds))])

    def _at(self, place_kinds: Iterable[str]) -> list[Place]:
        """The windy places of these kinds: where one of several is used, the strictest of them counts."""
        kinds = set(place_kinds)
        return [place for place in self.windy if place.kind in kinds]

    def _open(self, limits: Limits, places: Sequence[Place]) -> tuple[Interval, ...]:
        """All time but the hours that are shut at one of the places; at an open place, where none has its own wind."""
        hours = {hour for place in places for hour in _shut(self.hours, limits, place)}
        if not places:
            hours = set(_shut(self.hours, limits, None))
        shut = union((self.axis.minute(start), self.axis.minute(start + HOUR)) for start in hours)
        whole = ((self.axis.minute(self.axis.starts_at), self.axis.minute(self.axis.ends_at)),)
        return minus(whole, shut)


def judged_at(hours: Sequence[Hour], limits: Limits, place: Place | None) -> list[JudgedHour]:
    """Each hour with the worst that is said of it at a place. A wind of unknown direction may come from any sector."""
    wind = Wind(place.wind_factor if place is not None else 1.0)
    found = list(judge(hours, limits, place=wind).hours)
    for sector in place.wind_limits if place is not None else ():
        reach = WindSector(sector["from_deg"], sector["to_deg"], wind.factor)
        there = stricter(limits, wind_kn=sector.get("sustained_kn"), gust_kn=sector.get("gust_kn"))
        for index, judged in enumerate(judge(hours, there, place=wind).hours):
            blows_from = hours[index].wind_from_deg
            if (blows_from is None or reach.holds(blows_from)) and judged.verdict > found[index].verdict:
                found[index] = judged
    return found


def _shut(hours: Sequence[Hour], limits: Limits, place: Place | None) -> Iterator[datetime]:
    """The starts of the hours that the forecast closes there."""
    for hour, judged in zip(hours, judged_at(hours, limits, place), strict=True):
        if judged.verdict is Verdict.CLOSED:
            yield hour.start
