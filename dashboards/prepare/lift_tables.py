"""Tables of the page Lifts."""

from datetime import timedelta
from functools import partial
from math import exp
from typing import Any

import polars as pl

from dashboards import words
from dashboards.blocks import Column, Table
from dashboards.numbers import amount, count, figure, interval, say_date, signed
from dashboards.prepare.heads import heads_of
from dashboards.prepare.lift_levels import Calendar, lift_plateaus
from dashboards.prepare.lift_rows import (
    family_word,
    say_level,
    say_load,
    say_mass,
    say_then,
)
from dashboards.prepare.names import lift_names, muscle_names, name_lift, title_of
from dashboards.prepare.slopes import (
    REFUSED,
    say_limit,
    say_refusal,
    say_verdict,
    slopes_of,
)
from dashboards.told import told, told_plain
from pipeline.core.page_book import LifterInfo, PageBook

heads = partial(heads_of, "lifts")


def slope_table(book: PageBook, rows: pl.DataFrame, unit: str) -> Table:
    """The table behind the forest: every lift with its slopes, then and now, and its level."""
    keys = (
        *("lift", "family", "last", "interval", "weeks", "support", "reads"),
        *("then", "level", "sets", "done"),
    )
    made = tuple(_slope_row(book, row, unit) for row in rows.iter_rows(named=True))
    numbers = ("last", "weeks", "sets")
    return Table(heads(*keys, numbers=numbers), made, words.plain("lifts.slope_table"))


def _slope_row(book: PageBook, row: dict[str, Any], unit: str) -> tuple[str, ...]:
    is_refused = row["verdict"] == REFUSED
    return (
        str(row["name"]),
        family_word(row),
        "" if is_refused else signed(row["est"]),
        say_refusal(row) if is_refused else interval(row["low"], row["high"]),
        count(row["n"]),
        told_plain(row["support"]),
        say_verdict(book, row),
        say_then(row),
        say_level(row, unit),
        "" if row["level_n"] is None else count(row["level_n"]),
        "" if row["done"] is None else say_date(row["done"]),
    )


def level_table(rows: pl.DataFrame, points: pl.DataFrame, calendar: Calendar, unit: str) -> Table:
    """The table behind the lift in full: each lift's level at its last week of every year."""
    last_of_year = (
        points.filter("is_on")
        .with_columns(
            year=(pl.lit(calendar.first) + pl.duration(weeks=pl.col("w"))).dt.year().cast(pl.String)
        )
        .sort("e", "w")
        .unique(["e", "year"], keep="last", maintain_order=True)
    )
    years = sorted(set(last_of_year["year"]))
    cells = last_of_year.select("e", "year", "level").iter_rows()
    levels = {(e, year): level for e, year, level in cells}
    made = tuple(
        (name, *(_mass(levels.get((e, year)), unit) for year in years))
        for e, name in rows.sort("by_name").select("e", "name").iter_rows()
        if any((e, year) in levels for year in years)
    )
    columns = (*heads("lift"), *(Column(year, "number") for year in years))
    return Table(columns, made, words.plain("lifts.level_table", unit=unit))


def _mass(level_log: float | None, unit: str) -> str:
    return "" if level_log is None else say_mass(exp(level_log), unit)


def swap_table(book: PageBook, lifter_id: str, lift_id: str, name: str) -> Table:
    """Swaps that the lift took part in, newest first, with the ratio that linked the two."""
    names, muscles = lift_names(book), muscle_names(book)
    is_from = pl.col("from_exercise_id") == lift_id
    swaps = book.tables["model_exercise_link"].filter(
        (pl.col("lifter_id") == lifter_id) & (is_from | (pl.col("to_exercise_id") == lift_id))
    )
    # A swap is linked once for each muscle that both lifts train: the same ratio where they agree.
    rows = tuple(
        (
            say_date(row["swap_date"]),
            *(name_lift(names, row[end]) for end in _ENDS),
            told(row["why"]),
            count(row["weeks_both"]),
            amount(row["ratio"], 2),
            words.plain("lifts.between", low=amount(row["low"], 2), high=amount(row["high"], 2)),
            muscles.get(row["muscle_id"], row["muscle_id"]),
        )
        for row in swaps.sort("swap_date", "muscle_id", descending=[True, False]).iter_rows(
            named=True
        )
    )
    keys = ("when", "gave", "took", "why", "both", "ratio", "ratio_interval", "muscle")
    return Table(
        heads(*keys, numbers=("both", "ratio")),
        rows,
        words.plain("lifts.swap_title", name=name),
        empty=words.plain("lifts.swap_none"),
    )


_ENDS = ("from_exercise_id", "to_exercise_id")


def plateau_table(book: PageBook, lifter_id: str, rows: pl.DataFrame) -> Table:
    """Stretches of a year or more that stood still, newest first."""
    found = lift_plateaus(book, lifter_id).join(rows.select("id", "name"), on="id")
    made = tuple(
        (
            row["name"],
            say_date(row["from_date"]),
            say_date(row["to_date"]),
            signed(row["estimate"]),
            interval(row["low"], row["high"]),
            count(row["n"]),
            told(row["support"]),
        )
        for row in found.iter_rows(named=True)
    )
    keys = ("lift", "from", "to", "change", "interval", "weeks", "support")
    return Table(
        heads(*keys, numbers=("change", "weeks")),
        made,
        words.plain("lifts.plateau_title"),
        words.say("lifts.plateau_note", limit=say_limit(book)),
        words.plain("lifts.plateau_none"),
    )


def year_table(book: PageBook, lifter: LifterInfo, rows: pl.DataFrame) -> Table:
    """Slopes of every training year that could be told, lift by lift, newest first."""
    years = (
        slopes_of(book, "lift_slope")
        .filter(
            (pl.col("lifter_id") == lifter.lifter_id)
            & (pl.col("window") == "year")
            & (pl.col("verdict") != REFUSED)
        )
        .join(rows.select("id", "name", "by_name"), on="id")
        .sort("by_name", "age_from", descending=[False, True])
    )
    made = tuple(
        (
            row["name"],
            words.plain("lifts.age", first=figure(row["age_from"]), last=figure(row["age_to"])),
            signed(row["est"]),
            interval(row["low"], row["high"]),
            count(row["n"]),
            told(row["support"]),
        )
        for row in years.iter_rows(named=True)
    )
    keys = ("lift", "age", "change", "interval", "weeks", "support")
    return Table(
        heads(*keys, numbers=("change", "weeks")),
        made,
        words.plain("lifts.year_title"),
        empty=words.plain("lifts.year_none"),
    )


def done_table(counts: pl.DataFrame, unit: str, end_of_weeks: timedelta) -> Table:
    """What was done, lift by lift: needs no inference, so it stands whatever was refused."""
    made = tuple(
        (
            title_of(row["name"]),
            count(row["weeks"]),
            count(row["sets"]),
            "" if row["heaviest"] is None else say_load(row["heaviest"], unit),
            say_date(row["first"]),
            say_date(row["last"] + end_of_weeks),
        )
        for row in counts.iter_rows(named=True)
    )
    keys = ("lift", "weeks", "working", "heaviest", "first", "last_done")
    columns = heads(*keys, numbers=("weeks", "working", "heaviest"), unit=unit)
    return Table(columns, made, words.plain("lifts.done_title"), words.say("lifts.done_note"))
