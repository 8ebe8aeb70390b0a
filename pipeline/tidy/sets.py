"""Tables with one row per set to draft sets: each distinct text of a column is read once."""

from datetime import date
from functools import partial

import polars as pl

from pipeline.core.source import FILE_NAME, RawFile
from pipeline.tidy import numbers
from pipeline.tidy.cells import Reader, Schema, read_cells
from pipeline.tidy.dates import read_date, year_in_name
from pipeline.tidy.draft import conform_draft, label_of, need_date, need_name, need_result, optional
from pipeline.tidy.drops import link_drops
from pipeline.tidy.file_days import day_in_name, year_of_sheet
from pipeline.tidy.loads import LOAD_COLUMNS, read_load_cell
from pipeline.tidy.records import read_rows
from pipeline.tidy.several import spread_rows

# Fields that make a row more than a day without sets.
CONTENT = ("exercise", "sets", "load", "reps", "duration_s", "distance_m")


def read_days(frame: pl.DataFrame, raw: RawFile, limit: date) -> pl.DataFrame:
    """Add ``session_date`` from ``date_text``.

    Raises
    ------
    InputError
        when the year is to come from the file's name and is not in it.
    """
    label, order = label_of(raw, "date"), raw.map.date_order
    if label == FILE_NAME:
        return frame.with_columns(session_date=day_in_name(raw.file, order, limit))
    year = year_in_name(raw.file) if raw.map.year_from == "file name" else None
    if raw.map.year_from == "sheet" or raw.map.order_changes:
        return _read_days_by_row(frame, raw, year, limit)

    read = partial(_read_day, order=order, year=year, sheet=None, limit=limit)
    return read_cells(frame, "date_text", label, read, {"session_date": pl.Date()})


def _read_days_by_row(
    frame: pl.DataFrame, raw: RawFile, year: int | None, limit: date
) -> pl.DataFrame:
    """Days whose year is in the name of their sheet, or whose order changes within the file."""
    label, of_sheet = label_of(raw, "date"), raw.map.year_from == "sheet"
    order = pl.lit(raw.map.date_order)
    for change in raw.map.order_changes:
        is_behind = pl.col("row_no") >= change.from_row
        order = pl.when(is_behind).then(pl.lit(change.order)).otherwise(order)
    sheet = pl.col("sheet_text").cast(pl.String) if of_sheet else pl.lit(None, pl.String)
    frame = frame.with_columns(order.alias("its_order"), sheet.alias("its_sheet"))
    parts: list[pl.DataFrame] = []
    groups = frame.with_row_index("at").group_by("its_order", "its_sheet", maintain_order=True)
    for (its_order, its_sheet), rows in groups:
        read = partial(_read_day, order=str(its_order), year=year, sheet=its_sheet, limit=limit)
        parts.append(read_cells(rows, "date_text", label, read, {"session_date": pl.Date()}))
    if not parts:
        return frame.with_columns(session_date=pl.lit(None, pl.Date)).drop("its_order", "its_sheet")
    return pl.concat(parts).sort("at").drop("at", "its_order", "its_sheet")


def _read_day(
    text: str, *, order: str, year: int | None, sheet: object, limit: date
) -> dict[str, object]:
    known = year if sheet is None else year_of_sheet(str(sheet))
    return {"session_date": read_date(text, order, known, limit)}


def is_blank(frame: pl.DataFrame) -> pl.Expr:
    """No content in the columns that the map reads, and no date that is not understood."""
    content = [f"{field}_text" for field in CONTENT if f"{field}_text" in frame.columns]
    return (
        pl.all_horizontal(pl.col(name).is_null() for name in content) & pl.col("reason").is_null()
    )


def draft_sets(raw: RawFile, limit: date) -> tuple[pl.DataFrame, int]:
    """Draft sets of a table of sets, and the number of its blank rows.

    Parameters
    ----------
    limit : the last day that can have been logged.
    """
    frame = read_days(read_rows(raw), raw, limit)
    blank = is_blank(frame)
    rows = frame.filter(~blank)
    n_blank = frame.height - rows.height
    rows = need_name(need_date(rows, raw), raw)
    rows = read_results(spread_rows(rows, raw), raw)
    rows = need_result(read_marks(rows, raw))
    return link_drops(rows, raw).pipe(_name_draft).pipe(conform_draft), n_blank


def _name_draft(frame: pl.DataFrame) -> pl.DataFrame:
    return frame.with_columns(
        pl.col("exercise_text").alias("exercise_as_written"),
        optional(frame, "load_text").alias("load_as_written"),
    )


def read_results(frame: pl.DataFrame, raw: RawFile) -> pl.DataFrame:
    """Add what was lifted and how often: load parts, reps, reps_target, duration, distance."""
    sign = raw.map.decimal
    readers: tuple[tuple[str, Reader, Schema], ...] = (
        ("load", partial(read_load_cell, decimal=sign, plates=raw.map.plates), LOAD_COLUMNS),
        ("reps", numbers.read_reps, {"reps": pl.Int64(), "reps_target": pl.String()}),
        ("duration_s", partial(numbers.read_duration, decimal=sign), {"duration_s": pl.Float64()}),
        ("distance_m", partial(numbers.read_distance, decimal=sign), {"distance_m": pl.Float64()}),
    )
    for field, read, schema in readers:
        frame = read_cells(frame, f"{field}_text", label_of(raw, field), read, schema)
    return frame


def read_marks(frame: pl.DataFrame, raw: RawFile) -> pl.DataFrame:
    """Add what else a row says of its set: reserve, flags, set-up, remarks."""
    sign = raw.map.decimal
    flag: Schema = {"flag": pl.Boolean()}
    readers: tuple[tuple[str, Reader, Schema, str], ...] = (
        ("rir", partial(numbers.read_rir, decimal=sign), {"rir": pl.Float64()}, "rir"),
        (
            "rpe",
            partial(numbers.read_rpe, decimal=sign),
            {"rir_of_rpe": pl.Float64()},
            "rir_of_rpe",
        ),
        ("to_failure", numbers.read_flag, flag, "to_failure"),
        ("is_warmup", numbers.read_warmup, flag, "is_warmup"),
        ("side", numbers.read_side, {"side": pl.String()}, "side"),
        (
            "angle",
            partial(numbers.read_angle, decimal=sign),
            {"angle_deg": pl.Float64()},
            "angle_deg",
        ),
    )
    for field, read, schema, name in readers:
        frame = read_cells(frame, f"{field}_text", label_of(raw, field), read, schema)
        frame = frame.rename({next(iter(schema)): name})
    return frame.with_columns(
        pl.coalesce("rir", "rir_of_rpe").alias("rir"),
        *(
            optional(frame, f"{field}_text").alias(field)
            for field in ("session", "superset", "position", "note")
        ),
        *([] if "unit_text" in frame.columns else [pl.lit(None, pl.String).alias("unit_text")]),
    )
