"""Pages in German on a phone: they fit, say their language, and no heading is left in English."""

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import altair as alt
import polars as pl
import pytest
from playwright.sync_api import Browser

from dashboards import words
from dashboards.assemble import assemble_page
from dashboards.blocks import Answer, Page, Picture
from dashboards.catalogue import pages_of
from dashboards.theme.locale import date_format
from pipeline.core.page_book import LifterInfo, PageBook
from pipeline.core.page_style import PageStyle
from tests.pages.conftest import Reader, write_pages

GERMAN = PageStyle("de", units="lb")
# The young lifter has every page, quickly drawn.
FILES = [page.file for page in pages_of(LifterInfo("rowan", "Rowan", date(2025, 9, 1)))]
ENGLISH = re.compile(
    r"\b(the|and|of|with|weeks?|sets?|years?|from|muscles?|strength|lifts?|support|not)\b",
    re.IGNORECASE,
)
# What is a heading, a head, a key or a control, and whatever is drawn; English is left out where
# it says that it is.
SAID = """() => [...document.querySelectorAll(
  "h1, h2, h3, th, summary, .keys li, .caption, .controls, nav a, svg.marks text"
)].map((one) => {
  const copy = one.cloneNode(true);
  copy.querySelectorAll("[lang=en]").forEach((inner) => inner.remove());
  return copy.textContent.trim();
})"""


@pytest.fixture(scope="module")
def folder(book: PageBook, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The pages of one lifter in German, loads in pounds."""
    return write_pages(replace(book, style=GERMAN), tmp_path_factory.mktemp("german"), FILES)


@pytest.fixture
def german(browser: Browser, folder: Path) -> Iterator[Reader]:
    """Opens what lies in the folder."""
    made = Reader(browser, folder)
    yield made
    made.close()


@pytest.mark.parametrize("file", FILES)
def test_a_page_fits_and_is_german(german: Reader, file: str) -> None:
    opened = german.open(file, "phone")
    page = opened.page
    assert opened.said == []
    assert page.evaluate("document.documentElement.lang") == "de"
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert [text for text in page.evaluate(SAID) if ENGLISH.search(text)] == []


def test_dates_and_units_are_written_the_german_way(german: Reader) -> None:
    text = german.open("rowan/record.html", "phone").page.locator("body").text_content() or ""
    assert re.search(r"\d\.\xa0(Jan\.|Feb\.|März|Apr\.|Mai|Juni|Juli|Aug\.|Sept\.)\xa02026", text)
    assert "schwerste bewegte Last, lb" in text


def test_the_drawing_library_writes_numbers_and_dates_the_german_way(
    german: Reader, folder: Path
) -> None:
    day = (date(2025, 3, 3) - date(1970, 1, 1)).days
    with words.written(GERMAN):
        said = f"format(-1234.5, ',.1f') + ', ' + utcFormat({day} * 864e5, '{date_format()}')"
        chart = alt.Chart(pl.DataFrame({"x": [1]})).mark_text().transform_calculate(t=said)
        chart = chart.encode(text="t:N")
        picture = Picture("one", "Eins", "", "Eins", chart, chart, is_main=True)
        page = Page((Answer("Eins", ""),), (picture,), ())
        empty = dict.fromkeys(("title", "who", "as_of", "here", "up", "sources", "made_with"), "")
        text = assemble_page(page, {**empty, "menu": None, "horizon": None, "weeks": None})
    (folder / "one.html").write_text(text, "utf-8")
    shown = "−1.234,5, 3.\xa0März\xa02025"
    assert shown in text  # the static picture
    assert german.open("one.html").page.locator("svg.marks text").text_content() == shown
