"""How much weeks scatter and how far strength drifts by itself, read from a record's own weeks."""

from dataclasses import dataclass

import numpy as np

from pipeline.models.arrays import Floats

WEEKS = 5
# A random walk's difference of two neighbouring five-week means, a week open between them, has
# 6 - (25 - 1) / 15 = 4.4 times the variance of its weekly step (computed).
STEPS_BETWEEN_MEANS = 4.4
# Assumed where a record has too few weeks in a row to tell: a wide week, a drift of 1 % in ten.
LEAST_SCORES, USUAL_NOISE = 8, (0.03, 0.003)
# Where most weeks repeat the same sets exactly their median scatter is 0, but no week is known
# exactly: finer than this (log) are not even the steps of most plates. An assumption.
LEAST_NOISE = 0.005


@dataclass(frozen=True)
class Noise:
    """Standard deviation of a week of weight 1, and of the drift from one week to the next; log."""

    week: float
    drift: float


def fit_noise(week_strength: Floats, weights: Floats) -> Noise:
    """How much weeks scatter, and how far strength drifts by itself, from the record's own weeks.

    Week: x(t) - (x(t-1) + x(t+1)) / 2 holds no slow change; its variance is that of independent
    noise times 1/w0 + (1/w- + 1/w+) / 4 (own derivation). Drift: what the means of five weeks and
    of the five after the next differ by beyond that noise, as a random walk; seasons, moods and
    growth are all in it. Both by medians, so that odd weeks do not rule.
    """
    x, w = np.asarray(week_strength), np.maximum(np.asarray(weights, dtype=np.float64), 1e-9)
    odd = x[1:-1] - 0.5 * (x[:-2] + x[2:])
    scale = np.sqrt(1.0 / w[1:-1] + 0.25 * (1.0 / w[:-2] + 1.0 / w[2:]))
    scores = np.abs(odd / scale)[np.isfinite(odd)]
    if scores.size < LEAST_SCORES:
        return Noise(*USUAL_NOISE)
    week = max(float(np.median(scores)) / 0.6745, LEAST_NOISE)
    mean, variance = _five_week_means(x, w)
    moved = mean[6:] - mean[:-6]
    known = np.isfinite(moved)
    if known.sum() < LEAST_SCORES:
        return Noise(week, USUAL_NOISE[1])
    seen = (np.median(np.abs(moved[known])) / 0.6745) ** 2
    noise = week**2 * np.median((variance[6:] + variance[:-6])[known])
    return Noise(week, float(np.sqrt(max(seen - noise, 0.0) / STEPS_BETWEEN_MEANS)))


def _five_week_means(x: Floats, w: Floats) -> tuple[Floats, Floats]:
    """Weighted means of weeks t..t+4 and their variance for unit noise; nan below three weeks."""
    weight = np.where(np.isfinite(x), w, 0.0)
    ones = np.ones(WEEKS)
    total = np.convolve(weight, ones, mode="valid")
    value = np.convolve(np.nan_to_num(x) * weight, ones, mode="valid")
    is_known = np.convolve(np.isfinite(x), ones, mode="valid") >= 3
    total = np.where(is_known, np.maximum(total, 1e-9), np.nan)
    return value / total, 1.0 / total
