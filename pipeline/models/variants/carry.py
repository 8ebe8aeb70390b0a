"""Differences over a few rests, pooled.

Question: while one variant of a movement rested and another was trained, did its strength keep pace
with the other's? In: for each rest the difference of the two changes of level, log, and its
standard error, (n,) each. Out: the mean difference in per cent with an interval.

Rests differ by more than their errors (length, what else was trained), so the mean has random
effects: the spread between them by moments (DerSimonian and Laird 1986, from memory), the interval
by Student's t on the weighted scatter, never narrower than the errors themselves allow (Hartung and
Knapp 2001, from memory). Assumes that rests are independent draws. Strength that carried over is
not size: nothing here speaks of growth. Refuses below ``LEAST_RESTS``.
"""

from dataclasses import dataclass

import numpy as np

from pipeline.core.errors import Refusal
from pipeline.models.arrays import Floats
from pipeline.models.weeks import t_quantile

LEAST_RESTS = 3  # a spread between two rests is no spread; common practice
COVERAGE = 0.95


@dataclass(frozen=True)
class Carry:
    """Mean difference in per cent with its interval, spread between rests, number of rests."""

    pct: float
    low: float
    high: float
    spread_pct: float
    rests: int


def pool_rests(difference: Floats, se: Floats) -> Carry | Refusal:
    """The pooled difference of (n,) rests."""
    n = len(difference)
    if n < LEAST_RESTS:
        return Refusal(
            has=n,
            needs=LEAST_RESTS,
            of_what="rests of one variant while the other was trained",
            remedy="rest each of them for two months or more, at times",
        )
    variance = np.asarray(se, dtype=np.float64) ** 2
    fixed = 1.0 / variance
    mean = float(np.sum(fixed * difference) / fixed.sum())
    excess = float(np.sum(fixed * (difference - mean) ** 2)) - (n - 1)
    between = max(excess / float(fixed.sum() - np.sum(fixed**2) / fixed.sum()), 0.0)
    weight = 1.0 / (variance + between)
    mean = float(np.sum(weight * difference) / weight.sum())
    scatter = float(np.sum(weight * (difference - mean) ** 2)) / (n - 1)
    error = float(np.sqrt(max(scatter, 1.0) / weight.sum()))
    reach = t_quantile(COVERAGE, n - 1) * error
    return Carry(
        pct=100 * mean,
        low=100 * (mean - reach),
        high=100 * (mean + reach),
        spread_pct=100 * float(np.sqrt(between)),
        rests=n,
    )
