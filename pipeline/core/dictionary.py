"""The dictionary of columns: one entry per column of every table in the warehouse.

Documentation, table heads on pages, axis titles and the data checks are generated from it; a
table column without an entry fails the build (``tests/unit/test_sql_models.py``).
"""

import csv
from dataclasses import dataclass
from functools import cache
from importlib import resources

import polars as pl

TYPES: dict[str, pl.DataType] = {
    "text": pl.String(),
    "json": pl.String(),
    "int": pl.Int64(),
    "real": pl.Float64(),
    "bool": pl.Boolean(),
    "date": pl.Date(),
}


@dataclass(frozen=True)
class Column:
    """One column: what it holds, in which unit, what null means and which stage makes it.

    ``values`` lists the words allowed (empty: any); ``low`` and ``high`` are inclusive limits.
    """

    table: str
    name: str
    type: str
    unit: str
    required: bool
    values: tuple[str, ...]
    low: float | None
    high: float | None
    meaning: str
    null_means: str
    made_by: str


@cache
def read_dictionary() -> tuple[Column, ...]:
    """Every column of every table, in table order."""
    text = resources.files("pipeline.core").joinpath("dictionary.csv").read_text("utf-8")
    return tuple(_column(row) for row in csv.DictReader(text.splitlines()))


def _column(row: dict[str, str]) -> Column:
    return Column(
        table=row["table"],
        name=row["column"],
        type=row["type"],
        unit=row["unit"],
        required=row["required"] == "yes",
        values=tuple(row["values"].split(";")) if row["values"] else (),
        low=float(row["low"]) if row["low"] else None,
        high=float(row["high"]) if row["high"] else None,
        meaning=row["meaning"],
        null_means=row["null_means"],
        made_by=row["made_by"],
    )


def tables() -> tuple[str, ...]:
    """Names of all tables, in dictionary order."""
    return tuple(dict.fromkeys(column.table for column in read_dictionary()))


@cache
def columns_of(table: str) -> tuple[Column, ...]:
    """Columns of one table, in order.

    Raises
    ------
    KeyError
        when the dictionary has no such table.
    """
    found = tuple(column for column in read_dictionary() if column.table == table)
    if not found:
        raise KeyError(f"table {table!r} has no entry in dictionary.csv; known: {tables()}")
    return found


def schema_of(table: str) -> dict[str, pl.DataType]:
    """Column name to polars type, in order."""
    return {column.name: TYPES[column.type] for column in columns_of(table)}


def empty_frame(table: str) -> pl.DataFrame:
    """A frame with the table's columns and no rows."""
    return pl.DataFrame(schema=schema_of(table))


def conform(table: str, frame: pl.DataFrame) -> pl.DataFrame:
    """``frame`` with exactly the table's columns, in order and type; absent ones become null.

    Raises
    ------
    ValueError
        when the frame carries a column that the dictionary does not know.
    """
    schema = schema_of(table)
    unknown = [name for name in frame.columns if name not in schema]
    if unknown:
        raise ValueError(f"{table}: no entry in dictionary.csv for {', '.join(unknown)}")
    missing = [pl.lit(None).alias(name) for name in schema if name not in frame.columns]
    return frame.with_columns(missing).select(list(schema)).cast(schema)  # type: ignore[arg-type]
