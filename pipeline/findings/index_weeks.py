"""A muscle's strength index as the steps after its fit read it: weekly arrays from its table."""

from dataclasses import dataclass

import numpy as np
import polars as pl

from pipeline.findings.arrays import Record
from pipeline.models.arrays import Bools, Floats


@dataclass(frozen=True)
class IndexWeeks:
    """Index of one muscle, or level of one lift, on the record's calendar.

    Attributes
    ----------
    level_log, se : (n_weeks,) index and standard error of its course, log; nan where there is none.
    is_trained : (n_weeks,) weeks with a set that speaks of the muscle's strength.
    """

    level_log: Floats
    se: Floats
    is_trained: Bools


def read_indexes(record: Record, table: pl.DataFrame) -> dict[str, IndexWeeks]:
    """Every muscle of ``model_muscle_index`` of one lifter, in the table's order."""
    parts = table.partition_by("muscle_id", as_dict=True, maintain_order=True)
    return {str(muscle): read_weeks(record, rows) for (muscle,), rows in parts.items()}


def read_weeks(record: Record, rows: pl.DataFrame) -> IndexWeeks:
    """One muscle's or lift's rows of its model table, on the record's calendar."""
    week = np.array([record.week_of(day) for day in rows["week_start"]], dtype=np.int64)
    level, se = np.full(record.n_weeks, np.nan), np.full(record.n_weeks, np.nan)
    is_trained = np.zeros(record.n_weeks, dtype=bool)
    level[week], se[week] = rows["level_log"].to_numpy(), rows["se"].to_numpy()
    is_trained[week] = rows["is_trained"].to_numpy()
    return IndexWeeks(level, se, is_trained)
