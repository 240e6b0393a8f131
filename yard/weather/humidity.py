"""Water in the air: vapour pressure, dew point and relative humidity from each other.

Magnus formula with the constants of FAO Irrigation and Drainage Paper 56, equations 11 to 14 (from memory; a
value computed with them stands in tests/reference/weather_drying.py).
"""

from __future__ import annotations

import math

A = 17.27
B_C = 237.3
ES_AT_0_C_KPA = 0.6108


def saturation_kpa(temp_c: float) -> float:
    """Vapour pressure of saturated air in kPa."""
    return ES_AT_0_C_KPA * math.exp(A * temp_c / (temp_c + B_C))


def saturation_slope_kpa_per_c(temp_c: float) -> float:
    """How fast the saturation pressure rises with temperature, in kPa per degree Celsius."""
    return A * B_C * saturation_kpa(temp_c) / (temp_c + B_C) ** 2


def dew_point_c(temp_c: float, rh: float) -> float:
    """Dew point in Celsius of air with a relative humidity in per cent, over 0 and at most 100."""
    if not 0 < rh <= 100:
        raise ValueError(f"a relative humidity is over 0 and at most 100 %, not {rh}")
    gamma = math.log(rh / 100) + A * temp_c / (temp_c + B_C)
    return B_C * gamma / (A - gamma)


def relative_humidity(temp_c: float, dew_c: float) -> float:
    """Relative humidity in per cent of air with this dew point; at most 100."""
    return min(100.0, 100 * saturation_kpa(dew_c) / saturation_kpa(temp_c))
