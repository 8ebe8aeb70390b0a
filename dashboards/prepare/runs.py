"""Steps over weeks: runs without a gap, means of a few weeks, closing points.

A step line needs a last point where its last step ends, and must not bridge weeks without
training or record: every run of consecutive weeks is its own segment.
"""

import polars as pl

# What ``c`` says of a row.
STEP, CLOSING, PART = 0, 1, 2


def step_runs(frame: pl.DataFrame, by: str, bin_weeks: int = 1, end: int = 0) -> pl.DataFrame:
    """Steps of ``v`` over weeks.

    Parameters
    ----------
    frame : columns ``w`` (week, int), ``by`` (group), ``v`` (number), one row a week and group;
        weeks that are not there end a run. Other columns keep their first value in a step.
    bin_weeks : weeks in one step, cut at gaps.
    end : the week after the last; bins are counted back from it, so that the newest is whole.

    Returns
    -------
    Sorted by group and week: ``w`` (start of the step), ``v`` (its mean), ``s`` (segment, unique
    over groups), ``c`` (1 for the closing point of a segment, else 0).
    """
    ordered = frame.sort(by, "w")
    new_run = (pl.col("w").diff() != 1) | (pl.col(by) != pl.col(by).shift())
    ordered = ordered.with_columns(s=new_run.fill_null(True).cum_sum().cast(pl.Int64) - 1)
    others = [c for c in frame.columns if c not in ("w", "v", by)]
    steps = (
        ordered.with_columns(bin=(pl.col("w") - end) // bin_weeks)
        .group_by(by, "s", "bin", maintain_order=True)
        .agg(
            pl.col("w").min(),
            pl.col("w").max().alias("end"),
            pl.col("v").mean(),
            *(pl.col(c).first() for c in others),
        )
        .with_columns(c=pl.lit(STEP))
    )
    last = steps.group_by(by, "s", maintain_order=True).last()
    closing = last.with_columns(w=pl.col("end") + 1, c=pl.lit(CLOSING)).select(steps.columns)
    both = pl.concat([steps, closing]).sort("s", "w", "c")
    return both.select(by, "s", "w", "v", "c", *others)


def part_runs(steps: pl.DataFrame, by: str) -> pl.DataFrame:
    """Steps of ``step_runs`` as one path a group: where a run closes and another follows, a row
    with ``c`` 2 says that a line is broken there.

    Returns
    -------
    As ``steps`` without ``s``, sorted by group, week and ``c``.
    """
    runs = steps.drop("s")
    is_followed = pl.col(by).shift(-1) == pl.col(by)
    parts = runs.filter((pl.col("c") == CLOSING) & is_followed).with_columns(c=pl.lit(PART))
    return pl.concat([runs, parts]).sort(by, "w", "c")
