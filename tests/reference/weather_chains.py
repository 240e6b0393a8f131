"""Calendar days until n workable days are done, when yesterday was workable.

Derived: between two workable days lies nothing, or with probability q = P(lost | workable) a spell of lost
days, geometric with mean 1/(1 - r), r = P(lost | lost). Hence E = n (1 + q/(1-r)) and
Var = n (q(1+r)/(1-r)^2 - (q/(1-r))^2). Percentiles by exact recursion over the two states.
"""

# n, q, r, mean, variance, (P80, P90, P95)
CALENDAR_DAYS = (
    (5, 0.25, 0.36, 6.953125, 3.387451, (8, 9, 10)),
    (10, 0.25, 0.36, 13.90625, 6.774902, (16, 17, 19)),
    (20, 0.30, 0.50, 32.0, 28.8, (36, 39, 42)),
)

# Per cent of days, computed for this project from NOAA GHCN-Daily (public domain): April, May, June,
# September, October, November. Boston USW00014739, rain >= 0.10 in, 1996-2025; Providence USW00014765,
# 2-minute wind > 20 kn, 2000-2012. P, P after such a day, P after another.
BOSTON_RAIN = {
    4: (0.23, 0.33, 0.20),
    5: (0.22, 0.30, 0.19),
    6: (0.21, 0.31, 0.19),
    9: (0.19, 0.28, 0.17),
    10: (0.19, 0.29, 0.16),
    11: (0.19, 0.24, 0.18),
}
PROVIDENCE_WIND = {
    4: (0.29, 0.39, 0.25),
    5: (0.19, 0.44, 0.13),
    6: (0.09, 0.15, 0.09),
    9: (0.09, 0.21, 0.08),
    10: (0.18, 0.34, 0.15),
    11: (0.20, 0.42, 0.14),
}
# NCEI climate normals 1991-2020, Boston USW00014739: share of days with 0.10 in of rain or more, the same
# months.
BOSTON_NORMALS = {4: 0.22, 5: 0.22, 6: 0.22, 9: 0.20, 10: 0.19, 11: 0.21}
