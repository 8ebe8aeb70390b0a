"""The fold that says under what a finding holds and on what it hangs."""

from dataclasses import replace
from datetime import date

import polars as pl
import pytest

from dashboards.blocks import Table
from dashboards.prepare.stability import stability_folds
from pipeline.core.dictionary import conform
from pipeline.core.page_book import PageBook
from tests.pages.book import make_book

DAY = date(2026, 1, 5)
NAMES = {("supported_sets", "muscle:chest"): "Chest"}


@pytest.fixture(scope="module")
def checked() -> PageBook:
    """A book whose chest was checked: all held but the count of direct sets only."""
    book = make_book()
    lifter = book.lifters[0].lifter_id
    is_chest = (pl.col("lifter_id") == lifter) & (pl.col("subject") == "muscle:chest")
    is_chest &= (pl.col("question") == "supported_sets") & (pl.col("window") == "now")
    finding = book.tables["finding"].with_columns(
        checked_on=pl.when(is_chest).then(pl.lit(DAY)).otherwise("checked_on")
    )
    row = finding.filter(is_chest).row(0, named=True)
    kept = ("lifter_id", "finding_id", "question", "subject", "window", "age_from")
    common = {name: row[name] for name in kept} | {"low": 9.0, "high": 15.0, "checked_on": DAY}
    done = [
        ("shuffled_weeks", "1 of 20 shuffled records show something", 14.0, False),
        ("left_out_year", "training age 5 to 6", 12.1, False),
        ("left_out_year", "training age 6 to 7", 12.3, False),
        ("direct_only", "indirect sets not counted", 20.44, True),
    ]
    rows = [
        {**common, "check_name": name, "detail": said, "estimate": value, "is_flipped": is_flipped}
        for name, said, value, is_flipped in done
    ]
    checks = conform("model_check", pl.DataFrame(rows))
    return replace(book, tables={**book.tables, "finding": finding, "model_check": checks})


def test_a_row_says_what_held_and_on_what_the_finding_hangs(checked: PageBook) -> None:
    ((title, (table,)),) = stability_folds(checked, checked.lifters[0].lifter_id, NAMES)
    assert title == "What was checked on this record"
    assert isinstance(table, Table)
    ((name, about, holds, hangs, _, checked_on),) = table.rows
    assert name == "Chest"
    assert about.startswith("training age ")
    assert holds == "shuffled weeks, any one year left out"
    assert hangs == "with indirect sets not counted it is 20.4 sets/week"
    assert checked_on == "5 Jan 2026"


def test_without_checks_there_is_no_fold(checked: PageBook) -> None:
    other = {("supported_sets", "muscle:calves"): "Calves"}
    assert stability_folds(checked, checked.lifters[0].lifter_id, other) == ()
    assert stability_folds(checked, "nobody", NAMES) == ()
