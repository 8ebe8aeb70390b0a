"""Robust trends by rank: Theil-Sen slope, Mann-Kendall and seasonal Kendall tests.

Question: does a short series of measurements (tape measures, own ratings, yearly bests) rise or
fall, without assuming a normal error? Times in years, values in any unit; slopes per year. Real
dates are used, never positions in the list. Assumes independent values. Refuses below four.
Methods: EPA (2009) Unified Guidance, chapters 14 and 17; limits after Gilbert (1987).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pipeline.core.errors import Refusal
from pipeline.models.arrays import Floats
from pipeline.models.weeks import normal_quantile

# With three values the smallest two-sided p is 0.33; with four it is 0.09. Common practice.
MIN_VALUES = 4


@dataclass(frozen=True)
class KendallTrend:
    """Mann-Kendall test with its Theil-Sen line.

    s, variance, z, p_value : the test (ties and continuity corrected, two-sided).
    tau : tau-a (ties are not removed from the number of pairs).
    slope, low, high : per year, with limits of the coverage asked for.
    intercept : median value minus slope x median time (Conover); seasonal: median of seasons.
    n : values used.
    """

    s: float
    variance: float
    z: float
    p_value: float
    tau: float
    slope: float
    low: float
    high: float
    intercept: float
    n: int


@dataclass(frozen=True)
class SeasonalTrend(KendallTrend):
    """Seasonal Kendall test; the p-value of heterogeneity asks whether seasons disagree."""

    heterogeneity_chi2: float
    heterogeneity_p: float


def fit_trend(
    t_years: ArrayLike, value: ArrayLike, coverage: float = 0.95
) -> KendallTrend | Refusal:
    """Mann-Kendall and Theil-Sen on (n,) times and values; refuses under ``MIN_VALUES``."""
    t, y = _ordered(t_years, value)
    if t.size < MIN_VALUES:
        return _too_few(t.size)
    s, variance = _kendall_s(y), _kendall_variance(y)
    slopes = _pair_slopes(t, y)
    low, high = _gilbert_limits(slopes, variance, coverage)
    slope = float(np.median(slopes))
    z, p = _test(s, variance)
    intercept = float(np.median(y) - slope * np.median(t))
    return KendallTrend(
        s, variance, z, p, s / (t.size * (t.size - 1) / 2), slope, low, high, intercept, t.size
    )


def fit_seasonal_trend(
    t_years: ArrayLike, value: ArrayLike, season: ArrayLike, coverage: float = 0.95
) -> SeasonalTrend | Refusal:
    """The same within seasons ((n,) ints), pooled: yearly ups and downs do not count as trend.

    Refuses when no season has two values or under ``MIN_VALUES`` in all.
    """
    parts = _season_parts(np.asarray(t_years, float), np.asarray(value, float), np.asarray(season))
    n = sum(t.size for t, _ in parts)
    if n < MIN_VALUES:
        return _too_few(n)
    s_each = np.array([_kendall_s(y) for _, y in parts])
    var_each = np.array([_kendall_variance(y) for _, y in parts])
    slopes_each = [_pair_slopes(t, y) for t, y in parts]
    return _pool_seasons(parts, s_each, var_each, slopes_each, coverage, n)


def _pool_seasons(
    parts: list[tuple[Floats, Floats]],
    s_each: Floats,
    var_each: Floats,
    slopes_each: list[Floats],
    coverage: float,
    n: int,
) -> SeasonalTrend:
    from scipy.stats import chi2

    slopes = np.sort(np.concatenate(slopes_each))
    s, variance = float(s_each.sum()), float(var_each.sum())
    slope = float(np.median(slopes))
    low, high = _gilbert_limits(slopes, variance, coverage)
    z, p = _test(s, variance)
    z_each = s_each / np.sqrt(np.maximum(var_each, 1e-12))
    spread = float(np.sum(z_each**2) - z_each.size * np.mean(z_each) ** 2)
    intercepts = [
        np.median(y) - np.median(b) * np.median(t)
        for (t, y), b in zip(parts, slopes_each, strict=True)
    ]
    pairs = np.array([t.size * (t.size - 1) / 2 for t, _ in parts])
    tau = float(np.mean(s_each / pairs))
    return SeasonalTrend(
        s, variance, z, p, tau, slope, low, high, float(np.median(intercepts)), n,
        spread, float(chi2.sf(spread, max(z_each.size - 1, 1))),
    )  # fmt: skip


def _season_parts(t: Floats, y: Floats, season: NDArray) -> list[tuple[Floats, Floats]]:
    parts = (_ordered(t[season == k], y[season == k]) for k in np.unique(season))
    return [part for part in parts if part[0].size >= 2]


def _ordered(t_years: ArrayLike, value: ArrayLike) -> tuple[Floats, Floats]:
    t, y = np.asarray(t_years, dtype=float), np.asarray(value, dtype=float)
    keep = np.isfinite(t) & np.isfinite(y)
    order = np.argsort(t[keep], kind="stable")
    return t[keep][order], y[keep][order]


def _kendall_s(y: Floats) -> float:
    return float(np.sign(np.subtract.outer(y, y))[np.tril_indices(y.size, -1)].sum())


def _kendall_variance(y: Floats) -> float:
    n = y.size
    _, ties = np.unique(y, return_counts=True)
    tied = np.sum(ties * (ties - 1) * (2 * ties + 5))
    return float((n * (n - 1) * (2 * n + 5) - tied) / 18.0)


def _pair_slopes(t: Floats, y: Floats) -> Floats:
    late, early = np.tril_indices(t.size, -1)
    gap = t[late] - t[early]
    return np.sort((y[late] - y[early])[gap > 0] / gap[gap > 0])


def _gilbert_limits(slopes: Floats, variance: float, coverage: float) -> tuple[float, float]:
    """Ranks (N - C)/2 and (N + C)/2 + 1 of the slopes, interpolated; C = z sqrt(Var S)."""
    c = normal_quantile(coverage) * np.sqrt(variance)
    ranks = np.array([(slopes.size - c) / 2.0, (slopes.size + c) / 2.0 + 1.0])
    low, high = np.interp(ranks, np.arange(1, slopes.size + 1), slopes)
    return float(low), float(high)


def _test(s: float, variance: float) -> tuple[float, float]:
    from scipy.special import ndtr

    z = (s - np.sign(s)) / np.sqrt(variance) if variance > 0 else 0.0
    return float(z), float(2.0 * ndtr(-abs(z)))


def _too_few(n: int) -> Refusal:
    return Refusal(n, MIN_VALUES, "dated values", "keep measuring at the same site and hour")
