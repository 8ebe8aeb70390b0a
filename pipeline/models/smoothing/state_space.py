"""Weekly level and slope by banded Cholesky: the linear Gaussian engine under the strength models.

Question: given noisy measurements in some weeks, what was the level in every week, and how sure
is a difference between any two? The states of all weeks are solved at once: their precision
matrix is banded, so the cost grows with the number of weeks only. The answer equals the Kalman
smoother's with exact diffuse start (Durbin & Koopman 2012, ch. 2 and 5: memory; checked against
statsmodels and the Nile values in the tests). Any number of measurements a week, or none.

Effects shared by all weeks (a repetition slope, an exercise) are the *border*: a small dense
block beside the banded one.

Assumes normal errors and variances that are given. It refuses nothing: a week far from any
measurement has a wide error, and what no measurement tells keeps the error of its prior.

Shapes: n weeks, k states a week (1 level, or 2 level and slope), b border effects.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike
from scipy.linalg import cho_factor, cho_solve, solve_triangular
from scipy.sparse import csr_array

from pipeline.models.arrays import Floats, Ints
from pipeline.models.smoothing.banded import (
    factor_bands,
    invert_blocks,
    multiply_blocks,
    own_blocks,
    pivot_blocks,
    pivot_blocks_from_end,
    solve_bands,
)
from pipeline.models.smoothing.week_prior import WeekPrior

LOG_2PI = float(np.log(2.0 * np.pi))


@dataclass(frozen=True)
class WeekSums:
    """Sufficient sums of the measurements y = level[week] + x border + e, var(e) = v.

    precision, information : (n,) sums of 1/v and y/v per week.
    cross : (n, b) sums of x/v per week.
    gram, gram_y, y_y : sums of x x'/v (b, b), x y/v (b,), y y/v.
    log_norm : sum of log(2 pi v).
    """

    precision: Floats
    information: Floats
    cross: Floats
    gram: Floats
    gram_y: Floats
    y_y: float
    log_norm: float


def sum_weeks(
    week: ArrayLike, y: Floats, variance: Floats, n_weeks: int, x: Floats | None = None
) -> WeekSums:
    """Sums of independent measurements: (m,) week, y and variance, (m, b) x."""
    at, w = np.asarray(week, dtype=np.int64), 1.0 / variance
    design = np.zeros((y.size, 0)) if x is None else x
    weighted = design * w[:, None]
    return WeekSums(
        precision=np.bincount(at, w, n_weeks).astype(float),
        information=np.bincount(at, w * y, n_weeks).astype(float),
        cross=sum_by(at, weighted, n_weeks),
        gram=design.T @ weighted,
        gram_y=weighted.T @ y,
        y_y=float(w @ y**2),
        log_norm=float(np.log(variance).sum() + y.size * LOG_2PI),
    )


def sum_by(group: Ints, values: Floats, n: int) -> Floats:
    """Column sums of (m, b) values by group, (n, b)."""
    m, b = values.shape
    if b == 0:
        return np.zeros((n, 0))
    return csr_array((np.ones(m), group, np.arange(m + 1)), shape=(m, n)).T @ values


@dataclass(frozen=True)
class WeekPosterior:
    """Posterior of all weekly states and border effects.

    mean : (n k,) states, week by week; border : (b,) effects.
    log_likelihood : exact diffuse (Durbin & Koopman's constant), border effects integrated out.
    bands, factor : posterior precision of the states, border held, and its Cholesky factor.
    """

    mean: Floats
    border: Floats
    log_likelihood: float
    states: int
    observed: tuple[int, ...]
    bands: Floats
    factor: Floats
    border_states: Floats
    border_factor: Floats

    @property
    def level(self) -> Floats:
        """(n,) level of each week."""
        return self.mean[:: self.states]

    @property
    def slope(self) -> Floats:
        """(n,) slope of each week (trend prior only)."""
        return self.mean[1 :: self.states]

    @property
    def seen(self) -> Floats:
        """(n,) what a measurement without border effects sees: the level, with form if any."""
        return _observe(self.mean, self.observed, self.states)

    @cached_property
    def border_covariance(self) -> Floats:
        """(b, b) covariance of the border effects."""
        return cho_solve((self.border_factor, True), np.eye(self.border.size))

    @cached_property
    def _forward(self) -> Floats:
        return pivot_blocks(self.factor, self.states)

    @cached_property
    def state_covariance(self) -> Floats:
        """(k, k, n) covariance of the states of each week, border effects held."""
        backward = pivot_blocks_from_end(self.bands, self.states)
        return invert_blocks(self._forward + backward - own_blocks(self.bands, self.states))

    def level_variance(self) -> Floats:
        """(n,) variance of each week's level."""
        variance = self.state_covariance[0, 0]
        if self.border.size:
            levels = self.border_states[:: self.states].T
            half = solve_triangular(self.border_factor, levels, lower=True, check_finite=False)
            variance = variance + np.einsum("ij,ij->j", half, half)
        return variance

    def seen_variance(self) -> Floats:
        """(n,) variance of what a measurement sees, border effects held."""
        at = list(self.observed)
        return np.asarray(self.state_covariance[np.ix_(at, at)].sum(axis=(0, 1)))

    def step_moments(self, transition: Floats) -> Floats:
        """(k, n - 1) mean square of state[t + 1] - transition state[t], border effects held.

        By the backward recursion of the Rauch-Tung-Striebel smoother (memory), all weeks at once:
        given week t + 1, week t has the pivot block's inverse as covariance.
        """
        k = self.states
        given_next = invert_blocks(self._forward[..., :-1])
        upper = np.zeros_like(given_next)
        for i in range(k):
            for j in range(i, k):
                upper[j, i] = self.bands[k + i - j, j:-k:k]
        back = np.tensordot(transition, given_next, axes=1)
        kept = multiply_blocks(back, upper)
        kept[np.arange(k), np.arange(k)] += 1.0
        spread = (multiply_blocks(kept, self.state_covariance[..., 1:]) * kept).sum(axis=1)
        spread += (back * transition[..., None]).sum(axis=1)
        states = self.mean.reshape(-1, k).T
        return (states[:, 1:] - transition @ states[:, :-1]) ** 2 + spread

    def around_mean(self, weeks: ArrayLike) -> tuple[Floats, float]:
        """(n,) variance of each level minus the mean level of (m,) weeks; variance of that mean.

        The first tells how far the course of the curve is known, the second its height.
        """
        at = np.asarray(weeks, dtype=np.int64) * self.states
        pick = np.zeros(self.mean.size)
        np.add.at(pick, at, 1.0 / at.size)
        with_mean = solve_bands(self.factor, pick)
        if self.border.size:
            mean_effect = self.border_states.T @ pick
            with_mean += self.border_states @ cho_solve((self.border_factor, True), mean_effect)
        height = float(pick @ with_mean)
        course = self.level_variance() - 2.0 * with_mean[:: self.states] + height
        return np.maximum(course, 0.0), height

    def level_covariance(self, weeks: ArrayLike) -> Floats:
        """(m, m) covariance of the levels in the given (m,) weeks."""
        at = np.asarray(weeks, dtype=np.int64) * self.states
        pick = np.zeros((self.mean.size, at.size))
        pick[at, np.arange(at.size)] = 1.0
        covariance = solve_bands(self.factor, pick)[at]
        if self.border.size:
            b = self.border_states[at]
            covariance = covariance + b @ cho_solve((self.border_factor, True), b.T)
        return covariance

    def changes(self, weeks: ArrayLike) -> tuple[Floats, Floats]:
        """(m, m) change of the level from row week to column week, and its standard error."""
        at = np.asarray(weeks, dtype=np.int64)
        c = self.level_covariance(at)
        variance = np.diag(c)[:, None] + np.diag(c)[None, :] - c - c.T
        level = self.level[at]
        return level[None, :] - level[:, None], np.sqrt(np.maximum(variance, 0.0))


def solve_weeks(
    prior: WeekPrior,
    sums: WeekSums,
    border_mean: Floats | None = None,
    border_precision: Floats | None = None,
) -> WeekPosterior:
    """Posterior given the sums; the border prior is normal, independent, (b,) mean and precision.

    Needs measurements in at least k weeks (callers refuse before).
    """
    b = sums.gram_y.size
    mean0 = np.zeros(b) if border_mean is None else border_mean
    precision0 = np.zeros(b) if border_precision is None else border_precision
    k = prior.states
    bands = prior.bands.copy()
    right = np.zeros((bands.shape[1], b + 1))
    for i in prior.observed:
        right[i::k, :b], right[i::k, b] = sums.cross, sums.information
        for j in prior.observed[: prior.observed.index(i) + 1]:
            bands[i - j, j::k] += sums.precision
    factor = factor_bands(bands)
    solved = solve_bands(factor, right)
    border_states, base = solved[:, :b], solved[:, b]
    seen_border = _observe(border_states, prior.observed, k)
    seen_base = _observe(base, prior.observed, k)
    schur = sums.gram + np.diag(precision0) - sums.cross.T @ seen_border
    target = sums.gram_y + precision0 * mean0 - sums.cross.T @ seen_base
    border_factor, border, log_det_border, gain = _solve_border(schur, target)
    residual = sums.y_y + mean0 @ (precision0 * mean0) - sums.information @ seen_base - gain
    log_det = 2.0 * np.log(factor[0]).sum() + log_det_border
    informed = precision0[precision0 > 0.0]
    log_likelihood = -0.5 * (
        sums.log_norm + residual + log_det - prior.log_det - np.log(informed).sum()
    )
    return WeekPosterior(
        mean=base - border_states @ border,
        border=border,
        log_likelihood=float(log_likelihood),
        states=k,
        observed=prior.observed,
        bands=bands,
        factor=factor,
        border_states=border_states,
        border_factor=border_factor,
    )


def _solve_border(schur: Floats, target: Floats) -> tuple[Floats, Floats, float, float]:
    """Cholesky factor, solution, log determinant and explained sum of squares of the border."""
    if target.size == 0:
        return np.zeros((0, 0)), np.zeros(0), 0.0, 0.0
    factor, _ = cho_factor(schur, lower=True, check_finite=False)
    border = cho_solve((factor, True), target, check_finite=False)
    log_det = 2.0 * float(np.log(np.diag(factor)).sum())
    return factor, border, log_det, float(target @ border)


def _observe(states: Floats, observed: tuple[int, ...], k: int) -> Floats:
    """Sum of the observed states of each week."""
    seen = states[observed[0] :: k]
    for i in observed[1:]:
        seen = seen + states[i::k]
    return seen
