"""A prediction as a row of a frame and as a line of the file: the same names in both."""

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

import polars as pl

from pipeline.core.identity import hash_of

PREDICTION: dict[str, Any] = {
    "predicted_on": pl.Date,
    "lifter_id": pl.String,
    "question": pl.String,
    "subject": pl.String,
    "weeks_ahead": pl.Int64,
    "from_date": pl.Date,
    "to_date": pl.Date,
    "estimate": pl.Float64,
    "low80": pl.Float64,
    "high80": pl.Float64,
    "unchanged": pl.Float64,
    "level_log": pl.Float64,
    "zero_on": pl.Date,
    "unit": pl.String,
    "finding_id": pl.String,
    "method": pl.String,
    "model_version": pl.String,
    "source": pl.String,
}
# What makes two lines the same prediction, whatever they say.
SAME = ("lifter_id", "question", "subject", "predicted_on", "weeks_ahead", "from_date")


def line_of(row: Mapping[str, Any]) -> dict[str, object]:
    """A row as the file keeps it: days as text, what is null left out."""
    return {
        name: value.isoformat() if isinstance(value, date) else value
        for name, value in row.items()
        if value is not None
    }


def frame_of_lines(lines: Iterable[Mapping[str, Any]]) -> pl.DataFrame:
    """Lines of the file as rows ``PREDICTION`` with prediction_id, the first of any told twice."""
    days = {name for name, kind in PREDICTION.items() if kind == pl.Date}
    rows = [
        {
            name: date.fromisoformat(line[name])
            if name in days and name in line
            else line.get(name)
            for name in PREDICTION
        }
        for line in lines
    ]
    frame = pl.DataFrame(rows, schema=PREDICTION).unique(SAME, keep="first", maintain_order=True)
    ids = [hash_of(*(str(value) for value in row)) for row in frame.select(SAME).iter_rows()]
    return frame.with_columns(prediction_id=pl.Series(ids, dtype=pl.String))
