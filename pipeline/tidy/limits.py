"""Limits of set values, from the dictionary of columns: what lies outside is set aside."""

import polars as pl

from pipeline.core.dictionary import columns_of
from pipeline.tidy.cells import add_fault

# Column: what it is, and what its number counts. Counted columns (set_no) need no check.
CHECKED = {
    "load_kg": ("weight", "kg in all"),
    "reps": ("repetitions", "repetitions"),
    "rir": ("reserve", "repetitions in reserve"),
    "segment_no": ("segment", "as the number of a segment"),
    "duration_s": ("duration", "s"),
    "distance_m": ("distance", "m"),
    "angle_deg": ("bench angle", "degrees"),
}


def check_limits(sets: pl.DataFrame) -> pl.DataFrame:
    """Mark the sets with a value outside the limits that table ``tidy_set`` gives."""
    for column in columns_of("tidy_set"):
        if column.name not in CHECKED or column.low is None or column.high is None:
            continue
        what, counted = CHECKED[column.name]
        value = pl.col(column.name)
        told = pl.format(
            f"{{}} {counted}; {column.low:g} to {column.high:g} is read; correct it in "
            "corrections.toml",
            value.round(2) if column.type == "real" else value,
        )
        is_outside = (value < column.low) | (value > column.high)
        sets = add_fault(sets, is_outside, f"{what} out of range", told)
    return sets
