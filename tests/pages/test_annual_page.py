"""Year by year: a sheet a year, each on one page of A4, nothing cut, counts as in the marts."""

import re
from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

import polars as pl
import pytest

from dashboards import list_pages, render_page, words
from dashboards.numbers import say_date
from dashboards.prepare.annual.facts import best_table, event_lines, slopes_in
from dashboards.prepare.annual.years import years_of
from dashboards.prepare.strips import strip_frames
from pipeline.core.page_book import PageBook
from pipeline.core.page_style import PageStyle
from tests.pages.book import empty_book
from tests.pages.conftest import Reader

PAGE = "aspen/annual.html"


def test_prints_one_page_of_a4_a_year(reader: Reader) -> None:
    page = reader.open(PAGE).page
    years = page.locator(".year > h2").all_inner_texts()
    assert years == [str(year) for year in range(2026, 2013, -1)]
    printed = page.pdf(prefer_css_page_size=True, print_background=True)
    assert len(re.findall(rb"/Type\s*/Page\b", printed)) == len(years)
    for width, height in re.findall(rb"/MediaBox\s*\[0 0 ([\d.]+) ([\d.]+)\]", printed):
        assert (round(float(width)), round(float(height))) == (595, 842)


def test_nothing_stands_out_of_a_sheet_and_no_control_is_printed(reader: Reader) -> None:
    page = reader.open(PAGE, scheme="dark").page
    page.emulate_media(media="print")
    page.set_viewport_size({"width": 703, "height": 1031})
    wide = page.evaluate(
        """() => [...document.querySelectorAll(".year *")].filter((one) => {
          const box = one.getBoundingClientRect();
          return box.width && (box.right > 706 || box.left < -6);
        }).map((one) => one.outerHTML.slice(0, 80))"""
    )
    assert wide == []
    assert page.locator("header, footer, nav, .folds, .place").filter(visible=True).count() == 0


def test_a_phone_shows_the_facts_and_leads_to_the_same_weeks(reader: Reader) -> None:
    page = reader.open(PAGE, "phone").page
    assert page.locator(".year .drawn").filter(visible=True).count() == 0
    link = page.locator("#y2025 .place a").get_attribute("href")
    assert link == "record.html#from_week=540&to_week=592&at=span"


def test_years_are_whole_and_follow_each_other(book: PageBook) -> None:
    strips = strip_frames(book, book.lifters[0])
    assert strips is not None
    years = years_of(strips)
    assert [(one.w1 - one.w0) for one in years] == [52, 52, 53, *[52] * 5, 53, *[52] * 4]
    assert all(later.first == earlier.end for later, earlier in pairwise(years))
    assert years[0].first == date(2026, 1, 5)


def test_the_sheet_counts_what_the_mart_counts(reader: Reader, book: PageBook) -> None:
    sessions = book.tables["mart_session_lift"].filter(
        (pl.col("lifter_id") == "aspen") & (pl.col("session_date").dt.year() == 2025)
    )
    sets = f"{int(sessions['working_sets'].sum()):,}"
    assert f"{sets} working sets" in reader.open(PAGE).page.locator("#y2025 .sentence").inner_text()


def test_the_heaviest_set_has_most_load_then_most_repetitions(book: PageBook) -> None:
    aspen = book.lifters[0]
    strips = strip_frames(book, aspen)
    assert strips is not None
    sets = book.tables["tidy_set"].filter(
        (pl.col("lifter_id") == "aspen") & ~pl.col("is_warmup") & ~pl.col("is_doubted")
    )
    year = next(y for y in years_of(strips) if best_table(book, aspen, y).rows)
    mine = sets.filter(pl.col("session_date").dt.year() == year.number)
    heaviest = mine.filter(~pl.col("exercise_id").str.starts_with("unmatched:"))["load_kg"].max()
    told = [row[1].split(" × ")[0] for row in best_table(book, aspen, year).rows]
    assert max(float(load) for load in told) == pytest.approx(heaviest)


def test_a_slope_stands_on_one_sheet_only(book: PageBook) -> None:
    strips = strip_frames(book, book.lifters[0])
    assert strips is not None
    found = pl.concat([slopes_in(book, "aspen", year) for year in years_of(strips)])
    assert found.height
    assert found.select("id", "age_from").is_duplicated().sum() == 0


def test_without_a_record_the_page_says_what_to_do() -> None:
    book = empty_book()
    page = next(one for one in list_pages(book) if one.kind == "annual")
    text = render_page(page, book)
    assert "inbox" in text
    assert 'class="year"' not in text


def test_the_foot_gives_the_day_of_the_head(book: PageBook) -> None:
    """The last day that a file told of, where the week runs on."""
    files = book.tables["source_file"]
    early = files.with_columns(pl.col("last_date") - timedelta(days=2))
    told = replace(book, tables={**book.tables, "source_file": early})
    page = next(one for one in list_pages(told) if one.file == PAGE)
    days = set(re.findall(r"record to (\d+ \w+ \d+)", render_page(page, told)))
    last = max(early["last_date"].drop_nulls().to_list())
    strips = strip_frames(told, told.lifters[0])
    assert strips is not None
    assert strips.last != last
    assert days == {say_date(last)}


def test_german_events_end_on_one_full_stop_and_name_the_part(book: PageBook) -> None:
    lifter = book.lifters[0]
    strips = strip_frames(book, lifter)
    assert strips is not None
    with words.written(PageStyle("de")):
        lines = [
            str(line)
            for year in years_of(strips)
            for line in event_lines(book, lifter.lifter_id, year)
        ]
    assert any("Knie" in line for line in lines)
    assert any(re.search(r"\.\d|\N{NO-BREAK SPACE}\w+\.$", line) for line in lines)
    assert [line for line in lines if ".." in line or "knee" in line] == []
