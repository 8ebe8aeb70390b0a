"""What each single deload shows, drawn toward the mean of all by its noise.

Question: how did the weeks after this one deload stand? One deload alone gets no verdict; these
are drawn so that a reader sees how much they scatter.

Model (own derivation; the normal-normal model of repeated trials): a deload's own rise is its true
effect plus noise; true effects scatter around their mean by an unknown spread. The spread is not
put at its best value, which is 0 in many records and would print every deload as if it were known
as well as the mean of all; it is averaged over, each value weighed by how well it explains the
record (flat prior from 0 to ``WIDEST`` times the scatter seen). Nor is the mean of all known better
here than the regression says: one deload cannot be surer than all of them together.
"""

from dataclasses import dataclass

import numpy as np

from pipeline.models.arrays import Floats, Ints
from pipeline.models.pauses.deload_regression import Effect, Rows, lay_design
from pipeline.models.weeks import t_quantile

# Assumptions, all of them. Twice the scatter seen: noise is part of what is seen, so the true
# spread is hardly wider. A finer grid moved no drawn effect by more than 0.03 %.
WIDEST, N_SPREADS = 2.0, 60
# The weeks before a deload may follow another one; its rise is divided by what is left of its own
# exposure, and below this much the noise would grow to more than three times.
LEAST_EXPOSURE = 0.3
# An ordinary week is one that deloads touch by less than this; with no more than eight such weeks,
# all without a deload of their own stand in.
ORDINARY_EXPOSURE, LEAST_ORDINARY = 0.2, 8
# A row that hardly a set carries counts as one of a twentieth of the mean weight: its noise is
# large, not boundless.
LEAST_WEIGHT = 0.05


@dataclass(frozen=True)
class DeloadEvent:
    """One deload's own effect, drawn toward the mean by its noise; % with 95 % interval."""

    week: int
    estimate_pct: float
    low_pct: float
    high_pct: float


def pool_events(
    rows: Rows, columns: Floats, effect: Effect, readable: Ints
) -> tuple[DeloadEvent, ...]:
    """Each deload's rise beyond what the controls expect, pooled.

    Parameters
    ----------
    rows, columns, effect : of the regression; the first column is the effect.
    readable : (n,) weeks of the deloads, all among ``rows.week``.
    """
    coefficients = effect.coefficients
    design = lay_design(rows, columns)
    beyond = rows.rise - design[:, 1:] @ coefficients[1:]
    is_event = np.isin(rows.week, readable)
    exposure = np.maximum(columns[is_event, 0], LEAST_EXPOSURE)
    own = beyond[is_event] / exposure
    # Noise of a row of weight 1, from weeks that no deload touches.
    ordinary = (np.abs(columns[:, 0]) < ORDINARY_EXPOSURE) & ~is_event
    ordinary = ordinary if ordinary.sum() > LEAST_ORDINARY else ~is_event
    weight = np.maximum(rows.weight, LEAST_WEIGHT * np.mean(rows.weight))
    residual = (rows.rise - design @ coefficients)[ordinary]
    noise = np.mean(residual**2 * weight[ordinary]) if ordinary.any() else np.var(own)
    variance = noise / weight[is_event] / exposure**2
    mean, se = pool_effects(own, variance, effect.se)
    reach = t_quantile(0.95, own.size - 1) * se
    return tuple(
        DeloadEvent(int(w), 100.0 * float(m), 100.0 * float(m - r), 100.0 * float(m + r))
        for w, m, r in zip(rows.week[is_event], mean, reach, strict=True)
    )


def pool_effects(own: Floats, variance: Floats, mean_se: float = 0.0) -> tuple[Floats, Floats]:
    """Posterior mean and standard deviation of each effect, the spread averaged over; (n,) each.

    Parameters
    ----------
    own, variance : (n,) each effect as seen by itself, and its noise variance.
    mean_se : least standard error of their mean.
    """
    spreads = np.linspace(0.0, WIDEST * np.std(own, ddof=1), N_SPREADS)[:, None]
    total = variance + spreads**2
    mean_variance = 1.0 / np.sum(1.0 / total, axis=1, keepdims=True)
    mean = mean_variance * np.sum(own / total, axis=1, keepdims=True)
    fit = np.sum(np.log(total) + (own - mean) ** 2 / total, axis=1, keepdims=True)
    log_weight = 0.5 * (np.log(mean_variance) - fit)
    weight = np.exp(log_weight - log_weight.max())
    weight /= weight.sum()
    mean_variance = np.maximum(mean_variance, mean_se**2)
    share = spreads**2 / total
    centre = mean + share * (own - mean)
    spread_of = share * variance + (1.0 - share) ** 2 * mean_variance
    pooled = np.sum(weight * centre, axis=0)
    return pooled, np.sqrt(np.sum(weight * (spread_of + (centre - pooled) ** 2), axis=0))
