"""Body weights that are likely slips: far from the readings around them."""

import polars as pl

from pipeline.core.signals import BODY_WEIGHT

# All limits here: common practice, no published source.
# Nobody's weight moves by this share between readings of a few weeks; 11 readings, 5 at the least.
MOST_CHANGE = 0.25
READINGS = 11
LEAST_READINGS = 5
REASON = "likely a slip"


def find_signal_doubts(signals: pl.DataFrame) -> pl.DataFrame:
    """Body weights at least a quarter off the running median of the readings around them.

    Parameters
    ----------
    signals : rows of ``tidy_signal`` of all files.

    Returns
    -------
    pl.DataFrame
        the doubted rows, with ``usual`` (kg).
    """
    usual = pl.col("value").rolling_median(READINGS, min_samples=LEAST_READINGS, center=True)
    weights = (
        signals.filter(pl.col("signal") == BODY_WEIGHT)
        .sort("lifter_id", "date", maintain_order=True)
        .with_columns(usual.over("lifter_id").alias("usual"))
    )
    is_off = (pl.col("value") / pl.col("usual") - 1).abs() >= MOST_CHANGE
    return weights.filter(is_off.fill_null(False))
