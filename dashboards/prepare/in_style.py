"""The book as the style of its pages wants it: units of the lifters, names of the muscles."""

from dataclasses import replace

import polars as pl

from dashboards.told import names
from pipeline.core.page_book import LifterInfo, PageBook
from pipeline.core.page_style import PageStyle


def page_style(book: PageBook, lifter: LifterInfo | None) -> PageStyle:
    """The style of a page with the units of its lifter where none are chosen.

    ``lifter`` None: a page about all lifters.
    """
    own = lifter.unit if lifter else "kg"
    units = book.style.units or own
    return replace(book.style, units=units, body_weight=book.style.body_weight or units)


def in_style(book: PageBook) -> PageBook:
    """The same book with each lifter's unit and the muscles' names as the pages write them."""
    unit = book.style.units
    lifters = tuple(replace(one, unit=unit or one.unit) for one in book.lifters)
    own = names()
    if not own:
        return replace(book, lifters=lifters)
    muscles = book.tables["ref_muscle"].with_columns(
        name=pl.col("name").replace_strict(own, default=pl.col("name"))
    )
    return replace(book, lifters=lifters, tables={**book.tables, "ref_muscle": muscles})
