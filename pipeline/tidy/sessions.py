"""Sessions: the order of exercises, the numbers of sets, and warm-ups by rule."""

import polars as pl

from pipeline.tidy.texts import code_texts

LIFT = ("session_id", "exercise_id")


def name_sessions(sets: pl.DataFrame, lifter_id: str) -> pl.DataFrame:
    """Add ``session_id``: lifter and date, and the part of the day where the file has one."""
    day = pl.format("{}|{}", pl.lit(lifter_id), pl.col("session_date"))
    part = pl.format("|{}", pl.col("session").str.to_lowercase()).fill_null("")
    key = ["session_date", "session"]
    days = sets.select(key).unique().with_columns(pl.concat_str(day, part).alias("session_id"))
    found = sets.select(key).join(days, on=key, how="left", nulls_equal=True, maintain_order="left")
    return sets.with_columns(found["session_id"])


def number_sets(sets: pl.DataFrame) -> pl.DataFrame:
    """Number exercises within sessions and sets within exercises, in the order of the rows.

    A drop has the number of its set. ``cluster_id`` is made anew from session, exercise and
    number, so that it stays the same while these do.

    Parameters
    ----------
    sets : with session_id, exercise_id, segment_no and a ``cluster_id`` that is unique.
    """
    session = _code(sets["session_id"])
    places = sets.select(
        pl.int_range(pl.len(), dtype=pl.Int64).alias("place"),
        session.alias("session"),
        (session * 2**32 + _code(sets["exercise_id"])).alias("lift"),
        (pl.col("segment_no") == 1).alias("is_parent"),
    ).with_columns(pl.col("is_parent").cast(pl.Int64).cum_sum().over("lift").alias("set_no"))
    lifts = places.group_by("lift").agg(pl.col("session", "place").first())
    order = pl.col("place").rank("dense").over("session").cast(pl.Int64)
    lifts = lifts.select("lift", order.alias("exercise_order"))
    found = places.join(lifts, on="lift", how="left", maintain_order="left")
    sets = sets.with_columns(found["exercise_order"], found["set_no"])
    return _number_clusters(sets) if sets["cluster_id"].count() else sets


def _code(texts: pl.Series) -> pl.Series:
    """A number for each distinct text: groups of numbers are found sooner than groups of texts."""
    return code_texts(texts)[1].cast(pl.UInt64)


def _number_clusters(sets: pl.DataFrame) -> pl.DataFrame:
    at = pl.int_range(pl.len(), dtype=pl.Int64).alias("at")
    parts = ("session_id", "exercise_id", "set_no")
    marked = sets.select(at, *parts, "segment_no", "cluster_id").filter(
        pl.col("cluster_id").is_not_null()
    )
    parent_no = pl.col("set_no").filter(pl.col("segment_no") == 1).first().over("cluster_id")
    marked = marked.with_columns(parent_no.alias("set_no"))
    named = marked.select("at", "set_no", pl.format("{}|{}|{}", *parts).alias("cluster_id"))
    found = sets.select(at).join(named, on="at", how="left", maintain_order="left")
    is_marked = found["cluster_id"].is_not_null()
    return sets.with_columns(
        pl.when(is_marked).then(found["set_no"]).otherwise("set_no").alias("set_no"),
        found["cluster_id"],
    )


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
