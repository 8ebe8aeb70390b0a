"""An accepted plan against the record: sets planned and done, by week and muscle, lift by lift."""

from collections.abc import Mapping

import polars as pl

from pipeline.core.dictionary import conform

READS = ("mart_week_muscle", "mart_week_lift", "mart_week_lifter", "ref_contribution")
INDIRECT = 0.5  # of a set, as everywhere (fractional count)
WEEK = ("lifter_id", "plan_id", "week", "week_start", "is_easing")


def follow_plans(
    plans: pl.DataFrame, tables: Mapping[str, pl.DataFrame]
) -> dict[str, pl.DataFrame]:
    """Tables ``model_plan_progress`` and ``model_plan_lift``.

    Weeks that the record has not reached, or that were not logged, have no sets done; sets planned
    are counted from the plan as it stands now, direct 1 and indirect 0.5.

    Parameters
    ----------
    plans : ``tidy_plan`` of all lifters.
    tables : those of ``READS``.
    """
    logged = tables["mart_week_lifter"].filter(pl.col("week_status") != "unlogged")
    logged = logged.select("lifter_id", "week_start", is_logged=pl.lit(True))
    return {
        "model_plan_progress": _by_muscle(plans, tables, logged),
        "model_plan_lift": _by_lift(plans, tables["mart_week_lift"], logged),
    }


def _by_muscle(
    plans: pl.DataFrame, tables: Mapping[str, pl.DataFrame], logged: pl.DataFrame
) -> pl.DataFrame:
    weight = pl.when(pl.col("role") == "direct").then(1.0).otherwise(INDIRECT)
    counted = tables["ref_contribution"].filter(pl.col("role").is_in(["direct", "indirect"]))
    counted = counted.select("exercise_id", "muscle_id", weight=weight)
    planned = (
        plans.join(counted, on="exercise_id")
        .group_by(*WEEK, "muscle_id")
        .agg(planned_sets=(pl.col("sets") * pl.col("weight")).sum())
    )
    done = tables["mart_week_muscle"].select(
        "lifter_id", "week_start", "muscle_id", done_sets="weekly_sets"
    )
    rows = planned.join(logged, on=["lifter_id", "week_start"], how="left").join(
        done, on=["lifter_id", "week_start", "muscle_id"], how="left"
    )
    known = pl.when("is_logged").then(pl.col("done_sets").fill_null(0.0))
    rows = rows.with_columns(done_sets=known)
    followed = (pl.col("done_sets") / pl.col("planned_sets")).clip(upper_bound=1.0)
    return conform(
        "model_plan_progress",
        rows.with_columns(share_followed=followed)
        .drop("is_logged")
        .sort("lifter_id", "plan_id", "week", "muscle_id"),
    )


def _by_lift(plans: pl.DataFrame, done: pl.DataFrame, logged: pl.DataFrame) -> pl.DataFrame:
    """Lifts of the plan and, in its weeks, lifts that it does not hold."""
    planned = plans.group_by(*WEEK, "exercise_id").agg(planned_sets=pl.col("sets").sum())
    spans = planned.select(WEEK).unique().join(logged, on=["lifter_id", "week_start"])
    seen = done.select("lifter_id", "week_start", "exercise_id", done_sets="working_sets")
    within = spans.join(seen, on=["lifter_id", "week_start"]).drop("is_logged")
    both = planned.join(
        within, on=[*WEEK, "exercise_id"], how="full", coalesce=True, nulls_equal=True
    ).join(logged, on=["lifter_id", "week_start"], how="left")
    sets, was = pl.col("planned_sets").fill_null(0), pl.col("done_sets").fill_null(0)
    both = both.with_columns(planned_sets=sets, done_sets=pl.when("is_logged").then(was))
    status = (
        pl.when(pl.col("done_sets").is_null())
        .then(pl.lit("open"))
        .when(pl.col("planned_sets") == 0)
        .then(pl.lit("added"))
        .when(pl.col("done_sets") == 0)
        .then(pl.lit("left out"))
        .otherwise(pl.lit("done"))
    )
    return conform(
        "model_plan_lift",
        both.with_columns(status=status)
        .drop("is_logged")
        .sort("lifter_id", "plan_id", "week", "exercise_id"),
    )
