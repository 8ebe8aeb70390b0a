"""How the database is opened: shut off from the network and from every folder not named.

Writing and reading never share a file: a warehouse is built under a name of its own and read
after it was closed, so that DuckDB's exclusive lock is never met.
"""

import shutil
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

import duckdb

from pipeline.core.errors import EngineError

MEMORY_LIMIT = "1GB"
# One thread while building: the order in which parallel threads add up real numbers differs from
# run to run, and with it the last digits of a tonnage. Two builds must give identical tables.
BUILD_THREADS = 1
READ_THREADS = 2
# Extensions are never fetched: what the wheel carries is all there is.
OFFLINE: dict[str, str | bool | int | float | list[str]] = {
    "autoinstall_known_extensions": "false",
    "autoload_known_extensions": "false",
    "memory_limit": MEMORY_LIMIT,
}


@contextmanager
def open_to_build(path: Path, readable: Sequence[Path] = ()) -> Iterator[duckdb.DuckDBPyConnection]:
    """A writing connection to ``path`` that may read files in the folders ``readable``.

    All of it is one transaction, closed with a checkpoint: an error leaves the file as it was, and
    no write-ahead log stays beside it.

    Raises
    ------
    EngineError
        when DuckDB cannot open, fill or close the file.
    """
    spill = path.with_name(f"{path.name}.spill")
    config = OFFLINE | {"threads": str(BUILD_THREADS), "temp_directory": str(spill)}
    try:
        connection = duckdb.connect(str(path), config=config)
        with connection:
            _shut(connection, readable)
            connection.execute("begin")
            yield connection
            connection.execute("commit")
            connection.execute("checkpoint")
    except duckdb.Error as error:
        raise EngineError(_say(path, error, "delete the file and refresh again")) from error
    finally:
        shutil.rmtree(spill, ignore_errors=True)


@contextmanager
def open_to_read(path: Path) -> Iterator[duckdb.DuckDBPyConnection]:
    """A read-only connection to ``path``; several may be open at once.

    Raises
    ------
    EngineError
        when the file is missing, is being written or is no database, or when a query fails.
    """
    config = OFFLINE | {
        "threads": str(READ_THREADS),
        "enable_external_access": "false",
        "lock_configuration": "true",
    }
    try:
        with duckdb.connect(str(path), read_only=True, config=config) as connection:
            yield connection
    except duckdb.Error as error:
        raise EngineError(_say(path, error, "run a refresh to build it")) from error


def _shut(connection: duckdb.DuckDBPyConnection, readable: Sequence[Path]) -> None:
    """Name the readable folders, then close the way to all others and lock the settings."""
    folders = ", ".join(quote(f"{folder.resolve()}/") for folder in sorted(set(readable)))
    connection.execute(f"set allowed_directories = [{folders}]")
    connection.execute("set enable_external_access = false")
    connection.execute("set lock_configuration = true")


def quote(text: str) -> str:
    """``text`` as a SQL string."""
    return "'" + text.replace("'", "''") + "'"


def _say(path: Path, error: Exception, remedy: str) -> str:
    return f"{path.name}: {str(error).splitlines()[0]}: {remedy}"
