"""How long it took to come back after time off: one layoff, and all of a record together.

Question: after how many weeks was nine tenths of a loss back? And, since longer layoffs take
longer: how many weeks for each week off, over all layoffs that cost something?

Model (own derivation): strength(k) = before - loss x way(k), the way back straight, 1 - 0.9 k /
weeks and never below 0, or bent, 0.1^(k / weeks): for each time whichever fits better, since no
source says which it is. The loss is free for each layoff. The errors of the weeks after are those
of single weeks, of the level before, which they share, and of a slow drift, which grows with time
and without which every bad season would be a slow return. One layoff: those times that the noise
cannot exclude. All of them: the time in proportion to the weeks off (ten weeks off regained in
five: Halonen et al. 2024, read, novices), the costs added up. Assumes that nothing else but that
drift moved strength meanwhile. What it needs before it is asked stands in ``layoff``.
"""

from dataclasses import dataclass

import numpy as np

from pipeline.models.arrays import Floats

REGAINED = 0.9
# Weeks to nine tenths for each week off, and the same in weeks for one layoff. The ends say
# "at once" and "not within any time that was read".
SHARES = np.geomspace(0.05, 8.0, 90)
WEEKS = np.geomspace(0.9, 60.0, 60)
# The time in proportion to the weeks off is an assumption, and layoffs differ, so the errors are
# widened like those of deloads (METHODS: 1.6).
WIDENING = 1.6
CHI_90, CHI_95 = 2.71 * WIDENING**2, 3.84 * WIDENING**2


@dataclass(frozen=True)
class Return:
    """The weeks after one layoff.

    Attributes
    ----------
    weeks_off : length of the layoff.
    weeks_back : (n,) weeks since the return, middle of each week.
    below : (n,) level before less the strength of the week, log.
    covariance : (n, n) of the errors of ``below``.
    """

    weeks_off: int
    weeks_back: Floats
    below: Floats
    covariance: Floats


@dataclass(frozen=True)
class RegainByLength:
    """Weeks to nine tenths for each week off, with 95 % interval.

    ``high`` is inf where the weeks read cannot tell a slow return from none. ``n`` layoffs,
    ``middle_weeks`` off in the middle one.
    """

    weeks_per_week: float
    low: float
    high: float
    n: int
    middle_weeks: float


def regain_of(one: Return) -> tuple[float, float, float]:
    """(best, low, high) weeks until nine tenths of one loss is back, 90 % set.

    inf where it lies beyond the weeks read: what was not seen is not extrapolated.
    """
    cost = _cost(one, WEEKS)
    credible = np.flatnonzero(cost <= cost.min() + CHI_90)
    ends = WEEKS[np.argmin(cost)], WEEKS[credible[0]], WEEKS[credible[-1]]
    last = one.weeks_back[-1]
    best, low, high = (float(end) if end <= last else float("inf") for end in ends)
    return best, low, high


def fit_regain(returns: list[Return]) -> RegainByLength:
    """Weeks to nine tenths for each week off, over the layoffs that ``layoff`` chose."""
    cost = np.sum([_cost(one, SHARES * one.weeks_off) for one in returns], axis=0)
    credible = np.flatnonzero(cost <= cost.min() + CHI_95)
    high = SHARES[credible[-1]] if credible[-1] < SHARES.size - 1 else np.inf
    low = SHARES[credible[0]] if credible[0] > 0 else 0.0
    middle = float(np.median([one.weeks_off for one in returns]))
    best = float(SHARES[np.argmin(cost)])
    return RegainByLength(best, float(low), float(high), len(returns), middle)


def _cost(one: Return, weeks: Floats) -> Floats:
    """Weighted squares left over for each time to nine tenths, by the way that fits it better."""
    inverse: Floats = np.asarray(np.linalg.inv(one.covariance), dtype=np.float64)
    part = one.weeks_back / weeks[:, None]
    straight = np.maximum(1.0 - REGAINED * part, 0.0)
    straight[:, 0] = np.maximum(straight[:, 0], 1e-3)
    ways = (straight, (1.0 - REGAINED) ** part)
    return np.min([_left_over(way, one.below, inverse) for way in ways], axis=0)


def _left_over(way: Floats, below: Floats, inverse: Floats) -> Floats:
    """Weighted squares after the best loss along each row of ``way``; a loss is never below 0."""
    weighed = way @ inverse
    loss = np.maximum((weighed @ below) / np.sum(weighed * way, axis=1), 0.0)
    residual = below - loss[:, None] * way
    return np.sum((residual @ inverse) * residual, axis=1)
