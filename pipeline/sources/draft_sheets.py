"""The tables that the sheets of an unknown spreadsheet hold."""

import re
from collections.abc import Sequence

from pipeline.core.errors import InputError
from pipeline.core.source import NO_CELLS, SHEET, SourceFile
from pipeline.sources.draft_cells import MAX_ROWS, Column, make_column
from pipeline.sources.draft_file import (
    LooseTable,
    cut_cell,
    header_score,
    only_year,
    pattern_of,
    siblings_of,
)
from pipeline.sources.draft_records import Readers
from pipeline.sources.records import name_columns
from pipeline.sources.sheets import Sheet, read_sheets
from pipeline.sources.workbook import HEADER_WITHIN, label_cells

LEAST_ALIKE = 0.6  # share of labels by which two sheets are one table
NAMED = 0.5  # share of sheets that are called by an exercise
# Stands for the decimal sign of numbers until it is known how the texts write theirs.
SIGN = "\ue000"
_COMMA = re.compile(r"\d,(?:25|5|75)(?!\d)")
_POINT = re.compile(r"\d\.(?:25|5|75)(?!\d)")


def sheet_tables(source: SourceFile, data: bytes, readers: Readers) -> list[LooseTable]:
    """One table for each group of sheets with the same labels, the one with most rows first.

    Raises
    ------
    InputError
        when the spreadsheet cannot be read, or no sheet has a row of labels.
    """
    sheets = read_signed_sheets(source, data)
    groups: list[list[tuple[Sheet, list[str], list[list[str]]]]] = []
    for sheet in sheets:
        at = _find_header(sheet)
        if at is None:
            continue
        labels, _ = name_columns(label_cells(sheet.rows[at]), taken=(*NO_CELLS, SHEET))
        rows = [[cell or "" for cell in row[: len(labels)]] for row in sheet.rows[at + 1 :]]
        mine = next((group for group in groups if _are_alike(labels, group[0][1])), None)
        if mine is None:
            groups.append([(sheet, labels, rows)])
        else:
            mine.append((sheet, labels, rows))
    if not groups:
        remedy = "add a row of labels, such as date, exercise, weight, reps"
        raise InputError(source.path, None, "no sheet has a row of labels", remedy)
    groups.sort(key=lambda group: -sum(len(rows) for _, _, rows in group))
    return [_table(source, group, [sheet.name for sheet in sheets], readers) for group in groups]


def read_signed_sheets(source: SourceFile, data: bytes) -> list[Sheet]:
    """The sheets, numbers written with the decimal sign that texts in them have.

    Raises
    ------
    InputError
        when the spreadsheet cannot be read.
    """
    return _with_sign(read_sheets(source, data, SIGN))


def _with_sign(sheets: list[Sheet]) -> list[Sheet]:
    texts = [cell for sheet in sheets for row in sheet.rows for cell in row if cell]
    plain = [text for text in texts if SIGN not in text]
    n_comma = sum(bool(_COMMA.search(text)) for text in plain)
    n_point = sum(bool(_POINT.search(text)) for text in plain)
    sign = "," if n_comma > n_point else "."
    return [
        Sheet(
            sheet.name,
            sheet.first_row,
            [[cell and cell.replace(SIGN, sign) for cell in row] for row in sheet.rows],
        )
        for sheet in sheets
    ]


def _find_header(sheet: Sheet) -> int | None:
    """Index of the row with most known labels among the first; None where none has any."""
    scores = [
        (header_score([cell or "" for cell in row]), -at)
        for at, row in enumerate(sheet.rows[:HEADER_WITHIN])
    ]
    best, at = max(scores)
    return -at if best > 0 else None


def _are_alike(labels: Sequence[str], others: Sequence[str]) -> bool:
    one, other = set(labels), set(others)
    return len(one & other) >= LEAST_ALIKE * max(len(one), len(other))


def _table(
    source: SourceFile,
    group: list[tuple[Sheet, list[str], list[list[str]]]],
    names: list[str],
    readers: Readers,
) -> LooseTable:
    labels = list(dict.fromkeys(label for _, own, _ in group for label in own))
    records: list[tuple[str, ...]] = []
    for sheet, own, rows in group:
        places = {label: place for place, label in enumerate(own)}
        for row in rows:
            cells = [row[places[label]] if label in places else "" for label in labels]
            records.append((*map(cut_cell, cells), sheet.name))
    if len(records) > MAX_ROWS:
        step = len(records) / MAX_ROWS
        records = [records[int(i * step)] for i in range(MAX_ROWS)]
    columns: list[Column] = [
        make_column(label, place, (row[place] for row in records))
        for place, label in enumerate(labels)
    ]
    used = [sheet.name for sheet, _, _ in group]
    called = sum(readers.resolve_name(name).exercise_id is not None for name in used)
    if called >= NAMED * len(used):
        columns.append(make_column(SHEET, len(labels), (row[-1] for row in records)))
    else:
        records = [row[:-1] for row in records]
    years = [only_year(name) for name in used]
    year = only_year(source.path.rpartition("/")[2])
    has_years = year is None and all(years)
    return LooseTable(
        source=source,
        encoding="utf-8",
        separator="",
        header_row=1,
        columns=tuple(columns),
        rows=tuple(records),
        pattern=pattern_of(source.path),
        siblings=siblings_of(source.absolute),
        year=years[0] if has_years else year,
        is_part=False,
        what=f"A spreadsheet; {_say_sheets(used)}",
        left_out=tuple(name for name in names if name not in used),
        year_from="sheet" if has_years else "file name",
    )


def _say_sheets(names: Sequence[str]) -> str:
    if len(names) == 1:
        return f"the sheet {names[0]!r}"
    return f"{len(names)} sheets laid out alike, {names[0]!r} to {names[-1]!r}"
