"""A large table of sets part by part, so that memory does not grow with the file."""

import codecs
from collections.abc import Iterator
from dataclasses import replace
from typing import BinaryIO

import polars as pl

from pipeline.core.errors import InputError
from pipeline.core.source import FILE_NAME, HEADING, LINE, RawFile, SourceFile, SourceMap
from pipeline.sources.decode import decode
from pipeline.sources.labels import labels_of
from pipeline.sources.nested import is_nested
from pipeline.sources.records import MAX_LINES_PER_RECORD
from pipeline.sources.sheets import is_spreadsheet
from pipeline.sources.table import Head, count_lines, read_head, read_rows

PART_BYTES = 10_000_000
LOOKED_AT_BYTES = 4096


class NotInPartsError(Exception):
    """Read part by part the file could say something else than as a whole."""


def can_be_split(file: SourceFile, one: SourceMap, part_bytes: int = PART_BYTES) -> bool:
    """The file is large, and each of its rows can be understood by the rows of its own day.

    Not so where cells are filled down, drops name their set by its number, or the order of dates
    changes at a row. Only text is split.
    """
    is_large = file.size_bytes > 2 * part_bytes
    labels = labels_of(one)
    by_rows = one.kind == "sets" and not one.fill_down and "drop_of" not in one.columns
    by_rows = by_rows and "load" not in one.more and not one.order_changes
    if not (is_large and by_rows) or is_nested(file, one):
        return False
    if not {FILE_NAME, LINE, HEADING}.isdisjoint(labels):
        return False
    try:
        with file.absolute.open("rb") as handle:
            return not is_spreadsheet(handle.read(LOOKED_AT_BYTES))
    except OSError:  # reading it whole says why
        return False


def read_parts(file: SourceFile, one: SourceMap, part_bytes: int = PART_BYTES) -> Iterator[RawFile]:
    """Read a table that can be split, the rows of a day together as long as they stand together.

    Raises
    ------
    NotInPartsError
        when a part is not UTF-8 without a mark, or ends inside of a quoted cell.
    InputError
        as ``read_raw``.
    """
    label, held = one.columns["date"], None
    for raw in _read_blocks(file, one, part_bytes):
        frame = raw.frame if held is None else pl.concat([held, raw.frame], how="diagonal")
        run = frame[label].rle_id()
        start = run.search_sorted(run[-1]) if len(run) else 0
        held = frame[start:]
        if start:
            yield replace(raw, frame=frame[:start])
    if held is not None and held.height:
        yield replace(raw, frame=held)


def _read_blocks(file: SourceFile, one: SourceMap, part_bytes: int) -> Iterator[RawFile]:
    with file.absolute.open("rb") as handle:
        top = b"".join(handle.readline() for _ in range(one.header_row))
        if top.count(b'"') % 2 or b"\r" in top.rstrip(b"\r\n"):
            raise NotInPartsError
        handle.seek(0)
        head: Head | None = None
        above = 0
        while block := _next_block(handle, part_bytes + (len(top) if head is None else 0)):
            utf8, skipped = _decode_block(file, one, block), 0
            n_lines = count_lines(utf8)
            if head is None:
                head = _read_head(file, one, utf8, n_lines)
                skipped = head.height
            frame = read_rows(utf8, n_lines, head, skipped, above)
            yield RawFile(file, one, "utf-8", frame, head.warnings)
            above += n_lines


def _next_block(handle: BinaryIO, part_bytes: int) -> bytes:
    """Whole lines, and whole records where quotes are closed."""
    begin = handle.tell()
    handle.seek(begin + part_bytes)
    handle.readline()
    length = handle.tell() - begin
    handle.seek(begin)
    block = handle.read(length)
    n_quotes = block.count(b'"') if b'"' in block else 0
    for _ in range(MAX_LINES_PER_RECORD):
        if n_quotes % 2 == 0:
            return block
        line = handle.readline()
        block, n_quotes = block + line, n_quotes + line.count(b'"')
    raise NotInPartsError


def _decode_block(file: SourceFile, one: SourceMap, block: bytes) -> bytes:
    has_old_ends = b"\r" in block and block.count(b"\r") != block.count(b"\r\n")
    if b"\x00" in block or has_old_ends or block.startswith(codecs.BOM_UTF8):
        raise NotInPartsError
    try:
        decoded = decode(file, block, one.encoding)
    except InputError:  # the whole file may say more of it
        raise NotInPartsError from None
    if decoded.encoding != "utf-8":
        raise NotInPartsError
    return decoded.utf8


def _read_head(file: SourceFile, one: SourceMap, utf8: bytes, n_lines: int) -> Head:
    try:
        return read_head(file, utf8, n_lines, one)
    except InputError:
        raise NotInPartsError from None
