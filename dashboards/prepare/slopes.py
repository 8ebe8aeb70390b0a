"""Slopes as the pages say and colour them: of lifts, of muscles, of one lifter or of the group."""

from datetime import date
from math import ceil, floor
from typing import Any

import polars as pl

from dashboards import words
from dashboards.charts.slopes import SlopeAxis
from dashboards.numbers import count, figure, in_words, interval, signed
from dashboards.prepare.ticks import round_values
from dashboards.told import told_counted, told_plain
from pipeline.core.calendar import DAYS_PER_YEAR
from pipeline.core.page_book import PageBook
from pipeline.core.settings import default_thresholds

# What a slope can be; the last two are drawn in grey. A refusal is told apart by its place (last)
# and its dotted line.
RISING, FALLING, STILL, EITHER, REFUSED = range(5)
VERDICTS = ("rising", "falling", "still", "either", "refused")
YEAR_DAYS = 365
LEAST_LOW, LEAST_HIGH, AXIS_TICKS = -2.0, 4.0, 7


def threshold(book: PageBook, name: str) -> float:
    """A setting in force, or as shipped where the book holds no settings."""
    found = book.tables["ref_threshold"].filter(pl.col("threshold") == name)["value"]
    return float(found[0]) if len(found) else default_thresholds()[name].value


def say_limit(book: PageBook) -> str:
    """The limit inside which a stretch stands still, % a year either way."""
    return figure(threshold(book, "plateau_pct_per_year"))


def slopes_of(book: PageBook, question: str) -> pl.DataFrame:
    """Findings about slopes with their verdict.

    ``question``: lift_slope or muscle_slope. Columns: lifter_id (null: the group), id (of the lift
    or muscle), est, window, low, high, n, n_of, support, support_why, needs, needed, counted,
    sentence, age_from, age_to, from_date, to_date, verdict (see ``VERDICTS``).
    """
    limit = threshold(book, "plateau_pct_per_year")
    days = (pl.col("to_date") - pl.col("from_date")).dt.total_days()
    # The same order as the finding's own sentence: still before rising, since a year within the
    # limits is a plateau even where its interval excludes zero.
    is_still = (days >= YEAR_DAYS) & (pl.col("low") >= -limit) & (pl.col("high") <= limit)
    verdict = (
        pl.when(pl.col("estimate").is_null())
        .then(REFUSED)
        .when(is_still.fill_null(False))
        .then(STILL)
        .when(pl.col("low") > 0)
        .then(RISING)
        .when(pl.col("high") < 0)
        .then(FALLING)
        .otherwise(EITHER)
    )
    return (
        book.tables["finding"]
        .filter(pl.col("question") == question)
        .select(
            "lifter_id",
            pl.col("subject").str.replace("^(lift|muscle):", "").alias("id"),
            pl.col("estimate").alias("est"),
            *("window", "low", "high", "n", "n_of", "support", "support_why", "needs"),
            *("needed", "counted"),
            *("sentence", "age_from", "age_to", "from_date", "to_date"),
            verdict=verdict.cast(pl.Int64),
        )
    )


def has_zero(rows: pl.DataFrame) -> pl.DataFrame:
    """The rows whose interval holds zero: one inside the limit without it moved, if by little."""
    return rows.filter((pl.col("low") <= 0) & (pl.col("high") >= 0))


def say_verdict(book: PageBook, row: dict[str, Any]) -> str:
    """What a slope was, in a word; inside the limit but without zero in its interval it moved."""
    if row["verdict"] == STILL and not row["low"] <= 0 <= row["high"]:
        return words.plain("lifts.reads_slow", limit=say_limit(book))
    return words.plain(f"lifts.reads_{VERDICTS[int(row['verdict'])]}")


def say_slope(row: dict[str, Any]) -> str:
    """Estimate with its interval: +2.9 (+2.1 to +3.7)."""
    return f"{signed(row['est'])} {interval(row['low'], row['high'])}"


def say_refusal(row: dict[str, Any], is_short: bool = False) -> str:
    """Why there is no estimate: 28 weeks, 40 needed; short: 28 of 40 weeks, 0 of 1 lifter."""
    if row["needed"] is None:
        return told_plain(row["support_why"])
    is_weeks = row["counted"] in ("weeks", "trained weeks")
    of_what = told_counted(
        row["needed"] if is_short else row["n"], "weeks" if is_weeks else row["n_of"]
    )
    key = "lifts.reason_short" if is_short else "lifts.reason"
    return words.plain(key, has=count(row["n"]), needs=count(row["needed"]), of_what=of_what)


def say_rate(row: dict[str, Any]) -> str:
    """The slope in a sentence: +2.9 % a year (+2.1 to +3.7)."""
    ends = interval(row["low"], row["high"])
    return words.plain("numbers.rate", value=signed(row["est"]), interval=ends)


def say_span(first: date, last: date) -> str:
    """Length of a window in words, to the year or, within one, to the month: three years."""
    days = (last - first).days + 1
    if days >= YEAR_DAYS:
        return in_words(round(days / DAYS_PER_YEAR), "year")
    return in_words(max(1, round(12 * days / DAYS_PER_YEAR)), "month")


def least_visible(answered: pl.DataFrame) -> float:
    """Half the narrowest interval: no change smaller than this could show in any of the rows."""
    return min(((answered["high"] - answered["low"]) / 2).to_list(), default=0.0)


def stands_apart(answered: pl.DataFrame) -> dict[str, Any] | None:
    """The fastest row when its interval lies above every other one, else None."""
    if answered.height < 2:
        return None
    ordered = answered.sort("est", descending=True)
    others = ordered["high"][1:].max()
    return ordered.row(0, named=True) if ordered["low"][0] > others else None


def slope_axis(left: float, width: float, rows: pl.DataFrame) -> SlopeAxis:
    """An axis that holds the estimates (``est``, ``then`` if there) and nearly all intervals.

    It reaches from at most -2 to at least +4 % a year; very wide intervals are cut at its ends.
    """
    columns = [name for name in ("est", "then") if name in rows.columns]
    values = [0.0, *(value for name in columns for value in rows[name].drop_nulls())]
    low = floor(min(LEAST_LOW, *values, rows["low"].quantile(0.03) or 0.0))
    high = ceil(max(LEAST_HIGH, *values, rows["high"].quantile(0.97) or 0.0))
    return SlopeAxis(left, width, low, high, tuple(round_values(low, high, AXIS_TICKS)))


def is_cut(rows: pl.DataFrame, axis: SlopeAxis) -> bool:
    """Whether an interval runs past the axis."""
    return bool(((rows["low"] < axis.low) | (rows["high"] > axis.high)).any())
