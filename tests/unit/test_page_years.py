"""One kind of year: what has a day belongs to the calendar year of that day, on every page."""

from datetime import date, timedelta

import polars as pl
import pytest

from dashboards import list_pages, render_page
from dashboards.prepare.annual.facts import event_lines, measure_lines
from dashboards.prepare.annual.years import Year, years_of
from dashboards.prepare.counts import count_years
from dashboards.prepare.easing import count_by_year as count_pauses
from dashboards.prepare.easing import count_easing
from dashboards.prepare.nights import count_by_year, readings_of
from dashboards.prepare.record import body_weight, weight_frames
from dashboards.prepare.strips import StripFrames, strip_frames
from pipeline.core.dictionary import conform
from pipeline.core.page_book import PageBook
from tests.pages.book import FIRST, WEEKS

NEW_YEAR = date(2025, 1, 1)  # a Wednesday: its week starts in 2024


@pytest.fixture(scope="module")
def strips(book: PageBook) -> StripFrames:
    """The strips of aspen."""
    made = strip_frames(book, book.lifters[0])
    assert made is not None
    return made


@pytest.fixture(scope="module")
def years(strips: StripFrames) -> list[Year]:
    """The sheets of aspen."""
    return years_of(strips)


def with_rows(book: PageBook, table: str, rows: pl.DataFrame) -> PageBook:
    """The book with more rows in a table."""
    tables = {**book.tables, table: pl.concat([book.tables[table], rows])}
    return PageBook(**{**vars(book), "tables": tables})


def test_sessions_and_sets_count_in_the_year_of_their_day(book: PageBook) -> None:
    row = {"lifter_id": "aspen", "session_id": "new", "session_date": NEW_YEAR}
    row |= {"week_start": date(2024, 12, 30), "exercise_id": "bench_press", "working_sets": 9}
    row |= {"hard_sets": 5, "failure_sets": 2}
    more = with_rows(book, "mart_session_lift", conform("mart_session_lift", pl.DataFrame([row])))
    was, now = (count_years(one, "aspen") for one in (book, more))
    both = now.join(was, on="year", suffix="_was").filter(
        pl.col("working_sets") != pl.col("working_sets_was")
    )
    (found,) = both.to_dicts()
    keys = ("sessions", "working_sets", "hard_sets", "failure_sets")
    assert found["year"] == 2025
    assert [found[key] - found[f"{key}_was"] for key in keys] == [1, 9, 5, 2]


def test_the_record_and_the_nights_count_the_same_sessions(book: PageBook) -> None:
    done = count_years(book, "aspen").select("year", "sessions")
    nights = count_by_year(book, "aspen", readings_of(book, "aspen"))
    both = done.join(nights, on="year", suffix="_nights")
    assert both.height == done.height
    assert both["sessions"].to_list() == both["sessions_nights"].to_list()
    assert (
        both["sessions"].sum()
        == book.tables["mart_week_lifter"].filter(pl.col("lifter_id") == "aspen")["sessions"].sum()
    )


def test_weeks_count_in_the_year_that_they_start_in(book: PageBook) -> None:
    weeks = book.tables["mart_week_lifter"].filter(
        (pl.col("lifter_id") == "aspen")
        & pl.col("week_status").is_in(["trained", "deload"])
        & (pl.col("week_start").dt.year() == 2024)
    )
    (row,) = count_years(book, "aspen").filter(pl.col("year") == 2024).to_dicts()
    assert row["trained"] == weeks.height
    assert row["per_week"] == pytest.approx(weeks["working_sets"].mean())


def test_a_sheet_tells_body_weight_as_its_line_is_drawn(
    book: PageBook, strips: StripFrames, years: list[Year]
) -> None:
    told = 0
    for year in years:
        weight = body_weight(book, "aspen", strips, (year.w0, year.w1))
        drawn = weight_frames(weight, "kg").names.filter("is_now")["label"].to_list()
        said = str(measure_lines(book, "aspen", strips, year, "kg")[0])
        assert all(f"{label.removesuffix(' kg')} where it ends" in said for label in drawn)
        told += len(drawn)
    assert told


def test_the_mean_of_a_year_holds_no_week_of_another(
    book: PageBook, strips: StripFrames, years: list[Year]
) -> None:
    year = years[1]
    weeks = book.tables["mart_week_lifter"].with_columns(
        body_weight_kg=pl.when(pl.col("week_start").is_between(year.first, year.last))
        .then(80.0)
        .otherwise(120.0)
    )
    other = PageBook(**{**vars(book), "tables": {**book.tables, "mart_week_lifter": weeks}})
    assert body_weight(other, "aspen", strips, (year.w0, year.w1))["v"].unique().to_list() == [80.0]


def test_the_sentence_of_a_sheet_says_whose_weeks_its_mean_is_of(book: PageBook) -> None:
    (row,) = count_years(book, "aspen").filter(pl.col("year") == 2024).to_dicts()
    page = next(one for one in list_pages(book) if one.file == "aspen/annual.html")
    said = f"a mean of {row['per_week']:.0f} a week over the {row['trained']} weeks of training"
    assert said in " ".join(render_page(page, book).replace("\u00a0", " ").split())


def test_a_sheet_counts_at_least_the_nights_of_each_signal(
    book: PageBook, strips: StripFrames, years: list[Year]
) -> None:
    nights = count_by_year(book, "aspen", readings_of(book, "aspen"))
    for year in years:
        said = str(measure_lines(book, "aspen", strips, year, "kg")[-1])
        told = int("".join(filter(str.isdigit, said)) or 0)
        row = nights.filter(pl.col("year") == year.number).to_dicts()
        most = max((row[0][key] for key in ("sleep_min", "resting_hr_bpm") if row), default=0)
        assert told >= most
    assert nights["sleep_min"].sum() > 0


@pytest.mark.parametrize(
    ("start", "end"),
    [
        (date(2024, 12, 30), date(2025, 1, 5)),
        (FIRST + timedelta(weeks=WEEKS + 1), FIRST + timedelta(weeks=WEEKS + 1, days=6)),
    ],
    ids=["over new year", "still to come"],
)
def test_a_sheet_counts_the_deloads_that_easing_off_counts(
    book: PageBook, years: list[Year], start: date, end: date
) -> None:
    one = book.tables["tidy_event"].filter(pl.col("kind") == "deload").head(1)
    another = one.with_columns(event_id=pl.lit("new"), start=pl.lit(start), end=pl.lit(end))
    more = with_rows(book, "tidy_event", another)
    pauses = count_pauses(more, "aspen", count_easing(more, "aspen"))
    assert start.year in {year.number for year in years}
    for year in years:
        (row,) = pauses.filter(pl.col("year") == year.number).to_dicts()
        said = str(event_lines(more, "aspen", year)[0])
        assert said.startswith(f"{row['deloads']} deload")
