"""Seven-week blocks of one muscle's index and weekly sets, as the volume models compare them."""

import numpy as np

from pipeline.core.errors import Refusal
from pipeline.models.arrays import Bools, Floats
from pipeline.models.weeks import (
    WEEKS_PER_MONTH,
    BlockPairs,
    Blocks,
    fill_gaps,
)

WEEKS_IN_BLOCK = 7
LEAST_WEEKS_USED = 4
# Under three years of blocks the answer is the prior in all but name: own study, METHODS c.
LEAST_PAIRS = 20
# Past this standard error (log) a week's index says nothing that a block could use.
LARGEST_SE = 0.10


def find_usable_weeks(
    level_log: Floats, level_se: Floats, weekly_sets: Floats, left_out: Bools | None
) -> Bools:
    """(n_weeks,) weeks whose level may be read: known, logged, sure enough, not left out."""
    is_used = np.isfinite(level_log) & np.isfinite(weekly_sets)
    is_used &= np.nan_to_num(level_se, nan=np.inf) <= LARGEST_SE
    if left_out is not None:
        is_used &= ~np.asarray(left_out, dtype=bool)
    return is_used


def find_level_noise(pairs: BlockPairs, level_se: Floats) -> Floats:
    """(n_pairs, n_pairs) covariance of the differences from the index's own errors.

    Errors of a smoothed index hardly differ within a block, so the block's error is their mean;
    two neighbouring differences share a block with opposite signs.
    """
    block_se = np.abs(pairs.difference) @ fill_gaps(level_se) / 2.0
    sharing = (pairs.later[:, None] == pairs.earlier[None, :]).astype(np.float64)
    pattern = 2.0 * np.eye(pairs.n_pairs) - sharing - sharing.T
    return pattern * np.outer(block_se, block_se)


def refuse_few_pairs(n_pairs: int) -> Refusal | None:
    """The refusal below ``LEAST_PAIRS`` comparisons (about three logged years)."""
    if n_pairs >= LEAST_PAIRS:
        return None
    return Refusal(
        has=n_pairs,
        needs=LEAST_PAIRS,
        of_what="comparisons of seven-week blocks",
        remedy="keep logging this muscle; about one comparison is added every seven weeks",
        counted="comparisons",
    )


def describe_blocks(
    pairs: BlockPairs, level_log: Floats, weekly_sets: Floats, training_age_years: Floats
) -> Blocks:
    """The comparisons in units people read; see ``Blocks``."""
    weeks_apart = pairs.growth.sum(axis=1)
    weights = pairs.growth / np.maximum(weeks_apart, 1e-9)[:, None]
    change = pairs.difference @ fill_gaps(level_log)
    return Blocks(
        start_week=pairs.start_week,
        end_week=pairs.end_week,
        weekly_sets=weights @ fill_gaps(weekly_sets),
        progress_pct_month=100.0 * change / np.maximum(weeks_apart, 1e-9) * WEEKS_PER_MONTH,
        training_age_years=weights @ np.asarray(training_age_years, dtype=np.float64),
        is_used=np.ones(pairs.n_pairs, dtype=bool),
    )
