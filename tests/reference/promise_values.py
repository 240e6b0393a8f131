"""Values that the promise is checked against, with where they come from."""

# Hours of four jobs in a row, independent normals: means and sds. Normals add: mean, variance, P80, P90, P95 (derived).
NORMAL_CHAIN = ((3.0, 5.0, 2.0, 6.0), (0.5, 1.0, 0.4, 1.2), 16.0, 2.85, (17.4208, 18.1635, 18.7768))

# Three lognormal jobs in a row: medians, sd of the logarithm; mean and sd are exact (sum e^(s2/2) m, sum m2 e^s2
# (e^s2 - 1)); P80, P90, P95 from 4,000,000 draws, good to 0.01 (computed for this project).
LOGNORMAL_CHAIN = ((2.0, 4.0, 6.0), 0.3, 12.55233, 2.40217, (14.436, 15.711, 16.858))

# The later of N(10, 2) and N(11, 1): mean, sd, P50, P80, P90, P95; P90 of the longer alone. Clark, Operations Research
# 9 (1961) 145-162 for the moments; quantiles from F(x) = Phi((x - 10) / 2) Phi(x - 11).
CLARK_MAX = ((10.0, 2.0), (11.0, 1.0), 11.479811, 1.127853, (11.4083, 12.3409, 12.901, 13.4361), 12.2816)

# PERT: optimistic, likely, pessimistic. Taylor, Introduction to Management Science, CPM/PERT chapter, worked example:
# path 1-3-5-7 has mean 24, variance 5 and is done by 28 with 0.9633 (read off a normal table; Phi(4 / sqrt 5) is
# 0.96318).
PERT_TAYLOR = (((5, 8, 17), (3, 5, 7), (4, 6, 8), (3, 4, 5)), 24.0, 5.0, 28.0, 0.9633)

# Hillier and Lieberman, Introduction to Operations Research, Reliable Construction Co.: data, 44, 9 and 0.84 FROM
# MEMORY (they agree with one another).  The whole network: 0.816 by the beta and 0.828 by the normal, mean 44.32 and
# P90 48.21 by the beta, from 1,000,000 draws (computed for this project): the merge bias that one path hides.
PERT_RELIABLE = {
    "A": ((1, 2, 3), ""),
    "B": ((2, 3.5, 8), "A"),
    "C": ((6, 9, 18), "B"),
    "D": ((4, 5.5, 10), "C"),
    "E": ((1, 4.5, 5), "C"),
    "F": ((4, 4, 10), "E"),
    "G": ((5, 6.5, 11), "D"),
    "H": ((5, 8, 17), "EG"),
    "I": ((3, 7.5, 9), "C"),
    "J": ((3, 9, 9), "FI"),
    "K": ((4, 4, 4), "J"),
    "L": ((1, 5.5, 7), "J"),
    "M": ((1, 2, 3), "H"),
    "N": ((5, 5.5, 9), "KL"),
}
PERT_RELIABLE_PATH, PERT_RELIABLE_MEAN, PERT_RELIABLE_VARIANCE, PERT_RELIABLE_BY_47 = "ABCEFJLN", 44.0, 9.0, 0.8413
PERT_RELIABLE_NETWORK = {"normal": 0.828, "beta": 0.816, "beta_mean": 44.32, "beta_q90": 48.21}

# Normal-inverse-gamma on ln(actual / estimate), prior k 4, m 0, a 3, b 0.3675 (conjugate formulae of any Bayesian
# textbook; computed): hours estimated, hours worked, then k, m, a, b, scale of the next Student t, its factors at P50,
# P80, P90, P95, and the prior's P90.
NIG = (
    (3, 3, 4, 3, 4, 3),
    (3.5, 2.8, 4.6, 3.2, 5.0, 3.9),
    (10, 0.0775, 6, 0.4229, 0.2784),
    (1.0806, 1.3778, 1.5764, 1.7749),
    1.757,
)

# Days until n workable days are done when yesterday was workable, P(lost | workable), P(lost | lost); mean, variance,
# P80, P90, P95, and the chance by some days. Derived (tests/reference/weather_chains.py says how).
MARKOV = (
    (5, 0.25, 0.36, 6.953125, 3.387451, (8, 9, 10), {5: 0.2373, 7: 0.6896, 9: 0.9043}),
    (10, 0.25, 0.36, 13.90625, 6.774902, (16, 17, 19), {10: 0.0563, 14: 0.645, 16: 0.8463}),
    (20, 0.30, 0.50, 32.0, 28.8, (36, 39, 42), {}),
)
