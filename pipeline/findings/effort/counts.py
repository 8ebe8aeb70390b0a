"""Where sets were taken to failure and as drop clusters: counts by year, equipment and lift."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import polars as pl

from pipeline.core.dictionary import conform
from pipeline.findings.arrays import Record
from pipeline.models.arrays import Floats

KINDS = {
    "barbell": "free_weight",
    "dumbbell": "free_weight",
    "kettlebell": "free_weight",
    "machine": "machine",
    "cable": "cable",
    "body_weight": "body_weight",
}
# A drop takes about half a minute: its repetitions and the change of load, no rest. Common
# practice, no published source; the minutes are told with it.
DROP_MINUTES = 0.5
# A year tells of failure when a set of it is marked so, or this share of its sets has its reserve
# written down: there a set without a mark was not taken to failure.
TOLD_SHARE = 0.25


@dataclass(frozen=True)
class EffortSets:
    """Working sets of a record with what is known of their effort."""

    record: Record

    @cached_property
    def sets(self) -> pl.DataFrame:
        """One row a counted set: its lift, week, year and kind of equipment, whether the year tells
        of failure, whether it (or a drop of it) went there or ended with nothing in reserve, and
        the drops, their tonnage and its own."""
        segments = self.record.working.with_columns(
            set_id=pl.coalesce(
                pl.concat_str("session_id", pl.lit("|"), "cluster_id"),
                pl.concat_str(
                    "file_id", pl.lit("|"), "row_no", pl.lit("|"), pl.int_range(pl.len())
                ),
            ),
            tonnage=pl.when(pl.col("load_basis") == "assisted")
            .then(0.0)
            .otherwise((pl.col("load_kg") * pl.col("reps")).fill_null(0.0)),
            is_drop=pl.col("segment_no") > 1,
            has_zero=((pl.col("rir_source") == "recorded") & (pl.col("rir") == 0)).fill_null(False),
        )
        sets = (
            segments.group_by("set_id", maintain_order=True)
            .agg(
                pl.col("exercise_id", "week", "session_date").first(),
                is_counted=(pl.col("segment_no") == 1).any(),
                is_failure=pl.col("to_failure").fill_null(False).any(),
                is_zero=pl.col("has_zero").any(),
                is_recorded=(pl.col("rir_source") == "recorded").any(),
                drops=pl.col("is_drop").sum(),
                drop_kg=pl.col("tonnage").filter("is_drop").sum(),
                tonnage_kg=pl.col("tonnage").sum(),
            )
            .filter("is_counted")
            .with_columns(
                year=pl.col("session_date").dt.year().cast(pl.Int64),
                kind=pl.col("exercise_id").replace_strict(
                    {one: KINDS.get(what, "other") for one, what in self.record.equipment.items()},
                    default="other",
                    return_dtype=pl.String,
                ),
            )
        )
        told = pl.col("is_failure").any() | (pl.col("is_recorded").mean() >= TOLD_SHARE)
        return sets.with_columns(is_told=told.over("year"))

    def by_year_and_lift(self) -> pl.DataFrame:
        """Table ``model_effort``."""
        is_told = pl.col("is_told")
        counts = self.sets.group_by("year", "kind", "exercise_id").agg(
            sets=pl.len().cast(pl.Int64),
            told_sets=is_told.sum().cast(pl.Int64),
            failure_sets=pl.col("is_failure").sum().cast(pl.Int64),
            zero_reserve_sets=(pl.col("is_zero") & ~pl.col("is_failure")).sum().cast(pl.Int64),
            drop_clusters=(pl.col("drops") > 0).sum().cast(pl.Int64),
            drop_segments=pl.col("drops").sum().cast(pl.Int64),
            tonnage_kg=pl.col("tonnage_kg").sum(),
            drop_tonnage_kg=pl.col("drop_kg").sum(),
        )
        counts = counts.with_columns(
            lifter_id=pl.lit(self.record.lifter.lifter_id),
            drop_minutes=DROP_MINUTES * pl.col("drop_segments"),
        )
        return conform("model_effort", counts.sort("year", "kind", "exercise_id"))

    def weekly_share(self, muscle_id: str, flag: pl.Expr, among: pl.Expr) -> Floats:
        """(n_weeks,) share of the muscle's direct sets ``among`` which ``flag`` holds; nan in weeks
        without such sets."""
        lifts = [one for one, (direct, _) in self.record.muscles_of.items() if muscle_id in direct]
        own = self.sets.filter(among & pl.col("exercise_id").is_in(lifts))
        weeks = own.group_by("week").agg(share=flag.mean())
        share = np.full(self.record.n_weeks, np.nan)
        share[weeks["week"].to_numpy()] = weeks["share"].to_numpy()
        return share
