"""Doubts: loads and repetitions that are likely slips of the pen.

A doubted set stays in the record, out of marts and models.
"""

import polars as pl

from pipeline.core.units import KG_PER_LB

# All limits here: common practice, no published source.
# A pound value taken for kilograms, or the other way round: the ratio to within this share.
SLIP_TOLERANCE = 0.06
# Sessions of the lift on each side that the usual is taken from, and the least of them.
SESSIONS_EACH_SIDE = 7
MIN_SESSIONS = 5
# Neighbours of a session in the wrong unit are as usual: within this share of the median.
NEIGHBOUR_TOLERANCE = 0.25
# A decimal point left out or put one place too far.
SHIFTED = 0.1
# So few kilograms, at no more than this share of the usual, may be a number of sets ("3x10").
MOST_SETS_WRITTEN = 6
TINY_SHARE = 0.12
# Repetitions are a slip from this many on, at this many times the usual, if the load is no lighter
# than this share of the usual: a lighter load is done more often.
LEAST_REPS = 25
REPS_RATIO = 3.0
HEAVY_SHARE = 0.6
LIFT = ("lifter_id", "exercise_id")
LOAD, REPS, DATE, VALUE = "load", "repetitions", "date", "measured value"


def find_doubts(sets: pl.DataFrame, max_ratio: float) -> pl.DataFrame:
    """Sets whose load or repetitions stand out from the sessions of the lift around them.

    The heaviest working set of a session is held against the running median of such sets over 15
    sessions. Doubted are sets of at least ``max_ratio`` times that median, or of 2.2046 times it
    (a pound value read as kilograms); those of a whole number up to 6 that is at most 0.12 of it
    (``3x10`` read as 3 kg); and a whole session at 0.4536 times it (a kilogram value
    read as pounds) or at a tenth of it whose neighbours are as usual. Repetitions are doubted at
    ``REPS_RATIO`` times the most that is usual, with no lighter load. A lift with fewer than 5
    sessions is not doubted.

    Parameters
    ----------
    sets : rows of ``tidy_set`` of all files, cleaned of repeats.
        A load is judged with the body weight that moved with it: 10 kg on a belt after 2.5 kg
        is no slip. Where that body weight is not known, an added load is not judged.
    max_ratio : setting doubt_max_ratio.

    Returns
    -------
    pl.DataFrame
        one row a doubted set: ``place`` (its row in ``sets``, from 0), ``what``, ``found`` and
        ``usual`` (kg moved, or repetitions).
    """
    whole = pl.when(pl.col("load_basis") != "added").then("load_kg")
    judged = sets.with_row_index("place").with_columns(
        pl.coalesce("load_moved_kg", whole).alias("judged")
    )
    work = judged.filter(~pl.col("is_warmup"))
    tops = _usual(
        work.filter((pl.col("judged") > 0) & (pl.col("load_basis") != "assisted")), "judged"
    ).with_columns(_is_low_slip().alias("is_low_slip"))
    most = _usual(work.filter(pl.col("reps") > 0), "reps").select(
        *LIFT, "session_date", pl.col("usual").alias("usual_reps")
    )
    key = [*LIFT, "session_date"]
    joined = judged.join(tops.drop("top"), on=key, how="left", maintain_order="left")
    joined = joined.join(most, on=key, how="left", maintain_order="left")
    ratio = pl.col("judged") / pl.col("usual")
    is_high = (ratio >= max_ratio) | _is_near(ratio, 1 / KG_PER_LB)
    is_low = pl.col("is_low_slip") & (_is_near(ratio, KG_PER_LB) | _is_near(ratio, SHIFTED))
    is_count = (pl.col("load_kg") <= MOST_SETS_WRITTEN) & (pl.col("load_kg") % 1 == 0)
    is_tiny = is_count & (pl.col("load_kg") > 0) & (ratio <= TINY_SHARE) & ~pl.col("is_warmup")
    is_tiny &= pl.col("load_basis") != "added"
    load = (is_high | is_low | is_tiny).fill_null(False) & (pl.col("load_basis") != "assisted")
    is_heavy = (ratio >= HEAVY_SHARE).fill_null(True)
    reps = (
        (pl.col("reps") >= LEAST_REPS)
        & (pl.col("reps") >= REPS_RATIO * pl.col("usual_reps"))
        & is_heavy
        & ~pl.col("is_warmup")
    ).fill_null(False)
    is_load = joined.select(load.alias("is_load"))["is_load"]
    found = joined.with_columns(is_load).filter(pl.col("is_load") | reps)
    return found.select(
        pl.col("place").cast(pl.Int64),
        pl.when("is_load").then(pl.lit(LOAD)).otherwise(pl.lit(REPS)).alias("what"),
        pl.when("is_load").then("judged").otherwise(pl.col("reps").cast(pl.Float64)).alias("found"),
        pl.when("is_load").then("usual").otherwise("usual_reps").alias("usual"),
    )


def _usual(work: pl.DataFrame, column: str) -> pl.DataFrame:
    """``top`` of each session of a lift and ``usual``, the running median of such tops."""
    return (
        work.group_by(*LIFT, "session_date")
        .agg(pl.col(column).max().cast(pl.Float64).alias("top"))
        .sort(*LIFT, "session_date")
        .with_columns(
            pl.col("top")
            .rolling_median(2 * SESSIONS_EACH_SIDE + 1, min_samples=MIN_SESSIONS, center=True)
            .over(LIFT)
            .alias("usual"),
        )
    )


def _is_near(ratio: pl.Expr, slip: float) -> pl.Expr:
    return (ratio / slip - 1).abs() <= SLIP_TOLERANCE


def _is_low_slip() -> pl.Expr:
    """A session at the ratio of a known slip, between two that are as usual."""
    ratio = pl.col("top") / pl.col("usual")
    before, after = (
        (pl.col("top").shift(n).over(LIFT) / pl.col("usual") - 1).abs() <= NEIGHBOUR_TOLERANCE
        for n in (1, -1)
    )
    return (_is_near(ratio, KG_PER_LB) | _is_near(ratio, SHIFTED)) & before & after
