"""Values of the humidity and drying formulas, computed for this project outside yard.weather.

Magnus with 17.27 and 237.3 (FAO Irrigation and Drainage Paper 56, eq. 11); Penman in the form of Shuttleworth
1993 with no net radiation, two sides, gamma 0.0667 kPa/C, latent heat 2.45 MJ/kg.
"""

# Temperature C, relative humidity %, dew point C.
DEW_POINTS = ((20, 60, 12.0), (15, 85, 12.5), (15, 82.2, 12.0))
# Temperature C, relative humidity %, wind m/s, grams per m2 of sail and hour.
DRYING_RATES = ((15, 60, 0.3, 65.4), (15, 60, 2.0, 116.8), (20, 50, 0.3, 93.6), (8, 85, 0.3, 19.5))
# Saturation vapour pressure over water, kPa, at C: FAO 56, Annex 2, Table 2.3 (from memory).
SATURATION_KPA = ((1, 0.657), (10, 1.228), (20, 2.338), (30, 4.243))
