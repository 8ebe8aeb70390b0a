"""Right-to-left names are isolated, wherever they stand; all other text stays as it is."""

from dataclasses import replace

import polars as pl
import pytest

from dashboards.direction import isolate
from dashboards.prepare.in_style import in_style
from tests.pages.book import make_book

BENCH = "לחיצת חזה"


@pytest.mark.parametrize("text", ["", "bench press 5 (3 to 7)", "Kniebeuge, Überzüge", "жим 5×5"])
def test_text_from_left_to_right_stays(text: str) -> None:
    assert isolate(text) == text


def test_a_name_is_isolated_whole_and_the_figures_after_it_are_not() -> None:
    said = f"{BENCH}: +2.9 % a year (+2.1 to +3.7)"
    assert isolate(said) == f"\u2068{BENCH}\u2069: +2.9 % a year (+2.1 to +3.7)"
    assert isolate(isolate(said)) == isolate(said)
    assert isolate("ضغط (سميث) press") == "\u2068ضغط (سميث)\u2069 press"


def test_the_book_of_a_page_isolates_names_and_sentences_but_no_ids() -> None:
    book = make_book()
    lift = book.tables["ref_exercise"].with_columns(name=pl.lit(BENCH))
    lifters = (replace(book.lifters[0], name="דנה"), *book.lifters[1:])
    shown = in_style(replace(book, lifters=lifters, tables={**book.tables, "ref_exercise": lift}))
    assert set(shown.tables["ref_exercise"]["name"]) == {f"\u2068{BENCH}\u2069"}
    assert shown.lifters[0].name == "\u2068דנה\u2069"
    same = shown.tables["ref_exercise"]["exercise_id"]
    assert same.equals(book.tables["ref_exercise"]["exercise_id"])
