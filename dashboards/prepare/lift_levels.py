"""Fitted levels of lifts as few points: what the pictures of the page Lifts are drawn from."""

from dataclasses import dataclass
from datetime import date, timedelta
from math import exp, log

import polars as pl

from dashboards import words
from dashboards.charts.lift_layout import LiftFrames
from dashboards.numbers import count, figure
from dashboards.prepare.lift_rows import say_level, say_mass
from dashboards.prepare.ticks import round_values
from pipeline.core.page_book import PageBook
from pipeline.core.units import KG_PER_LB

# A lift not done for longer than this rests: its line breaks there, or is dashed.
REST_WEEKS = 8
# Points of one lift's line at most, in the small picture and in the large one.
SMALL_POINTS, LARGE_POINTS = 80, 320
# A line spans at least this much (log), so that a still level looks still.
LEAST_SPAN = 0.10
# Normal quantile of a 90 % band.
BAND_REACH = 1.645
SHARE = 1000
# Values along a scale, about so many.
GUIDES = 8


@dataclass(frozen=True)
class Calendar:
    """First day and number of weeks of a record."""

    first: date
    weeks: int


def step_of(weeks: int, points: int) -> int:
    """Weeks from one drawn point to the next, so that a line has at most so many."""
    return max(1, -(-weeks // points))


def level_points(book: PageBook, lifter_id: str, rows: pl.DataFrame, first: date) -> pl.DataFrame:
    """Levels by week with their runs: e, w, level, se, best, is_on, s, c.

    ``s`` numbers the runs over all lifts: stretches in which the lift was done (c 0) and longer
    rests between them (c 1, with the week before and the week after).
    """
    levels = (
        book.tables["model_lift_level"]
        .filter(pl.col("lifter_id") == lifter_id)
        .join(rows.select("e", pl.col("id").alias("exercise_id")), on="exercise_id")
        .select(
            "e",
            ((pl.col("week_start") - first).dt.total_days() // 7).alias("w"),
            pl.col("level_log").alias("level"),
            "se",
            pl.col("best_log").alias("best"),
            pl.col("is_trained").alias("is_on"),
        )
        .sort("e", "w")
    )
    done = levels.filter("is_on").select("e", "w")
    gaps = done.with_columns(
        w1="w", w0=pl.col("w").shift().over("e"), new=pl.col("w").diff().over("e") > REST_WEEKS
    ).with_columns(
        run=pl.col("new").fill_null(False).cast(pl.Int64).cum_sum().over("e"),
    )
    runs = gaps.group_by("e", "run").agg(w0=pl.col("w").min(), w1=pl.col("w").max(), c=pl.lit(0))
    rests = gaps.filter("new").select("e", "run", "w0", "w1", c=pl.lit(1))
    both = pl.concat([one.cast(pl.Int64) for one in (runs, rests.select(runs.columns))])
    both = both.sort("e", "w0", "c").with_columns(s=pl.int_range(pl.len())).drop("run")
    # Every week of a run; the ends of a rest are the weeks before and after it.
    return levels.join(both, on="e").filter(pl.col("w").is_between(pl.col("w0"), pl.col("w1")))


def thin_out(points: pl.DataFrame, step: int) -> pl.DataFrame:
    """Every ``step``-th week of each run, and its two ends."""
    is_end = (pl.col("w") == pl.col("w0")) | (pl.col("w") == pl.col("w1"))
    return points.filter(is_end | (pl.col("w") % step == 0)).sort("s", "w")


def small_lines(points: pl.DataFrame, rows: pl.DataFrame, weeks: int) -> pl.DataFrame:
    """Lines of the forest: e, f, s, w, u (0 to 1000 in the lift's own range) and its places."""
    kept = thin_out(points.filter(pl.col("c") == 0), step_of(weeks, SMALL_POINTS))
    low, high = pl.col("level").min().over("e"), pl.col("level").max().over("e")
    span = pl.max_horizontal(high - low, pl.lit(LEAST_SPAN))
    # A range widened to the least span keeps its line in the middle.
    share = (pl.col("level") - (low + high - span) / 2) / span * SHARE
    places = rows.select("e", "f", "by_slope", "by_name", "by_family", "by_level")
    return (
        kept.select("e", "s", "w", u=share.round().cast(pl.Int64))
        .join(places, on="e", how="left", maintain_order="left")
        .select("e", "f", "s", "w", "u", "by_slope", "by_name", "by_family", "by_level")
    )


def lift_frames(
    book: PageBook, lifter_id: str, rows: pl.DataFrame, points: pl.DataFrame, calendar: Calendar
) -> LiftFrames:
    """Everything that the lift in full is drawn from, for every lift with a level."""
    unit = next(one.unit for one in book.lifters if one.lifter_id == lifter_id)
    scales = _scales(points)
    drawn = _scaled(thin_out(points, step_of(calendar.weeks, LARGE_POINTS)), scales, "level")
    half = (BAND_REACH * SHARE * pl.col("se") / pl.col("span")).round().cast(pl.Int64)
    dots = points.filter(pl.col("best").is_not_null() & (pl.col("c") == 0))
    sets = _weekly_sets(book, lifter_id, rows, calendar.first)
    return LiftFrames(
        level=drawn.select("e", "s", "c", "w", "u", h=half),
        dots=_scaled(dots, scales, "best").select("e", "w", "u").sort("e", "w"),
        sets=sets,
        guides=_guides(scales, unit),
        rests=_rests(book, lifter_id, rows, points, scales, calendar.first),
        plateaus=_plateaus(book, lifter_id, rows, calendar.first),
        now=_now(rows, points, scales, sets, unit),
    )


def _scales(points: pl.DataFrame) -> pl.DataFrame:
    """The ratio scale of each lift: e, bottom, span (log kg), with a little air."""
    reach = BAND_REACH * pl.col("se")
    low = pl.min_horizontal((pl.col("level") - reach).min(), pl.col("best").min())
    high = pl.max_horizontal((pl.col("level") + reach).max(), pl.col("best").max())
    done = points.filter(pl.col("c") == 0).group_by("e").agg(low=low, high=high)
    span = pl.max_horizontal(1.06 * (pl.col("high") - pl.col("low")), pl.lit(LEAST_SPAN))
    middle = (pl.col("low") + pl.col("high")) / 2
    return done.select("e", bottom=middle - span / 2, span=span).sort("e")


def _scaled(points: pl.DataFrame, scales: pl.DataFrame, column: str) -> pl.DataFrame:
    """``column`` (log kg) as u, 0 to 1000 of the lift's scale."""
    share = (pl.col(column) - pl.col("bottom")) / pl.col("span") * SHARE
    joined = points.join(scales, on="e", maintain_order="left")
    return joined.with_columns(u=share.round().cast(pl.Int64))


def _weekly_sets(book: PageBook, lifter_id: str, rows: pl.DataFrame, first: date) -> pl.DataFrame:
    return (
        book.tables["mart_week_lift"]
        .filter((pl.col("lifter_id") == lifter_id) & (pl.col("working_sets") > 0))
        .join(rows.select("e", pl.col("id").alias("exercise_id")), on="exercise_id")
        .select(
            "e",
            ((pl.col("week_start") - first).dt.total_days() // 7).alias("w"),
            pl.col("working_sets").alias("n"),
        )
        .sort("e", "w")
    )


def _guides(scales: pl.DataFrame, unit: str) -> pl.DataFrame:
    """Values along each lift's scale, in the lifter's unit: e, u, label."""
    per_unit = KG_PER_LB if unit == "lb" else 1.0
    found = []
    for e, bottom, span in scales.iter_rows():
        low, high = (exp(bottom + share * span) / per_unit for share in (0, 1))
        for value in round_values(low, high, GUIDES):
            share = (log(value * per_unit) - bottom) / span
            found.append((e, round(SHARE * share), figure(value)))
    return pl.DataFrame(
        found, schema={"e": pl.Int64, "u": pl.Int64, "label": pl.String}, orient="row"
    )


def _rests(
    book: PageBook,
    lifter_id: str,
    rows: pl.DataFrame,
    points: pl.DataFrame,
    scales: pl.DataFrame,
    first: date,
) -> pl.DataFrame:
    """What was done instead in each rest, where a swap tells: e, w (middle), u, label."""
    names = dict(rows.select("id", "word").iter_rows())
    swaps = book.tables["model_exercise_link"].filter(pl.col("lifter_id") == lifter_id)
    swaps = (
        swaps.select("from_exercise_id", "to_exercise_id", "swap_date")
        .unique()
        .sort("swap_date", "to_exercise_id")
    )
    rests = points.filter(pl.col("c") == 1).unique("s").join(rows.select("e", "id"), on="e")
    found = []
    for e, w0, w1, lift in rests.sort("s").select("e", "w0", "w1", "id").iter_rows():
        start, end = first + timedelta(weeks=w0), first + timedelta(weeks=w1)
        during = pl.col("swap_date").is_between(start, end)
        mine = swaps.filter(during & (pl.col("from_exercise_id") == lift))["to_exercise_id"]
        others = dict.fromkeys(names[one] for one in mine if one in names)
        if others:
            found.append((e, (w0 + w1) // 2, ", ".join(others)))
    schema = {"e": pl.Int64, "w": pl.Int64, "label": pl.String}
    named = pl.DataFrame(found, schema=schema, orient="row")
    levels = points.filter(pl.col("c") == 1).select("e", "w", "level")
    placed = _scaled(named.join(levels, on=["e", "w"], how="left"), scales, "level")
    return placed.select("e", "w", "u", "label")


def _plateaus(book: PageBook, lifter_id: str, rows: pl.DataFrame, first: date) -> pl.DataFrame:
    """Stretches that stood still: e, w0, w1."""
    return (
        lift_plateaus(book, lifter_id)
        .join(rows.select("e", "id"), on="id")
        .select(
            "e",
            ((pl.col("from_date") - first).dt.total_days() // 7).alias("w0"),
            ((pl.col("to_date") - first).dt.total_days() // 7 + 1).alias("w1"),
        )
        .sort("e", "w0")
    )


def lift_plateaus(book: PageBook, lifter_id: str) -> pl.DataFrame:
    """Findings about plateaus of lifts, newest first: the finding's columns and id."""
    return (
        book.tables["finding"]
        .filter(
            (pl.col("lifter_id") == lifter_id)
            & (pl.col("question") == "plateau")
            & pl.col("subject").str.starts_with("lift:")
            & pl.col("estimate").is_not_null()
        )
        .with_columns(id=pl.col("subject").str.strip_prefix("lift:"))
        .sort("to_date", "id", descending=[True, False])
    )


def _now(
    rows: pl.DataFrame, points: pl.DataFrame, scales: pl.DataFrame, sets: pl.DataFrame, unit: str
) -> pl.DataFrame:
    """The level at the end of each line, in words: e, w, u, k, label, text, most."""
    last = points.filter(pl.col("is_on")).sort("e", "w").unique("e", keep="last")
    placed = _scaled(last.select("e", "w", "level"), scales, "level").select("e", "w", "u")
    most = sets.group_by("e").agg(most=pl.col("n").max())
    named = rows.filter(pl.col("level").is_not_null()).sort("e")
    said = [
        (
            row["e"],
            row["verdict"],
            f"{say_mass(row['level'], unit)} {unit}",
            say_level(row, unit).split(" ", 2)[2].strip("()"),
        )
        for row in named.iter_rows(named=True)
    ]
    schema = {"e": pl.Int64, "k": pl.Int64, "label": pl.String, "text": pl.String}
    texts = pl.DataFrame(said, schema=schema, orient="row")
    made = placed.join(texts, on="e").join(most, on="e", how="left").sort("e")
    comb = [words.plain("lifts.comb", most=count(n)) if n else "" for n in made["most"]]
    return made.with_columns(pl.Series("comb", comb, dtype=pl.String))
