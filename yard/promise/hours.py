"""How long jobs really take: the scatter about the estimate, and what finished jobs teach of it.

y = ln(actual / estimate) of a kind of job is normal, its mean and variance unknown; the prior on both is the
conjugate normal-inverse-gamma (any Bayesian textbook; Gelman and others, Bayesian Data Analysis, section 3.3).  The
next y is Student t.  Lognormal repair times: MIL-HDBK-338B 5.6.2; lognormal with dependence validated on project data:
Trietsch, Mazmanyan, Gevorgyan and Baker, European J. of Operational Research 216 (2012) 386.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

# Scatter (sd of the logarithm) until the yard's own finished jobs say otherwise: common practice.
ROUTINE, BENCH_AND_RIG, FIRST_OF_ITS_KIND = 0.25, 0.35, 0.50
# The prior weighs as much as four finished jobs.
PRIOR_JOBS, PRIOR_SHAPE = 4.0, 3.0


@dataclass(frozen=True, slots=True)
class Scatter:
    """What is believed of ln(actual / estimate) for one kind of job: normal-inverse-gamma with k, m, a, b.

    The mean given the variance is normal about m with variance / k; the variance is inverse gamma (a, b).
    """

    k: float
    m: float
    a: float
    b: float

    def __post_init__(self) -> None:
        if not (self.k > 0 and self.a > 0 and self.b > 0 and math.isfinite(self.m)):
            raise ValueError(f"a scatter needs k, a and b above 0 and a finite m, not {self}")

    @property
    def degrees(self) -> float:
        """Degrees of freedom of the next job's Student t."""
        return 2 * self.a

    @property
    def scale(self) -> float:
        """Scale of the next job's Student t."""
        return math.sqrt(self.b * (self.k + 1) / (self.a * self.k))


def prior(log_sd: float = BENCH_AND_RIG) -> Scatter:
    """Before any job of this kind was measured: centred on the estimate. 0.35 gives k 4, m 0, a 3, b 0.3675."""
    return Scatter(k=PRIOR_JOBS, m=0.0, a=PRIOR_SHAPE, b=PRIOR_SHAPE * log_sd**2)


def learn(before: Scatter, estimated: Sequence[float], actual: Sequence[float]) -> Scatter:
    """After finished jobs: hours (or minutes) estimated and worked, in pairs.

    Only figures that somebody read count: one copied from the estimate teaches nothing and must be left away.
    Raises ValueError where the lists differ in length or a figure is not above 0.
    """
    if len(estimated) != len(actual):
        raise ValueError(f"{len(estimated)} estimates and {len(actual)} measured hours")
    if any(not value > 0 for value in (*estimated, *actual)):
        raise ValueError("hours estimated and worked are above 0")
    n = len(actual)
    if n == 0:
        return before
    y = [math.log(done / thought) for thought, done in zip(estimated, actual, strict=True)]
    mean = sum(y) / n
    squares = sum((each - mean) ** 2 for each in y)
    k = before.k + n
    return Scatter(
        k=k,
        m=(before.k * before.m + n * mean) / k,
        a=before.a + n / 2,
        b=before.b + squares / 2 + before.k * n * (mean - before.m) ** 2 / (2 * k),
    )
