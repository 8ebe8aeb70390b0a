"""Pages of records that have hardly begun: nothing read, one day, one week; in both languages."""

from dataclasses import replace
from datetime import date

import polars as pl
import pytest

from dashboards import list_pages, render_page, words
from dashboards.prepare.state import file_table, state_frames
from pipeline.core.page_style import PageStyle
from tests.pages.book import empty_book, make_book

LANGUAGES = ("en", "de")


@pytest.mark.parametrize("language", LANGUAGES)
def test_an_empty_inbox_says_once_that_there_is_no_record(language: str) -> None:
    book = replace(empty_book(), style=PageStyle(language))
    with words.written(book.style):
        none = words.plain("frame.no_record")
        until = words.plain("frame.as_of", date=none)
    for page in list_pages(book):
        text = render_page(page, book)
        assert none in text
        assert until not in text


@pytest.mark.parametrize(
    ("language", "said"),
    [("en", ("rows", "cells", "lines")), ("de", ("Zeilen", "Zellen", "Textzeilen"))],
)
def test_what_a_file_counts_is_told_and_one_day_stands_once(
    language: str, said: tuple[str, ...]
) -> None:
    book = make_book()
    day = date(2026, 11, 2)
    files = pl.concat(
        book.tables["source_file"]
        .head(1)
        .with_columns(file_id=pl.lit(kind), counts_as=pl.lit(kind), first_date=day, last_date=day)
        for kind in ("row", "cell", "line")
    )
    lifter = next(one for one in book.lifters if one.lifter_id == files["lifter_id"][0])
    book = replace(book, tables=book.tables | {"source_file": files})
    with words.written(PageStyle(language)):
        rows = file_table(state_frames(book, lifter.lifter_id)).rows
    assert {row[2] for row in rows} == set(said)
    assert {str(row[3]).count("2026") for row in rows} == {1}


@pytest.mark.parametrize(("language", "said"), [("en", "one sheet of A4"), ("de", "ein Blatt A4")])
def test_a_single_year_is_one_sheet(language: str, said: str) -> None:
    with words.written(PageStyle(language)):
        one, more = words.plain("annual.answer_one"), words.plain("annual.answer", years="2")
    assert f"{said}</b>." in one
    assert f"{said}</b>." not in more
