"""A lift whose name matched no exercise is called as it was written, without the mark of its id."""

from dataclasses import replace

import polars as pl
import pytest

from dashboards import list_pages, render_page
from dashboards.prepare.names import UNMATCHED
from dashboards.prepare.record_tables import lift_table
from pipeline.core.page_book import PageBook
from tests.pages.book import make_book


@pytest.fixture(scope="module")
def book() -> PageBook:
    """The invented book, in which an odd lift was done too."""
    made = make_book()
    lifts = made.tables["mart_week_lift"]
    odd = lifts.head(40).with_columns(exercise_id=pl.lit(f"{UNMATCHED}odd wheel_thing"))
    return replace(made, tables={**made.tables, "mart_week_lift": pl.concat([lifts, odd])})


def test_the_lift_is_named_as_it_was_written(book: PageBook) -> None:
    names = [str(row[0]) for row in lift_table(book, book.lifters[0]).rows]
    assert any("odd wheel thing" in name for name in names)


@pytest.mark.parametrize("kind", ["record", "lifts"])
def test_pages_that_list_lifts_never_show_the_mark(book: PageBook, kind: str) -> None:
    page = next(one for one in list_pages(book) if one.file == f"aspen/{kind}.html")
    text = render_page(page, book)
    assert "dd wheel thing" in text
    assert UNMATCHED not in text
