"""The load that a lift moves: external load and the share of body weight that goes with it."""

import polars as pl

from pipeline.core.signals import BODY_WEIGHT


def body_weight_on(days: pl.DataFrame, signals: pl.DataFrame, near_days: float) -> pl.DataFrame:
    """Body weight of each lifter and day.

    Between two weighings that are both within ``near_days``: on the line between them; else the
    nearest weighing; null for a lifter who was never weighed. Several weighings of a day count
    as their mean.

    Parameters
    ----------
    days : distinct lifter_id and session_date.
    signals : rows of ``tidy_signal``.
    near_days : setting body_weight_near_days.

    Returns
    -------
    pl.DataFrame
        ``days`` with ``body_weight_kg``.
    """
    weighed = (
        signals.filter(pl.col("signal") == BODY_WEIGHT)
        .group_by("lifter_id", "date")
        .agg(pl.col("value").mean())
        .sort("date")
    )
    found = days.sort("session_date")
    for side, strategy in (("before", "backward"), ("after", "forward")):
        near = weighed.select(
            "lifter_id", pl.col("date").alias(side), pl.col("value").alias(f"kg_{side}")
        )
        found = found.join_asof(
            near,
            left_on="session_date",
            right_on=side,
            by="lifter_id",
            strategy=strategy,  # type: ignore[arg-type]
            check_sortedness=False,
        )
    return found.select("lifter_id", "session_date", _between(near_days).alias(BODY_WEIGHT))


def _between(near_days: float) -> pl.Expr:
    since = (pl.col("session_date") - pl.col("before")).dt.total_days()
    until = (pl.col("after") - pl.col("session_date")).dt.total_days()
    share = since / pl.max_horizontal(since + until, pl.lit(1))
    line = pl.col("kg_before") + share * (pl.col("kg_after") - pl.col("kg_before"))
    is_near = (since <= near_days) & (until <= near_days)
    nearest = pl.when(since <= until).then("kg_before").otherwise("kg_after")
    return pl.when(is_near).then(line).otherwise(pl.coalesce(nearest, "kg_before", "kg_after"))


def add_moved_load(
    sets: pl.DataFrame, signals: pl.DataFrame, exercises: pl.DataFrame, near_days: float
) -> pl.DataFrame:
    """Fill ``load_moved_kg``: external load plus the exercise's share of the day's body weight.

    Help is subtracted; a body-weight lift without a written load moves its share alone. Null where
    the body weight is needed and not known, where a needed load is not written, or where the
    exercise has no match and moves body weight to an unknown share.

    Parameters
    ----------
    sets, signals : rows of ``tidy_set`` and ``tidy_signal``.
    exercises : table ``ref_exercise``; its ``body_weight_share`` is used.
    near_days : as for ``body_weight_on``.
    """
    days = sets.select("lifter_id", "session_date").unique()
    weights = body_weight_on(days, signals, near_days)
    joined = sets.join(
        weights, on=["lifter_id", "session_date"], how="left", maintain_order="left"
    ).join(
        exercises.select("exercise_id", "body_weight_share"),
        on="exercise_id",
        how="left",
        maintain_order="left",
    )
    basis, load = pl.col("load_basis"), pl.col("load_kg")
    external = (
        pl.when(basis == "assisted")
        .then(-load)
        .when(basis == "added")
        .then(load.fill_null(0.0))
        .otherwise(load)
    )
    is_on_body = basis.is_in(["added", "assisted"])
    share = pl.coalesce("body_weight_share", pl.when(~is_on_body).then(0.0))
    own = pl.when(share == 0).then(0.0).otherwise(share * pl.col(BODY_WEIGHT))
    moved = external + own
    return joined.with_columns(pl.when(moved >= 0).then(moved).alias("load_moved_kg")).select(
        sets.columns
    )
