"""Each SQL model against the cases beside it, and the order in which models may read.

A case gives tables as text, columns parted by "|", and what the model must make of them. Required
columns that a case does not name are filled with the least that is allowed; an empty cell is null.
Only the columns that ``expect`` names are compared, all rows and in the model's order.
"""

import re
import tomllib
from dataclasses import dataclass
from datetime import date
from functools import cache
from importlib import resources

import duckdb
import polars as pl
import pytest
from polars.testing import assert_frame_equal

from pipeline.core.dictionary import Column, columns_of, conform, schema_of, tables
from pipeline.store.sql_models import SqlModel, in_order, parse_model, read_checks, read_models
from pipeline.store.warehouse import load_frame, run_model

MODELS = {model.name: model for model in read_models()}
STAGES = ("calendar", "marts/set", "marts/day", "marts/session", "marts/week")
LEAST = {
    "text": "x",
    "json": "{}",
    "int": 1,
    "real": 0.0,
    "bool": False,
    "date": date(2000, 1, 1),
}


@dataclass(frozen=True)
class Case:
    """One case: the tables given and the rows expected, both as text."""

    model: str
    name: str
    given: dict[str, str]
    expect: str


def read_cases(name: str) -> list[Case]:
    file = resources.files("sql").joinpath(f"{MODELS[name].stage}/{name}.cases.toml")
    entries = tomllib.loads(file.read_text("utf-8"))["case"]
    return [Case(name, entry["name"], entry["given"], entry["expect"]) for entry in entries]


def parse_rows(table: str, text: str) -> pl.DataFrame:
    """A frame of the columns that the text names, in the dictionary's types."""
    lines = [[cell.strip() for cell in line.split("|")] for line in text.strip().splitlines()]
    head, rows = (lines[0], lines[1:]) if lines else ([], [])
    schema = {name: schema_of(table)[name] for name in head}
    columns = [
        _cast(pl.Series(name, [row[i] or None for row in rows], dtype=pl.String()), schema[name])
        for i, name in enumerate(head)
    ]
    return pl.DataFrame(columns)


def _cast(cells: pl.Series, to: pl.DataType) -> pl.Series:
    if to == pl.Boolean():
        return cells.replace_strict({"true": True, "false": False}, return_dtype=pl.Boolean())
    return cells.str.to_date() if to == pl.Date() else cells.cast(to)


def fill(table: str, rows: pl.DataFrame) -> pl.DataFrame:
    """``rows`` with the required columns that they lack."""
    if rows.is_empty():
        return conform(table, pl.DataFrame(schema=schema_of(table)))
    absent = [c for c in columns_of(table) if c.required and c.name not in rows.columns]
    return conform(table, rows.with_columns(pl.lit(least(c)).alias(c.name) for c in absent))


def least(column: Column) -> object:
    if column.values:
        return column.values[0]
    if column.low is not None:
        return column.low
    return LEAST[column.type]


CASES = [case for name in MODELS for case in read_cases(name)]


@pytest.mark.parametrize("case", CASES, ids=[f"{c.model}: {c.name}" for c in CASES])
def test_case(case: Case) -> None:
    expected = parse_rows(case.model, case.expect)
    with duckdb.connect() as connection:
        for table, text in case.given.items():
            load_frame(connection, table, fill(table, parse_rows(table, text)))
        run_model(connection, MODELS[case.model])
        made = connection.sql(f"from {case.model}").pl()
    assert_frame_equal(made.select(expected.columns), expected, abs_tol=1e-6)


@pytest.mark.parametrize("name", sorted(MODELS))
def test_cases_give_every_table_that_the_model_reads(name: str) -> None:
    for case in read_cases(name):
        assert set(case.given) == set(MODELS[name].reads), case.name


@cache
def tables_in(query: str) -> frozenset[str]:
    """Tables that a query names after from and join, those it makes itself left out."""
    bare = re.sub(r"--[^\n]*", "", query)
    own = set(re.findall(r"(\w+) as \(\s*(?:select|from)", bare))
    return frozenset(re.findall(r"\b(?:from|join) (\w+)", bare)) - own


@pytest.mark.parametrize("model", [*read_models(), *read_checks()], ids=lambda model: model.name)
def test_reads_says_which_tables_are_read(model: SqlModel) -> None:
    known = {name for name in tables_in(model.query) if name in tables()}
    assert known == set(model.reads)
    assert len(model.query.splitlines()) <= 80


@pytest.mark.parametrize("name", sorted(MODELS))
def test_a_mart_reads_tidy_reference_calendar_or_a_finer_mart(name: str) -> None:
    model = MODELS[name]
    finer = STAGES[: STAGES.index(model.stage)]
    for table in model.reads:
        allowed = table.startswith(("tidy_", "ref_")) or MODELS[table].stage in finer
        assert allowed, f"{name} reads its sibling {table}"


def test_every_mart_and_calendar_table_of_the_dictionary_is_made() -> None:
    made_by_sql = {table for table in tables() if columns_of(table)[0].made_by == "sql"}
    assert set(MODELS) == made_by_sql


def test_models_follow_what_they_read() -> None:
    names = [model.name for model in read_models()]
    for model in read_models():
        assert all(names.index(t) < names.index(model.name) for t in model.reads if t in MODELS)


def test_models_that_read_each_other_are_named() -> None:
    first = parse_model("a", "marts/week", "-- grain: one row\n-- reads: b\nselect 1")
    second = parse_model("b", "marts/week", "-- grain: one row\n-- reads: a\nselect 1")
    with pytest.raises(ValueError, match=r"read each other: .*a.*b"):
        in_order([first, second])


@pytest.mark.parametrize(
    ("stage", "head"), [("marts/week", "-- holds: x"), ("checks", "-- grain: x")]
)
def test_a_file_without_its_head_is_refused(stage: str, head: str) -> None:
    with pytest.raises(ValueError, match="begin with"):
        parse_model("a", stage, f"{head}\n-- reads: b\nselect 1")


def test_a_column_without_entry_stops_the_build() -> None:
    text = (
        "-- grain: one row per lifter\n-- reads: tidy_set\nselect 'a' as lifter_id, 1 as odd_count"
    )
    model = parse_model("mart_week_lift", "marts/week", text)
    with duckdb.connect() as connection, pytest.raises(ValueError, match="odd_count"):
        run_model(connection, model)
