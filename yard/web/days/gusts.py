"""Gusts of a day from the last forecast, the limit they are held against, and jobs that come close to theirs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.day_names import said
from yard.models import HourlyForecast, Job, Place, PlannedJob, ProductSheet, WeatherClass, YardSettings
from yard.pictures.day_sheet_input import Gust, GustLimit
from yard.queries.forecasts import hours_between
from yard.services.product_limits import WeatherBook, sheets_of
from yard.services.read_problem.forecast import judged_at
from yard.weather.hourly import Hour
from yard.weather.judge import Measure, Reason, Verdict
from yard.weather.limits import GUST_PER_WIND, Limits, WindSector
from yard.weather.refresh import Age, age
from yard.web.boats.words import figure
from yard.web.days.ramp_work import boat_name
from yard.web.units import at_minute, local, minute_on

WHOSE = {
    WeatherClass.MAST: gettext_lazy("the mast's limit of"),
    WeatherClass.AFLOAT: gettext_lazy("the limit afloat of"),
    WeatherClass.SAILS: gettext_lazy("the limit for sails and covers of"),
    WeatherClass.PATTERN: gettext_lazy("the limit for a pattern of"),
}
WHOSE_AT = {
    WeatherClass.MAST: gettext_lazy("the mast's limit at {place} of"),
    WeatherClass.AFLOAT: gettext_lazy("the limit afloat at {place} of"),
    WeatherClass.SAILS: gettext_lazy("the limit for sails and covers at {place} of"),
    WeatherClass.PATTERN: gettext_lazy("the limit for a pattern at {place} of"),
}
AGES = {
    Age.FRESH: "",
    Age.OLD: gettext_lazy(", old"),
    Age.TOO_OLD: gettext_lazy(", too old to plan by"),
}
OF_A_PRODUCT = (Measure.TEMPERATURE, Measure.HUMIDITY, Measure.DEW_SPREAD, Measure.WARMTH_AFTER)
"""What data sheets set limits of."""
CLOSE_SHARE = 0.8
"""From four fifths of a limit on it is close by (common practice)."""


@dataclass(frozen=True)
class DayWind:
    """gusts: by hour; limit: the lowest of the day's jobs, None where none has one. words: whose forecast, how old.

    close: jobs whose hours come close to a limit or pass it, in words.
    """

    gusts: tuple[Gust, ...]
    limit: GustLimit | None
    words: str
    close: tuple[str, ...]


def day_wind(
    forecast: HourlyForecast | None, rows: Sequence[PlannedJob], day: date, yard: YardSettings, *, now: datetime
) -> DayWind:
    """What the forecast says of the day by the yard's limits; without one, that wind and rain are not judged."""
    hours = () if forecast is None else hours_between(forecast, at_minute(day, 0), at_minute(day, 1440))
    if forecast is None or not hours:
        return DayWind((), None, _("No forecast is kept for this day: wind and rain are not judged."), ())
    own = WeatherBook.of(yard, sheets_of(row.job_id for row in rows))
    made = local(forecast.updated_at)
    estimated = any(hour.gust_kn is None and hour.wind_kn is not None for hour in hours)
    words = [
        _("Forecast of {made}{age}: {credit}.").format(
            made=said(made, "D j M H:i"), age=AGES[age(forecast.updated_at, now)], credit=forecast.credit
        )
    ]
    if estimated:
        guess = _("Where it gives no gusts they are reckoned as {times} times the wind.")
        words.append(guess.format(times=figure(GUST_PER_WIND)))
    return DayWind(
        gusts=tuple(Gust(minute_on(hour.start, day) + 30, kn) for hour in hours if (kn := gust_kn(hour)) is not None),
        limit=lowest_limit(rows, own, hours),
        words=" ".join(words),
        close=tuple(told for row in rows if (told := _close(row, hours, own))),
    )


def gust_kn(hour: Hour) -> float | None:
    """The gust, or what is reckoned from the wind; None where neither is told."""
    if hour.gust_kn is not None:
        return hour.gust_kn
    return None if hour.wind_kn is None else GUST_PER_WIND * hour.wind_kn


def lowest_limit(rows: Sequence[PlannedJob], own: WeatherBook, hours: Sequence[Hour]) -> GustLimit | None:
    """The lowest gust of the forecast that closes one of these jobs where it is done, and whose limit it is."""
    found = [limit for row in rows if (limit := _limit_there(row, own, hours)) is not None]
    return min(found, key=lambda each: each.kn, default=None)


def _limit_there(row: PlannedJob, own: WeatherBook, hours: Sequence[Hour]) -> GustLimit | None:
    """The job's limit as a gust in the forecast: at a place where it blows harder, a lower one closes it."""
    limits, place = limits_for(row, own), _windiest(row)
    if limits is None:
        return None
    kind = WeatherClass(row.job.weather_class)
    whose = str(WHOSE.get(kind) or _("the limit of"))
    if place is None:
        return None if limits.gust_kn is None else GustLimit(limits.gust_kn, whose)
    blows = [hour.wind_from_deg for hour in hours if _meets(hour.start, row)]
    sectors = [(WindSector(each["from_deg"], each["to_deg"], 1.0), each) for each in place.wind_limits]
    reached = [
        each.get("gust_kn") for sector, each in sectors if any(deg is None or sector.holds(deg) for deg in blows)
    ]
    known = [kn for kn in (limits.gust_kn, *reached) if kn is not None]
    if not known:
        return None
    there = min(known) / place.wind_factor
    if there != limits.gust_kn:
        whose = str(WHOSE_AT.get(kind) or _("the limit at {place} of")).format(place=place.name)
    return GustLimit(round(there, 1), whose)


def limits_for(row: PlannedJob, own: WeatherBook) -> Limits | None:
    """The limits of its kind of work and of the products put on in it; None where any weather will do."""
    return own.of_job(row.job)


def _windiest(row: PlannedJob) -> Place | None:
    """Of the places it is done at, the outdoor one where it blows hardest, or that has limits of its own."""
    places = [each.place for each in row.planned_places.all() if each.place.outdoor]
    return max(places, key=lambda place: (place.wind_factor, len(place.wind_limits)), default=None)


def _close(row: PlannedJob, hours: Sequence[Hour], own: WeatherBook) -> str:
    """What the forecast says against a job, or how near it comes; "" where it is well inside, or has no limits."""
    limits = limits_for(row, own)
    if limits is None or row.job.state == Job.State.DONE:
        return ""
    name, place = f"{boat_name(row.job.order)}, {row.job.name}", _windiest(row)
    factor = 1.0 if place is None else place.wind_factor
    reasons = [
        (hour.start, reason)
        for hour in judged_at(hours, limits, place)
        if _meets(hour.start, row)
        for reason in hour.reasons
        if reason.verdict in (Verdict.DOUBTFUL, Verdict.CLOSED)
    ]
    if reasons:
        start, worst = max(reasons, key=lambda each: (each[1].verdict, -each[0].timestamp()))
        words = _reason(worst, own.named(row.job))
        return _("{job}: {what} at {time}").format(job=name, what=words, time=said(local(start), "H:i"))
    near = [
        (hour.start, factor * kn) for hour in hours if _meets(hour.start, row) and (kn := gust_kn(hour)) is not None
    ]
    if limits.gust_kn is None or not near:
        return ""
    start, kn = max(near, key=lambda each: each[1])
    if kn < CLOSE_SHARE * limits.gust_kn:
        return ""
    return _("{job}: gusts of {kn} kn, limit {limit}, at {time}").format(
        job=name, kn=f"{kn:.0f}", limit=figure(limits.gust_kn), time=said(local(start), "H:i")
    )


def _reason(worst: Reason, sheets: Sequence[ProductSheet]) -> str:
    """ "gust 24 kn over the limit of 15", "rain doubtful", "temperature outside of the limit (Harbor Bright 40)" """
    if worst.measure in (Measure.WIND, Measure.GUST) and worst.value is not None and worst.limit is not None:
        return _("{measure} of {kn} kn over the limit of {limit}").format(
            measure=_(worst.measure.value), kn=f"{worst.value:.0f}", limit=figure(worst.limit)
        )
    words = _("{measure} outside of the limit") if worst.verdict is Verdict.CLOSED else _("{measure} doubtful")
    told = words.format(measure=_(worst.measure.value))
    if not sheets or worst.measure not in OF_A_PRODUCT:
        return told
    return f"{told} ({', '.join(sheet.name for sheet in sheets)})"


def _meets(start: datetime, row: PlannedJob) -> bool:
    """Whether the hour that begins then has a part of the job."""
    return start < row.ends_at and (row.starts_at - start).total_seconds() < 3600
