"""German pages name lifts in German and order them so; what a lifter named keeps its own name."""

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import polars as pl
import pytest
from playwright.sync_api import Browser, expect

from dashboards import words
from dashboards.prepare.names import sort_key
from dashboards.told import names
from pipeline.core.page_book import PageBook
from pipeline.core.page_style import PageStyle
from pipeline.reference import load_exercises
from tests.pages.conftest import HOSTILE, Reader, broken_texts, write_pages
from tests.pages.lifts_book import HOSTILE_LIFT
from tests.pages.test_phone_tables import BROKEN

FILES = [f"aspen/{page}.html" for page in ("lifts", "record", "priorities", "next_phase", "annual")]
OWN = f"barbell curl{HOSTILE}"
# What a reader sees with every fold open, without the invented sentences that no catalogue has.
SEEN = """() => {
  const copy = document.body.cloneNode(true);
  copy.querySelectorAll("script, style, [lang=en]").forEach((one) => one.remove());
  return copy.textContent;
}"""
# A table's rows replaced by these texts, one a row in its first column.
FILL = """(table, texts) => {
  const row = table.tBodies[0].rows[0];
  table.tBodies[0].replaceChildren(...texts.map((text) => {
    const one = row.cloneNode(true);
    one.cells[0].textContent = text;
    return one;
  }));
}"""
# Dates in tables that stand on more than one line.
BROKEN_DATES = broken_texts("td", r"\d+\.\s\S+\s\d{4}")


@pytest.fixture(scope="module")
def folder(book: PageBook, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Pages of the long record in German, lifts named as the reference does but for one."""
    name = pl.when(pl.col("exercise_id") == HOSTILE_LIFT).then(pl.lit(OWN)).otherwise("name")
    lifts = load_exercises().with_columns(name=name)
    german = replace(book, style=PageStyle("de"), tables={**book.tables, "ref_exercise": lifts})
    return write_pages(german, tmp_path_factory.mktemp("names"), (*FILES, "aspen/state.html"))


@pytest.fixture
def german(browser: Browser, folder: Path) -> Iterator[Reader]:
    """Opens what lies in the folder."""
    made = Reader(browser, folder)
    yield made
    made.close()


def test_lifts_stand_in_german_in_the_order_of_their_german_names(german: Reader) -> None:
    opened = german.open("aspen/lifts.html")
    opened.page.select_option("select[data-param=order]", "name")
    rows = opened.page.locator("#forest .picks.wide label").all_inner_texts()
    answered = [row.split(",")[0] for row in rows if "nicht genug" not in row]
    assert answered == [
        "Bankdrücken",
        f"B{OWN[1:]}",
        "Beinpresse",
        "Klimmzug",
        "Langhantelrudern",
        "Latzug",
        "Seitheben am Kabel",
    ]
    assert answered == sorted(answered, key=sort_key)
    chosen = opened.page.locator("select[data-param=lift] option").all_inner_texts()
    assert {"Brustpresse", "Rumänisches Kreuzheben", f"B{OWN[1:]}"} <= set(chosen)
    assert opened.said == []


def test_a_span_names_an_own_lift_as_written_beside_german_ones(german: Reader) -> None:
    page = german.open("aspen/lifts.html").page
    page.locator("[data-changes] select").select_option(label="ganze Aufzeichnung")
    assert page.locator("[data-changes] .sentence bdi").all_inner_texts() == [OWN]
    rows = page.locator("[data-changes] tbody th bdi").all_inner_texts()
    with words.written(PageStyle("de")):
        german_ones = {name.casefold() for name in names("exercises").values()}
    assert len(rows) > 1
    assert {row.casefold() for row in rows} - german_ones == {OWN.casefold()}


def test_a_name_without_a_match_is_told_what_to_write_for_the_nearest(german: Reader) -> None:
    page = german.open("aspen/state.html").page
    nearest = "Bankdrücken (bench_press), Enges Bankdrücken (close_grip_bench_press)"
    expect(page.get_by_role("cell", name=nearest, exact=True)).to_have_count(1)


def test_a_click_sorts_text_in_the_order_of_german(german: Reader) -> None:
    opened = german.open("aspen/state.html")
    table = opened.page.locator("table", has=opened.page.locator("th:not(.number) button")).first
    written = ["Zugübung", "Überzug", "Zeile 10", "umgesetzt", "Dips", "Zeile 9", "Äpfel", "Öl"]
    table.evaluate(FILL, written)
    head = table.locator("th:not(.number) button").first
    says = ["Äpfel", "Dips", "Öl", "Überzug", "umgesetzt", "Zeile 9", "Zeile 10", "Zugübung"]
    for order in (says, says[::-1]):
        head.click()
        assert table.locator("tbody td:first-child").all_inner_texts() == order
    assert opened.said == []


@pytest.mark.parametrize("file", FILES)
def test_no_lift_of_the_reference_is_left_in_english(german: Reader, file: str) -> None:
    seen = german.open(file).page.evaluate(SEEN)
    english = load_exercises().filter(pl.col("exercise_id") != HOSTILE_LIFT)["name"]
    left = [name for name in english if re.search(rf"\b{re.escape(name)}\b", seen)]
    assert left == []


@pytest.mark.parametrize("file", FILES)
def test_names_and_dates_stay_whole_on_a_phone(german: Reader, file: str) -> None:
    page = german.open(file, "phone").page
    assert page.evaluate(BROKEN) == []
    assert page.evaluate(BROKEN_DATES) == []
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
