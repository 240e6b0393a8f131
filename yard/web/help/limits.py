"""The weather that outdoor work bears by default, in words: read off the limits themselves, so that help cannot lag."""

from __future__ import annotations

from dataclasses import dataclass

from yard.weather.limits import LIMITS, Limits, WorkKind

WORK = {
    WorkKind.SAILS_AND_COVERS: "sails and covers",
    WorkKind.PATTERN: "patterning",
    WorkKind.MAST: "masts and lifting",
    WorkKind.AFLOAT: "afloat",
    WorkKind.COATING: "paint and varnish",
    WorkKind.WASH: "washing",
}


@dataclass(frozen=True, slots=True)
class LimitLine:
    work: str
    wind: str
    besides: str
    source: str


def limit_lines(*, fahrenheit: bool) -> tuple[LimitLine, ...]:
    """fahrenheit: temperatures of a yard that works in feet."""
    return tuple(
        LimitLine(WORK[kind], _wind(of), "; ".join(_besides(of, fahrenheit)) or "nothing", of.source)
        for kind, of in LIMITS.items()
    )


def _wind(of: Limits) -> str:
    return f"{of.wind_kn:g}, {of.gust_kn:g}" if of.wind_kn is not None and of.gust_kn is not None else "–"


def _besides(of: Limits, fahrenheit: bool) -> list[str]:
    def warm(celsius: float) -> str:
        return f"{round(celsius * 1.8 + 32)} °F" if fahrenheit else f"{round(celsius)} °C"

    def spread(kelvin: float) -> str:
        return f"{round(kelvin * 1.8)} °F" if fahrenheit else f"{kelvin:g} °C"

    found = ["a dry hour"] if of.dry else []
    if of.min_dew_spread_c is not None:
        found.append(f"air {spread(of.min_dew_spread_c)} above its dew point")
    if of.above_temp_c is not None:
        found.append(f"warmer than {warm(of.above_temp_c)}")
    if of.min_temp_c is not None and of.max_temp_c is not None:
        found.append(f"{warm(of.min_temp_c)} to {warm(of.max_temp_c)}")
    if of.below_rh is not None:
        found.append(f"under {of.below_rh:g} % humidity")
    if of.warm_after_h:
        found.append(f"as warm for {of.warm_after_h} h after")
    if of.thunder_after_h is not None:
        found.append("no thunder")
    return found
