"""Table ``mart_day_signal`` as the warehouse makes it."""

import duckdb
import polars as pl

from pipeline.core.dictionary import conform
from pipeline.store.sql_models import read_models
from pipeline.store.warehouse import load_frame, run_model


def day_signals(signals: pl.DataFrame) -> pl.DataFrame:
    """One reading a day of ``tidy_signal``, by the program's own SQL."""
    (model,) = [one for one in read_models() if one.name == "mart_day_signal"]
    with duckdb.connect() as connection:
        load_frame(connection, "tidy_signal", signals)
        run_model(connection, model)
        return conform("mart_day_signal", connection.sql("from mart_day_signal").pl())
