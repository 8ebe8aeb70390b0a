"""The sentence of a span on Lifts: what surely rose, alike on every width and without scripts."""

from dataclasses import replace
from pathlib import Path

import polars as pl
import pytest
from playwright.sync_api import Browser, expect

from pipeline.core.page_book import PageBook
from tests.pages.book import WEEKS, make_book
from tests.pages.conftest import Reader, write_pages

LIFTS_PAGE = "aspen/lifts.html"
WIDE_ERROR, NARROW_ERROR = 0.4, 0.0005
# Log gain a week of the invented lifts, fastest first; the rest stand still.
RISING = {"leg_press": 0.0006, "lat_pulldown": 0.000599}


def told_book(rising: dict[str, float], sure: tuple[str, ...]) -> PageBook:
    """The invented book in which these lifts rise and only the ``sure`` are surely known."""
    book = make_book()
    week = (pl.col("week_start") - pl.col("week_start").min()).dt.total_days() / 7
    gain = pl.col("exercise_id").replace_strict(rising, default=0.0, return_dtype=pl.Float64)
    levels = book.tables["model_lift_level"].with_columns(level_log=4.0 + gain * week)
    is_sure = pl.col("exercise_id").is_in(list(sure))
    changes = book.tables["model_lift_change"].with_columns(
        se=pl.when(is_sure).then(NARROW_ERROR).otherwise(WIDE_ERROR)
    )
    tables = {**book.tables, "model_lift_level": levels, "model_lift_change": changes}
    return replace(book, tables=tables)


ALL = tuple(make_book().tables["model_lift_change"]["exercise_id"].unique())
FIRST_NAME, SECOND_NAME = "leg press", "lat pulldown"
TOLD = {
    "none": (told_book({}, ()), "none surely rose."),
    "one": (
        told_book({"leg_press": 0.0006}, ALL),
        f"only the {FIRST_NAME} surely rose, ",
    ),
    "one among unsure": (
        told_book(RISING, ("leg_press",)),
        f"only the {FIRST_NAME} surely rose, ",
    ),
    "two apart": (
        told_book({**RISING, "lat_pulldown": 0.0003}, ALL),
        f"the {FIRST_NAME} progressed most, ",
    ),
    "two alike": (
        told_book(RISING, ("leg_press", "lat_pulldown")),
        f"lifts surely rose, the {FIRST_NAME} fastest, ",
    ),
    "two alike, the rest known": (
        told_book(RISING, ALL),
        "in all; 1 of 8 others may be as fast.",
    ),
}
NEAR = "others may be as fast."


@pytest.mark.parametrize("case", TOLD)
def test_the_sentence_says_of_what_it_is_the_fastest(
    browser: Browser, tmp_path: Path, case: str
) -> None:
    book, words = TOLD[case]
    reader = Reader(browser, write_pages(book, tmp_path, {LIFTS_PAGE}))
    try:
        page = reader.open(LIFTS_PAGE).page
        page.locator("[data-changes] select").select_option(label="whole record")
        said = page.locator("[data-changes] .sentence").inner_text()
        assert words in said
        unsure = case in ("one among unsure", "two alike")
        assert (NEAR in said) == (unsure or "rest known" in case)
        assert (f"{len(ALL) - 1} of {len(ALL) - 1} {NEAR}" in said) == unsure
        still = reader.open(LIFTS_PAGE, scripts=False).page.locator("#changes .sentence")
        assert said in still.all_inner_texts()
    finally:
        reader.close()


def test_both_widths_open_with_the_same_two_years(reader: Reader) -> None:
    told = {}
    for size in ("wide", "phone"):
        page = reader.open(LIFTS_PAGE, size).page
        chosen = page.locator("[data-changes] select")
        expect(chosen).to_have_value(f"{WEEKS - 104} {WEEKS}")
        told[size] = page.locator("[data-changes] .sentence").inner_text()
    assert told["wide"] == told["phone"]
    assert told["wide"].startswith("September 2024 to August 2026: ")
