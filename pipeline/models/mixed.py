"""One straight line a person, partially pooled: random intercepts and slopes.

Question: how fast does a group change on average, and how much do its members differ? In: (m,)
values, x and person of each. Out: in the unit of the values, slopes per unit of x. Assumes straight
lines, normal errors, and people who are draws from one group.
Model: y_ij = (a + a_i) + (b + b_i) x_ij + e_ij, (a_i, b_i) normal with a free covariance, e_ij
independent normal. Restricted maximum likelihood (Patterson and Thompson 1971, from memory) over
the Cholesky factor of the covariance relative to the residual variance, so that a variance of zero
is an ordinary point; the residual variance is profiled out.

An optimiser can stop at a wrong fit: three starts by two methods are run, and of those that say
they converged at a finite likelihood the best is kept. One that no second run reaches is refused,
never reported; so are groups in which the average line or the scatter about it cannot be told:
fewer than ``MIN_GROUPS`` people with values at two x, or values on their lines without scatter.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pipeline.core.errors import Refusal
from pipeline.models.arrays import Floats

MIN_GROUPS = 5  # a spread between fewer than five people is no spread; common practice
AGREEMENT = 1e-3  # restricted log likelihoods of two runs that count as the same fit
LEAST_RESIDUAL = (
    1e-6  # of the spread of all values; less is no scatter, and no likelihood is finite
)
LEAST_SPREAD = 1e-9  # of x, as a share of its sum of squares: less is one date
LIMITS = {"maxiter": 4000, "maxfev": 8000}
STARTS = ((1.0, 0.0, 1.0), (0.3, 0.0, 0.1), (2.0, 0.5, 0.5))


@dataclass(frozen=True)
class MixedFit:
    """Fitted lines; units of y, and of y per unit of x.

    intercept, slope, intercept_se, slope_se : the average line.
    intercept_sd, slope_sd, correlation : between people (correlation nan when either is 0).
    residual_sd : within people. log_likelihood : restricted.
    n_groups, n : people and values.
    """

    intercept: float
    slope: float
    intercept_se: float
    slope_se: float
    intercept_sd: float
    slope_sd: float
    correlation: float
    residual_sd: float
    log_likelihood: float
    n_groups: int
    n: int


@dataclass(frozen=True)
class _Sums:
    """Cross products of each group's design [1, x] and values: all the likelihood needs."""

    xx: Floats  # (n_groups, 2, 2)
    xy: Floats  # (n_groups, 2)
    yy: Floats  # (n_groups,)
    n: int


def fit_random_slopes(group: ArrayLike, x: ArrayLike, y: ArrayLike) -> MixedFit | Refusal:
    """Fit the lines of a group.

    Parameters
    ----------
    group : (n,) any id of the person. x, y : (n,) values; none may be nan.

    Returns
    -------
    MixedFit, or Refusal: see above.

    Raises
    ------
    ValueError
        for values that are not finite.
    """
    places, values = np.asarray(x, float), np.asarray(y, float)
    if not np.all(np.isfinite(places) & np.isfinite(values)):
        raise ValueError("a value is not finite: leave out what was not measured")
    centred = values - values.mean() if values.size else values
    sums = _sum_groups(np.asarray(group), places, centred)
    # Centred, since a far height would swallow the digits that the scatter needs.
    able = int(np.count_nonzero(_spread_of_x(sums) > LEAST_SPREAD * sums.xx[:, 1, 1]))
    if able < MIN_GROUPS:
        of_what = "lifters with a level at two times"
        return Refusal(able, MIN_GROUPS, of_what, "add lifters to the group")
    within, freedom = _scatter_within(sums)
    if freedom < 1 or within <= freedom * LEAST_RESIDUAL**2 * float(np.var(values)):
        return Refusal(0, 1, "values off their own lines", "add dates, and values as measured")
    best = _search(sums)
    return best if isinstance(best, Refusal) else _report(best, sums, float(values.mean()))


def _search(sums: _Sums) -> Floats | Refusal:
    """Covariance factors at the best likelihood that two converged runs reach."""
    from scipy.optimize import minimize

    runs = [
        minimize(lambda theta: -_profile(theta, sums)[0], start, method=method, options=LIMITS)
        for start in STARTS
        for method in ("Nelder-Mead", "Powell")
    ]
    done = [run for run in runs if run.success and np.isfinite(run.fun)]
    best = min((run.fun for run in done), default=np.inf)
    agreeing = [run for run in done if run.fun - best < AGREEMENT]
    if len(agreeing) < 2:
        return Refusal(len(agreeing), 2, "agreeing fits", "the lines cannot be told apart yet")
    return np.asarray(min(agreeing, key=lambda run: run.fun).x, np.float64)


def _scatter_within(sums: _Sums) -> tuple[float, int]:
    """Sum of squares about each person's own line (or mean, with one x), degrees of freedom."""
    spread = _spread_of_x(sums)
    ones, sx, sy = sums.xx[:, 0, 0], sums.xx[:, 0, 1], sums.xy[:, 0]
    has_line = spread > LEAST_SPREAD * sums.xx[:, 1, 1]
    shared = sums.xy[:, 1] - sx * sy / ones
    on_line = np.where(has_line, shared**2 / np.where(has_line, spread, 1.0), 0.0)
    left = sums.yy - sy**2 / ones - on_line
    return float(left.sum()), sums.n - ones.size - int(has_line.sum())


def _spread_of_x(sums: _Sums) -> Floats:
    """(n_groups,) sum of squares of x about its mean in each group."""
    ones, sx, sxx = sums.xx[:, 0, 0], sums.xx[:, 0, 1], sums.xx[:, 1, 1]
    return sxx - sx**2 / ones


def _sum_groups(group: NDArray, x: Floats, y: Floats) -> _Sums:
    number = np.unique(group, return_inverse=True)[1]
    n_groups = int(number.max(initial=-1)) + 1

    def total(values: Floats) -> Floats:
        return np.bincount(number, weights=values, minlength=n_groups).astype(float)

    ones, sx = total(np.ones_like(x)), total(x)
    xx = np.stack([np.stack([ones, sx], -1), np.stack([sx, total(x * x)], -1)], axis=1)
    xy = np.stack([total(y), total(x * y)], -1)
    return _Sums(xx, xy, total(y * y), x.size)


def _factor(theta: Floats) -> Floats:
    """Lower Cholesky factor of the relative covariance of (a_i, b_i)."""
    return np.array([[theta[0], 0.0], [theta[1], theta[2]]])


def _profile(theta: Floats, sums: _Sums) -> tuple[float, Floats, Floats, float]:
    """Restricted log likelihood, average line, its information, residual variance.

    By Woodbury: (I + X L L' X')^-1 = I - X L (I + L' X'X L)^-1 L' X' for each group.
    """
    lower = _factor(theta)
    inner = np.eye(2) + lower.T @ sums.xx @ lower
    solved = np.linalg.solve(inner, lower.T @ sums.xx)
    information = (sums.xx - sums.xx @ lower @ solved).sum(axis=0)
    xy_part = np.linalg.solve(inner, (sums.xy @ lower)[..., None])[..., 0]
    right = (sums.xy - np.einsum("gij,gj->gi", sums.xx @ lower, xy_part)).sum(axis=0)
    total = float((sums.yy - np.einsum("gi,gi->g", sums.xy @ lower, xy_part)).sum())
    line = np.linalg.solve(information, right)
    freedom = sums.n - 2
    variance = max((total - float(right @ line)) / freedom, 1e-300)
    value = -0.5 * (
        freedom * (np.log(2.0 * np.pi * variance) + 1.0)
        + np.linalg.slogdet(inner)[1].sum()
        + np.linalg.slogdet(information)[1]
    )
    return float(value), line, information, variance


def _report(theta: Floats, sums: _Sums, height: float) -> MixedFit:
    value, line, information, variance = _profile(theta, sums)
    se = np.sqrt(variance * np.diag(np.linalg.inv(information)))
    covariance = variance * _factor(theta) @ _factor(theta).T
    sd = np.sqrt(np.diag(covariance))
    product = float(sd[0] * sd[1])
    return MixedFit(
        intercept=float(line[0]) + height,
        slope=float(line[1]),
        intercept_se=float(se[0]),
        slope_se=float(se[1]),
        intercept_sd=float(sd[0]),
        slope_sd=float(sd[1]),
        correlation=float(covariance[0, 1]) / product if product > 0 else float("nan"),
        residual_sd=float(np.sqrt(variance)),
        log_likelihood=value,
        n_groups=len(sums.yy),
        n=sums.n,
    )
