"""How long a wet sail hangs: the rate at which water leaves cloth, and the days to plan.

Penman's equation in the form of Shuttleworth (1993) without sun, on both sides of the cloth. Fabrics dry at
one rate per area for most of the time, so the time is the water held (The Rate of Drying of Fabrics, Textile
Research Journal); measured rates are 50 to 100 % of such a maximum (Dai, Liu, Hong, IJCST 32 (2020) 356). No
published water load of sailcloth was found: the load is a guess to be weighed. Honest error: a factor of 2
either way. A person's "dry", tapes and corner patches felt, ends the job; not this formula.
"""

from __future__ import annotations

from yard.weather.humidity import saturation_kpa, saturation_slope_kpa_per_c

PSYCHROMETRIC_KPA_PER_C = 0.0667  # at sea level
LATENT_HEAT_MJ_PER_KG = 2.45
SIDES = 2

# Held by one layer after dripping; a guess within 80 to 300: weigh a sail of your own.
WATER_G_PER_M2 = 150.0
# A corner patch of this many layers holds as many times the water and dries last.
CORNER_LAYERS = 8
# Air that no wind moves, indoors under cover.
STILL_AIR_M_S = 0.3


def drying_rate_g_per_m2_h(temp_c: float, rh: float, wind_m_s: float = STILL_AIR_M_S) -> float:
    """Grams of water that leave a square metre of sail in an hour, from both sides, out of the sun.

    temp_c: air, -10 to 60. rh: per cent, 0 to 100. wind_m_s: along the cloth, at least 0.
    Raises ValueError outside these. At rh 100 the rate is 0.
    """
    if not (-10 <= temp_c <= 60 and 0 <= rh <= 100 and wind_m_s >= 0):
        raise ValueError(f"no drying rate for {temp_c} C, {rh} %, {wind_m_s} m/s: out of range")
    deficit_kpa = saturation_kpa(temp_c) * (1 - rh / 100)
    slope = saturation_slope_kpa_per_c(temp_c)
    mm_per_day = (
        PSYCHROMETRIC_KPA_PER_C
        * 6.43
        * (1 + 0.536 * wind_m_s)
        * deficit_kpa
        / (LATENT_HEAT_MJ_PER_KG * (slope + PSYCHROMETRIC_KPA_PER_C))
    )
    return SIDES * 1000 / 24 * mm_per_day  # 1 mm of water is 1,000 g/m2


def drying_hours(rate_g_per_m2_h: float, *, layers: int = 1, water_g_per_m2: float = WATER_G_PER_M2) -> float:
    """Hours until `layers` layers are dry at a steady rate. Raises ValueError where nothing dries."""
    if rate_g_per_m2_h <= 0:
        raise ValueError("nothing dries at this rate: the air is full of water")
    if layers < 1 or water_g_per_m2 < 0:
        raise ValueError(f"{layers} layers of {water_g_per_m2} g/m2 cannot be")
    return layers * water_g_per_m2 / rate_g_per_m2_h


def planned_drying_days(rh: float) -> int:
    """Days a sail keeps its line in a plan: 1 in air under 60 %, 2 under 80 %, 3 above (common practice)."""
    if not 0 <= rh <= 100:
        raise ValueError(f"a relative humidity is 0 to 100 %, not {rh}")
    return 1 if rh < 60 else 2 if rh < 80 else 3
