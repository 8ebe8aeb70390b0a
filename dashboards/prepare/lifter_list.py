"""Every lifter in one table, where there are too many for an index of each on the start page."""

from typing import Any

import polars as pl
from markupsafe import Markup

from dashboards import words
from dashboards.blocks import Table, Text
from dashboards.numbers import count, say_date
from dashboards.prepare.counts import WITH_TRAINING
from dashboards.prepare.heads import heads_of
from pipeline.core.page_book import PageBook


def lifter_list(book: PageBook, files: dict[str, str]) -> Table:
    """A row a lifter, in the order of the settings: name with link, weeks, sets, what changed.

    files : of each lifter's first page, by lifter id.
    """
    weeks = (
        book.tables["mart_week_lifter"]
        .group_by("lifter_id")
        .agg(
            first=pl.col("week_start").min(),
            last=pl.col("week_start").max(),
            trained=pl.col("week_status").is_in(WITH_TRAINING).sum(),
            sets=pl.col("working_sets").sum(),
        )
    )
    done = {row["lifter_id"]: row for row in weeks.iter_rows(named=True)}
    changed = dict(book.changes["lifter_id"].value_counts().iter_rows())
    link = Markup('<a href="{}">{}</a>')
    rows = tuple(
        (
            link.format(files[lifter.lifter_id], lifter.name),
            *_counts(done.get(lifter.lifter_id)),
            count(changed.get(lifter.lifter_id, 0)),
        )
        for lifter in book.lifters
    )
    keys = ("lifter", "first", "last", "trained", "sets", "changes")
    return Table(heads_of("index", *keys, numbers=keys[3:]), rows, words.plain("index.list_title"))


def _counts(row: dict[str, Any] | None) -> tuple[Text, ...]:
    """First and last week, trained weeks, working sets; empty for a record without a week."""
    if row is None:
        return "", "", count(0), count(0)
    return (
        say_date(row["first"]),
        say_date(row["last"]),
        count(row["trained"]),
        count(row["sets"]),
    )
