"""Weekly sets of every lifter by training age: quarters of a year, with the range's word."""

import polars as pl

from dashboards.prepare.counts import WITH_TRAINING
from dashboards.prepare.group import GroupFrames
from dashboards.prepare.standing import whole
from dashboards.prepare.strips import AGE_SLACK, ranges_of
from pipeline.core.page_book import PageBook

# Quarters of a training year.
PER_YEAR = 4
# Tone of a quarter: below, within, above the range of that lifter at that age; no range.
BELOW, WITHIN, ABOVE, NO_RANGE = range(4)


def bed_rows(book: PageBook, frames: GroupFrames) -> pl.DataFrame:
    """Quarters of the drawn lifters: m, i (lifter), q (quarter), v (mean weekly sets), t (tone).

    Only weeks with training count; a quarter without any is not there.
    """
    drawn = frames.drawn.select("lifter_id", "i")
    ages = book.tables["mart_week_lifter"].select("lifter_id", "week_start", "training_age_years")
    quarters = (
        book.tables["mart_week_muscle"]
        .filter(pl.col("week_status").is_in(WITH_TRAINING))
        .join(drawn, on="lifter_id")
        .join(frames.muscles.select("m", "muscle_id"), on="muscle_id")
        .join(ages, on=["lifter_id", "week_start"])
        .group_by(
            "m", "i", (pl.col("training_age_years") * PER_YEAR).floor().cast(pl.Int64).alias("q")
        )
        .agg(pl.col("weekly_sets").mean().alias("v"))
    )
    return (
        _with_tone(book, frames, quarters)
        .sort("m", "i", "q")
        .select("m", "i", "q", whole(pl.col("v")).cast(pl.Int64), "t")
    )


def _with_tone(book: PageBook, frames: GroupFrames, quarters: pl.DataFrame) -> pl.DataFrame:
    parts = [
        ranges_of(book, lifter).with_columns(i=pl.lit(i, pl.Int64))
        for i, lifter in frames.drawn.select("i", "lifter_id").iter_rows()
    ]
    ranges = pl.concat(parts).join(frames.muscles.select("m", "muscle_id"), on="muscle_id")
    middle = (pl.col("q") + 0.5) / PER_YEAR
    reach = AGE_SLACK + 0.5 / PER_YEAR
    inside = (pl.col("age_from") <= middle + reach) & (middle <= pl.col("age_to") + reach)
    held = (
        quarters.join(ranges, on=["m", "i"])
        .filter(inside)
        .sort("m", "i", "q", "age_from")
        .unique(["m", "i", "q"], keep="last", maintain_order=True)
        .select("m", "i", "q", "low", "high", has=pl.lit(True))
    )
    tone = (
        pl.when(pl.col("has").is_null())
        .then(NO_RANGE)
        .when(whole(pl.col("v")) < whole(pl.col("low")))
        .then(BELOW)
        .when(whole(pl.col("v")) > whole(pl.col("high")))
        .then(ABOVE)
        .otherwise(WITHIN)
    )
    return quarters.join(held, on=["m", "i", "q"], how="left").with_columns(t=tone.cast(pl.Int64))
