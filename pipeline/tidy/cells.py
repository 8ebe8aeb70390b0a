"""Reading one column of text cells: each distinct text once, faults kept beside the values.

Frames here carry ``reason`` and ``detail``: null while the record is understood, else the first
fault found. A record with a fault is set aside whole.
"""

from collections.abc import Callable, Mapping

import polars as pl

from pipeline.tidy.texts import code_texts, spread

SHOWN_LENGTH = 60
# What a reading of a cell carries of its fault.
FAULTS = {"reason": "cell_reason", "detail": "cell_detail"}

# Gives the values of one text by name, or raises CellError.
Reader = Callable[[str], Mapping[str, object]]
Schema = dict[str, pl.DataType]


class CellError(Exception):
    """A cell that is not understood.

    Parameters
    ----------
    reason : in a few plain words, the same for all cells with this fault.
    remedy : the limit met and what to do, as a clause.
    """

    def __init__(self, reason: str, remedy: str) -> None:
        self.reason, self.remedy = reason, remedy
        super().__init__(f"{reason}: {remedy}")


def no_fault() -> list[pl.Expr]:
    """The two fault columns, still empty."""
    empty = pl.lit(None, pl.String)
    return [empty.alias("reason"), empty.alias("detail")]


def read_cells(
    frame: pl.DataFrame,
    text: str,
    label: str,
    read: Reader,
    schema: Schema,
) -> pl.DataFrame:
    """Add the columns of ``schema``, read from the column ``text``; faults go to the fault columns.

    Parameters
    ----------
    label : the column's label in the file, for the message.
    read : gives the values of one text by name, or raises ``CellError``; called once a text.

    Returns
    -------
    pl.DataFrame
        same rows in the same order; null where the text is null, absent or faulty.
    """
    if text not in frame.columns:
        return frame.with_columns(pl.lit(None, kind).alias(name) for name, kind in schema.items())
    texts, codes = code_texts(frame[text])
    rows = [_read_one(one, label, read) for one in texts.to_list()]

    def of_rows(name: str, kind: pl.DataType) -> pl.Series:
        values = [row.get(name) for row in rows]
        return spread(pl.Series(name, values, dtype=kind, strict=False), codes)

    frame = frame.with_columns(of_rows(name, kind) for name, kind in schema.items())
    if not any("cell_reason" in row for row in rows):
        return frame
    is_first = pl.col("reason").is_null()
    return frame.with_columns(
        pl.when(is_first).then(of_rows(found, pl.String())).otherwise(name).alias(name)
        for name, found in FAULTS.items()
    )


def _read_one(text: str, label: str, read: Reader) -> Mapping[str, object]:
    try:
        return read(text)
    except CellError as fault:
        detail = f"{label} {show(text)}: {fault.remedy}"
        return {"cell_reason": fault.reason, "cell_detail": detail}


def show(text: str) -> str:
    """A text in quotes, shortened for a message."""
    return f"'{text}'" if len(text) <= SHOWN_LENGTH else f"'{text[: SHOWN_LENGTH - 3]}...'"


def add_fault(
    frame: pl.DataFrame, when: pl.Expr, reason: str, detail: pl.Expr | str
) -> pl.DataFrame:
    """Mark the rows where ``when`` holds and nothing was wrong so far."""
    is_new = frame.select(pl.col("reason").is_null() & when.fill_null(False)).to_series()
    if not is_new.any():
        return frame
    told = pl.lit(detail) if isinstance(detail, str) else detail.fill_null(reason)
    return frame.with_columns(
        pl.when(is_new).then(pl.lit(reason)).otherwise("reason").alias("reason"),
        pl.when(is_new).then(told).otherwise("detail").alias("detail"),
    )
