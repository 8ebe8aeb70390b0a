"""Tables as text: any separator, encoding and quoting, into one text column per label."""

from collections.abc import Sequence

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
    lines = _Lines(decoded.text)
    header = one.header_row - 1
    if header >= lines.count:
        value = f"header_row = {one.header_row}, but the file has {lines.count} lines"
        raise InputError(
            file.shown, None, value, f"correct table.header_row in maps/{one.name}.toml"
        )
    top = lines.top(header)
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
    start = header + used
    is_same = decoded.encoding == "utf-8" and not decoded.warnings and b"\r" not in data
    utf8 = data if is_same else decoded.text.encode()
    height = lines.count - start
    is_plain = len(separator.encode()) == 1 and has_plain_quotes(decoded.text, separator)
    frame = _read_fast(utf8, labels, separator, start, height) if is_plain else None
    if frame is None:
        frame = _read_odd(decoded.text, labels, separator, start)
    return RawFile(file, one, decoded.encoding, frame, (*decoded.warnings, *warnings, *missing))


class _Lines:
    """Physical lines of a text, split only as far as needed."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.count = text.count("\n") + (not text.endswith("\n"))

    def top(self, header: int) -> list[str]:
        """The lines down to the header and some hundred below it."""
        lines = self.text.split("\n", header + 200)
        return lines[: min(header + 200, self.count)]


def _read_fast(
    utf8: bytes, labels: list[str], separator: str, start: int, height: int
) -> pl.DataFrame | None:
    """By polars' own reader; None where a careful reading could differ."""
    if height == 0:
        return _with_row_no(pl.DataFrame(schema=dict.fromkeys(labels, pl.String())), start)
    try:
        frame = pl.read_csv(
            utf8,
            has_header=False,
            skip_lines=start,
            separator=separator,
            schema=dict.fromkeys(labels, pl.String()),
            infer_schema=False,
            raise_if_empty=False,
        )
    except pl.exceptions.PolarsError:  # a row with too many cells
        return None
    if b'""' in utf8:  # an empty cell in quotes says no more than one without
        frame = frame.with_columns(pl.all().replace("", None))
    # fewer rows than lines: some cell runs over several lines
    return _with_row_no(frame, start) if frame.height == height else None


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
