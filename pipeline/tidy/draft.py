"""What the readers of all layouts agree on: draft sets, one row a set, before loads are resolved.

A draft set belongs to a record (``record``, unique in its file, and ``row_no``); a record has one
set in a table of sets and any number in shorthand. Fault columns are those of ``cells.py``.
"""

import polars as pl

from pipeline.core.source import RawFile
from pipeline.tidy.cells import add_fault
from pipeline.tidy.loads import LOAD_COLUMNS

# Columns of a draft set, beside record, row_no, reason and detail.
DRAFT: dict[str, pl.DataType] = {
    "session_date": pl.Date(),
    "session": pl.String(),
    "exercise_as_written": pl.String(),
    "load_as_written": pl.String(),
    "unit_text": pl.String(),
    **LOAD_COLUMNS,
    "reps": pl.Int64(),
    "reps_target": pl.String(),
    "rir": pl.Float64(),
    "to_failure": pl.Boolean(),
    "is_warmup": pl.Boolean(),
    "cluster": pl.String(),
    "segment_no": pl.Int64(),
    "set_no_written": pl.Int64(),
    "superset": pl.String(),
    "duration_s": pl.Float64(),
    "distance_m": pl.Float64(),
    "angle_deg": pl.Float64(),
    "position": pl.String(),
    "side": pl.String(),
    "note": pl.String(),
}
# What later steps look up by its distinct texts, and so may stay categorical.
LOOKED_UP = ("session", "exercise_as_written", "load_as_written")


def conform_draft(frame: pl.DataFrame) -> pl.DataFrame:
    """``frame`` with exactly the draft columns, absent ones null; categorical ones of ``LOOKED_UP``
    stay so."""
    schema = {
        "record": pl.Int64(),
        "row_no": pl.Int64(),
        **DRAFT,
        "reason": pl.String(),
        "detail": pl.String(),
    }
    missing = [pl.lit(None, kind).alias(n) for n, kind in schema.items() if n not in frame.columns]
    coded = frame.select(pl.selectors.categorical()).columns
    casts = {n: kind for n, kind in schema.items() if not (n in coded and n in LOOKED_UP)}
    return frame.with_columns(missing).select(*schema).cast(casts)  # type: ignore[arg-type]


def label_of(raw: RawFile, field: str) -> str:
    """The label of a field in the file, for messages."""
    return raw.map.columns.get(field, field)


def optional(frame: pl.DataFrame, column: str) -> pl.Expr:
    """A text column, or nulls where the file does not have it."""
    return pl.col(column) if column in frame.columns else pl.lit(None, pl.String)


def need_result(frame: pl.DataFrame) -> pl.DataFrame:
    """A set without repetitions, plan, duration or distance says nothing that was done."""
    has_none = pl.all_horizontal(
        pl.col(name).is_null() for name in ("reps", "reps_target", "duration_s", "distance_m")
    )
    detail = "neither repetitions nor a duration or distance; write them, or leave the row empty"
    return add_fault(frame, has_none, "no repetitions", detail)


def need_date(frame: pl.DataFrame, raw: RawFile) -> pl.DataFrame:
    """A record needs its day."""
    detail = f"{label_of(raw, 'date')} is empty; write the day in"
    return add_fault(frame, pl.col("date_text").is_null(), "no date", detail)


def need_name(frame: pl.DataFrame, raw: RawFile) -> pl.DataFrame:
    """A record of a table of sets or exercises needs its exercise."""
    detail = f"{label_of(raw, 'exercise')} is empty; write the name in"
    return add_fault(frame, pl.col("exercise_text").is_null(), "no exercise", detail)


def spread_faults(sets: pl.DataFrame) -> pl.DataFrame:
    """Give a record's fault to all its sets, and that of a set to its drops.

    A record is set aside whole: half of it would be a wrong count. A drop without its set would
    count as none.
    """
    if sets["reason"].null_count() == sets.height:
        return sets
    if sets["record"].n_unique() < sets.height:
        sets = sets.with_columns(
            pl.col(name).drop_nulls().first().over("record").alias(name)
            for name in ("reason", "detail")
        )
    lost = pl.col("reason").is_not_null() & (pl.col("segment_no") == 1)
    return add_fault(
        sets,
        pl.col("cluster").is_not_null() & lost.any().over("cluster"),
        "drop of a set that was set aside",
        "mend the set it belongs to",
    )
