"""Sessions: the order of exercises, the numbers of sets, and warm-ups by rule."""

import polars as pl

LIFT = ("session_id", "exercise_id")


def name_sessions(sets: pl.DataFrame, lifter_id: str) -> pl.DataFrame:
    """Add ``session_id``: lifter and date, and the part of the day where the file has one."""
    day = pl.format("{}|{}", pl.lit(lifter_id), pl.col("session_date"))
    part = pl.format("|{}", pl.col("session").str.to_lowercase()).fill_null("")
    key = ["session_date", "session"]
    days = sets.select(key).unique().with_columns(pl.concat_str(day, part).alias("session_id"))
    return sets.join(days, on=key, how="left", nulls_equal=True, maintain_order="left")


def number_sets(sets: pl.DataFrame) -> pl.DataFrame:
    """Number exercises within sessions and sets within exercises, in the order of the rows.

    A drop has the number of its set. ``cluster_id`` is made anew from session, exercise and
    number, so that it stays the same while these do.

    Parameters
    ----------
    sets : with session_id, exercise_id, segment_no and a ``cluster_id`` that is unique.
    """
    sets = sets.with_row_index("place").with_columns(
        pl.col("place").min().over(LIFT).alias("first_place"),
        (pl.col("segment_no") == 1).cast(pl.Int64).cum_sum().over(LIFT).alias("set_no"),
    )
    parent_no = pl.col("set_no").filter(pl.col("segment_no") == 1).first().over("cluster_id")
    sets = sets.with_columns(
        pl.col("first_place")
        .rank("dense")
        .over("session_id")
        .cast(pl.Int64)
        .alias("exercise_order"),
        pl.when(pl.col("cluster_id").is_not_null())
        .then(parent_no)
        .otherwise("set_no")
        .alias("set_no"),
    )
    cluster = pl.format("{}|{}|{}", "session_id", "exercise_id", "set_no")
    return sets.with_columns(
        pl.when(pl.col("cluster_id").is_not_null()).then(cluster).alias("cluster_id")
    ).drop("place", "first_place")


def mark_warmups(sets: pl.DataFrame, max_share: float) -> pl.DataFrame:
    """Set ``is_warmup`` by rule, for files that do not tell warm-ups apart.

    A warm-up is a set before the exercise's first working set with a load of at most ``max_share``
    (setting warmup_max_share) of the session's heaviest for that lift, and not to failure. Drops
    are never warm-ups; a set that is already marked stays one.
    """
    heaviest = pl.col("load_kg").max().over(LIFT)
    is_light = (
        (pl.col("load_kg") <= max_share * heaviest)
        & (pl.col("load_kg") > 0)
        & ~pl.col("to_failure").fill_null(False)
        & pl.col("cluster_id").is_null()
    )
    light = is_light.fill_null(False)
    is_before_work = light.cast(pl.Int8).cum_min().over(LIFT) == 1
    return sets.with_columns((pl.col("is_warmup") | is_before_work).alias("is_warmup"))
