"""One local linear trend, smoothed by the program and by statsmodels: states and variances.

Shared by the reference test, which holds the two equal, and by ``make bench``, which compares
their time. statsmodels runs as fast as its public interface allows: the model is built once, its
compiled smoother is called without the results class, and asked for the states and their
covariances only (its other smoothing methods, tried in turn, were not faster).
"""

from collections.abc import Callable

import numpy as np
import statsmodels.api as sm
from statsmodels.tsa.statespace.kalman_smoother import SMOOTHER_STATE, SMOOTHER_STATE_COV

from pipeline.models.arrays import Floats
from pipeline.models.smoothing.state_space import solve_weeks, sum_weeks
from pipeline.models.smoothing.week_prior import trend_prior

Smoothed = tuple[Floats, Floats]

NOISE_VAR, LEVEL_VAR, SLOPE_VAR = 1.0, 0.09, 0.0004


def draw_series(n_weeks: int = 600, missing: float = 0.25, seed: int = 0) -> Floats:
    """(n_weeks,) invented levels with noise; nan in weeks missing at random and in two spells."""
    rng = np.random.default_rng(seed)
    slope = np.cumsum(rng.normal(0.0, np.sqrt(SLOPE_VAR), n_weeks))
    level = np.cumsum(slope + rng.normal(0.0, np.sqrt(LEVEL_VAR), n_weeks))
    y = level + rng.normal(0.0, np.sqrt(NOISE_VAR), n_weeks)
    y[rng.random(n_weeks) < missing] = np.nan
    y[n_weeks // 3 : n_weeks // 3 + 12] = np.nan
    y[-3:] = np.nan
    return y


def smooth_here(y: Floats) -> Callable[[], Smoothed]:
    """The program's smoother: (2, n) level and slope, (2, 2, n) covariance of each week."""

    def smooth() -> Smoothed:
        seen = np.flatnonzero(np.isfinite(y))
        sums = sum_weeks(seen, y[seen], np.full(seen.size, NOISE_VAR), y.size)
        steps = np.full(y.size - 1, LEVEL_VAR), np.full(y.size - 1, SLOPE_VAR)
        fit = solve_weeks(trend_prior(*steps), sums)
        return fit.mean.reshape(-1, 2).T, fit.state_covariance

    return smooth


def smooth_there(y: Floats) -> Callable[[], Smoothed]:
    """statsmodels' smoother with exact diffuse start, the same two arrays."""
    model = sm.tsa.UnobservedComponents(y, "lltrend", use_exact_diffuse=True)
    model.update(np.array([NOISE_VAR, LEVEL_VAR, SLOPE_VAR]))
    model.ssm.smoother_output = SMOOTHER_STATE | SMOOTHER_STATE_COV

    def smooth() -> Smoothed:
        done = model.ssm.smooth()
        return done.smoothed_state, done.smoothed_state_cov

    return smooth
