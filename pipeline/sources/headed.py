"""Sheets in which days are headings: over blocks of rows, over columns, or both.

A person's own sheet often holds no column of dates. Each day is a small table of its own, one below
the other or side by side; or the lifts stand down the side and the days across the top. All of them
are unfolded here to one table with the day in a column of its own, so that any kind of map reads
it. Nothing is understood but where a day stands.
"""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

import polars as pl

from pipeline.core.errors import InputError
from pipeline.core.source import (
    CELL,
    HEADING,
    NO_CELLS,
    PLACE,
    SHEET,
    RawFile,
    SourceFile,
    SourceMap,
)
from pipeline.sources.decode import Decoded, decode
from pipeline.sources.headings import Row, day_of, days_in
from pipeline.sources.labels import ESSENTIAL, check_labels, labels_of
from pipeline.sources.records import name_columns, sniff_separator, split_records
from pipeline.sources.sheets import Sheet, is_spreadsheet, read_sheets

# Stands for the day of a block that has none: no other day may be taken for it.
NO_DAY = "no day above"
_BY_PLACE = re.compile(r"column \d+")


@dataclass
class Unfolded:
    """One table: ``labels``, and for each row its place in the sheet and its cells."""

    labels: list[str] = field(default_factory=list)
    rows: list[tuple[str, dict[str, str | None]]] = field(default_factory=list)


@dataclass
class _Span:
    """The columns of one day and those of all days, by place; from ``end`` on there is no label
    (None: not known of this day)."""

    day: str
    labels: dict[int, str]
    shared: dict[int, str]
    end: int | None = None
    rows: list[tuple[str, dict[str, str | None]]] = field(default_factory=list)


def unfold(sheet: Sheet, is_header: Callable[[Row], bool] | None, is_cell: bool) -> Unfolded:
    """The blocks of ``sheet`` as one table with the columns ``HEADING`` and the labels.

    Parameters
    ----------
    is_header : whether a row holds the labels of a block; None: there are no labels, and columns
        are called by their place.
    is_cell : under each day stands one column only, whose label is then ``CELL``; the row of days
        is the header itself.
    """
    found = Unfolded([HEADING])
    above: list[Row] = []
    spans: list[_Span] = []
    for number, row in enumerate(sheet.rows, sheet.first_row):
        where = f"sheet {sheet.name}, row {number}" if sheet.name else f"line {number}"
        if is_header is not None and is_header(row):
            _close(found, spans)
            spans = _spans_of_cells(row) if is_cell else _spans_under(row, above)
            above = []
        elif days_in(row):
            above.append(row)
        elif any(cell and cell.strip() for cell in row):
            days = [day_of(one[place]) or "" for one in above for place in days_in(one)]
            if days and is_header is None:
                _close(found, spans)
                spans = _spans_under([""] * max(map(len, sheet.rows)), above)
                above = []
            elif days and spans and not is_cell:
                _close(found, spans)
                spans = [
                    _Span(day, one.labels, one.shared, one.end)
                    for day, one in zip(_spread(days, len(spans)), spans, strict=True)
                ]
                above = []
            for span in spans:
                _take(span, row, where, len(spans) == 1 and not is_cell)
    _close(found, spans)
    return found


def read_headed(file: SourceFile, data: bytes, one: SourceMap) -> RawFile:
    """Read a sheet or a text table whose days are headings, converting nothing.

    The day stands in the first row of its block, and holds for those below it.

    Raises
    ------
    InputError
        when the file cannot be read, or nowhere has the labels that the map needs.
    """
    decoded: Decoded | None = None
    if is_spreadsheet(data):
        sheets = read_sheets(file, data, one.decimal)
        sheets = [sheet for sheet in sheets if not one.sheets or sheet.name in one.sheets]
    else:
        decoded = decode(file, data, one.encoding)
        sheets = [text_sheet(decoded.text, one.separator, labels_of(one))]
    is_cell = CELL in labels_of(one)
    test = header_test(one, is_cell)
    tables = [(sheet.name, unfold(sheet, test, is_cell)) for sheet in sheets]
    labels = list(dict.fromkeys(label for _, table in tables for label in table.labels))
    missing = check_labels(file, one, [*labels, SHEET], None)
    records = [(name, *row) for name, table in tables for row in table.rows]
    if not records:
        value = "no block of rows under a day"
        raise InputError(file.shown, None, value, f"correct the labels in maps/{one.name}.toml")
    frame = pl.DataFrame(
        {
            "row_no": range(1, len(records) + 1),
            PLACE: [place for _, place, _ in records],
            SHEET: [name for name, _, _ in records],
            **{label: [cells.get(label) for _, _, cells in records] for label in labels},
        },
        schema={"row_no": pl.Int64(), PLACE: pl.String(), SHEET: pl.String()}
        | dict.fromkeys(labels, pl.String()),
    )
    told = decoded.warnings if decoded else ()
    encoding = decoded.encoding if decoded else "spreadsheet"
    down = tuple(dict.fromkeys(("date", *one.fill_down)))
    return RawFile(file, replace(one, fill_down=down), encoding, frame, (*told, *missing))


def text_sheet(text: str, separator: str | None, labels: Sequence[str]) -> Sheet:
    """A text table as a sheet without a name."""
    lines = text.removesuffix("\n").split("\n")
    separator = separator or sniff_separator(lines, 0, labels)
    rows: list[list[str | None]] = []
    for number, cells in split_records(lines, 0, separator):
        rows += [[]] * (number - 1 - len(rows))  # a cell over several lines
        rows.append([cell or None for cell in cells])
    return Sheet("", 1, rows)


def header_test(one: SourceMap, is_cell: bool) -> Callable[[Row], bool] | None:
    """Whether a row holds the labels that the map needs; None where it needs none."""
    needed = {label for field_, label in one.columns.items() if field_ in ESSENTIAL}
    needed = {label for label in needed - {HEADING, CELL, SHEET} if not _BY_PLACE.match(label)}
    if is_cell:
        return lambda row: bool(days_in(row)) and needed <= _texts(row)
    return (lambda row: needed <= _texts(row)) if needed else None


def _texts(row: Row) -> set[str]:
    return {" ".join(cell.split()) for cell in row if cell}


def _spans_of_cells(row: Row) -> list[_Span]:
    """A column a day; columns without one belong to all days."""
    days = days_in(row)
    labels, _ = name_columns([cell or "" for cell in row], taken=(*NO_CELLS, SHEET, HEADING, CELL))
    shared = {place: label for place, label in enumerate(labels) if place not in days}
    return [_Span(day_of(row[day]) or "", {day: CELL}, shared) for day in days]


def _spans_under(row: Row, above: Sequence[Row]) -> list[_Span]:
    """The columns from one day to the next; those before the first day belong to all."""
    width = len(row)
    days = [
        (place, day_of(one[place]) or "")
        for one in above
        for place in days_in(one)
        if place < width
    ]
    days = sorted(days) if len({place for place, _ in days}) == len(days) else days[-1:]
    starts = _starts(row, [place for place, _ in days])
    names = [_label(row, above, place) for place in range(width)]
    while any(names) and not names[-1]:
        names.pop()
    is_one = len(days) < 2
    starts = [0] if is_one else starts
    taken = (*NO_CELLS, SHEET, HEADING)
    first, _ = name_columns(names[: starts[0]], taken=taken)
    shared = dict(enumerate(first))
    ends = [*starts[1:], len(names)]
    spans = []
    for i, (start, end) in enumerate(zip(starts, ends, strict=True)):
        day = days[i][1] if i < len(days) else NO_DAY
        its, _ = name_columns([*first, *names[start:end]], taken=taken)
        spans.append(_Span(day, dict(enumerate(its[len(first) :], start)), shared))
    spans[-1].end = len(names)
    return spans


def _starts(row: Row, days: list[int]) -> list[int]:
    """Where each day's columns begin: at the label that stands there once for each day, else at
    the day itself."""
    for label in dict.fromkeys(cell for cell in row if cell and cell.strip()):
        places = [place for place, cell in enumerate(row) if cell == label]
        ends = [*places[1:], len(row)]
        if len(places) == len(days) > 1 and all(
            one <= day < end for one, day, end in zip(places, days, ends, strict=True)
        ):
            return places
    return days


def _label(row: Row, above: Sequence[Row], place: int) -> str:
    """The label of a column; of an empty one what stands above it, beside the days."""
    if row[place] and (row[place] or "").strip():
        return row[place] or ""
    upper = (one[place] for one in reversed(above) if place < len(one))
    return next((cell for cell in upper if cell and not day_of(cell)), "")


def _spread(days: list[str], n: int) -> list[str]:
    """A day for each of ``n`` spans: as many as there are, else none can be told."""
    return days if len(days) == n else [NO_DAY] * n


def _take(span: _Span, row: Row, where: str, is_only: bool) -> None:
    """The row's cells under the day of ``span``; a row that says nothing there is none of it."""
    cells = {label: row[place] for place, label in span.labels.items() if place < len(row)}
    beyond = [cell for cell in row[span.end :] if cell and cell.strip()] if span.end else []
    if beyond:  # a remark beside the block
        cells[f"column {(span.end or 0) + 1}"] = " | ".join(beyond)
    if not is_only and not any(cell and cell.strip() for cell in cells.values()):
        return
    shared = {label: row[place] for place, label in span.shared.items() if place < len(row)}
    where += "" if is_only else f", under {span.day}"
    span.rows.append((where, {HEADING: None if span.rows else span.day, **shared, **cells}))


def _close(found: Unfolded, spans: list[_Span]) -> None:
    for span in spans:
        labels = [*span.shared.values(), *span.labels.values()]
        labels += [label for _, cells in span.rows for label in cells if label != HEADING]
        found.labels += [one for one in dict.fromkeys(labels) if one not in found.labels]
        found.rows += span.rows
