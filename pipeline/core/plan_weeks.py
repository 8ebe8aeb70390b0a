"""A plan by weeks: a proposal written out for every week of its phase, and as a plan's file."""

import csv
import io

import polars as pl

COLUMNS = (
    *("week", "easing", "day", "place", "exercise", "sets"),
    *("reps_low", "reps_high", "rir", "to_failure"),
)
# Repetitions in reserve that an easing week leaves at least: common practice, no published source.
EASING_RESERVE = 2.0


def plan_weeks(
    lifts: pl.DataFrame, weeks: pl.DataFrame, muscles: pl.DataFrame, contributions: pl.DataFrame
) -> pl.DataFrame:
    """The lifts of every week, columns of ``tidy_plan`` but whose and when.

    A proposal says sets a lift for the full week, and sets a muscle for every week on the way to it
    (``model_proposal_week``); a lift has in each week that share of its sets which its direct
    muscles have of theirs, rounded, never less than one set. The easing week takes nothing to
    failure and leaves ``EASING_RESERVE`` where reserve is said.

    Parameters
    ----------
    lifts, weeks, muscles : rows of one proposal in ``model_proposal_lift``, ``model_proposal_week``
        and ``model_proposal_muscle``.
    contributions : ``ref_contribution``.
    """
    full = muscles.filter(pl.col("sets_next") > 0).select("muscle_id", "sets_next")
    shares = weeks.join(full, on="muscle_id").with_columns(
        share=pl.col("sets") / pl.col("sets_next")
    )
    direct = contributions.filter(pl.col("role") == "direct").select("exercise_id", "muscle_id")
    by_lift = (
        direct.join(shares, on="muscle_id")
        .group_by("exercise_id", "week")
        .agg(pl.col("share").mean())
    )
    calendar = weeks.select("week", "is_easing").unique().sort("week")
    whole = pl.col("share").fill_null(1.0)
    kept = lifts.filter(pl.col("day").is_not_null() & (pl.col("sets") > 0))
    return (
        calendar.join(kept.drop("lifter_id", "proposal_id"), how="cross")
        .join(by_lift, on=["exercise_id", "week"], how="left")
        .with_columns(
            sets=(pl.col("sets") * whole + 0.5).floor().cast(pl.Int64).clip(1),
            rir=pl.when("is_easing").then(pl.col("rir").clip(EASING_RESERVE)).otherwise("rir"),
            to_failure=pl.col("to_failure") & ~pl.col("is_easing"),
        )
        .sort("week", "day", "place")
        .select(
            *("week", "is_easing", "day", "place", "exercise_id", "sets"),
            *("reps_low", "reps_high", "rir", "to_failure"),
        )
    )


def say_plan(rows: pl.DataFrame) -> str:
    """The text of a plan's file: columns of ``tidy_plan`` but whose and when."""
    text = io.StringIO()
    writer = csv.DictWriter(text, COLUMNS, lineterminator="\n")
    writer.writeheader()
    for row in rows.iter_rows(named=True):
        cells = {name: row.get(name) for name in COLUMNS}
        cells["exercise"], cells["easing"] = row["exercise_id"], _say_bool(row["is_easing"])
        cells["to_failure"] = _say_bool(row["to_failure"])
        cells["rir"] = "" if row["rir"] is None else f"{row['rir']:g}"
        writer.writerow(cells)
    return text.getvalue()


def _say_bool(value: bool) -> str:
    return "yes" if value else "no"
