"""Table ``tidy_doubt``: every likely slip of a record, with the correction that may mend it."""

import json
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

import polars as pl

from pipeline.core.calendar import say_date
from pipeline.core.dictionary import conform
from pipeline.core.source import LINE, SourceMap
from pipeline.tidy.cells import CellError
from pipeline.tidy.doubt_signals import REASON as VALUE_REASON
from pipeline.tidy.doubts import DATE, LOAD, REPS, VALUE
from pipeline.tidy.mend_dates import DAYS_AHEAD, LINES_ABOVE, find_day_line, mend_date
from pipeline.tidy.proposals import (
    find_number,
    propose_load,
    propose_reps,
    propose_value,
)
from pipeline.tidy.signals import read_value

# More days of one file that are none point to the order of its map, not to slips.
IMPOSSIBLE = "impossible date"
MOST_IMPOSSIBLE = 5
# Reasons of rows set aside that are likely slips of one cell.
ASIDE = {
    "date to come": DATE,
    "date too early": DATE,
    IMPOSSIBLE: DATE,
    "weight out of range": LOAD,
    "repetitions out of range": REPS,
    "value outside its limits": VALUE,
    VALUE_REASON: VALUE,
}
# Fields of a map that a slip may stand in, nearest first.
FIELDS = {LOAD: ("load", "sets"), REPS: ("reps", "sets"), DATE: ("date",), VALUE: ()}
NEIGHBOURS = 11
_NUMBER = re.compile(r"\d+(?:\.\d+)?")
TEXTS = ("place", "column", "expect", "value", "why", "unit")
REALS = ("found", "usual")
SCHEMA = {
    "date": pl.Date(),
    **dict.fromkeys(TEXTS, pl.String()),
    **dict.fromkeys(REALS, pl.Float64()),
}


@dataclass(frozen=True)
class RecordParts:
    """What proposals are made from: tables of one lifter, and each file's map and raw cells.

    ``doubted`` are the doubted rows of ``tidy_set`` with ``what``, ``found``, ``usual``, ``near``;
    ``cells`` gives the raw rows of a file, row number to cells as JSON, and ``places`` where they
    stand in a file without lines.
    """

    lifter_id: str
    doubted: pl.DataFrame
    aside: pl.DataFrame
    sets: pl.DataFrame
    signals: pl.DataFrame
    maps: Mapping[str, SourceMap]
    cells: Mapping[str, Mapping[int, str]]
    places: Mapping[str, Mapping[int, str | None]]

    @property
    def last_day(self) -> date:
        """The latest day that a mended date may say; the day of reading is no input."""
        days = [self.sets["session_date"].max(), self.signals["date"].max()]
        known = [day for day in days if isinstance(day, date)]
        return max(known) + DAYS_AHEAD if known else date.min


def rows_wanted(doubted: pl.DataFrame, aside: pl.DataFrame) -> pl.DataFrame:
    """``file_id`` and ``row_no`` of the raw rows that the doubts are about.

    For a doubted day also the lines above: in notes the day stands in a heading.
    """
    key = ["file_id", "row_no"]
    slips = _slips(aside)
    days = [
        doubted.filter(pl.col("what") == DATE).select(key),
        slips.filter(pl.col("reason").replace_strict(ASIDE) == DATE).select(key),
    ]
    above = (
        pl.concat(days)
        .unique(maintain_order=True)
        .select("file_id", pl.int_ranges(pl.col("row_no") - LINES_ABOVE, "row_no").alias("row_no"))
        .explode("row_no")
    )
    rows = [doubted.select(key), slips.select(key), above.select(key)]
    return pl.concat(rows).unique(maintain_order=True)


def _slips(aside: pl.DataFrame) -> pl.DataFrame:
    """Rows set aside that are likely slips of one cell."""
    is_order = (pl.col("reason") == IMPOSSIBLE) & (
        pl.len().over("file_id", "reason") > MOST_IMPOSSIBLE
    )
    return aside.filter(pl.col("reason").is_in(list(ASIDE)) & ~is_order)


def describe_doubts(parts: RecordParts) -> pl.DataFrame:
    """Table ``tidy_doubt`` of one lifter: doubted sets, and rows set aside for a likely slip.

    A row for each cell: what is doubted by several lifts of one day is mended once.
    """
    sets = (_of_set(parts, row) for row in parts.doubted.iter_rows(named=True))
    slips = _slips(parts.aside)
    aside = (_of_aside(parts, row) for row in slips.iter_rows(named=True))
    rows = [
        {"lifter_id": parts.lifter_id, "place": _place(parts, row), **row}
        for row in (*sets, *aside)
    ]
    frame = pl.DataFrame(rows, infer_schema_length=None, schema_overrides=SCHEMA if rows else None)
    return conform("tidy_doubt", _one_a_cell(frame) if rows else frame)


def _one_a_cell(doubts: pl.DataFrame) -> pl.DataFrame:
    """The doubts with those of one cell in one row, their subjects named behind each other."""
    subjects = pl.col("subject").unique(maintain_order=True).str.join("; ")
    key = ["file_id", "row_no", "what", "column", "expect", "value"]
    return doubts.group_by(key, maintain_order=True).agg(
        subjects, pl.exclude("subject", *key).first()
    )


def _of_set(parts: RecordParts, row: Mapping[str, Any]) -> dict[str, object]:
    what, cells = row["what"], _cells(parts, row)
    if what == DATE:
        day, near = say_date(row["session_date"]), row["near"]
        told = f"read as {day}, " + (
            f"beside {say_date(near)} in its file" if near else "long before everything else"
        )
        why: dict[str, object] = {"why": told}
    else:
        unit = "kg" if what == LOAD else "repetitions"
        why = {"found": row["found"], "usual": row["usual"], "unit": unit}

    row_no = row["row_no"]
    if what == DATE and LINE in cells:
        row_no, cells = find_day_line(parts, row, cells, row["session_date"])

    def propose(cell: str) -> str | None:
        if what == DATE:
            return mend_date(parts, row["file_id"], row_no, cell, row["session_date"])
        if what == REPS:
            return propose_reps(cell, row["reps"], row["usual"])
        number = find_number(cell, row["load_kg"] or 0.0)
        return propose_load(cell, number, row["found"] / row["usual"]) if number else None

    columns = _columns(parts, row, what, row["exercise_as_written"])
    return {
        "file_id": row["file_id"],
        "row_no": row_no,
        "date": row["session_date"],
        "subject": row["exercise_as_written"],
        "what": what,
        **why,
        **_choose(cells, columns, propose),
    }


def _of_aside(parts: RecordParts, row: Mapping[str, Any]) -> dict[str, object]:
    what, cells = ASIDE[row["reason"]], _cells(parts, row)
    one = parts.maps[row["file_id"]]
    subject = cells.get(one.columns.get("exercise", ""))
    columns = _columns(parts, row, what, subject or "")
    if what == VALUE or one.signals:
        label = row["as_written"].partition(" | ")[2].partition(": ")[0]
        subject, columns = label, [label] if what == VALUE else columns
    row_no = row["row_no"]
    if what == DATE and LINE in cells:
        row_no, cells = find_day_line(parts, row, cells, None)
        subject = cells[LINE]

    def propose(cell: str) -> str | None:
        if what == DATE:
            return mend_date(parts, row["file_id"], row_no, cell, None)
        if what == VALUE:
            return _mend_value(parts, row["file_id"], row["row_no"], cell, columns[0])
        return _mend_amount(parts, what, cell, subject or "")

    chosen = _choose(cells, columns, propose)
    if what == VALUE and row["reason"] != VALUE_REASON and chosen["value"] is None:
        chosen["value"] = ""  # outside its limits nothing can be confirmed
    return {
        "file_id": row["file_id"],
        "row_no": row_no,
        "subject": subject or row["as_written"],
        "what": what,
        "why": row["detail"].partition(";")[0],
        **chosen,
    }


def _place(parts: RecordParts, row: Mapping[str, Any]) -> str | None:
    return parts.places.get(row["file_id"], {}).get(row["row_no"])


def _cells(parts: RecordParts, row: Mapping[str, Any]) -> dict[str, str]:
    text = parts.cells.get(row["file_id"], {}).get(row["row_no"])
    return {label: cell for label, cell in json.loads(text).items() if cell} if text else {}


def _columns(parts: RecordParts, row: Mapping[str, Any], what: str, name: str) -> list[str]:
    """Labels of the columns that the slip may stand in; of a wide table, the lift's own."""
    columns = parts.maps[row["file_id"]].columns
    found = [columns[field] for field in FIELDS[what] if field in columns]
    return [*found, *([] if what == DATE else [name]), LINE]


def _choose(cells: Mapping[str, str], columns: Iterable[str], propose: Any) -> dict[str, object]:
    """The column, its cell and what it may mean: the first column that a proposal is found in."""
    there = [label for label in columns if label in cells]
    for label in there:
        if mended := propose(cells[label]):
            return {"column": label, "expect": cells[label], "value": mended}
    if there:
        return {"column": there[0], "expect": cells[there[0]], "value": None}
    return {"column": None, "expect": None, "value": None}


def _mend_value(parts: RecordParts, file_id: str, row_no: int, cell: str, label: str) -> str | None:
    one = parts.maps[file_id]
    column = next((column for column in one.signals if column.label == label), None)
    if column is None:
        return None
    near = (
        parts.signals.filter((pl.col("file_id") == file_id) & (pl.col("signal") == column.signal))
        .with_columns((pl.col("row_no") - row_no).abs().alias("apart"))
        .sort("apart")["value"]
        .head(NEIGHBOURS)
    )

    def read(text: str) -> float | None:
        try:
            return read_value(text, column, one.decimal)
        except CellError:
            return None

    return propose_value(cell, float(near.median() or 0.0), read)  # type: ignore[arg-type]


def _mend_amount(parts: RecordParts, what: str, cell: str, name: str) -> str | None:
    """A load or repetitions out of range: held against what is usual for the lift."""
    own = parts.sets.filter((pl.col("exercise_as_written") == name) & ~pl.col("is_warmup"))
    usual = own["load_kg" if what == LOAD else "reps"].median()
    numbers = sorted(_NUMBER.findall(cell), key=float, reverse=True)
    if not usual or not numbers:
        return None
    if what == REPS:
        return propose_reps(cell, round(float(numbers[0])), float(usual))  # type: ignore[arg-type]
    return propose_load(cell, numbers[0], float(numbers[0]) / float(usual))  # type: ignore[arg-type]
