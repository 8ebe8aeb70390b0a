"""Doubts: loads that are likely slips of the pen. A doubted set stays, out of marts and models."""

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
LIFT = ("lifter_id", "exercise_id")


def mark_doubts(sets: pl.DataFrame, max_ratio: float) -> pl.DataFrame:
    """Set ``is_doubted`` where a load stands out from the sessions of the lift around it.

    The heaviest working set of a session is held against the running median of such sets over 15
    sessions. Doubted are sets of at least ``max_ratio`` times that median, or of 2.2046 times it
    (a pound value read as kilograms); and a whole session at 0.4536 times it whose neighbours are
    as usual (a kilogram value read as pounds). A lift with fewer than 5 sessions is not doubted.

    Parameters
    ----------
    sets : rows of ``tidy_set`` of all files, cleaned of repeats.
        A load is judged with the body weight that moved with it: 10 kg on a belt after 2.5 kg
        is no slip. Where that body weight is not known, an added load is not judged.
    max_ratio : setting doubt_max_ratio.

    Returns
    -------
    pl.DataFrame
        same rows and order; a doubt already there stays.
    """
    whole = pl.when(pl.col("load_basis") != "added").then("load_kg")
    judged = sets.with_columns(pl.coalesce("load_moved_kg", whole).alias("judged"))
    tops = (
        judged.filter(
            ~pl.col("is_warmup") & (pl.col("judged") > 0) & (pl.col("load_basis") != "assisted")
        )
        .group_by(*LIFT, "session_date")
        .agg(pl.col("judged").max().alias("top"))
        .sort(*LIFT, "session_date")
    )
    usual = tops.with_columns(
        pl.col("top")
        .rolling_median(2 * SESSIONS_EACH_SIDE + 1, min_samples=MIN_SESSIONS, center=True)
        .over(LIFT)
        .alias("usual"),
    ).with_columns(_is_low_slip().alias("is_low_slip"))
    key = [*LIFT, "session_date"]
    joined = judged.join(usual.drop("top"), on=key, how="left", maintain_order="left")
    ratio = pl.col("judged") / pl.col("usual")
    is_high = (ratio >= max_ratio) | _is_near(ratio, 1 / KG_PER_LB)
    is_low = pl.col("is_low_slip") & _is_near(ratio, KG_PER_LB)
    doubt = (is_high | is_low).fill_null(False) & (pl.col("load_basis") != "assisted")
    return joined.with_columns((pl.col("is_doubted") | doubt).alias("is_doubted")).select(
        sets.columns
    )


def _is_near(ratio: pl.Expr, slip: float) -> pl.Expr:
    return (ratio / slip - 1).abs() <= SLIP_TOLERANCE


def _is_low_slip() -> pl.Expr:
    """A session at the pound-to-kilogram ratio, between two that are as usual."""
    ratio = pl.col("top") / pl.col("usual")
    before, after = (
        (pl.col("top").shift(n).over(LIFT) / pl.col("usual") - 1).abs() <= NEIGHBOUR_TOLERANCE
        for n in (1, -1)
    )
    return _is_near(ratio, KG_PER_LB) & before & after
