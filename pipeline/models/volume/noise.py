"""Noise of the differences between block means, over all muscles of a lifter together.

What the response does not explain is, for muscle m and comparison i (own derivation),

    e_mi = s_m (a_mi + NUGGET w_mi) + s_m r b_i,

a and b with correlation rho between neighbouring comparisons (the index is a smoothed curve, so
what errs now errs in the next seven weeks too), b the same for all muscles at the same date: seven
bad weeks are bad for all. The scale s_m is the muscle's own; r and rho are the lifter's. The shock
b is laid on a calendar of seven-week slots and integrated out by the matrix inversion lemma.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from pipeline.models.arrays import Floats

NUGGET = 0.3  # scatter of a single comparison, as a share of the scale: an assumption
# Where rho and r are looked for, and the spread of their priors (assumptions, wide).
CORRELATIONS = (0.05, 0.2, 0.4, 0.6, 0.8)
SHARES = (0.1, 0.25, 0.5, 0.8, 1.2)
CORRELATION_CENTRE, CORRELATION_SPREAD = 0.4, 0.4
SHARE_CENTRE, SHARE_LOG_SPREAD = 0.4, 1.0
# A scale is the muscle's own as far as it has comparisons, else the lifter's, else this (log).
SCALE, SCALE_WEIGHT, OWN_SCALE_WEIGHT = 0.003, 5.0, 15.0


@dataclass(frozen=True)
class NoiseScales:
    """Most probable noise: scale of each muscle (log), its correlation, share of the shock."""

    scale: Floats
    correlation: float
    share: float


@dataclass(frozen=True)
class _Unit:
    """Noise of scale 1 with a shock of share 1: all that the scales do not change.

    roots : Cholesky root of each muscle's own noise; shocks : the calendar's root as read by each
    muscle, whitened by it; inner : sum of their inner products; log_det : of all roots, squared.
    """

    roots: tuple[Floats, ...]
    shocks: tuple[Floats, ...]
    inner: Floats
    log_det: float


@lru_cache(maxsize=16)
def _lay_unit(slots: tuple[bytes, ...], correlation: float) -> _Unit:
    """``slots`` are the bytes of the muscles' slots, so that fits on the same weeks share them."""
    from scipy.linalg import cholesky

    times = [np.frombuffer(slot, dtype=np.float64) for slot in slots]
    n_slots = int(max(slot.max() for slot in times)) + 2
    calendar = cholesky(
        _correlate(np.arange(float(n_slots)), correlation), lower=True, check_finite=False
    )
    roots, shocks = [], []
    for slot in times:
        own = _correlate(slot, correlation) + NUGGET**2 * np.eye(slot.size)
        roots.append(cholesky(own, lower=True, check_finite=False))
        shocks.append(_solve(roots[-1], _interpolate(slot, n_slots) @ calendar))
    inner = np.sum([shock.T @ shock for shock in shocks], axis=0)
    log_det = sum(2.0 * float(np.log(np.diag(root)).sum()) for root in roots)
    return _Unit(tuple(roots), tuple(shocks), inner, log_det)


class Whitener:
    """Inner products under the inverse of the noise's covariance.

    slots : for each muscle (n_pairs,), middle of each comparison in seven-week slots from 0.
    """

    def __init__(self, slots: Sequence[Floats], scales: NoiseScales) -> None:
        from scipy.linalg import cholesky

        key = tuple(np.asarray(slot, dtype=np.float64).tobytes() for slot in slots)
        unit = _lay_unit(key, scales.correlation)
        self._roots = [scale * root for scale, root in zip(scales.scale, unit.roots, strict=True)]
        self._shocks = [scales.share * shock for shock in unit.shocks]
        inner = np.eye(unit.inner.shape[0]) + scales.share**2 * unit.inner
        self._inner = cholesky(inner, lower=True, check_finite=False)
        sizes = np.array([root.shape[0] for root in unit.roots])
        self._log_det = unit.log_det + 2.0 * float(sizes @ np.log(scales.scale))
        self._log_det += 2.0 * float(np.log(np.diag(self._inner)).sum())

    def gram(self, columns: Sequence[Floats]) -> Floats:
        """(k, k) inner products of the (n_pairs, k) columns of all muscles."""
        total = np.zeros((columns[0].shape[1],) * 2)
        shared = np.zeros((self._inner.shape[0], columns[0].shape[1]))
        for root, shock, column in zip(self._roots, self._shocks, columns, strict=True):
            white = _solve(root, column)
            total += white.T @ white
            shared += shock.T @ white
        shared = _solve(self._inner, shared)
        return total - shared.T @ shared

    def cost(self, residuals: Sequence[Floats]) -> float:
        """Minus log likelihood of the residuals, less a constant."""
        squares = self.gram([residual[:, None] for residual in residuals])[0, 0]
        return 0.5 * (self._log_det + float(squares))


def fit_noise(slots: Sequence[Floats], residuals: Sequence[Floats]) -> NoiseScales:
    """Most probable noise of given residuals: scales in closed form, the rest on a grid."""
    scale = _fit_scales(residuals)
    best, least = NoiseScales(scale, CORRELATION_CENTRE, SHARE_CENTRE), np.inf
    for correlation in CORRELATIONS:
        for share in SHARES:
            # The shock is part of what the scale was found from.
            trial = NoiseScales(scale / np.sqrt(1.0 + NUGGET**2 + share**2), correlation, share)
            cost = Whitener(slots, trial).cost(residuals) + _penalty(trial)
            if cost < least:
                best, least = trial, cost
    return best


def _fit_scales(residuals: Sequence[Floats]) -> Floats:
    squares = np.array([float(residual @ residual) for residual in residuals])
    counts = np.array([residual.size for residual in residuals], dtype=np.float64)
    common = (squares.sum() + SCALE_WEIGHT * SCALE**2) / (counts.sum() + SCALE_WEIGHT)
    return np.sqrt((squares + OWN_SCALE_WEIGHT * common) / (counts + OWN_SCALE_WEIGHT))


def _penalty(scales: NoiseScales) -> float:
    correlation = (scales.correlation - CORRELATION_CENTRE) / CORRELATION_SPREAD
    share = np.log(scales.share / SHARE_CENTRE) / SHARE_LOG_SPREAD
    return float(0.5 * (correlation**2 + share**2))


def _correlate(times: Floats, correlation: float) -> Floats:
    return correlation ** np.abs(times[:, None] - times[None, :])


def _interpolate(slot: Floats, n_slots: int) -> Floats:
    """(n_pairs, n_slots) weights that read the calendar at the middle of each comparison."""
    return np.maximum(1.0 - np.abs(slot[:, None] - np.arange(n_slots)[None, :]), 0.0)


def _solve(root: Floats, right: Floats) -> Floats:
    from scipy.linalg import solve_triangular

    return solve_triangular(root, right, lower=True, check_finite=False)
