"""Evidence from a lifter's own decade of logs. For those who come from Python:

>>> from pipeline import findings, forecast, read_logbook, refresh
"""

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import polars as pl

__all__ = ["findings", "forecast", "read_logbook", "refresh"]


def refresh(home: str | Path) -> dict[str, Any]:
    """Refresh a lifter's folder and return its line in the history of runs.

    Raises
    ------
    SettingsError
        when one of the user's own files cannot be used.
    BusyError
        when another refresh of the folder is running.
    """
    from pipeline.flows.run import refresh_home

    return refresh_home(Path(home))


def findings(home: str | Path) -> "pl.DataFrame":
    """Table ``finding`` of the newest complete run.

    Raises
    ------
    EngineError
        when nothing has been published yet.
    """
    from pipeline.core.home import Home
    from pipeline.store.warehouse import read_table

    return read_table(Home(Path(home)).current / "warehouse.duckdb", "finding")


def forecast(
    home: str | Path, lifter_id: str, subjects: Sequence[str], dates: Sequence[date]
) -> "pl.DataFrame":
    """Levels of lifts (kg) or muscles (% change) on dates to come, from the newest complete run.

    ``subjects``: ``lift:<id>`` or ``muscle:<id>``. A row each with an 80 % interval and "no
    change" beside it, and for two lifts or more their sum; ``why_not`` says what cannot be told.

    Raises
    ------
    EngineError
        when nothing has been published yet.
    """
    from pipeline.core.home import Home
    from pipeline.findings.forecast import TABLES
    from pipeline.findings.forecast_dates import forecast_dates
    from pipeline.store.warehouse import read_tables

    tables = read_tables(Home(Path(home)).current / "warehouse.duckdb", TABLES)
    return forecast_dates(tables, lifter_id, subjects, dates)


def read_logbook(path: str | Path, map: str | Path) -> "pl.DataFrame":
    """Table ``tidy_set`` of one file, read as the map file says; names by the shipped reference.

    Raises
    ------
    InputError, SettingsError
        when the file or the map cannot be used.
    """
    from pipeline.flows.logbook import read_one

    return read_one(Path(path), Path(map))
