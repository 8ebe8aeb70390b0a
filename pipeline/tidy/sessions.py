"""Sessions: the order of exercises, the numbers of sets, and warm-ups by rule."""

from collections.abc import Sequence

import polars as pl

from pipeline.tidy.texts import code_texts, place_among, spread

LIFT = ("session_id", "exercise_id")


def name_sessions(sets: pl.DataFrame, lifter_id: str) -> pl.DataFrame:
    """Add ``session_id``: lifter and date, and the part of the day where the file has one."""
    runs, run = _find_runs(sets, ("session_date", "session"))
    day = pl.format("{}|{}", pl.lit(lifter_id), pl.col("session_date"))
    part = pl.format("|{}", pl.col("session").cast(pl.String).str.to_lowercase()).fill_null("")
    named = runs.select(pl.concat_str(day, part).alias("session_id")).to_series()
    return sets.with_columns(spread(named, run))


def number_sets(sets: pl.DataFrame) -> pl.DataFrame:
    """Number exercises within sessions and sets within exercises, in the order of the rows.

    A drop has the number of its set. ``cluster_id`` is made anew from session, exercise and
    number, so that it stays the same while these do.

    Parameters
    ----------
    sets : with session_id, exercise_id, segment_no and a ``cluster_id`` that is unique.
    """
    runs, run = _find_runs(sets, LIFT)
    session = code_texts(runs["session_id"])[1].cast(pl.UInt64)
    lift = session * 2**32 + code_texts(runs["exercise_id"])[1]
    parents = (sets["segment_no"] == 1).cast(pl.Int64).cum_sum()
    above = parents.shift(1, fill_value=0).gather(runs["place"])
    # A lift whose rows stand together is one run; else its runs are counted on.
    n_parents = above.shift(-1, fill_value=parents.last()) - above
    places = pl.DataFrame([session, lift.alias("lift"), runs["place"], n_parents.alias("n")])
    places = places.select(
        "session_id",
        (pl.col("n").cum_sum().over("lift") - pl.col("n") - above).alias("added"),
        pl.col("place").min().over("lift"),
    )
    order = places.select(pl.col("place").rank("dense").over("session_id").cast(pl.Int64))
    sets = sets.with_columns(
        spread(order.to_series().alias("exercise_order"), run),
        (parents + spread(places["added"], run)).alias("set_no"),
    )
    return _number_clusters(sets) if sets["cluster_id"].count() else sets


def _find_runs(sets: pl.DataFrame, key: Sequence[str]) -> tuple[pl.DataFrame, pl.Series]:
    """Rows that stand together and are alike in ``key``: a row a run, with the ``place`` of its
    first row; and for each row of ``sets`` the number of its run, from 0."""
    run = sets.select(pl.struct(key).rle_id()).to_series()
    place = run.search_sorted(run.unique(maintain_order=True)).alias("place")
    return sets.select(pl.col(key).gather(place)).with_columns(place), run


def _number_clusters(sets: pl.DataFrame) -> pl.DataFrame:
    is_marked = sets["cluster_id"].is_not_null()
    marked = sets.select(*LIFT, "set_no", "segment_no", "cluster_id").filter(is_marked)
    parent_no = pl.col("set_no").filter(pl.col("segment_no") == 1).first().over("cluster_id")
    marked = marked.with_columns(parent_no.alias("set_no")).select(
        "set_no", pl.format("{}|{}|{}", *LIFT, "set_no").alias("cluster_id")
    )
    place = place_among(is_marked)
    return sets.with_columns(
        pl.coalesce(marked["set_no"].gather(place), "set_no").alias("set_no"),
        marked["cluster_id"].gather(place),
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
