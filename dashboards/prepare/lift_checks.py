"""Beside the levels on the page Lifts: own repetition curves, the index cross-checked."""

import polars as pl

from dashboards import words
from dashboards.blocks import Table
from dashboards.numbers import amount, count, interval, say_date, signed
from dashboards.prepare.lift_tables import heads
from pipeline.core.page_book import PageBook


def curve_table(book: PageBook, lifter_id: str, rows: pl.DataFrame) -> Table:
    """Own repetition curve of every lift of the page: repetitions at 80 and at 70 % of the 1RM."""
    curves = (
        book.tables["model_rep_curve"]
        .filter(pl.col("lifter_id") == lifter_id)
        .join(rows.select("name", "by_name", exercise_id="id"), on="exercise_id")
        .sort("by_name")
    )
    made = tuple(
        (
            row["name"],
            amount(row["reps_at_80"]),
            words.plain("lifts.between", low=amount(row["low"]), high=amount(row["high"])),
            amount(row["reps_at_70"]),
            amount(row["slope"], 2),
            count(row["n_sets"]),
            count(row["n_sets_with_reserve"]),
        )
        for row in curves.iter_rows(named=True)
    )
    keys = ("lift", "reps_80", "interval_90", "reps_70", "curve_slope", "sets", "with_reserve")
    return Table(
        heads(*keys, numbers=("reps_80", "reps_70", "curve_slope", "sets", "with_reserve")),
        made,
        words.plain("lifts.curve_title"),
        words.say("lifts.curve_note"),
        words.plain("lifts.curve_none"),
    )


def check_table(book: PageBook, lifter_id: str) -> Table:
    """Change of each muscle's index from end to end, beside the time-product dummy's."""
    names = book.tables["ref_muscle"].select("muscle_id", "name", "page_order")
    checks = (
        book.tables["model_index_check"]
        .filter(pl.col("lifter_id") == lifter_id)
        .join(names, on="muscle_id")
        .sort("page_order", "muscle_id")
    )
    made = tuple(
        (
            row["name"],
            say_date(row["from_date"]),
            signed(row["index_pct"]),
            interval(row["low"], row["high"]),
            signed(row["dummy_pct"]),
            count(row["periods"]),
        )
        for row in checks.iter_rows(named=True)
    )
    keys = ("muscle_name", "from", "by_index", "interval", "by_dummy", "periods")
    return Table(
        heads(*keys, numbers=("by_index", "by_dummy", "periods")),
        made,
        words.plain("lifts.check_title"),
        words.say("lifts.check_note"),
        words.plain("lifts.check_none"),
    )
