"""The file that a map is drafted for: its text, separator, header and columns."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path

from pipeline.core.calendar import WRITTEN_YEAR
from pipeline.core.errors import InputError
from pipeline.core.source import NO_CELLS, SourceFile
from pipeline.sources.decode import decode
from pipeline.sources.draft_cells import MAX_ROWS, SHORTHAND, Column, make_column
from pipeline.sources.draft_labels import read_label
from pipeline.sources.records import SEPARATORS, name_columns, split_records
from pipeline.sources.snapshot import as_text
from pipeline.sources.table import MAX_COLUMNS

MAX_BYTES = 32 * 2**20  # a map is drafted from the first part of a larger file
HEADER_WITHIN = 25  # lines
LOOKED_AT = 400  # records
MOST_OF_CELL = 500  # characters: a longer cell is no name, and slow to compare with names
LEAST_ALIKE = 0.6  # share of records as wide as the header
HAS_DATE = re.compile(r"\d{1,4}[./\-]\d{1,2}[./\-]\d{1,4}")
TAKEN = NO_CELLS  # as when the file is read: labels have to come out the same
A_TABLE = "a table has a row of labels and the same separator in every row below it"


@dataclass(frozen=True)
class LooseTable:
    """A table as found in a text, a spreadsheet or nested records.

    ``header_row`` is the line of the header, from 1; ``rows`` are the cells below it, blanks taken
    off, all as many as the header has; ``columns`` are the same by column; ``pattern`` is the glob
    for this file and its yearly siblings, relative to the lifter's inbox; ``year`` is the one in
    the file's name, or in its sheets' (``year_from``). ``what`` says what the file is if it is no
    text table, ``left_out`` names its sheets that are no part of it; ``fill_down`` are fields
    written once for several rows; ``depth`` counts the lists that its rows lie in; ``more``
    names, by the first label, the labels of columns that are read together with it.
    """

    source: SourceFile
    encoding: str
    separator: str
    header_row: int
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    pattern: str
    siblings: tuple[Path, ...]
    year: int | None
    is_part: bool
    what: str = ""
    left_out: tuple[str, ...] = ()
    year_from: str = "file name"
    fill_down: tuple[str, ...] = ()
    depth: int = 0
    more: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


def read_loosely(path: Path) -> LooseTable:
    """Look at a file without a map.

    Raises
    ------
    InputError
        when it cannot be opened, is not text, or is no table that a map can describe yet.
    """
    source = source_of(path)
    data, is_part = read_head(source)
    decoded = decode(source, data)
    _refuse_other_forms(source, decoded.text)
    lines = decoded.text.removesuffix("\n").split("\n")
    separator = find_separator(source, lines)
    at, header = _find_header(source, lines, separator)
    labels, _ = name_columns(header, taken=TAKEN)
    rows = _read_rows(lines, at, len(labels), separator)
    return LooseTable(
        source=source,
        encoding=decoded.encoding,
        separator=separator,
        header_row=at,
        columns=tuple(
            make_column(label, place, (row[place] for row in rows))
            for place, label in enumerate(labels)
        ),
        rows=rows,
        pattern=pattern_of(source.path),
        siblings=siblings_of(path),
        year=only_year(path.name),
        is_part=is_part,
    )


def source_of(path: Path) -> SourceFile:
    """The file under the name that its map will see: its path inside the lifter's inbox."""
    parts = tuple(map(as_text, path.resolve().parts))
    inside = parts[parts.index("inbox") + 1 :] if "inbox" in parts[:-2] else ()
    lifter, name = (
        (inside[0], "/".join(inside[1:])) if len(inside) > 1 else ("inbox", as_text(path.name))
    )
    return SourceFile("draft", lifter, name, "", 0, path)


def read_header(path: Path, like: LooseTable) -> tuple[str, ...]:
    """Labels of a sibling that is laid out alike; none when it cannot be read so."""
    source = source_of(path)
    try:
        text = decode(source, read_head(source)[0]).text
    except InputError:
        return ()
    records = split_records(text.split("\n"), like.header_row - 1, like.separator)
    first = next(iter(records), None)
    return tuple(name_columns(first[1], taken=TAKEN)[0]) if first else ()


def read_head(source: SourceFile) -> tuple[bytes, bool]:
    """The file's first bytes, cut at a line end, and whether there are more.

    Raises
    ------
    InputError
        when it cannot be opened.
    """
    try:
        with source.absolute.open("rb") as handle:
            data = handle.read(MAX_BYTES + 1)
    except OSError as error:
        reason = error.strerror or "cannot be opened"
        raise InputError(source.path, None, reason, "give the path of a file") from None
    if len(data) <= MAX_BYTES:
        return data, False
    end = data.rfind(b"\n", 0, MAX_BYTES) + 1
    return data[: end + end % 2], True  # even: a line end of UTF-16 has two bytes


def _refuse_other_forms(source: SourceFile, text: str) -> None:
    start = text.lstrip()[:1]
    if start in ("{", "[", "<"):
        what = "a page or XML" if start == "<" else "JSON"
        raise InputError(source.path, None, f"looks like {what}, not a table", A_TABLE)


def find_separator(source: SourceFile, lines: list[str]) -> str:
    """The separator that cuts most records into the same number of cells, at least two."""
    best = max(SEPARATORS, key=lambda one: _alike(lines, one))
    if _alike(lines, best)[0] < LEAST_ALIKE:
        raise InputError(source.path, None, "no separator makes a table of it", A_TABLE)
    return best


def _alike(lines: list[str], separator: str) -> tuple[float, int]:
    """Share of records of the most common width (0 when that is one cell), and that width."""
    widths = [
        len(cells)
        for _, cells in islice(split_records(lines, 0, separator), LOOKED_AT)
        if any(cell.strip() for cell in cells)
    ]
    if not widths:
        return 0.0, 0
    common = max(set(widths), key=lambda width: (widths.count(width), width))
    share = widths.count(common) / len(widths)
    return (round(share, 1), common) if common > 1 else (0.0, 1)


def _find_header(source: SourceFile, lines: list[str], separator: str) -> tuple[int, list[str]]:
    """Line (from 1) and cells of the header: the record among the first with most known labels."""
    width = _alike(lines, separator)[1]
    records = split_records(lines[:HEADER_WITHIN], 0, separator)
    choices = [(at, cells) for at, cells in records if len(cells) >= min(width, 2)]
    at, cells = max(choices, key=lambda record: header_score(record[1]))
    if header_score(cells) <= 0:
        remedy = "add a first line of labels, such as date, exercise, weight, reps"
        raise InputError(source.path, 1, "no line of labels found", remedy)
    if len(cells) > MAX_COLUMNS:
        value = f"{len(cells)} columns, {MAX_COLUMNS} at most"
        raise InputError(source.path, at, value, "keep the columns that say what was done")
    return at, cells


def header_score(cells: list[str]) -> float:
    """Known labels, less whatever looks like a value."""
    score = 0.0
    for cell in cells:
        meaning = read_label(cell)
        known = {**meaning.fields, **meaning.signals}
        has_value = HAS_DATE.search(cell) or SHORTHAND.search(cell) or cell.strip().isdigit()
        score += max(known.values(), default=0.0) + 0.05 * bool(cell.strip()) - bool(has_value)
    return score


def _read_rows(
    lines: list[str], at: int, width: int, separator: str
) -> tuple[tuple[str, ...], ...]:
    records = [cells for _, cells in split_records(lines, at - 1, separator)][1:]
    if len(records) > MAX_ROWS:  # spread over the whole file: units and dates change with the years
        step = len(records) / MAX_ROWS
        records = [records[int(i * step)] for i in range(MAX_ROWS)]
    return tuple(
        tuple(cut_cell(cell) for cell in [*cells, *[""] * width][:width]) for cells in records
    )


def cut_cell(cell: str) -> str:
    """A cell without spare blanks, and not longer than is looked at."""
    return " ".join(cell[:MOST_OF_CELL].split())


def pattern_of(path: str) -> str:
    """The glob: a year in the name stands for any year."""
    folder, _, name = path.rpartition("/")
    name = name if len(WRITTEN_YEAR.findall(name)) != 1 else WRITTEN_YEAR.sub("*", name)
    name = name.replace("[", "?")  # a sign of the pattern language
    return f"{folder}/{name}" if folder else name


def siblings_of(path: Path) -> tuple[Path, ...]:
    """Files beside this one whose names differ in the year only."""
    if len(WRITTEN_YEAR.findall(path.name)) != 1:
        return ()
    like = WRITTEN_YEAR.sub("*", path.name)
    others = sorted(path.parent.iterdir()) if path.parent.is_dir() else []
    return tuple(
        one
        for one in others
        if one != path and one.is_file() and WRITTEN_YEAR.sub("*", one.name) == like
    )


def only_year(name: str) -> int | None:
    """The year in a file's name, where it holds one and no other."""
    years = set(WRITTEN_YEAR.findall(name))
    return int(years.pop()) if len(years) == 1 else None
