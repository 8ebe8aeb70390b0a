"""The page of a group without a browser: weeks of its lifters, and what is counted once."""

from dataclasses import replace
from datetime import timedelta

import polars as pl
import pytest

from dashboards import list_pages, render_page
from pipeline.core.page_book import PageBook
from pipeline.core.page_style import PageStyle
from tests.pages.book import make_book
from tests.pages.group_book import group_book, muscle_finding

MEAN = (1.0, 0.4, 2.2)


@pytest.fixture(scope="module")
def six() -> PageBook:
    """Six lifters whose weeks start on Monday."""
    return group_book(make_book(), 6, MEAN)


def text_of(book: PageBook, kind: str, language: str = "en") -> str:
    """The page of all lifters, as text."""
    book = replace(book, style=PageStyle(language))
    return render_page(next(page for page in list_pages(book) if page.kind == kind), book)


def with_own_weeks(book: PageBook) -> PageBook:
    """The book with weeks of the first lifter that start a day earlier, on Sunday."""
    first = pl.col("lifter_id") == book.lifters[0].lifter_id
    day = pl.col("week_start")
    earlier = pl.when(first).then(day - timedelta(days=1)).otherwise(day)
    moved = {
        name: table.with_columns(week_start=earlier)
        for name, table in book.tables.items()
        if {"lifter_id", "week_start"} <= set(table.columns)
    }
    return replace(book, tables={**book.tables, **moved})


@pytest.mark.parametrize(
    ("language", "same", "own"),
    [
        ("en", "Weeks start on Monday.", "that each lifter chose: Monday, Sunday."),
        ("de", "Wochen beginnen am Montag.", "den jede Person gewählt hat: Montag, Sonntag."),
    ],
)
def test_pages_of_all_lifters_say_on_which_days_weeks_start(
    six: PageBook, language: str, same: str, own: str
) -> None:
    for kind in ("index", "group"):
        assert same in text_of(six, kind, language)
        moved = text_of(with_own_weeks(six), kind, language)
        assert own in moved
        assert same not in moved


@pytest.mark.parametrize(
    ("language", "one", "two"),
    [
        ("en", "1 muscle has too few lifters", "2 muscles have too few lifters"),
        ("de", "1 Muskel hat zu wenige Personen", "2 Muskeln haben zu wenige Personen"),
    ],
)
def test_muscles_without_a_mean_are_counted(
    six: PageBook, language: str, one: str, two: str
) -> None:
    found = six.tables["finding"]
    means = found.filter(pl.col("lifter_id").is_null())["subject"].to_list()
    for n, said in ((1, one), (2, two)):
        gone = [subject.removeprefix("muscle:") for subject in means[:n]]
        refused = pl.DataFrame(
            [muscle_finding(None, muscle, None, 2) for muscle in gone], infer_schema_length=None
        )
        is_mean = pl.col("lifter_id").is_null() & pl.col("subject").is_in(means[:n])
        kept = pl.concat(
            [found.filter(is_mean.not_()), refused.select(found.columns)], how="vertical_relaxed"
        )
        book = replace(six, tables={**six.tables, "finding": kept})
        assert said in text_of(book, "group", language)
