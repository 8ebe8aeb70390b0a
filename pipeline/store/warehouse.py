"""The warehouse: one DuckDB file, built anew by each refresh and never changed once published.

Tables and columns are those of the dictionary. Loaded rows are sorted by all their columns and
SQL models by all of theirs, so that two builds from the same input hold identical tables.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import duckdb
import polars as pl

from pipeline.core.dictionary import Column, columns_of, conform, empty_frame, tables
from pipeline.core.errors import EngineError
from pipeline.core.settings import Settings, default_thresholds
from pipeline.store.connection import open_to_build, open_to_read, quote
from pipeline.store.sql_models import SqlModel, read_checks, read_models

SQL_TYPES = {
    "text": "varchar",
    "json": "varchar",
    "int": "bigint",
    "real": "double",
    "bool": "boolean",
    "date": "date",
}
# Stages whose tables are there before the SQL models run; the others come later by add_tables.
LOADED_BY = ("sources", "reference", "settings", "tidy", "checks")


@dataclass(frozen=True)
class BrokenRule:
    """A rule about whole tables (``sql/checks``) that does not hold.

    ``rows`` is how many rows break it and ``first`` the first of them, column to value.
    """

    name: str
    holds: str
    rows: int
    first: dict[str, object]


def build_warehouse(
    path: Path,
    frames: Mapping[str, pl.DataFrame],
    settings: Settings,
    parquet: Mapping[str, Sequence[Path]] | None = None,
) -> None:
    """Make the database ``path``: load what is given, then run every SQL model.

    Parameters
    ----------
    path : file to make; one that is there already is replaced.
    frames : table name to rows; a table not given is made empty.
    settings : thresholds in force; stored as ``ref_threshold`` and read by the models.
    parquet : table name to Parquet files that hold its rows, with the dictionary's columns, for
        tables too large to pass as a frame. A table is given in one way only.

    Raises
    ------
    EngineError
        when DuckDB fails or a required column holds a null; names table and column.
    ValueError, KeyError
        when a frame or file has a table or column that the dictionary does not know.
    """
    parquet = parquet or {}
    frames = {"ref_threshold": threshold_frame(settings)} | dict(frames)
    for name in [*frames, *parquet]:
        columns_of(name)
    path.unlink(missing_ok=True)
    folders = [file.parent for files in parquet.values() for file in files]
    with open_to_build(path, folders) as connection:
        for table in tables():
            if table in parquet:
                _load_parquet(connection, table, parquet[table])
            elif table in frames or columns_of(table)[0].made_by in LOADED_BY:
                load_frame(connection, table, frames.get(table, empty_frame(table)))
        for model in read_models():
            run_model(connection, model)


def add_tables(path: Path, frames: Mapping[str, pl.DataFrame]) -> None:
    """Add or replace tables in a database that is not yet published: models and findings.

    Raises
    ------
    EngineError
        when DuckDB fails, also when another process has the file open.
    """
    with open_to_build(path) as connection:
        for table in sorted(frames):
            load_frame(connection, table, frames[table])


def read_table(path: Path, table: str) -> pl.DataFrame:
    """All rows of one table, in stored order.

    Raises
    ------
    EngineError
        when the file or the table is not there.
    """
    return read_tables(path, [table])[table]


def read_tables(path: Path, names: Iterable[str]) -> dict[str, pl.DataFrame]:
    """All rows of several tables, through one connection; see ``read_table``."""
    with open_to_read(path) as connection:
        return {name: connection.sql(f"from {_name(name)}").pl() for name in names}


def read_where(path: Path, table: str, **equal: object) -> pl.DataFrame:
    """The rows of one table whose columns hold the values given, in stored order.

    Raises
    ------
    EngineError
        when the file or the table is not there.
    """
    wanted = " and ".join(f"{_name(column)} = ?" for column in equal)
    with open_to_read(path) as connection:
        query = f"select * from {_name(table)} where {wanted}"
        return connection.sql(query, params=list(equal.values())).pl()


def run_checks(path: Path) -> tuple[BrokenRule, ...]:
    """The rules of ``sql/checks`` that the database breaks; empty when all hold."""
    with open_to_read(path) as connection:
        found = [_run_check(connection, check) for check in read_checks()]
    return tuple(broken for broken in found if broken is not None)


def threshold_frame(settings: Settings) -> pl.DataFrame:
    """Table ``ref_threshold``: every threshold in force, with its unit."""
    rows = [
        {
            "threshold": name,
            "value": settings[name],
            "unit": entry.unit,
            "is_changed": name in settings.changed,
        }
        for name, entry in default_thresholds().items()
    ]
    return conform("ref_threshold", pl.DataFrame(rows, infer_schema_length=None))


def load_frame(connection: duckdb.DuckDBPyConnection, table: str, frame: pl.DataFrame) -> None:
    """Make ``table`` from ``frame``; unknown is null in the database, never not-a-number."""
    rows = conform(table, frame).fill_nan(None)
    create_table(connection, table)
    connection.register("loading", rows.to_arrow())
    _fill(connection, table, "from loading")
    connection.unregister("loading")


def run_model(connection: duckdb.DuckDBPyConnection, model: SqlModel) -> None:
    """Make the table of one SQL model.

    Raises
    ------
    ValueError
        when its columns are not those of the dictionary.
    """
    made = [row[0] for row in connection.execute(f"describe {model.query}").fetchall()]
    known = [column.name for column in columns_of(model.name)]
    if sorted(made) != sorted(known):
        odd = sorted(set(made) ^ set(known))
        raise ValueError(f"sql/{model.stage}/{model.name}.sql: not as in the dictionary: {odd}")
    create_table(connection, model.name, f"One row per {model.says.removeprefix('one row per ')}.")
    names = ", ".join(_name(name) for name in known)
    _fill(connection, model.name, f"select {names} from ({model.query})")


def create_table(connection: duckdb.DuckDBPyConnection, table: str, comment: str = "") -> None:
    """Make ``table`` empty, with the dictionary's types, required columns and meanings."""
    columns = columns_of(table)
    definition = ", ".join(
        f"{_name(c.name)} {SQL_TYPES[c.type]}{' not null' if c.required else ''}" for c in columns
    )
    connection.execute(f"create or replace table {_name(table)} ({definition})")
    if comment:
        connection.execute(f"comment on table {_name(table)} is {quote(comment)}")
    for column in columns:
        place = f"{_name(table)}.{_name(column.name)}"
        connection.execute(f"comment on column {place} is {quote(describe_column(column))}")


def describe_column(column: Column) -> str:
    """What a column holds, in one line: meaning, unit, what null means."""
    unit = f" [{column.unit}]" if column.unit else ""
    null = f"; null: {column.null_means}" if column.null_means else ""
    return f"{column.meaning}{unit}{null}"


def _load_parquet(connection: duckdb.DuckDBPyConnection, table: str, files: Sequence[Path]) -> None:
    create_table(connection, table)
    if not files:
        return
    names = ", ".join(_name(column.name) for column in columns_of(table))
    listed = ", ".join(quote(str(file.resolve())) for file in files)
    _fill(connection, table, f"select {names} from read_parquet([{listed}])")


def _fill(connection: duckdb.DuckDBPyConnection, table: str, query: str) -> None:
    try:
        connection.execute(f"insert into {_name(table)} from ({query}) order by all")
    except duckdb.ConstraintException as error:
        column = str(error).rsplit(".", 1)[-1]
        raise EngineError(
            f"{table}.{column}: null in a required column: "
            "the stage that makes it has to give a value or set the row aside"
        ) from error


def _run_check(connection: duckdb.DuckDBPyConnection, check: SqlModel) -> BrokenRule | None:
    rows = connection.sql(check.query).pl()
    if rows.is_empty():
        return None
    return BrokenRule(check.name, check.says, rows.height, rows.row(0, named=True))


def _name(identifier: str) -> str:
    return '"' + identifier.replace('"', '""') + '"'
