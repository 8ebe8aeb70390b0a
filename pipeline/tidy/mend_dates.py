"""What a doubted or refused date may have been, in a cell or in a line of notes."""

import json
from collections.abc import Iterator, Mapping
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

import polars as pl

from pipeline.core.source import LINE
from pipeline.tidy.cells import CellError
from pipeline.tidy.dates import order_on, read_date
from pipeline.tidy.notes.calendar import WrittenDay, day_on_line
from pipeline.tidy.proposals import propose_date

if TYPE_CHECKING:
    from pipeline.tidy.doubted import RecordParts

# A heading with the day stands at most so many lines above its sets in notes.
LINES_ABOVE = 60
# So long after the last day that was read an entry may be from.
DAYS_AHEAD = timedelta(days=30)


def find_day_line(
    parts: "RecordParts", row: Mapping[str, Any], cells: dict[str, str], known: date | None
) -> tuple[int, dict[str, str]]:
    """The line at or above a row of notes that holds its day, else the row itself.

    Parameters
    ----------
    known : the day of the row, where it was read: another line says another day.
    """
    lines, file_id = parts.cells[row["file_id"]], row["file_id"]
    for row_no in range(row["row_no"], row["row_no"] - LINES_ABOVE, -1):
        line = json.loads(lines.get(row_no, "{}")).get(LINE) or ""
        found = _day_in(parts, file_id, row_no, line, known)
        if found is not None and found.day == known:
            return row_no, {LINE: line}
        if found is not None and known is None:
            break  # a right day below the wrong one: the row is no line of its session
    return row["row_no"], cells


def mend_date(
    parts: "RecordParts", file_id: str, row_no: int, cell: str, known: date | None
) -> str | None:
    """The cell or line with the date that it may have meant, None where none is likelier.

    Parameters
    ----------
    known : the day that was read from it, None where it was refused.
    """
    one = parts.maps[file_id]
    order = order_on(one, row_no)

    def read(text: str) -> date | None:
        try:
            return read_date(text, order, known.year if known else None, parts.last_day)
        except CellError:
            return None

    def read_line(text: str) -> date | None:
        found = _day_in(parts, file_id, row_no, text, known, parts.last_day)
        return found.day if found is not None and found.text == text else None

    if one.kind != "notes":
        return propose_date(cell, _days_beside(parts, file_id, row_no, known or read(cell)), read)
    found = _day_in(parts, file_id, row_no, cell, known)
    if found is None or cell.count(found.text) != 1:
        return None
    near = _days_beside(parts, file_id, row_no, known)
    mended = propose_date(found.text, near, read_line)
    return cell.replace(found.text, mended) if mended else None


def _day_in(
    parts: "RecordParts",
    file_id: str,
    row_no: int,
    line: str,
    known: date | None,
    limit: date | None = None,
) -> WrittenDay | None:
    """The date of a line of notes; a year that it lacks is that of ``known``.

    ``limit`` is the last day that it may be; None: as read, after the record is to come.
    """
    limit = limit or known or parts.last_day - DAYS_AHEAD
    return day_on_line(
        line, order_on(parts.maps[file_id], row_no), known.year if known else None, limit
    )


def _days_beside(
    parts: "RecordParts", file_id: str, row_no: int, but: date | None
) -> Iterator[date]:
    """The days written nearest before and after a row of a file."""
    days = [
        frame.filter(pl.col("file_id") == file_id).select("row_no", pl.col(column).alias("day"))
        for frame, column in ((parts.sets, "session_date"), (parts.signals, "date"))
    ]
    rows = pl.concat(days).filter((pl.col("day") != but) if but else True).sort("row_no")
    yield from rows.filter(pl.col("row_no") < row_no)["day"].tail(1)
    yield from rows.filter(pl.col("row_no") > row_no)["day"].head(1)
