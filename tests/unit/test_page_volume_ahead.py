"""Volume and progress: the strength of each muscle a year ahead, beside no change."""

from dataclasses import replace
from datetime import date

import polars as pl
import pytest

from dashboards.blocks import Table
from dashboards.pages.volume import build_page
from dashboards.prepare.volume import muscle_answers
from dashboards.prepare.volume_ahead import ahead_table
from pipeline.core.dictionary import conform
from pipeline.core.finding import Finding
from pipeline.core.page_book import PageBook
from tests.pages.book import make_book

COMMON = {
    "lifter_id": "aspen",
    "question": "forecast",
    "window": "now",
    "unit": "%",
    "n_of": "weeks of record",
    "method": "last level and a shrunken drift",
    "model_version": "1.0",
}
DAY = date(2027, 8, 30)
PUBLISHED = "the published drift (Steele et al. 2023, read)"


def told(
    muscle: str, ends: tuple[float, float, float], drift: str = PUBLISHED, day: date = DAY
) -> dict[str, object]:
    """A forecast; the published one is +1.0 (−3.0 to +5.0)."""
    return Finding(
        **COMMON,
        subject=f"muscle:{muscle}",
        n=600,
        support="fair",
        support_why="600 weeks of record",
        coverage=0.8,
        estimate=ends[0],
        low=ends[1],
        high=ends[2],
        prior_estimate=1.0,
        prior_low=-3.0,
        prior_high=5.0,
        to_date=day,
        sentence=f"{muscle}: expected, 0 if nothing changed; from the last level and {drift}.",
    ).as_row()


def refused(muscle: str) -> dict[str, object]:
    """A muscle with too short a record."""
    return Finding(
        **COMMON,
        subject=f"muscle:{muscle}",
        n=9,
        support="not enough",
        support_why="9 weeks of record, 26 needed",
        sentence="Not enough: 9 weeks of record, 26 needed; keep training it.",
    ).as_row()


def book_with(*rows: dict[str, object]) -> PageBook:
    """The invented book with these forecasts beside those of its lifts."""
    book = make_book()
    more = conform("finding", pl.DataFrame(list(rows), infer_schema_length=None))
    finding = pl.concat([book.tables["finding"], more])
    return replace(book, tables={**book.tables, "finding": finding})


def table_of(*rows: dict[str, object]) -> Table:
    """The table of the lifter who has these forecasts."""
    book = book_with(*rows)
    table = ahead_table(book, "aspen", muscle_answers(book, "aspen"))
    assert table is not None
    return table


def test_every_muscle_has_its_change_with_interval_no_change_and_support() -> None:
    table = table_of(
        refused("chest"), told("triceps", (2.0, 0.4, 3.6)), told("lats", (1.0, -3.0, 5.0))
    )
    assert table.rows == (
        ("triceps", "+2.0 (+0.4 to +3.6)", "+1.0 (−3.0 to +5.0)", "0, outside", "fair"),
        ("lats", "+1.0 (−3.0 to +5.0)", "+1.0 (−3.0 to +5.0)", "0, inside", "fair"),
        ("chest", "", "", "", "not enough: 9 weeks of record, 26 needed"),
    )
    assert table.columns[1].head == "expected, % (80 % interval)"


def test_by_the_published_drift_its_figures_are_not_said_twice() -> None:
    table = table_of(told("lats", (1.0, -3.0, 5.0)), told("quads", (1.0, -3.0, 5.0)))
    assert [len(row) for row in table.rows] == [4, 4]
    assert len(table.columns) == 4


@pytest.mark.parametrize("drift", [PUBLISHED, "the drift of 13 other lifters"])
def test_day_and_drift_are_said_once_in_the_caption(drift: str) -> None:
    rows = [told(muscle, (2.0, -1.0, 5.0), drift) for muscle in ("chest", "lats", "quads")]
    early = told("calves", (2.0, -1.0, 5.0), drift, date(2027, 6, 7))
    note = str(table_of(*rows, early).note)
    assert note.count("30 Aug 2027") == 1
    assert "by 30 Aug 2027, calves by 7 Jun 2027 if training goes on as now" in note
    assert f"From the last level and {drift};" in note


def test_the_page_shows_it_after_the_fewest_sets_that_held() -> None:
    book = book_with(told("lats", (1.0, -3.0, 5.0)))
    page = build_page(book, book.lifters[0])
    titles = [getattr(one, "title", "") for one in page.blocks]
    assert titles[-2:] == ["Fewest weekly sets that held", "A year ahead"]
    assert "A forecast starts at the last level." in str(page.method)


def test_a_record_without_forecasts_has_no_such_table() -> None:
    book = book_with(refused("chest"))
    assert ahead_table(book, "aspen", muscle_answers(book, "aspen")) is None
    assert ahead_table(book, "rowan", muscle_answers(book, "rowan")) is None
