"""Tables of measured signals: one row a date, one column a signal; a record is a cell."""

import re
from dataclasses import dataclass
from datetime import date

import polars as pl

from pipeline.core.signals import known_limits
from pipeline.core.source import RawFile, SignalColumn
from pipeline.core.units import CM_PER_INCH, MASS_UNITS
from pipeline.tidy.cells import CellError, add_fault, read_cells
from pipeline.tidy.draft import need_date, optional
from pipeline.tidy.numbers import read_large
from pipeline.tidy.records import read_matrix
from pipeline.tidy.sets import read_days

_HOURS = re.compile(r"(\d{1,2})\s*(?::|h)\s*([0-5]?\d)\s*(?:m|min)?")
_VALUE = re.compile(r"([^a-z%]*?)\s*([a-z%]*)\.?")

# Factor from the unit of a column to that of its signal.
FACTORS = {**MASS_UNITS, "min": 1.0, "h": 60.0, "h:mm": 60.0, "cm": 1.0, "in": CM_PER_INCH}
FACTORS |= {"bpm": 1.0, "ms": 1.0, "steps": 1.0, "points": 1.0}
OTHER_NAMES = {"hours": "h", "hrs": "h", "hr": "h", "mins": "min", "inch": "in", "inches": "in"}
SAME_KIND = (frozenset(("h", "h:mm", "min")), frozenset(MASS_UNITS), frozenset(("cm", "in")))


@dataclass(frozen=True)
class DraftSignals:
    """Signals of one file.

    ``faulty`` has the fault columns and ``as_written``; a signal may be made of several of the
    ``n_kept`` records.
    """

    signals: pl.DataFrame
    faulty: pl.DataFrame
    n_read: int
    n_kept: int
    n_blank: int
    n_repeated: int
    warnings: tuple[str, ...] = ()


def read_signals(raw: RawFile, limit: date) -> DraftSignals:
    """Every measured cell of the file as one signal, in the unit that the signal's name gives.

    A value that stands twice for one day, signal and device is repeated; another value there is
    set aside, since which of the two counts is not known.

    Parameters
    ----------
    limit : the last day that can have been logged.
    """
    columns = {one.label: one for one in raw.map.signals if one.label in raw.frame.columns}
    cells = read_matrix(raw, list(columns))
    full = read_days(cells.filter(pl.col("cell_text").is_not_null()), raw, limit)
    full = need_date(full, raw)
    parts = [_read_column(full, one, raw.map.decimal) for one in columns.values()]
    rows = pl.concat(parts).sort("record")
    rows = rows.with_columns(optional(rows, "device_text").alias("device_id"))
    return gather_signals(rows, raw, cells.height - full.height)


def gather_signals(rows: pl.DataFrame, raw: RawFile, n_blank: int) -> DraftSignals:
    """Keep one value a day, signal and device.

    Parameters
    ----------
    rows : one a record, in the order of the file: record, row_no, session_date, signal, value,
        unit, device_id, label, cell_text, date_text and the fault columns.
    """
    rows = _mark_second_values(rows)
    faulty = rows.filter(pl.col("reason").is_not_null())
    good = rows.filter(pl.col("reason").is_null())
    kept = good.filter(~pl.col("is_repeat"))
    return DraftSignals(
        signals=name_signals(kept.with_columns(n_records=1), raw),
        faulty=describe_signals(faulty),
        n_read=rows.height + n_blank,
        n_kept=kept.height,
        n_blank=n_blank,
        n_repeated=good.height - kept.height,
    )


def _read_column(cells: pl.DataFrame, column: SignalColumn, decimal: str) -> pl.DataFrame:
    own = cells.filter(pl.col("label") == column.label)

    def read(text: str) -> dict[str, object]:
        return {"value": read_value(text, column, decimal)}

    own = read_cells(own, "cell_text", column.label, read, {"value": pl.Float64()})
    unit = known_limits(column.signal).unit
    return own.with_columns(pl.lit(column.signal).alias("signal"), pl.lit(unit).alias("unit"))


def read_value(text: str, column: SignalColumn, decimal: str) -> float:
    """One measured value in the unit of its signal.

    Raises
    ------
    CellError
        when it is not understood, or lies outside its limits.
    """
    plain = text.strip().lower()
    if column.unit in ("h", "h:mm") and (match := _HOURS.fullmatch(plain)):
        value = int(match[1]) * 60.0 + int(match[2])
    elif column.unit == "h:mm":
        raise CellError("time not understood", "write hours and minutes, such as 7:30")
    else:
        value = _read_number(plain, column, decimal)
    limits = known_limits(column.signal)
    if not limits.low <= value <= limits.high:
        unit = limits.unit
        told = f"{value:g} {unit}, {limits.low:g} to {limits.high:g} {unit} is read"
        raise CellError("value outside its limits", f"{told}; correct it in corrections.toml")
    return value


def _read_number(text: str, column: SignalColumn, decimal: str) -> float:
    match = _VALUE.fullmatch(text)
    if not match:
        raise CellError("value not understood", f"write a number in {column.unit}")
    unit = OTHER_NAMES.get(match[2], match[2]) or column.unit
    if unit != column.unit and not any({unit, column.unit} <= kind for kind in SAME_KIND):
        raise CellError("unknown unit", f"{unit!r} is not read where the map says {column.unit}")
    return read_large(match[1], decimal) * FACTORS[unit]


def _mark_second_values(rows: pl.DataFrame) -> pl.DataFrame:
    day = ("session_date", "signal", "device_id")
    valid = pl.when(pl.col("reason").is_null()).then("value")
    first = valid.drop_nulls().first().over(day)
    place = pl.col("record").filter(pl.col("reason").is_null()).first().over(day)
    rows = rows.with_columns(
        first.alias("first_value"), (pl.col("record") != place).alias("is_later")
    )
    is_other = pl.col("is_later") & (pl.col("value") != pl.col("first_value"))
    rows = add_fault(
        rows,
        is_other,
        "second value for the day",
        pl.format(
            "{} {}: the day already has {} there; keep one of the two",
            "label",
            "cell_text",
            pl.col("first_value").round(2),
        ),
    )
    return rows.with_columns(pl.col("is_later").fill_null(False).alias("is_repeat"))


def name_signals(rows: pl.DataFrame, raw: RawFile) -> pl.DataFrame:
    """Rows of table ``tidy_signal``; ``n_records`` says how many records each is made of."""
    return rows.select(
        pl.lit(raw.file.lifter_id).alias("lifter_id"),
        pl.col("session_date").alias("date"),
        *("signal", "value", "unit", "device_id"),
        pl.lit(raw.file.file_id).alias("file_id"),
        "row_no",
        pl.col("n_records").cast(pl.Int64),
    )


def describe_signals(rows: pl.DataFrame) -> pl.DataFrame:
    """``rows`` with ``as_written``: date, label and cell as they stand in the file."""
    date_text = pl.col("date_text").fill_null("no date")
    return rows.with_columns(
        pl.format("{} | {}: {}", date_text, "label", "cell_text").alias("as_written")
    )
