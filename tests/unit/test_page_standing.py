"""Within, below and above a range are read off the figures that a page shows."""

import re

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboards.numbers import count, range_words
from dashboards.pages.record import answer_record
from dashboards.prepare.record_tables import muscle_table
from dashboards.prepare.standing import ABOVE, BELOW, WITHIN, standing, whole
from dashboards.prepare.strips import strip_frames
from pipeline.core.page_book import PageBook
from tests.pages.book import make_book

WEEKS = 12


@pytest.mark.parametrize(
    ("sets", "low", "high", "place"),
    [
        (9.96, 10.0, None, WITHIN),
        (9.96, 10.4, None, WITHIN),
        (9.6, 9.8, 20.0, WITHIN),
        (9.4, 9.6, 20.0, BELOW),
        (9.8, 10.6, 20.0, BELOW),
        (20.4, 9.0, 19.7, WITHIN),
        (20.6, 9.0, 20.4, ABOVE),
        (99.0, 9.0, None, WITHIN),
    ],
)
def test_a_figure_shown_at_the_edge_is_within(
    sets: float, low: float, high: float | None, place: str
) -> None:
    assert standing(sets, low, high) == place


@given(st.floats(0, 80), st.floats(0, 40), st.floats(0, 40))
def test_the_place_follows_from_what_is_written(sets: float, low: float, width: float) -> None:
    written = int(count(sets))
    edges = [int(edge) for edge in re.findall(r"\d+", range_words(low, low + width))]
    place = BELOW if written < edges[0] else ABOVE if written > edges[1] else WITHIN
    assert standing(sets, low, low + width) == place


@given(st.floats(0, 200))
def test_a_column_is_rounded_as_a_number_is_written(sets: float) -> None:
    assert count(pl.select(whole(pl.lit(sets))).item()) == count(sets)


def _book_at(recent: float, low: float) -> PageBook:
    """The long record, its first muscle at so many sets in its last weeks and with that range."""
    book = make_book()
    weeks = book.tables["mart_week_muscle"]
    mine = weeks.filter((pl.col("lifter_id") == "aspen") & (pl.col("week_status") != "unlogged"))
    last = mine["week_start"].unique().sort().tail(WEEKS).implode()
    is_first = (pl.col("lifter_id") == "aspen") & (pl.col("muscle_id") == "chest")
    weeks = weeks.with_columns(
        weekly_sets=pl.when(is_first & pl.col("week_start").is_in(last))
        .then(recent)
        .otherwise("weekly_sets")
    )
    is_range = (pl.col("question") == "supported_sets") & (pl.col("subject") == "muscle:chest")
    findings = book.tables["finding"].with_columns(
        range_low=pl.when(is_range).then(low).otherwise("range_low")
    )
    tables = {**book.tables, "mart_week_muscle": weeks, "finding": findings}
    return PageBook(**{**vars(book), "tables": tables})


def _said_below(book: PageBook) -> int:
    lifter = next(one for one in book.lifters if one.lifter_id == "aspen")
    found = re.search(r"below it in (\d+)", str(answer_record(book, lifter).sentence))
    return int(found.group(1)) if found else 0


def test_the_record_counts_what_its_table_shows() -> None:
    at_edge, under = _book_at(9.96, 9.8), _book_at(9.4, 9.8)
    assert _said_below(under) == _said_below(at_edge) + 1
    lifter = at_edge.lifters[0]
    strips = strip_frames(at_edge, lifter)
    assert strips is not None
    row = next(r for r in muscle_table(at_edge, "aspen", strips).rows if r[0] == "chest")
    assert row[-3] == "10"
    assert str(row[-2]).startswith("10 ")


def test_edges_of_the_strips_are_those_written_beside_them() -> None:
    book = _book_at(9.96, 9.8)
    strips = strip_frames(book, book.lifters[0])
    assert strips is not None
    chest = strips.muscles.filter(pl.col("muscle_id") == "chest")["m"][0]
    low = strips.weeks.filter(pl.col("m") == chest)["lo"]
    assert set(low) <= {0, 100}
    assert 100 in low
