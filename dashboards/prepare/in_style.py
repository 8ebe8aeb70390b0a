"""The book as the style of its pages wants it: units of the lifters, names of the muscles and the
exercises, and what people named or noted kept from turning the sentences around it."""

from dataclasses import replace

import polars as pl

from dashboards.direction import RIGHT, isolate
from dashboards.told import names
from pipeline.core.page_book import LifterInfo, PageBook
from pipeline.core.page_style import PageStyle

# Tables whose names a language may bring as a file.
_NAMED = {"ref_muscle": "muscles", "ref_exercise": "exercises"}
# Columns that hold what people wrote, alone or within a sentence, and that pages show.
_WRITTEN = {
    "ref_exercise": ("name",),
    "tidy_event": ("note",),
    "finding": ("sentence", "support_why", "needs"),
    "mart_day_signal": ("device_id",),
}


def page_style(book: PageBook, lifter: LifterInfo | None) -> PageStyle:
    """The style of a page with the units of its lifter where none are chosen.

    ``lifter`` None: a page about all lifters.
    """
    own = lifter.unit if lifter else "kg"
    units = book.style.units or own
    return replace(book.style, units=units, body_weight=book.style.body_weight or units)


def in_style(book: PageBook) -> PageBook:
    """The same book with each lifter's unit and all names as the pages write them.

    What is to be pasted back into files (``tidy_doubt``, ``set_aside``) stays letter for letter.
    """
    unit = book.style.units
    lifters = tuple(
        replace(one, unit=unit or one.unit, name=isolate(one.name)) for one in book.lifters
    )
    tables = dict(book.tables)
    for table, columns in _WRITTEN.items():
        tables[table] = _isolated(tables[table], columns)
    for table, of_what in _NAMED.items():
        if own := names(of_what):
            tables[table] = tables[table].with_columns(
                name=pl.col("name").replace_strict(own, default=pl.col("name"))
            )
    return replace(book, lifters=lifters, tables=tables)


def _isolated(frame: pl.DataFrame, columns: tuple[str, ...]) -> pl.DataFrame:
    """The frame with right-to-left writing in these columns isolated; mostly there is none."""
    for column in columns:
        if frame[column].str.contains(RIGHT).any():
            said = [None if one is None else isolate(one) for one in frame[column]]
            frame = frame.with_columns(pl.Series(column, said, dtype=pl.String))
    return frame
