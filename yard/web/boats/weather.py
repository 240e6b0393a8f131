"""What weather a job of hers needs, in figures, from the limits that hold at the yard."""

from __future__ import annotations

from yard.models import Job, YardSettings
from yard.services.product_limits import WeatherBook
from yard.weather.limits import Limits


def weather_words(job: Job, weather: WeatherBook, yard: YardSettings) -> str:
    """ "wind to 12 kn, gusts to 18 kn, dry"; products by name; "" where any weather will do."""
    limits, sheets = weather.of_job(job), weather.named(job)
    words = limit_figures(limits, yard) if limits is not None else []
    names = f"{', '.join(sheet.name for sheet in sheets)}: " if sheets else ""
    return f"{names}{', '.join(words) or 'as its data sheet says'}" if names else ", ".join(words)


def limit_figures(limits: Limits, yard: YardSettings) -> list[str]:
    words = [f"wind to {limits.wind_kn:g} kn"] if limits.wind_kn is not None else []
    words += [f"gusts to {limits.gust_kn:g} kn"] if limits.gust_kn is not None else []
    words += ["dry"] if limits.dry else []
    words += [f"over {_degrees(limits.above_temp_c, yard)}"] if limits.above_temp_c is not None else []
    if limits.min_temp_c is not None and limits.max_temp_c is not None:
        words.append(f"{_degrees(limits.min_temp_c, yard)} to {_degrees(limits.max_temp_c, yard)}")
    elif limits.min_temp_c is not None:
        words.append(f"at least {_degrees(limits.min_temp_c, yard)}")
    words += [f"humidity under {limits.below_rh:g} %"] if limits.below_rh is not None else []
    if limits.min_dew_spread_c is not None and limits.below_rh is not None:
        words.append(f"{_spread(limits.min_dew_spread_c, yard)} above the dew point")
    words += ["no thunder"] if limits.thunder_before_h is not None else []
    return words


def _degrees(celsius: float, yard: YardSettings) -> str:
    """Fahrenheit where the yard reads feet."""
    if yard.units == YardSettings.Units.FEET:
        return f"{celsius * 1.8 + 32:.0f} °F"
    return f"{celsius:.0f} °C"


def _spread(celsius: float, yard: YardSettings) -> str:
    """A difference of two temperatures."""
    return f"{celsius * 1.8:.0f} °F" if yard.units == YardSettings.Units.FEET else f"{celsius:g} °C"
