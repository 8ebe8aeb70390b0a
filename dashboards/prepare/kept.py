"""Forecasts that were kept, beside what came of them."""

from typing import Any

import polars as pl

from dashboards import words
from dashboards.blocks import Prose, Table, Text
from dashboards.numbers import interval, plural, say_date, signed
from dashboards.prepare.lift_rows import say_mass
from dashboards.prepare.lift_tables import heads
from dashboards.prepare.names import lift_names, muscle_names, name_lift, title_of
from dashboards.told import told
from pipeline.core.page_book import LifterInfo, PageBook

MOST_ROWS = 12  # the newest; every one stands in table model_prediction
WINDOWS = ("share", "error", "plan_share", "plan_error")


def kept_blocks(book: PageBook, lifter: LifterInfo) -> list[object]:
    """How forecasts held, in the sentences of their findings, and the newest that came.

    Nothing before the first is kept.
    """
    kept = book.tables["model_prediction"].filter(pl.col("lifter_id") == lifter.lifter_id)
    if kept.is_empty():
        return []
    prose = Prose(tuple(_sentences(book, lifter, kept)), words.plain("lifts.kept_title"))
    came = kept.filter(pl.col("state") == "came")
    if came.is_empty():
        return [prose]
    newest = came.sort("to_date", "subject", "weeks_ahead", descending=[True, False, False])
    return [prose, _table(book, newest.head(MOST_ROWS), lifter)]


def _sentences(book: PageBook, lifter: LifterInfo, kept: pl.DataFrame) -> list[Text]:
    findings = book.tables["finding"].filter(
        (pl.col("lifter_id") == lifter.lifter_id) & (pl.col("question") == "prediction_score")
    )
    scores = findings.sort(pl.col("window").replace_strict({w: i for i, w in enumerate(WINDOWS)}))
    said = [told(one) for one in dict.fromkeys(scores["sentence"])]  # a refusal is told once
    waiting = kept.filter(pl.col("state") == "open").sort("to_date")
    if waiting.height:
        day = say_date(waiting["to_date"][0])
        said.append(words.plain("lifts.kept_open", n=plural(waiting.height, "prediction"), day=day))
    return said


def _table(book: PageBook, rows: pl.DataFrame, lifter: LifterInfo) -> Table:
    names = {"lift": lift_names(book), "muscle": muscle_names(book)}
    made = tuple(_row(row, names, lifter.unit) for row in rows.iter_rows(named=True))
    keys = (
        *("of", "told_on", "for_week", "told_ahead", "interval_80"),
        *("unchanged_then", "came", "held"),
    )
    columns = heads(*keys, numbers=("told_ahead", "unchanged_then", "came"), unit=lifter.unit)
    note = words.say("lifts.kept_note", most=MOST_ROWS, unit=lifter.unit)
    return Table(columns, made, words.plain("lifts.kept_table"), note)


def _row(row: dict[str, Any], names: dict[str, dict[str, str]], unit: str) -> tuple[str, ...]:
    if row["unit"] == "kg":
        said = {name: say_mass(row[name], unit) for name in ("estimate", "unchanged", "came")}
        low, high = (say_mass(row[name], unit) for name in ("low", "high"))
        ends = words.plain("lifts.between", low=low, high=high)
    else:
        said = {name: f"{signed(row[name])} %" for name in ("estimate", "unchanged", "came")}
        ends = interval(row["low"], row["high"])
    held = "inside" if row["is_inside"] else "above" if row["came"] > row["high"] else "below"
    kind, which = row["subject"].split(":", 1)
    return (
        title_of(name_lift(names.get(kind, {}), which)),
        say_date(row["predicted_on"]),
        say_date(row["to_date"]),
        said["estimate"],
        ends,
        said["unchanged"],
        said["came"],
        words.plain(f"lifts.held_{held}"),
    )
