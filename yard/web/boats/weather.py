"""What weather a job of hers needs, in figures, from the limits that hold at the yard."""

from __future__ import annotations

from django.utils.translation import gettext as _

from yard.models import Job, YardSettings
from yard.services.product_limits import WeatherBook
from yard.weather.limits import Limits
from yard.web.boats.words import figure


def weather_words(job: Job, weather: WeatherBook, yard: YardSettings) -> str:
    """ "wind to 12 kn, gusts to 18 kn, dry"; products by name; "" where any weather will do."""
    limits, sheets = weather.of_job(job), weather.named(job)
    words = limit_figures(limits, yard) if limits is not None else []
    names = f"{', '.join(sheet.name for sheet in sheets)}: " if sheets else ""
    return f"{names}{', '.join(words) or _('as its data sheet says')}" if names else ", ".join(words)


def limit_figures(limits: Limits, yard: YardSettings) -> list[str]:
    words = [_("wind to {kn} kn").format(kn=figure(limits.wind_kn))] if limits.wind_kn is not None else []
    words += [_("gusts to {kn} kn").format(kn=figure(limits.gust_kn))] if limits.gust_kn is not None else []
    words += [_("dry")] if limits.dry else []
    words += (
        [_("over {degrees}").format(degrees=_degrees(limits.above_temp_c, yard))]
        if limits.above_temp_c is not None
        else []
    )
    if limits.min_temp_c is not None and limits.max_temp_c is not None:
        least, most = _degrees(limits.min_temp_c, yard), _degrees(limits.max_temp_c, yard)
        words.append(_("{least} to {most}").format(least=least, most=most))
    elif limits.min_temp_c is not None:
        words.append(_("at least {degrees}").format(degrees=_degrees(limits.min_temp_c, yard)))
    words += (
        [_("humidity under {per_cent} %").format(per_cent=figure(limits.below_rh))]
        if limits.below_rh is not None
        else []
    )
    if limits.min_dew_spread_c is not None and limits.below_rh is not None:
        words.append(_("{degrees} above the dew point").format(degrees=_spread(limits.min_dew_spread_c, yard)))
    words += [_("no thunder")] if limits.thunder_before_h is not None else []
    return words


def _degrees(celsius: float, yard: YardSettings) -> str:
    """Fahrenheit where the yard reads feet."""
    if yard.units == YardSettings.Units.FEET:
        return f"{celsius * 1.8 + 32:.0f} °F"
    return f"{celsius:.0f} °C"


def _spread(celsius: float, yard: YardSettings) -> str:
    """A difference of two temperatures."""
    return f"{celsius * 1.8:.0f} °F" if yard.units == YardSettings.Units.FEET else f"{figure(celsius)} °C"
