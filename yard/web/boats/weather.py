"""What weather a job of hers needs, in figures, from the limits that hold at the yard."""

from __future__ import annotations

from collections.abc import Mapping

from yard.models import Job, YardSettings
from yard.services.read_problem.forecast import WORK_OF
from yard.weather.limits import Limits, WorkKind


def weather_words(job: Job, limits: Mapping[WorkKind, Limits], yard: YardSettings) -> str:
    """ "wind to 12 kn, gusts to 18 kn, dry"; "" where any weather will do."""
    kind = WORK_OF.get(job.weather_class)
    return "" if kind is None else ", ".join(_figures(limits[kind], yard))


def _figures(limits: Limits, yard: YardSettings) -> list[str]:
    words = [f"wind to {limits.wind_kn:g} kn"] if limits.wind_kn is not None else []
    words += [f"gusts to {limits.gust_kn:g} kn"] if limits.gust_kn is not None else []
    words += ["dry"] if limits.dry else []
    words += [f"over {_degrees(limits.above_temp_c, yard)}"] if limits.above_temp_c is not None else []
    if limits.min_temp_c is not None and limits.max_temp_c is not None:
        words.append(f"{_degrees(limits.min_temp_c, yard)} to {_degrees(limits.max_temp_c, yard)}")
    elif limits.min_temp_c is not None:
        words.append(f"at least {_degrees(limits.min_temp_c, yard)}")
    words += [f"humidity under {limits.below_rh:g} %"] if limits.below_rh is not None else []
    words += ["no thunder"] if limits.thunder_before_h is not None else []
    return words


def _degrees(celsius: float, yard: YardSettings) -> str:
    """Fahrenheit where the yard reads feet."""
    if yard.units == YardSettings.Units.FEET:
        return f"{celsius * 1.8 + 32:.0f} °F"
    return f"{celsius:.0f} °C"
