"""The dictionary of columns: complete, consistent, and what the database really holds."""

import polars as pl
import pytest

from pipeline.core.dictionary import columns_of, conform, empty_frame, read_dictionary, tables


def test_every_column_says_what_it_means():
    assert [c for c in read_dictionary() if not c.meaning] == []


def test_a_required_column_never_explains_null_and_the_others_do():
    odd = [f"{c.table}.{c.name}" for c in read_dictionary() if c.required == bool(c.null_means)]
    assert odd == []


def test_no_column_stands_twice():
    names = [(c.table, c.name) for c in read_dictionary()]
    assert len(names) == len(set(names))


def test_table_names_begin_with_their_stage():
    stages = ("raw_", "tidy_", "ref_", "mart_", "model_", "finding", "calendar_")
    accounts = {"source_file", "set_aside"}
    assert [t for t in tables() if not t.startswith(stages) and t not in accounts] == []


def test_conform_orders_and_fills():
    frame = conform("ref_contribution", pl.DataFrame({"role": ["direct"], "muscle_id": ["chest"]}))
    assert frame.columns == [c.name for c in columns_of("ref_contribution")]
    assert frame["exercise_id"].to_list() == [None]


def test_conform_refuses_an_undocumented_column():
    frame = empty_frame("ref_contribution").with_columns(colour=pl.lit("red"))
    with pytest.raises(ValueError, match=r"no entry in dictionary.csv for colour"):
        conform("ref_contribution", frame)


def test_an_unknown_table_is_named():
    with pytest.raises(KeyError, match="mart_day"):
        columns_of("mart_day")
