"""The answer of the page Lifts where one lift alone has an answer."""

from dataclasses import replace

import polars as pl
import pytest

from dashboards import words
from dashboards.prepare.lift_answer import answer_lifts
from dashboards.prepare.lift_rows import lift_rows
from dashboards.prepare.slopes import RISING, STILL
from pipeline.core.page_style import DEFAULT_STYLE
from tests.pages.book import make_book


@pytest.mark.parametrize(
    ("language", "verdict", "said"),
    [
        ("en", RISING, 'The one lift that has an answer <b class="progress">rose</b> over'),
        ("en", STILL, "The one lift that has an answer did not surely rise over"),
        ("de", RISING, "Bei der einen Übung, zu der es eine Antwort gibt, <b"),
        ("de", STILL, "Bei der einen Übung, zu der es eine Antwort gibt, stieg die Kraft nicht"),
    ],
)
def test_one_lift_is_told_in_the_singular(language: str, verdict: int, said: str) -> None:
    book = make_book()
    lifter = book.lifters[0]
    weeks = book.tables["mart_week_lifter"].filter(pl.col("lifter_id") == lifter.lifter_id)
    rows = lift_rows(book, lifter)
    one = rows.filter((pl.col("verdict") == verdict) & ~pl.col("is_past")).head(1)
    assert one.height == 1
    with words.written(replace(DEFAULT_STYLE, language=language)):
        assert answer_lifts(book, lifter, one, weeks).sentence.startswith(said)
