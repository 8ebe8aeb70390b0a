"""Pairs of the balance are named by what is counted, also where they are left out."""

from dataclasses import replace

import polars as pl
import pytest

from dashboards.pages.priorities import build_page
from dashboards.prepare.priorities.balance import KINDS, PAIRS, panel_title
from tests.pages.book import make_book


@pytest.mark.parametrize("kind", KINDS)
def test_pairs_without_an_answer_are_left_out_by_name(kind: str) -> None:
    book = make_book()
    is_pair = (pl.col("question") == "balance") & pl.col("subject").str.ends_with(f"@{kind}")
    findings = book.tables["finding"].with_columns(
        estimate=pl.when(is_pair).then(None).otherwise("estimate"),
        support_why=pl.when(is_pair).then(pl.lit("5 earlier")).otherwise("support_why"),
    )
    refused = replace(book, tables={**book.tables, "finding": findings})
    said = " ".join(str(one) for one in build_page(refused, book.lifters[0]).left_out)
    assert all(panel_title(pair, kind) in said for pair in PAIRS)
