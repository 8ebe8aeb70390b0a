"""Tables as text: any separator, encoding and quoting, into one text column per label."""

from collections.abc import Sequence
from dataclasses import dataclass

import polars as pl

from pipeline.core.errors import InputError
from pipeline.core.source import BEYOND, NO_CELLS, RawFile, SourceFile, SourceMap
from pipeline.sources.decode import decode
from pipeline.sources.labels import check_labels, labels_of
from pipeline.sources.records import (
    has_plain_quotes,
    name_columns,
    read_record,
    sniff_separator,
    split_records,
)

MAX_COLUMNS = 2000
# Lines below the header that the separator is found from.
LINES_BELOW = 200


@dataclass(frozen=True)
class Head:
    """What stands above the rows of a table: ``height`` lines, the header the last of them."""

    labels: list[str]
    separator: str
    height: int
    warnings: tuple[str, ...]


def read_table(file: SourceFile, data: bytes, one: SourceMap) -> RawFile:
    """Read a text table as its map says, converting nothing.

    Every physical record after the header is a row, blank ones included; ``row_no`` is the line
    where it starts. Cells beyond the header's last column go to the column ``BEYOND``.

    Raises
    ------
    InputError
        when the file is empty, binary, not in its encoding, or lacks a column that the map needs.
    """
    decoded = decode(file, data, one.encoding)
    n_lines = count_lines(decoded.utf8)
    head = read_head(file, decoded.utf8, n_lines, one)
    frame = read_rows(decoded.utf8, n_lines, head, head.height)
    return RawFile(file, one, decoded.encoding, frame, (*decoded.warnings, *head.warnings))


def count_lines(utf8: bytes) -> int:
    """Physical lines, the last one with or without its end."""
    return utf8.count(b"\n") + (not utf8.endswith(b"\n"))


def read_head(file: SourceFile, utf8: bytes, n_lines: int, one: SourceMap) -> Head:
    """The labels of a table and how its cells are parted.

    Parameters
    ----------
    utf8 : the table from its first line on, ``n_lines`` lines.

    Raises
    ------
    InputError
        when it has no header, or not the labels that the map needs.
    """
    header = one.header_row - 1
    if header >= n_lines:
        value = f"header_row = {one.header_row}, but the file has {n_lines} lines"
        raise InputError(
            file.shown, None, value, f"correct table.header_row in maps/{one.name}.toml"
        )
    top = _top_lines(utf8, min(header + LINES_BELOW, n_lines))
    separator = one.separator or sniff_separator(top, header, labels_of(one))
    cells, used = read_record(top, header, separator)
    if len(cells) > MAX_COLUMNS:
        value = f"{len(cells)} columns, {MAX_COLUMNS} at most"
        raise InputError(file.shown, one.header_row, value, "check separator and header_row")
    labels, repeated = name_columns(cells, taken=NO_CELLS)
    missing = check_labels(file, one, labels, one.header_row)
    warnings = [
        f"the label {name!r} stands more than once; the map means the first"
        for name in repeated
        if f"{name} (2)" not in labels_of(one)
    ]
    return Head(labels, separator, header + used, (*warnings, *missing))


def _top_lines(utf8: bytes, n: int) -> list[str]:
    """The first ``n`` lines."""
    end = 0
    for _ in range(n):
        end = utf8.find(b"\n", end) + 1 or len(utf8)
    return utf8[:end].decode().removesuffix("\n").split("\n")


def read_rows(utf8: bytes, n_lines: int, head: Head, skipped: int, above: int = 0) -> pl.DataFrame:
    """The rows below the first ``skipped`` lines, with ``row_no``.

    Parameters
    ----------
    utf8 : lines of a table, ``n_lines`` of them, ``above`` in the file above them.
    """
    separator = head.separator
    is_plain = len(separator.encode()) == 1 and has_plain_quotes(utf8, separator)
    frame = _read_fast(utf8, head, skipped, n_lines - skipped) if is_plain else None
    if frame is None:
        frame = _read_odd(utf8.decode(), head.labels, separator, skipped)
    else:
        frame = _with_row_no(frame, skipped)
    return frame.with_columns(pl.col("row_no") + above) if above else frame


def _read_fast(utf8: bytes, head: Head, skipped: int, height: int) -> pl.DataFrame | None:
    """By polars' own reader; None where a careful reading could differ."""
    schema = dict.fromkeys(head.labels, pl.String())
    if height == 0:
        return pl.DataFrame(schema=schema)
    try:
        frame = pl.read_csv(
            utf8,
            has_header=False,
            skip_lines=skipped,
            separator=head.separator,
            schema=schema,
            infer_schema=False,
            raise_if_empty=False,
        )
    except pl.exceptions.PolarsError:  # a row with too many cells
        return None
    # One sign is found sooner than two. An empty cell in quotes says no more than one without.
    if b'"' in utf8 and b'""' in utf8:
        frame = frame.with_columns(pl.all().replace("", None))
    # fewer rows than lines: some cell runs over several lines
    return frame if frame.height == height else None


def _with_row_no(frame: pl.DataFrame, start: int) -> pl.DataFrame:
    row_no = pl.int_range(start + 1, pl.len() + start + 1, dtype=pl.Int64).alias("row_no")
    return frame.select(row_no, pl.all())


def _read_odd(text: str, labels: list[str], separator: str, start: int) -> pl.DataFrame:
    """Record by record: quoted cells over several lines, stray quotes, too many cells."""
    lines = text.removesuffix("\n").split("\n")
    width = len(labels)
    numbers: list[int] = []
    columns: list[list[str | None]] = [[] for _ in labels]
    beyond: list[str | None] = []
    for number, cells in split_records(lines, start, separator):
        numbers.append(number)
        padded = [*cells, *([None] * (width - len(cells)))]
        for column, cell in zip(columns, padded, strict=False):
            column.append(cell or None)
        extra = cells[width:]
        beyond.append(separator.join(extra) if any(cell.strip() for cell in extra) else None)
    data: dict[str, Sequence[object]] = {
        "row_no": numbers,
        **dict(zip(labels, columns, strict=True)),
    }
    if any(beyond):
        data[BEYOND] = beyond
    schema = {name: pl.Int64() if name == "row_no" else pl.String() for name in data}
    return pl.DataFrame(data, schema=schema)
