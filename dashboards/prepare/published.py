"""What was published, beside the lifter's own figures: each with its source and how it was read."""

import polars as pl

from dashboards import words
from dashboards.blocks import Column, Prose, Table, Text
from dashboards.numbers import capital, figure
from dashboards.prepare.names import muscle_names
from dashboards.told import told, told_plain
from pipeline.core.page_book import PageBook

# Questions that are about weekly sets.
SETS_QUESTIONS = ("supported_sets", "hold_sets")


def published_facts(book: PageBook, *questions: str) -> pl.DataFrame:
    """Rows of ``ref_fact`` for the questions, in the order of the questions and the table."""
    facts = book.tables["ref_fact"]
    return pl.concat([facts.filter(pl.col("question") == one) for one in questions])


def find_fact(book: PageBook, fact_id: str) -> dict[str, object] | None:
    """One published fact, or None where the reference has none of that name."""
    rows = book.tables["ref_fact"].filter(pl.col("fact_id") == fact_id)
    return rows.row(0, named=True) if rows.height else None


def published_table(book: PageBook, title: str, *questions: str) -> Table:
    """The published facts of the questions, with source and status."""
    rows = tuple(
        (
            told(row["quantity"]),
            words.plain(
                "published.amount", value=_number(row["value"]), unit=told_plain(row["unit"])
            ),
            "" if row["low"] is None else _span(row["low"], row["high"]),
            row["source"],
            told(row["status"]),
        )
        for row in published_facts(book, *questions).iter_rows(named=True)
    )
    numbers = ("value", "ends")
    columns = tuple(
        Column(words.plain(f"published.{key}"), "number" if key in numbers else "text")
        for key in ("quantity", "value", "ends", "source", "status")
    )
    return Table(columns, rows, title, words.say("published.note"))


def published_sets(book: PageBook) -> tuple[str, tuple[object, ...]]:
    """The published average in use, with its source, and other published figures."""
    said: list[Text] = []
    names = muscle_names(book)
    for row in book.tables["ref_prior"].iter_rows(named=True):
        values = {"centre": figure(row["centre_sets"]), "spread": figure(row["spread_sets"])}
        if row["muscle_id"] == "any":
            values |= {"source": row["source"], "status": told_plain(row["status"])}
            said.insert(0, words.say("volume.published_prior", **values))
        else:
            muscle = capital(names.get(row["muscle_id"], row["muscle_id"]))
            values |= {"muscle": muscle, "status": told_plain(row["status"])}
            said.append(words.say("volume.published_prior_own", **values))
    table = published_table(book, words.plain("volume.published_title"), *SETS_QUESTIONS)
    return words.plain("volume.fold_published"), (Prose(tuple(said)), table)


def _number(value: float) -> str:
    return figure(value)


def _span(low: float, high: float) -> str:
    return words.plain("published.span", low=_number(low), high=_number(high))
