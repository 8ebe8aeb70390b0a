"""The answer of the page Lifts where one lift alone has an answer."""

from dataclasses import replace

import polars as pl
import pytest

from dashboards import words
from dashboards.prepare.lift_answer import answer_lifts
from dashboards.prepare.lift_rows import lift_rows
from dashboards.prepare.slopes import RISING, STILL, say_verdict
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


@pytest.mark.parametrize(
    ("language", "ends", "said", "word"),
    [
        ("en", (-0.5, 1.5), "One stood still, within ±2 % a year.", "stood still"),
        ("en", (0.0, 1.5), "One stood still, within ±2 % a year.", "stood still"),
        ("en", (0.2, 1.5), "One moved by less than 2 % a year.", "moved by less than 2 %"),
        ("en", (-1.5, -0.2), "One moved by less than 2 % a year.", "moved by less than 2 %"),
        ("de", (-0.5, 1.5), "Eine Übung stand still, innerhalb von ±2 % im Jahr.", "stand still"),
        (
            *("de", (0.2, 1.5), "Eine Übung bewegte sich um weniger als 2 % im Jahr."),
            "um weniger als 2 % bewegt",
        ),
    ],
)
def test_only_a_stretch_whose_interval_holds_zero_stood_still(
    language: str, ends: tuple[float, float], said: str, word: str
) -> None:
    book = make_book()
    lifter = book.lifters[0]
    weeks = book.tables["mart_week_lifter"].filter(pl.col("lifter_id") == lifter.lifter_id)
    rows = lift_rows(book, lifter)
    one = rows.filter((pl.col("verdict") == STILL) & ~pl.col("is_past")).head(1)
    one = one.with_columns(low=pl.lit(ends[0]), high=pl.lit(ends[1]))
    with words.written(replace(DEFAULT_STYLE, language=language)):
        assert answer_lifts(book, lifter, one, weeks).sentence.endswith(said)
        assert say_verdict(book, one.row(0, named=True)) == word


def test_lifts_inside_the_limit_are_counted_apart() -> None:
    book = make_book()
    lifter = book.lifters[0]
    weeks = book.tables["mart_week_lifter"].filter(pl.col("lifter_id") == lifter.lifter_id)
    still = lift_rows(book, lifter).filter(pl.col("verdict") == STILL).head(1)
    ends = ((-0.5, 1.5), (-1.0, 1.0), (0.2, 1.5), (-1.5, -0.2), (0.1, 0.9))
    rows = pl.concat(
        still.with_columns(low=pl.lit(low), high=pl.lit(high), is_past=pl.lit(False))
        for low, high in ends
    )
    said = answer_lifts(book, lifter, rows, weeks).sentence
    assert said.endswith(
        " Two stood still, within ±2 % a year. Three moved by less than 2 % a year."
    )
