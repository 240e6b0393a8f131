"""Units that providers name, turned into knots, Celsius and millimetres."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from yard.speech import _
from yard.weather.hourly import ForecastNotRead

KM_H_PER_KN = 1.852  # the international knot, exact
Convert = Callable[[float], float]

# Rounded to a hundredth: whole knots arrive as km/h and must come back whole, or 12 kn fails a limit of 12.
TO_KNOTS: Mapping[str, Convert] = {
    "km/h": lambda speed: round(speed / KM_H_PER_KN, 2),
    "m/s": lambda speed: round(speed * 3.6 / KM_H_PER_KN, 2),
    "mph": lambda speed: round(speed * 1.609344 / KM_H_PER_KN, 2),
    "kn": lambda speed: round(speed, 2),
}
TO_CELSIUS: Mapping[str, Convert] = {
    "C": lambda degrees: degrees,
    "F": lambda degrees: round((degrees - 32) / 1.8, 2),
}
TO_MILLIMETRES: Mapping[str, Convert] = {
    "mm": lambda depth: depth,
    "inch": lambda depth: depth * 25.4,
}
AS_IT_IS: Mapping[str, Convert] = {"%": lambda share: share, "degrees": lambda angle: angle}

# How the providers spell them.
SPELLINGS: Mapping[str, str] = {
    "km_h-1": "km/h",
    "m_s-1": "m/s",
    "kt": "kn",
    "mp/h": "mph",
    "degC": "C",
    "celsius": "C",
    "°C": "C",
    "degF": "F",
    "°F": "F",
    "percent": "%",
    "degree_(angle)": "degrees",
    "°": "degrees",
}


def converter(layer: str, unit: str | None, known: Mapping[str, Convert]) -> Convert:
    """The conversion for a layer's unit. Raises ForecastNotRead for one that is not known for this layer."""
    spelled = (unit or "").removeprefix("wmoUnit:").removeprefix("unit:")
    name = SPELLINGS.get(spelled, spelled)
    if name not in known:
        raise ForecastNotRead(
            _("{layer} comes in the unit {unit!r}, which is not one of {units}").format(
                layer=layer, unit=unit, units=", ".join(known)
            ),
            True,
        )
    return known[name]
