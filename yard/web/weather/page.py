"""The newest forecast as a table: each day, its gusts, and the hours in which each kind of work may be done."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from yard.day_names import said
from yard.models import YardSettings
from yard.queries.forecasts import hours_between, latest_forecast
from yard.services.weather_limits import limits_of
from yard.weather.hourly import Hour
from yard.weather.judge import Verdict, judge
from yard.weather.limits import Limits, WorkKind
from yard.weather.refresh import age
from yard.web.days.gusts import AGES, gust_kn
from yard.web.units import at_minute, local

NAMES = {
    WorkKind.SAILS_AND_COVERS: gettext_lazy("Sails, covers"),
    WorkKind.PATTERN: gettext_lazy("Pattern"),
    WorkKind.MAST: gettext_lazy("Mast, aloft"),
    WorkKind.AFLOAT: gettext_lazy("Afloat"),
    WorkKind.COATING: gettext_lazy("Coating"),
    WorkKind.WASH: gettext_lazy("Wash"),
}
FIRST_HOUR, LAST_HOUR = 6, 20
DAYS = 8


@dataclass(frozen=True)
class WeatherDay:
    """gusts: least and most, kn, "" where unknown. open: by kind, the hours that may be worked, in words."""

    day: date
    gusts: str
    open: tuple[str, ...]


@dataclass(frozen=True)
class ForecastPage:
    """words: whose forecast, how old; "" without one."""

    words: str
    kinds: tuple[str, ...]
    days: tuple[WeatherDay, ...]


def forecast_page(yard: YardSettings, *, now: datetime) -> ForecastPage:
    row, kinds = latest_forecast(), tuple(str(name) for name in NAMES.values())
    if row is None:
        return ForecastPage("", kinds, ())
    made, limits = local(row.updated_at), limits_of(yard)
    first = local(now).date()
    days = []
    for day in (first + timedelta(days=n) for n in range(DAYS)):
        hours = hours_between(row, at_minute(day, FIRST_HOUR * 60), at_minute(day, LAST_HOUR * 60))
        if hours:
            days.append(_day(day, hours, {kind: limits[kind] for kind in NAMES}))
    words = _("Forecast of {made}{age}: {credit}.").format(
        made=said(made, "D j M H:i"), age=AGES[age(row.updated_at, now)], credit=row.credit
    )
    return ForecastPage(words, kinds, tuple(days))


def _day(day: date, hours: tuple[Hour, ...], limits: dict[WorkKind, Limits]) -> WeatherDay:
    known = [kn for hour in hours if (kn := gust_kn(hour)) is not None]
    gusts = _("{least} to {most}").format(least=f"{min(known):.0f}", most=f"{max(known):.0f}") if known else ""
    return WeatherDay(day, gusts, tuple(_open(hours, one) for one in limits.values()))


def _open(hours: tuple[Hour, ...], limits: Limits) -> str:
    """ "06 to 11, 15 to 20"; "none"; doubtful hours count as open, unknown ones do not."""
    stretches = judge(hours, limits).intervals(up_to=Verdict.DOUBTFUL)
    if not stretches:
        return _("none")
    return ", ".join(
        _("{first} to {last}").format(first=said(local(one.starts_at), "H"), last=said(local(one.ends_at), "H"))
        for one in stretches
    )
