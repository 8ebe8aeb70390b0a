"""The start page: an answer and an index of questions for each lifter, a table of many."""

import re
from dataclasses import replace
from pathlib import Path

import polars as pl
import pytest
from playwright.sync_api import Locator, expect

from dashboards import list_pages, render_page
from dashboards.pages.index import MOST_ENTRIES
from pipeline.core.page_book import PageBook
from tests.pages.book import empty_book, make_book
from tests.pages.conftest import Reader

START = "index.html"


def entry(reader: Reader, name: str) -> Locator:
    """What the start page says of one lifter."""
    return reader.open(START).page.locator(".entry", has_text=name)


def test_the_start_page_gives_each_lifter_an_answer_and_the_time(reader: Reader) -> None:
    page = reader.open(START).page
    expect(page.locator(".entry")).to_have_count(2)
    expect(page.locator("header")).to_contain_text("refreshed 30 Aug 2026, 03:12")
    record = reader.open("aspen/record.html").page
    assert page.locator(".entry .sentence").first.inner_text() == record.locator("h1").inner_text()
    expect(record.locator("header")).not_to_contain_text("03:12")


@pytest.mark.parametrize(("name", "least"), [("Aspen", 40), ("Rowan", 18)])
def test_every_question_leads_to_a_place_that_answers_it(
    reader: Reader, site: Path, name: str, least: int
) -> None:
    links = entry(reader, name).locator(".index a")
    targets = links.evaluate_all("found => found.map((one) => one.getAttribute('href'))")
    assert len(targets) >= least
    for target in targets:
        file, _, place = target.partition("#")
        text = (site / file).read_text("utf-8")
        told = dict(part.split("=") for part in place.split("&")) if "=" in place else {"at": place}
        if told.get("at"):
            assert f'id="{told["at"]}"' in text, target
        if "muscle" in told:
            assert f'<option value="{told["muscle"]}"' in text, target


def test_a_muscle_is_chosen_where_its_question_leads(reader: Reader) -> None:
    link = entry(reader, "Aspen").get_by_role("link", name="calves", exact=True)
    link.click()
    page = link.page
    expect(page.locator("h1:visible")).to_contain_text("Calves progressed most surely at")
    expect(page.locator("select[data-param=muscle]")).to_have_value("calves")


def test_what_rose_since_a_year_is_told_where_its_question_leads(reader: Reader) -> None:
    asked = entry(reader, "Aspen").locator("dd", has_text="rose most since")
    asked.get_by_role("link", name="2019").click()
    page = asked.page
    told = page.locator("#changes .sentence").first
    expect(told).to_contain_text(re.compile("^January 2019 to August 2026: "))
    expect(told).to_be_in_viewport()


def test_a_young_record_has_the_questions_without_choices(reader: Reader) -> None:
    index = entry(reader, "Rowan").locator(".index")
    expect(index.get_by_role("link", name="for each muscle?")).to_have_count(1)
    expect(index.get_by_role("link", name="Which lift rose most?")).to_have_count(1)
    expect(index.locator("dt")).to_have_count(9)
    expect(index.get_by_role("link", name="What followed weeks off?")).to_have_count(1)


def test_no_page_stands_in_the_index_without_a_question(reader: Reader) -> None:
    index = reader.open(START).page.locator(".index")
    expect(index).to_have_count(2)
    expect(index.locator("dt + dt, dt:last-child")).to_have_count(0)


def test_what_the_record_has_nothing_of_is_not_asked(reader: Reader) -> None:
    asked = ("How did strength go through injuries?", "Is there as much pulling as pushing?")
    for name, times in (("Aspen", 1), ("Rowan", 0)):
        index = entry(reader, name).locator(".index")
        for question in asked:
            expect(index.get_by_role("link", name=question)).to_have_count(times)


def test_a_record_without_a_week_is_asked_what_was_not_read() -> None:
    book = empty_book()
    start = next(page for page in list_pages(book) if page.kind == "index")
    index = re.search(r'<dl class="index">(.*?)</dl>', render_page(start, book))
    assert index is not None
    assert re.findall(r'<a href="([^"]*)">([^<]*)', index.group(1)) == [
        ("new/state.html", "State of the record"),
        ("new/state.html", "What could not be read, and why?"),
    ]


def many_lifters(number: int) -> PageBook:
    """A book whose first lifter stands in it ``number`` times over, one without a record last."""
    book = make_book()
    names = [f"lifter{i:02}" for i in range(number)]
    first = book.lifters[0]
    own = book.tables["mart_week_lifter"].filter(pl.col("lifter_id") == first.lifter_id)
    copies = [own.with_columns(lifter_id=pl.lit(name)) for name in names[:-1]]
    lifters = tuple(replace(first, lifter_id=name, name=name.capitalize()) for name in names)
    tables = book.tables | {"mart_week_lifter": pl.concat(copies)}
    changes = book.changes.with_columns(lifter_id=pl.lit(names[1]))
    return replace(book, lifters=lifters, tables=tables, changes=changes)


def test_of_many_lifters_each_is_a_row_and_the_page_stays_light(
    reader: Reader, tmp_path: Path
) -> None:
    book = many_lifters(MOST_ENTRIES + 1)
    start = next(page for page in list_pages(book) if page.kind == "index")
    file = tmp_path / START
    file.write_text(render_page(start, book), "utf-8")
    assert file.stat().st_size < 200_000
    page = reader.open(START).page
    page.goto(file.as_uri())
    rows = page.locator("tbody tr")
    expect(rows).to_have_count(MOST_ENTRIES + 1)
    expect(page.locator(".entry")).to_have_count(0)
    weeks = book.tables["mart_week_lifter"].filter(pl.col("lifter_id") == "lifter01")
    trained = weeks["week_status"].is_in(["trained", "deload"]).sum()
    cells = rows.nth(1).locator("td").all_inner_texts()
    sets = f"{weeks['working_sets'].sum():,}"
    assert cells[0] == "Lifter01"
    assert cells[3:] == [f"{trained:,}", sets, f"{book.changes.height}"]
    link = rows.nth(1).get_by_role("link")
    expect(link).to_have_attribute("href", "lifter01/record.html")
    assert rows.last.locator("td").all_inner_texts()[1:] == ["", "", "0", "0", "0"]
