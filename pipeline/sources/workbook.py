"""Spreadsheets as tables: the sheets that carry the map's labels, one below the other."""

from collections.abc import Sequence

import polars as pl

from pipeline.core.errors import InputError, nearest
from pipeline.core.source import BEYOND, NO_CELLS, PLACE, SHEET, RawFile, SourceFile, SourceMap
from pipeline.sources.labels import ESSENTIAL, check_labels, labels_of
from pipeline.sources.records import name_columns
from pipeline.sources.sheets import Sheet, read_sheets

HEADER_WITHIN = 60  # rows
ENCODING = "spreadsheet"


def read_workbook(file: SourceFile, data: bytes, one: SourceMap) -> RawFile:
    """Read a spreadsheet as its map says, converting nothing.

    Every sheet is read that has the map's labels in one of its first rows (``table.sheets``: only
    those), whatever stands above; ``row_no`` is the row in the sheet, counted on from sheet to
    sheet, and ``PLACE`` names both. The label ``(sheet)`` is the sheet's name.

    Raises
    ------
    InputError
        when the file is no readable spreadsheet, or no sheet has the labels.
    """
    sheets = _choose(file, read_sheets(file, data, one.decimal), one)
    frames: list[pl.DataFrame] = []
    warnings: list[str] = []
    offset = 0
    for sheet in sheets:
        header = _find_header(sheet, one)
        if header is None:
            told = f"sheet {sheet.name!r} has no row with the map's labels and is not read"
            warnings.append(told)
            continue
        labels, repeated = name_columns(label_cells(sheet.rows[header]), taken=(*NO_CELLS, SHEET))
        missing = check_labels(file, one, [*labels, SHEET], sheet.first_row + header)
        warnings += [f"sheet {sheet.name!r}: {told}" for told in missing]
        warnings += [
            f"sheet {sheet.name!r}: the label {name!r} stands more than once; the map means the "
            "first"
            for name in repeated
            if name in labels_of(one) and f"{name} (2)" not in labels_of(one)
        ]
        frames.append(_frame(sheet, header, labels, offset))
        offset += sheet.first_row - 1 + len(sheet.rows)
    if not frames:
        first = _find_fullest(sheets[0])
        check_labels(file, one, [*label_cells(sheets[0].rows[first]), SHEET], None)
    frame = pl.concat(frames, how="diagonal")
    return RawFile(file, one, ENCODING, frame, tuple(warnings))


def label_cells(row: Sequence[str | None]) -> list[str]:
    """Cells of a header without the empty ones behind the last label."""
    cells = [cell or "" for cell in row]
    while cells and not cells[-1].strip():
        cells.pop()
    return cells


def _choose(file: SourceFile, sheets: list[Sheet], one: SourceMap) -> list[Sheet]:
    if not sheets:
        raise InputError(file.shown, None, "empty file", "fill it or take it out of the inbox")
    if not one.sheets:
        return sheets
    names = [sheet.name for sheet in sheets]
    for name in one.sheets:
        if name not in names:
            value = f"no sheet {name!r} that holds anything; nearest: {nearest(name, names)!r}"
            remedy = f"correct table.sheets in maps/{one.name}.toml"
            raise InputError(file.shown, None, value, remedy)
    return [sheet for sheet in sheets if sheet.name in one.sheets]


def _find_header(sheet: Sheet, one: SourceMap) -> int | None:
    """Index of the first row that has the labels which cannot be missing."""
    needed = {label for field, label in one.columns.items() if field in ESSENTIAL}
    signals = {column.label for column in one.signals}
    for at, row in enumerate(sheet.rows[:HEADER_WITHIN]):
        found = {" ".join(cell.split()) for cell in row if cell}
        if needed - found <= set(NO_LABELS) and (not signals or signals & found) and found:
            return at
    return None


# Labels that a header need not have: they stand for the file's or the sheet's own name.
NO_LABELS = (SHEET, "(file name)")


def _find_fullest(sheet: Sheet) -> int:
    """Index of the row with most cells among the first, for the message."""
    top = sheet.rows[:HEADER_WITHIN]
    return max(range(len(top)), key=lambda at: sum(cell is not None for cell in top[at]))


def _frame(sheet: Sheet, header: int, labels: list[str], offset: int) -> pl.DataFrame:
    rows = sheet.rows[header + 1 :]
    first = sheet.first_row + header + 1
    width = len(labels)
    columns: dict[str, list[str | None]] = {
        label: [row[place] for row in rows] for place, label in enumerate(labels)
    }
    beyond = [" | ".join(cell for cell in row[width:] if cell and cell.strip()) for row in rows]
    if any(beyond):
        columns[BEYOND] = [text or None for text in beyond]
    numbers = range(first, first + len(rows))
    return pl.DataFrame(
        {
            "row_no": [offset + number for number in numbers],
            PLACE: [f"sheet {sheet.name}, row {number}" for number in numbers],
            SHEET: [sheet.name] * len(rows),
            **columns,
        },
        schema={"row_no": pl.Int64(), PLACE: pl.String(), SHEET: pl.String()}
        | dict.fromkeys(columns, pl.String()),
    )
