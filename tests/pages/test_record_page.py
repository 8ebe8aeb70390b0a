"""The record and the start page in a browser: what they show, and what they answer to."""

import re
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import polars as pl
import pytest
from playwright.sync_api import Locator, Page, expect

from dashboards import list_pages, render_page
from dashboards.catalogue import METHODS
from pipeline.core.calendar import say_date
from pipeline.core.page_book import PageBook
from tests.pages.book import FIRST, WEEKS, empty_book, make_book
from tests.pages.conftest import Reader

RECORD = "aspen/record.html"


def bracket(page: Page) -> Locator:
    """The time selector in the strip at the top."""
    return page.locator("header [role=slider]")


def chest(book: PageBook, first: int, end: int) -> pl.DataFrame:
    """Weeks of the chest from ``first`` to before ``end``."""
    return book.tables["mart_week_muscle"].filter(
        (pl.col("lifter_id") == "aspen")
        & (pl.col("muscle_id") == "chest")
        & (pl.col("week_start") >= FIRST + timedelta(weeks=first))
        & (pl.col("week_start") < FIRST + timedelta(weeks=end))
    )


def test_answer_says_what_the_tables_count(reader: Reader, book: PageBook) -> None:
    page = reader.open(RECORD).page
    weeks = book.tables["mart_week_lifter"].filter(pl.col("lifter_id") == "aspen")
    answer, second = page.locator("h1").inner_text(), page.locator(".second").inner_text()
    assert f"{weeks['working_sets'].sum():,} working sets" in answer
    trained = weeks.tail(52).filter(pl.col("week_status").is_in(["trained", "deload"]))
    assert f"and {trained['working_sets'].mean():.0f} in the last" in answer
    status = weeks["week_status"]
    assert f"{status.is_in(['trained', 'deload']).sum()} trained" in second
    assert f"{(status == 'unlogged').sum()} without a record" in second


def test_muscles_are_counted_against_the_ranges_of_the_findings(
    reader: Reader, book: PageBook
) -> None:
    page = reader.open(RECORD).page
    answer = page.locator("h1").inner_text()
    found = book.tables["finding"].filter(
        (pl.col("lifter_id") == "aspen")
        & (pl.col("question") == "supported_sets")
        & (pl.col("window") == "now")
        & pl.col("range_low").is_not_null()
    )
    sets = book.tables["mart_week_muscle"].filter(pl.col("lifter_id") == "aspen")
    below = above = 0
    for row in found.iter_rows(named=True):
        muscle = row["subject"].removeprefix("muscle:")
        recent = sets.filter(pl.col("muscle_id") == muscle).sort("week_start").tail(12)
        mean = round(recent["weekly_sets"].mean())
        is_above = row["range_high"] is not None and mean > round(row["range_high"])
        above, below = above + is_above, below + (mean < round(row["range_low"]))
    within = found.height - above - below
    assert min(within, below, above) > 0
    assert f"within the supported range in {within} of {found.height} muscles" in answer
    assert f"below it in {below}, above it in {above}." in answer
    assert "In 1 of these muscles no upper limit was seen." in page.locator(".second").inner_text()


def test_a_muscle_without_a_range_says_not_enough(reader: Reader) -> None:
    page = reader.open(RECORD).page
    expect(page.locator("#overview svg").get_by_text("not enough", exact=True)).to_have_count(3)
    page.locator("summary", has_text="What was left out").click()
    expect(page.get_by_text(re.compile("6 blocks, 12 needed"))).to_have_count(3)


def test_arrow_keys_move_the_span(reader: Reader) -> None:
    page = reader.open(RECORD).page
    handle = bracket(page)
    assert handle.get_attribute("aria-valuenow") == str(WEEKS - 104)
    handle.focus()
    page.keyboard.press("ArrowLeft")
    assert handle.get_attribute("aria-valuenow") == str(WEEKS - 108)
    page.keyboard.press("Shift+ArrowLeft")
    assert handle.get_attribute("aria-valuenow") == str(WEEKS - 160)
    for _ in range(20):
        page.keyboard.press("Shift+ArrowLeft")
    assert handle.get_attribute("aria-valuenow") == "0"
    expect(page.locator("[data-span-title]")).to_have_text(
        "September 2014 to August 2016, week by week"
    )


def test_dragging_the_bracket_moves_the_span_and_its_edge_widens_it(reader: Reader) -> None:
    page = reader.open(RECORD).page
    handle = page.locator("#overview [role=slider]")
    handle.scroll_into_view_if_needed()
    box = handle.bounding_box()
    assert box is not None
    middle, y = box["x"] + box["width"] / 2, box["y"] + 4
    page.mouse.move(middle, y)
    page.mouse.down()
    page.mouse.move(middle - 300, y, steps=4)
    page.mouse.up()
    moved = int(handle.get_attribute("aria-valuenow") or 0)
    assert moved == pytest.approx(WEEKS - 104 - 300 * WEEKS / 958, abs=2)
    box = handle.bounding_box()
    assert box is not None
    page.mouse.move(box["x"], y)
    page.mouse.down()
    page.mouse.move(box["x"] - 100, y, steps=4)
    page.mouse.up()
    assert int(handle.get_attribute("aria-valuenow") or 0) < moved - 40


def test_span_totals_follow_the_chosen_year(reader: Reader, book: PageBook) -> None:
    page = reader.open(RECORD).page
    page.locator("select[data-param=span]").select_option(label="2019")
    first, end = (round((date(year, 1, 1) - FIRST).days / 7) for year in (2019, 2020))
    total = f"{chest(book, first, end)['weekly_sets'].sum():,.0f}"
    expect(page.locator("#span svg").get_by_text(total, exact=True).first).to_be_visible()
    assert bracket(page).get_attribute("aria-valuenow") == str(first)


def test_the_line_under_the_pointer_is_the_week_in_the_table(
    reader: Reader, book: PageBook
) -> None:
    page = reader.open(RECORD).page
    drawing = page.locator("#overview .drawing")
    drawing.scroll_into_view_if_needed()
    box = drawing.bounding_box()
    assert box is not None
    # The first bed is that of the chest; its feet lie 74 + 27 px down, its weeks from 92 px on.
    week = 480
    page.mouse.move(box["x"] + 92 + 958 * (week + 0.5) / WEEKS, box["y"] + 74 + 15)
    row = chest(book, week, week + 1).row(0, named=True)
    line = page.locator("#overview [data-line]")
    start = FIRST + timedelta(weeks=week)
    expect(line).to_contain_text(
        f"week of {say_date(start)}, chest: {row['direct_sets']} direct, "
        f"{row['indirect_sets']} indirect, {row['weekly_sets']:g} weekly sets; "
    )


def test_the_line_names_the_source_lines(reader: Reader, book: PageBook) -> None:
    page = reader.open(RECORD).page
    for _ in range(12):
        bracket(page).press("Shift+ArrowLeft")
    drawing = page.locator("#span .drawing")
    drawing.scroll_into_view_if_needed()
    box = drawing.bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + 92 + 958 * 1.5 / 104, box["y"] + 74 + 15)
    sets = book.tables["tidy_set"].filter(
        pl.col("session_date").is_between(FIRST + timedelta(days=7), FIRST + timedelta(days=13))
    )
    rows = sets["row_no"]
    expect(page.locator("#span [data-line]")).to_contain_text(f"lines {rows.min()} to {rows.max()}")


def test_a_phone_opens_a_year_by_a_tap(reader: Reader) -> None:
    page = reader.open(RECORD, "phone").page
    assert bracket(page).get_attribute("aria-valuenow") == str(WEEKS - 52)
    drawing = page.locator("#overview .drawing")
    drawing.scroll_into_view_if_needed()
    box = drawing.bounding_box()
    assert box is not None
    page.mouse.click(box["x"] + 60, box["y"] + 62 + (WEEKS - 200.5) * 1.28)
    # Week 200 lies in the middle of the year that opens; a week is little more than one px high.
    expect(bracket(page)).to_have_attribute("aria-valuenow", re.compile("^17[345]$"))


def test_changes_since_the_last_refresh_or_that_there_are_none(reader: Reader) -> None:
    page = reader.open(RECORD).page
    line = page.locator("#table-news tbody tr")
    expect(line).to_contain_text("standing still: +0.1 % a year")
    expect(line.get_by_role("link", name="Side delts")).to_have_attribute(
        "href", "record.html#overview"
    )
    other = reader.open("rowan/record.html").page
    expect(other.get_by_text("Nothing changed; 1 file unchanged.")).to_be_visible()
    start = reader.open("index.html").page
    first = start.locator(".entry", has_text="Aspen").get_by_role(
        "link", name="Side delts, last years"
    )
    expect(first).to_have_attribute("href", "aspen/record.html#overview")


def test_tables_can_be_sorted(reader: Reader, book: PageBook) -> None:
    page = reader.open(RECORD).page
    page.locator("summary", has_text="The table behind").click()
    table = page.locator("#table-overview")
    head = table.locator("th", has_text="last 12 weeks")
    head.locator("button").click()
    assert head.get_attribute("aria-sort") == "ascending"
    column = head.evaluate("th => th.cellIndex")
    cells = table.locator(f"tbody td:nth-child({column + 1})").all_inner_texts()
    values = [float(cell) for cell in cells]
    assert values == sorted(values)


def test_ways_out_carry_the_picture_and_its_data(reader: Reader) -> None:
    page = reader.open(RECORD).page
    figure = page.locator("#overview")
    for word, start in (("SVG", b"<svg"), ("PNG", b"\x89PNG"), ("CSV", b"muscle,2014")):
        figure.hover(position={"x": 5, "y": 5})
        with page.expect_download() as saved:
            figure.get_by_role("button", name=word).click()
        content = saved.value.path().read_bytes()
        assert content.startswith(start)
        assert b"var(--" not in content


def test_a_young_record_says_what_is_missing_and_nothing_else(reader: Reader) -> None:
    page = reader.open("rowan/record.html").page
    expect(page.locator("h1")).to_have_text(
        "Nine weeks are too few to say which weekly sets work; "
        "the first slope of a lift can be read in seven weeks."
    )
    expect(page.get_by_role("cell", name="9 of 40")).to_be_visible()
    expect(page.get_by_role("cell", name="1 of 4", exact=True)).to_be_visible()
    svg = page.locator("#begin svg")
    for word in ("today, week 9", "first slope of a lift", "first supported range", "16", "40"):
        expect(svg.get_by_text(word, exact=True).first).to_be_visible()
    assert page.locator("#overview, #span").count() == 0


def test_a_lifter_without_files_is_told_what_to_do(tmp_path: Path) -> None:
    book = empty_book()
    for page in list_pages(book):
        text = render_page(page, book)
        is_told = "that lies in the inbox now" in text or "No file has been read" in text
        assert is_told is (page.kind != METHODS)  # the methods are the same for every record


def test_a_lifter_with_nights_only_is_told_that_sets_are_missing() -> None:
    book = empty_book()
    files = make_book().tables["source_file"].head(1).with_columns(lifter_id=pl.lit("new"))
    book = replace(book, tables=book.tables | {"source_file": files})
    kept = f"only nights or measures ({files['kept'][0]:,} records)"
    for page in list_pages(book):
        if page.lifter_id and page.kind != "state":
            assert kept in render_page(page, book)


def test_thirty_muscles_stay_under_two_megabytes() -> None:
    book = make_book(shown=30)
    page = next(page for page in list_pages(book) if page.file == RECORD)
    assert len(render_page(page, book).encode()) < 2_000_000
