"""One movement at other angles and positions: what was used, and whether strength carried over."""

import polars as pl

from dashboards import words
from dashboards.blocks import Table
from dashboards.numbers import count, say_date, signed
from dashboards.prepare.names import lift_names, name_lift
from dashboards.prepare.priorities.find import (
    Row,
    estimate_cells,
    heads,
    own,
    questions_of,
)
from dashboards.told import told
from pipeline.core.page_book import PageBook

NOT_ENOUGH = "not enough"


def carry_table(book: PageBook, lifter_id: str) -> Table | None:
    """Rests of one variant while another was trained: those that could be told first, most rests
    first; None without any."""
    rests = own(book, lifter_id, "model_variant").sort(
        pl.col("difference_pct").is_null(), -pl.col("rests"), "exercise_id", "other_exercise_id"
    )
    if rests.is_empty():
        return None
    names, support = lift_names(book), _support(book, lifter_id)
    rows = tuple(
        (
            _name(names, row["exercise_id"], row["variant_id"]),
            _name(names, row["other_exercise_id"], row["other_variant_id"]),
            count(row["rests"]),
            count(row["weeks_away"]),
            signed(row["own_pct"]),
            signed(row["other_pct"]),
            *estimate_cells(row["difference_pct"], row["low"], row["high"]),
            told(support.get(_subject(row), NOT_ENOUGH)),
        )
        for row in rests.iter_rows(named=True)
    )
    keys = ("rested", "trained", "rests", "away", "own", "other", "difference", "interval")
    numbers = ("rests", "away", "own", "other", "difference")
    return Table(heads(*keys, "support", numbers=numbers), rows)


def _subject(row: Row) -> str:
    own_side = f"{row['exercise_id']}.{row['variant_id']}"
    return f"variant:{own_side}@{row['other_exercise_id']}.{row['other_variant_id']}"


def _support(book: PageBook, lifter_id: str) -> dict[str, str]:
    found = questions_of(book, lifter_id, "variant")
    return dict(found.select("subject", "support").iter_rows())


def _name(names: dict[str, str], exercise_id: str, variant_id: str) -> str:
    return words.plain(
        "priorities.variant",
        lift=name_lift(names, exercise_id),
        variant=words.plain(f"priorities.variant_{variant_id}"),
    )


def say_carried(book: PageBook, lifter_id: str) -> tuple[int, int]:
    """Pairs that could be told, and those of them whose interval excludes zero."""
    told = own(book, lifter_id, "model_variant").filter(pl.col("difference_pct").is_not_null())
    clear = told.filter((pl.col("low") > 0) | (pl.col("high") < 0))
    return told.height, clear.height


def use_table(book: PageBook, lifter_id: str) -> Table | None:
    """Which variants were done, by family; None without any."""
    used = own(book, lifter_id, "model_variant_use").sort(
        "family_id", -pl.col("sets"), "exercise_id"
    )
    if used.is_empty():
        return None
    names = lift_names(book)
    rows = tuple(
        (
            _name(names, row["exercise_id"], row["variant_id"]),
            words.plain(f"priorities.family_{row['family_id']}"),
            count(row["sets"]),
            count(row["sets_last_year"]),
            say_date(row["first_date"]),
            say_date(row["last_date"]),
        )
        for row in used.iter_rows(named=True)
    )
    keys = ("lift", "family", "done", "sets_last_year", "first", "last")
    title = words.plain("priorities.use_title")
    return Table(heads(*keys, numbers=("done", "sets_last_year")), rows, title)
