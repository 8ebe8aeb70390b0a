"""Frames for the strips: weekly sets per shown muscle with the range that held at the time."""

from dataclasses import dataclass
from datetime import date, timedelta

import polars as pl

from dashboards.prepare.counts import first_and_last, recent_mean
from dashboards.prepare.runs import step_runs
from dashboards.prepare.standing import whole
from dashboards.theme.colours import FAMILIES
from pipeline.core.page_book import LifterInfo, PageBook

# Sets are shipped as whole tenths. A muscle without a range lies in one flat middle tone: all of
# it above 0 and below this.
NO_UPPER_EDGE = 9990
MEAN_WEEKS, BIN_WEEKS = 12, 4
AGE_SLACK = 0.07


@dataclass(frozen=True)
class StripFrames:
    """Everything the strips are drawn from; ``w`` is weeks since ``first``, when one starts.

    ``last`` is the last day of the last of ``count`` weeks.

    muscles : m (row), f (family), muscle_id, name, mean12, low, high (range now, null: none).
    weeks, bins : m, f, s (segment), w, v, lo, hi (tenths of sets), c (closing point); weeks also
    d (direct sets).
    """

    first: date
    last: date
    count: int
    muscles: pl.DataFrame
    weeks: pl.DataFrame
    bins: pl.DataFrame


def shown_muscles(book: PageBook) -> pl.DataFrame:
    """Muscles with a strip, in page order: m, f, muscle_id, name."""
    order = {family: i for i, family in enumerate(FAMILIES)}
    return (
        book.tables["ref_muscle"]
        .filter(pl.col("is_shown"))
        .with_columns(f=pl.col("family").replace_strict(order, return_dtype=pl.Int64))
        .sort("f", "page_order", "muscle_id")
        .select(pl.int_range(pl.len()).alias("m"), "f", "muscle_id", "name")
    )


def ranges_of(book: PageBook, lifter_id: str) -> pl.DataFrame:
    """Supported ranges that have an answer: muscle_id, window, age_from, age_to, low, high.

    ``high`` is null where no limit was seen.
    """
    return (
        book.tables["finding"]
        .filter(
            pl.col("lifter_id").eq(lifter_id)
            & pl.col("question").eq("supported_sets")
            & pl.col("support").ne("not enough")
            & pl.col("range_low").is_not_null()
        )
        .select(
            pl.col("subject").str.strip_prefix("muscle:").alias("muscle_id"),
            "window",
            pl.col("age_from").fill_null(0.0),
            pl.col("age_to").fill_null(999.0),
            low="range_low",
            high="range_high",
        )
        .sort("muscle_id", "age_from")
    )


def strip_frames(book: PageBook, lifter: LifterInfo) -> StripFrames | None:
    """The strips of one lifter, or None when no week was logged."""
    mine = pl.col("lifter_id") == lifter.lifter_id
    weeks = book.tables["mart_week_muscle"].filter(mine)
    calendar = book.tables["mart_week_lifter"].filter(mine)
    if calendar.is_empty():
        return None
    first, last = first_and_last(calendar["week_start"])
    count = (last - first).days // 7 + 1
    muscles, ranges = shown_muscles(book), ranges_of(book, lifter.lifter_id)
    sets = _weekly(weeks, muscles, first)
    sets = _with_range(sets, calendar, ranges)
    current = ranges.filter(pl.col("window") == "now").select("muscle_id", "low", "high")
    recent = recent_mean(weeks, MEAN_WEEKS).rename({"mean": "mean12"})
    now = muscles.join(recent, on="muscle_id", how="left").join(current, on="muscle_id", how="left")
    return StripFrames(
        first,
        last + timedelta(days=6),
        count,
        now.sort("m"),
        _tenths(step_runs(sets, by="m")),
        _tenths(step_runs(sets.drop("d"), by="m", bin_weeks=BIN_WEEKS, end=count)),
    )


def _weekly(weeks: pl.DataFrame, muscles: pl.DataFrame, first: date) -> pl.DataFrame:
    return (
        weeks.filter(pl.col("week_status").is_in(["trained", "deload"]))
        .join(muscles.select("m", "f", "muscle_id"), on="muscle_id")
        .select(
            "muscle_id",
            "m",
            "f",
            "week_start",
            w=(pl.col("week_start") - first).dt.total_days() // 7,
            v=pl.col("weekly_sets").fill_null(0.0),
            d=pl.col("direct_sets").fill_null(0),
        )
    )


def _with_range(sets: pl.DataFrame, calendar: pl.DataFrame, ranges: pl.DataFrame) -> pl.DataFrame:
    """Each week's sets with the edges of the range of that training age (tenths)."""
    ages = calendar.select("week_start", age="training_age_years")
    banded = sets.join(ages, on="week_start").join(ranges, on="muscle_id")
    # Bands are written to a tenth of a year: half of that, and a week, either side.
    inside = (pl.col("age_from") <= pl.col("age") + AGE_SLACK) & (
        pl.col("age") <= pl.col("age_to") + AGE_SLACK
    )
    held = (
        banded.filter(inside)
        .sort("m", "w", "age_from")
        .unique(["m", "w"], keep="last", maintain_order=True)
        .select("m", "w", lo="low", hi="high")
    )
    return (
        sets.join(held, on=["m", "w"], how="left")
        .select(
            "m",
            "f",
            "w",
            "v",
            "d",
            # Edges are written in whole sets, so a tone changes at whole sets.
            lo=(whole(pl.col("lo").fill_null(0.0)) * 10).cast(pl.Int64),
            hi=(whole(pl.col("hi")) * 10).cast(pl.Int64).fill_null(NO_UPPER_EDGE),
        )
        .sort("m", "w")
    )


def _tenths(steps: pl.DataFrame) -> pl.DataFrame:
    return steps.with_columns(v=(pl.col("v") * 10).round().cast(pl.Int64))
