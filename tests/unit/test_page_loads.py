"""Loads stand as they were put on: halves kept, and added weight as such."""

from dataclasses import replace
from datetime import date, timedelta

import polars as pl
import pytest

from dashboards import words
from dashboards.prepare.annual.facts import best_table
from dashboards.prepare.annual.years import years_of
from dashboards.prepare.counts import count_lifts
from dashboards.prepare.lift_rows import say_load
from dashboards.prepare.lift_tables import done_table
from dashboards.prepare.record_tables import lift_table
from dashboards.prepare.strips import strip_frames
from pipeline.core.page_book import PageBook
from pipeline.core.page_style import PageStyle
from pipeline.core.units import kg_to_lb
from tests.pages.book import make_book


@pytest.fixture(scope="module")
def book() -> PageBook:
    """The invented book, its bench press at 112.5 kg at most."""
    made = make_book()
    lifts = made.tables["mart_week_lift"].with_columns(top_load_kg=pl.lit(112.5))
    return replace(made, tables={**made.tables, "mart_week_lift": lifts})


def test_a_load_keeps_its_half_in_both_units() -> None:
    assert [say_load(kg, "kg") for kg in (112.5, 60.0, 7.5)] == ["112.5", "60", "7.5"]
    assert say_load(225 / kg_to_lb(1.0), "lb") == "225"
    with words.written(PageStyle("de")):
        assert say_load(112.5, "kg") == "112,5"


def test_heaviest_loads_are_not_rounded_to_whole_kilograms(book: PageBook) -> None:
    done = done_table(count_lifts(book, "aspen"), "kg", timedelta(days=6))
    of_record = lift_table(book, book.lifters[0])
    assert {row[3] for table in (done, of_record) for row in table.rows} == {"112.5"}


@pytest.mark.parametrize(("basis", "said"), [("added", "+55 × 3"), ("total", "55 × 3")])
def test_weight_added_to_the_body_is_said_so(book: PageBook, basis: str, said: str) -> None:
    sets = book.tables["tidy_set"]
    pull_up = (
        sets.filter(~pl.col("is_doubted"))
        .head(1)
        .with_columns(
            exercise_id=pl.lit("pull_up"),
            session_date=pl.lit(date(2024, 3, 4)),
            load_kg=pl.lit(55.0),
            load_basis=pl.lit(basis),
            reps=pl.lit(3, dtype=sets["reps"].dtype),
        )
    )
    changed = replace(book, tables={**book.tables, "tidy_set": pl.concat([sets, pull_up])})
    lifter = changed.lifters[0]
    strips = strip_frames(changed, lifter)
    assert strips is not None
    (year,) = [one for one in years_of(strips) if one.number == 2024]
    assert [row[1] for row in best_table(changed, lifter, year).rows] == [said]
