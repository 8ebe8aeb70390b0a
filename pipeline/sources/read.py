"""One file of the inbox to raw rows, whatever it is kept in."""

from dataclasses import replace

import polars as pl

from pipeline.core.dictionary import conform
from pipeline.core.errors import InputError
from pipeline.core.source import FILE_NAME, HEADING, LINE, PLACE, RawFile, SourceFile, SourceMap
from pipeline.sources.headed import read_headed
from pipeline.sources.labels import labels_of
from pipeline.sources.nested import is_nested, read_nested
from pipeline.sources.nested_lines import read_lines
from pipeline.sources.plain_list import read_list
from pipeline.sources.sheets import is_spreadsheet
from pipeline.sources.spread import spread_sets
from pipeline.sources.standards.read import read_standard
from pipeline.sources.table import read_table
from pipeline.sources.workbook import read_workbook


def read_raw(file: SourceFile, one: SourceMap) -> RawFile:
    """Read a file as its map says, converting nothing.

    A map may also name the label ``(file name)``: the file's name without its ending, in each row;
    ``(line)``: the whole line, of a list without a header; and ``(heading)`` and ``(cell)``: the
    day over a block of rows or over a column, and the cell in that column.

    Raises
    ------
    InputError
        when the file cannot be opened, is not what its map says, or lacks a column that the map
        needs.
    """
    if one.kind == "standard":
        return read_standard(file, one)
    data = read_bytes(file)
    if one.kind == "notes":
        return _add_file_name(read_lines(file, data, one))
    if LINE in labels_of(one):
        return _add_file_name(read_list(file, data, one))
    if HEADING in labels_of(one):
        raw = read_headed(file, data, one)
    elif is_spreadsheet(data):
        raw = read_workbook(file, data, one)
    elif is_nested(file, one):
        raw = read_nested(file, data, one)
    else:
        raw = read_table(file, data, one)
    return _add_file_name(spread_sets(raw))


def read_bytes(file: SourceFile) -> bytes:
    """Content of the file.

    Raises
    ------
    InputError
        when it cannot be opened.
    """
    try:
        return file.absolute.read_bytes()
    except OSError as error:
        reason = error.strerror or "cannot be opened"
        raise InputError(file.shown, None, reason, "check the file and refresh again") from None


def raw_rows(raw: RawFile) -> pl.DataFrame:
    """Table ``raw_row``: each row as written, as JSON from label to text, and its place where
    ``row_no`` is no line."""
    cells = pl.struct(pl.exclude("row_no", PLACE)).struct.json_encode()
    has_place = PLACE in raw.frame.columns
    frame = raw.frame.select(
        pl.lit(raw.file.file_id).alias("file_id"),
        "row_no",
        cells.alias("cells"),
        *([pl.col(PLACE).alias("place")] if has_place else []),
    )
    return conform("raw_row", frame)


def _add_file_name(raw: RawFile) -> RawFile:
    if FILE_NAME not in labels_of(raw.map) or FILE_NAME in raw.frame.columns:
        return raw
    return replace(raw, frame=raw.frame.with_columns(pl.lit(raw.file.stem).alias(FILE_NAME)))
