"""One row a lift: what it is called, how fast it changed then and now, and its level."""

from datetime import date, timedelta
from typing import Any

import polars as pl

from dashboards import words
from dashboards.numbers import amount, count, figure, interval, signed
from dashboards.prepare.counts import lifter_weeks
from dashboards.prepare.names import lift_names, name_lift, sort_key, title_of
from dashboards.prepare.record import in_unit, say_family
from dashboards.prepare.slopes import REFUSED, say_refusal, say_slope, slopes_of
from dashboards.theme.colours import FAMILIES
from dashboards.told import told_plain
from pipeline.core.page_book import LifterInfo, PageBook

NO_FAMILY = len(FAMILIES)
# A lift last done longer ago than this has no say in what rises now.
PAST_DAYS = 365
ORDERS = ("slope", "name", "family", "level")
# Masses from here on are written without decimals: the interval is far wider than that.
WHOLE_FROM = 20.0


def say_mass(mass_kg: float, unit: str) -> str:
    """A mass in the lifter's unit, without the unit: 84 or 9.3."""
    mass = in_unit(mass_kg, unit)
    return count(mass) if mass >= WHOLE_FROM else amount(mass)


def say_load(load_kg: float, unit: str) -> str:
    """A load as it was put on the bar, in the lifter's unit, halves kept: 112.5 or 60."""
    return figure(round(in_unit(load_kg, unit), 1))


def family_of_lifts(book: PageBook) -> pl.DataFrame:
    """The family that most of a lift's direct muscles belong to: id, f (place in FAMILIES)."""
    order = {family: i for i, family in enumerate(FAMILIES)}
    muscles = book.tables["ref_muscle"].filter("is_shown")
    return (
        book.tables["ref_contribution"]
        .filter(pl.col("role") == "direct")
        .join(muscles.select("muscle_id", "family"), on="muscle_id")
        .with_columns(f=pl.col("family").replace_strict(order, return_dtype=pl.Int64))
        .group_by("exercise_id", "f")
        .len()
        .sort("exercise_id", "len", "f", descending=[False, True, False])
        .unique("exercise_id", keep="first", maintain_order=True)
        .select(pl.col("exercise_id").alias("id"), "f")
    )


def lift_rows(book: PageBook, lifter: LifterInfo) -> pl.DataFrame:
    """Lifts with a question about their slope, fastest first, refused last.

    e (number), id, name, word (name in a sentence), f (family); est, low, high, n, n_of, support,
    support_why, needs, needed, counted, verdict, sentence, from_date, to_date of the last years;
    then, then_low, then_high of the first (null when they overlap the last or were refused); level,
    level_low, level_high (kg), level_n, done (last week with the lift), is_past; by_slope, by_name,
    by_family, by_level.
    """
    slopes = slopes_of(book, "lift_slope").filter(pl.col("lifter_id") == lifter.lifter_id)
    last = slopes.filter(pl.col("window") == "last").drop("lifter_id", "window")
    rows = (
        last.join(_first_years(slopes), on="id", how="left")
        .join(_levels(book, lifter.lifter_id), on="id", how="left")
        .join(family_of_lifts(book), on="id", how="left")
    )
    names = lift_names(book)
    said = [name_lift(names, lift) for lift in rows["id"]]
    end = _end(book, lifter.lifter_id)
    rows = rows.with_columns(
        pl.Series("word", said, dtype=pl.String),
        pl.Series("name", [title_of(word) for word in said], dtype=pl.String),
        f=pl.col("f").fill_null(NO_FAMILY),
        is_past=(pl.col("done") < end - timedelta(days=PAST_DAYS)).fill_null(False),
        **{
            column: pl.when(pl.col("then_end") <= pl.col("from_date")).then(pl.col(column))
            for column in ("then", "then_low", "then_high")
        },
    )
    return _in_order(rows)


def _end(book: PageBook, lifter_id: str) -> date:
    weeks = lifter_weeks(book, lifter_id)["week_start"]
    return weeks[-1] if len(weeks) else date.min


def _first_years(slopes: pl.DataFrame) -> pl.DataFrame:
    return slopes.filter(pl.col("window") == "first").select(
        "id",
        then="est",
        then_low="low",
        then_high="high",
        then_end="to_date",
    )


def _levels(book: PageBook, lifter_id: str) -> pl.DataFrame:
    """The finding of each lift's level when it was last done."""
    return (
        book.tables["finding"]
        .filter((pl.col("lifter_id") == lifter_id) & (pl.col("question") == "lift_level"))
        .select(
            pl.col("subject").str.strip_prefix("lift:").alias("id"),
            level="estimate",
            level_low="low",
            level_high="high",
            level_n="n",
            done="to_date",
        )
    )


def _in_order(rows: pl.DataFrame) -> pl.DataFrame:
    """Numbers and places of the rows in each order; a refusal is last in all of them."""
    refused = pl.col("verdict") == REFUSED
    keys = {
        "slope": [refused, pl.col("est").neg(), pl.col("name")],
        "name": [refused, pl.col("name").map_elements(sort_key, return_dtype=pl.String)],
        "family": [refused, pl.col("f"), pl.col("est").neg(), pl.col("name")],
        "level": [refused, pl.col("level").neg(), pl.col("name")],
    }
    for order in reversed(ORDERS):
        rows = rows.sort(*keys[order], nulls_last=True, maintain_order=True).with_columns(
            pl.int_range(pl.len()).alias(f"by_{order}")
        )
    return rows.with_columns(e=pl.int_range(pl.len()))


def say_row(row: dict[str, Any], unit: str) -> str:
    """What one row shows, for the line under the picture and for readers who hear it."""
    family = family_word(row)
    if row["verdict"] == REFUSED:
        return words.plain(
            "lifts.line_refused", name=row["name"], family=family, reason=say_refusal(row)
        )
    return words.plain(
        "lifts.line",
        name=row["name"],
        family=family,
        rate=say_slope(row),
        weeks=count(row["n"]),
        support=told_plain(row["support"]),
        level=say_level(row, unit),
    )


def say_level(row: dict[str, Any], unit: str) -> str:
    """The level with its interval: 147 kg (138 to 157); empty without one."""
    if row["level"] is None:
        return ""
    value, low, high = (say_mass(row[key], unit) for key in ("level", "level_low", "level_high"))
    return words.plain("numbers.level", value=value, unit=unit, low=low, high=high)


def say_then(row: dict[str, Any]) -> str:
    """The slope of the first years with its interval, empty without one."""
    if row["then"] is None:
        return ""
    return f"{signed(row['then'])} {interval(row['then_low'], row['then_high'])}"


def family_word(row: dict[str, Any]) -> str:
    """The row's family as a word."""
    f = int(row["f"])
    return say_family(FAMILIES[f]) if f < NO_FAMILY else words.plain("lifts.no_family")
