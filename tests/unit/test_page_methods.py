"""The page Methods: its words against the models' own settings, its figures against the file."""

from dataclasses import replace
from datetime import date

import polars as pl
import pytest

from dashboards.blocks import Equations, Fold, Prose, Section, Table
from dashboards.pages.methods import build_page
from dashboards.prepare.methods import CASES, SECTIONS
from pipeline.core.dictionary import columns_of, conform
from tests.pages.book import make_book

MINUS = "\u2212"


def book_with(rows: list[dict]):
    book = make_book()
    schema = dict.fromkeys(("bar", "case"), pl.String) | {"is_met": pl.Boolean}
    frame = pl.DataFrame(rows, schema_overrides=schema)
    return replace(book, tables=book.tables | {"ref_recovery": conform("ref_recovery", frame)})


def figure(model: str, name: str, value: float, **others) -> dict:
    return {
        "model": model,
        "figure": name,
        "value": value,
        "standard_error": 0.02,
        "n": 200,
        "bar": None,
        "is_met": None,
        "case": None,
        "careers": "seeds 0 to 199",
        "run_on": date(2026, 11, 25),
    } | others


def sections(book) -> dict[str, Section]:
    return {one.name: one for one in build_page(book).blocks if isinstance(one, Section)}


@pytest.mark.parametrize("name", SECTIONS)
def test_each_model_has_words_equations_and_figures(name):
    section = sections(make_book())[name]
    summary, fold = section.blocks
    assert isinstance(fold, Fold)
    prose, equations, figures, *folded = fold.blocks
    assert isinstance(prose, Prose)
    assert isinstance(summary, Prose)
    said = (*summary.paragraphs, *prose.paragraphs)
    assert [text.split(".</b>")[0] for text in said] == [
        "<b>What it does",
        "<b>What it assumes",
        "<b>What it cannot see",
    ]
    assert isinstance(equations, Equations)
    assert all(equations.lines)
    assert isinstance(figures, Table)
    assert all(isinstance(one, Fold) for one in folded)


def test_figures_stand_with_their_model_and_the_unknown_ones_at_the_end():
    book = book_with(
        [
            figure("volume", "error over the prior's", 0.884, bar="at most 0.9", is_met=True),
            figure("signals", "sleep called, hidden stress", 0.2, bar="at most 0.25", is_met=True),
            figure("deload", "bias, points", -0.214, bar="at most 0.15", is_met=False),
            figure("something new", "share", 0.5),
        ]
    )
    found = sections(book)
    assert found["sets"].blocks[-1].blocks[-1].rows[0][:6] == (
        "error over the prior's",
        "0.88",
        "0.020",
        "200",
        "at most 0.9",
        "yes",
    )
    assert found["deload"].blocks[-1].blocks[-1].rows[0][1] == f"{MINUS}0.21"
    assert found["deload"].blocks[-1].blocks[-1].rows[0][5] == "no"
    assert found["others"].blocks[0].rows[0][0] == "share"
    assert found["level"].blocks[-1].blocks[-1].rows == ()
    second = build_page(book).answers[0].second
    assert "4 figures" in second
    assert "2 of the 3" in second


def test_figures_without_a_bar_are_folded_under_those_with_one():
    book = book_with(
        [
            figure("volume", "error over the prior's", 0.884, bar="at most 0.9", is_met=True),
            figure("volume", "RMSE", 12345.0),
            figure("group", "RMSE alone", 0.0312),
        ]
    )
    asked, fold = sections(book)["sets"].blocks[-1].blocks[-2:]
    assert [row[0] for row in asked.rows] == ["error over the prior's"]
    assert isinstance(fold, Fold)
    assert fold.title.startswith("2 figures")
    assert fold.blocks[0].rows == (
        ("RMSE", "12,345", "0.020", "200"),
        ("RMSE alone", "0.031", "0.020", "200"),
    )
    assert "seeds 0 to 199" in asked.note


def test_without_figures_the_page_says_that_nothing_was_measured():
    book = book_with([])
    assert "not measured yet" in build_page(book).answers[0].second
    assert sections(book)["sets"].blocks[-1].blocks[-1].empty == "Not measured yet."


def test_what_is_left_out_stands_with_its_simulated_case():
    assert next(one for one in columns_of("ref_recovery") if one.name == "case").values == CASES
    rows = [figure("volume", f"figure of {case}", 0.4, case=case) for case in CASES]
    prose, table = sections(book_with(rows))["left"].blocks
    assert len(prose.paragraphs) == 1 + len(CASES)
    assert [row[0].split(": ")[1] for row in table.rows] == [f"figure of {case}" for case in CASES]


def test_what_is_never_computed_has_its_sources():
    text = " ".join(sections(make_book())["never"].blocks[0].paragraphs)
    # CHECK values, section 8: read in the sources named.
    for told in ("1.53", "2.45", "1.95", "Lolli", "38 days (17 to 59)", "19 days (6 to 32)"):
        assert told in text
    assert text.count("read)") >= 4
    # 1.96 x 1.98 = 3.88 (computed).
    assert f"±{1.96 * 1.98:.1f}" in text
