"""The least that held: the smallest weekly sets at which a muscle kept its strength index.

Question: how few weekly sets were enough not to lose? In: one muscle's weekly index and sets, as
``fit_volume_response``. Out: sets/week, % a year.

Model (own derivation): the comparisons of seven-week blocks are sorted by weekly sets and cut into
groups of at least ``LEAST_IN_GROUP``; each group's mean progress is found by generalised least
squares under the noise f^2 D diag(se^2) D' + q^2 I of the differences D (two neighbours share a
block), f and q most probable under a prior. A group held when the lower end of its 90 %
interval is above minus ``tolerance_pct_year``. The least that held is the lowest group that held.
A group with a wide interval has not held: it cannot be told.

Assumes that progress within a group of blocks has one mean, whatever the training age.

It refuses with fewer than ``LEAST_PAIRS`` comparisons, or when no group can be shown to have held.
"""

from dataclasses import dataclass

import numpy as np

from pipeline.core.errors import Refusal
from pipeline.models.arrays import Bools, Floats, Ints
from pipeline.models.volume.blocks import (
    LEAST_WEEKS_USED,
    WEEKS_IN_BLOCK,
    describe_blocks,
    find_level_noise,
    find_usable_weeks,
    refuse_few_pairs,
)
from pipeline.models.weeks import WEEKS_PER_YEAR, normal_quantile, pair_blocks

LEAST_IN_GROUP = 15
MOST_GROUPS = 5
COVERAGE = 0.90
# Scatter of a difference of block means that the index's own errors do not explain (log, log
# spread), and the log spread of a factor on those errors: assumptions, wide on purpose.
BLOCK_NOISE, BLOCK_NOISE_LOG_SPREAD = 0.01, 0.8
LEVEL_NOISE_LOG_SPREAD = 0.5


@dataclass(frozen=True)
class LeastThatHeld:
    """The lowest group of blocks that kept the index.

    Attributes
    ----------
    sets, low_sets, high_sets : mean, least and most weekly sets of that group's blocks.
    progress_pct_year, low_pct_year, high_pct_year : its progress, 90 % interval.
    n_blocks, n_of : comparisons in the group, and in all.
    age_from, age_to : training age of the first and last of them, years.
    is_lowest_tried : no lower group exists; fewer sets were not tried for long enough.
    """

    sets: float
    low_sets: float
    high_sets: float
    progress_pct_year: float
    low_pct_year: float
    high_pct_year: float
    n_blocks: int
    n_of: int
    age_from: float
    age_to: float
    is_lowest_tried: bool


def fit_hold(
    level_log: Floats,
    level_se: Floats,
    weekly_sets: Floats,
    training_age_years: Floats,
    *,
    left_out: Bools | None = None,
    tolerance_pct_year: float = 2.0,
) -> LeastThatHeld | Refusal:
    """Find the least weekly sets that held; arguments as ``fit_volume_response``.

    ``tolerance_pct_year`` : yearly loss in % that still counts as kept (the plateau setting).
    """
    is_used = find_usable_weeks(level_log, level_se, weekly_sets, left_out)
    pairs = pair_blocks(is_used, WEEKS_IN_BLOCK, LEAST_WEEKS_USED)
    few = refuse_few_pairs(pairs.n_pairs)
    if few is not None:
        return few
    blocks = describe_blocks(pairs, level_log, weekly_sets, training_age_years)
    years = pairs.growth.sum(axis=1) / WEEKS_PER_YEAR
    change = blocks.progress_pct_month / 100.0 * 12.0 * years
    groups = _group(blocks.weekly_sets)
    progress, se = _group_progress(change, years, groups, find_level_noise(pairs, level_se))
    has_held = progress - normal_quantile(COVERAGE) * se > -tolerance_pct_year / 100.0
    if not has_held.any():
        return _refuse(progress, se, tolerance_pct_year)
    lowest = int(np.argmax(has_held))
    own = blocks.weekly_sets[groups == lowest]
    ages = blocks.training_age_years[groups == lowest]
    middle, reach = 100.0 * progress[lowest], 100.0 * normal_quantile(COVERAGE) * se[lowest]
    return LeastThatHeld(
        float(own.mean()),
        float(own.min()),
        float(own.max()),
        float(middle),
        float(middle - reach),
        float(middle + reach),
        int(own.size),
        pairs.n_pairs,
        float(ages.min()),
        float(ages.max()),
        lowest == 0,
    )


def _group(sets: Floats) -> Ints:
    """Group number of each comparison, 0 for the lowest weekly sets."""
    n_groups = int(np.clip(len(sets) // LEAST_IN_GROUP, 1, MOST_GROUPS))
    rank = np.argsort(np.argsort(sets, kind="stable"), kind="stable")
    return rank * n_groups // len(sets)


def _group_progress(
    change: Floats, years: Floats, groups: Ints, level_noise: Floats
) -> tuple[Floats, Floats]:
    """Yearly progress (log) of each group and its standard error, by generalised least squares."""
    design = years[:, None] * (groups[:, None] == np.arange(groups.max() + 1))
    rough = np.linalg.lstsq(design, change, rcond=None)[0]
    spectrum, vectors = np.linalg.eigh(level_noise)
    spectrum = np.maximum(spectrum, 0.0)
    factor, block = _find_noise(vectors.T @ (change - design @ rough), spectrum)
    root = vectors / np.sqrt(factor**2 * spectrum + block**2)
    white = root.T @ design
    covariance = np.linalg.inv(white.T @ white)
    return covariance @ (white.T @ (root.T @ change)), np.sqrt(np.diag(covariance))


def _find_noise(rotated: Floats, level_noise: Floats) -> tuple[float, float]:
    """Most probable (factor on the index's errors, block noise) on a grid of 25 by 25."""
    log_factor = np.linspace(-1.5, 1.5, 25)[:, None, None]
    log_block = np.log(BLOCK_NOISE) + np.linspace(-2.5, 2.0, 25)[None, :, None]
    variance = np.exp(2 * log_factor) * level_noise + np.exp(2 * log_block)
    cost = 0.5 * np.sum(np.log(variance) + rotated**2 / variance, axis=2)
    cost += 0.5 * (log_factor[..., 0] / LEVEL_NOISE_LOG_SPREAD) ** 2
    block_score = (log_block[..., 0] - np.log(BLOCK_NOISE)) / BLOCK_NOISE_LOG_SPREAD
    row, column = np.unravel_index(np.argmin(cost + 0.5 * block_score**2), cost.shape)
    return float(np.exp(log_factor[row, 0, 0])), float(np.exp(log_block[0, column, 0]))


def _refuse(progress: Floats, se: Floats, tolerance_pct_year: float) -> Refusal:
    """Why no group is known to have held: the closest lower end against the limit."""
    closest = float(np.max(progress - normal_quantile(COVERAGE) * se))
    return Refusal(
        has=round(100.0 * closest, 1),
        needs=-tolerance_pct_year,
        of_what="% a year, the surest lower end of any group of blocks",
        remedy="longer spells at steady weekly sets would narrow it",
    )
