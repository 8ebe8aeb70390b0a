"""A source file, the map that reads it, and its raw table. Records only, no behaviour."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path, PurePosixPath

import polars as pl

# Column of RawFile.frame that holds what stands beyond the header's last column; there only when
# some row has more cells than the header.
BEYOND = "(beyond the header)"
# Column of RawFile.frame that says where a record stands, where ``row_no`` is no line of the file:
# "sheet 2019, row 14", "sessions[3].sets[0]".
PLACE = "(place)"
# Labels that no file has and a map may name as a column: the file's name without its ending, and
# the sheet of a spreadsheet.
FILE_NAME = "(file name)"
SHEET = "(sheet)"
# Label of the one column of a list or of notes: each line whole, no header.
LINE = "(line)"
# What is said of a file that no map is for.
NO_MAP = "no map matches this file"
NO_VALUE = "no value"  # fault of a correction whose value nobody has written yet
# Labels of a sheet in which days are headings: the day over a block of rows or over a column, and
# the cell under it where each day has one column only.
HEADING = "(heading)"
CELL = "(cell)"
# Columns of RawFile.frame that are no cells of the file.
NO_CELLS = ("row_no", BEYOND, PLACE)


@dataclass(frozen=True)
class SourceFile:
    """One file of one lifter's inbox.

    ``path`` is relative to ``inbox/<lifter_id>/`` with forward slashes; ``absolute`` is where the
    bytes are read from (the inbox, or its snapshot).
    """

    file_id: str
    lifter_id: str
    path: str
    sha256: str
    size_bytes: int
    absolute: Path

    @property
    def shown(self) -> str:
        """The file as the user knows it: its path inside the inbox."""
        return f"{self.lifter_id}/{self.path}"

    @property
    def stem(self) -> str:
        """The file's name without folders and ending: the text of the label ``FILE_NAME``."""
        return PurePosixPath(self.path).stem


@dataclass(frozen=True)
class SignalColumn:
    """One measured column: its label in the file, the signal it gives and the unit it is in."""

    label: str
    signal: str
    unit: str


@dataclass(frozen=True)
class OrderChange:
    """From row ``from_row`` of the file on (``row_no``) dates stand in another order; the date or
    line there holds ``expect``, so that a file that grew above it is not read wrongly.
    """

    from_row: int
    expect: str
    order: str


@dataclass(frozen=True)
class SourceMap:
    """How one kind of file is read; one TOML file in ``maps/``.

    ``columns`` maps a field to its label in the file; ``unit_changes`` holds (first day, unit) in
    date order, ``order_changes`` the rows from which dates stand in another order, by row;
    ``load_basis`` is "by exercise" or "total"; ``bar_kg`` is added to loads written per
    side of a barbell or beside the bar, ``bars_kg`` holds (name, kilograms) of other bars;
    ``plates`` says how plates count whose side is not said ("per side" or "in all"; None: not at
    all), ``plate_kg`` what one weighs (None: 20 kg or 45 lb, by the unit);
    ``warmups`` is "as written" or "by rule"; ``notation_order`` is the order of numbers in set
    shorthand; ``sheets`` are the sheets read (empty: all with the labels); ``fill_down`` are fields
    whose empty cells say what the row above says; ``comments`` are signs with which a line of notes
    begins that is not read; ``first_year`` is the year of the earliest date where none is written,
    ``first_day`` the first day of the first week where only weeks and days of them are numbered;
    ``more`` has further labels by field, whose cells are read after the first one's;
    ``checksum`` is the hash of the map's own text.
    """

    name: str
    kind: str
    globs: tuple[str, ...]
    columns: dict[str, str]
    lifters: tuple[str, ...] = ("*",)
    separator: str | None = None
    decimal: str = "."
    header_row: int = 1
    encoding: str | None = None
    skip_columns: tuple[str, ...] = ()
    warmups: str = "as written"
    signals: tuple[SignalColumn, ...] = ()
    date_order: str = "ymd"
    order_changes: tuple[OrderChange, ...] = ()
    year_from: str | None = None
    unit: str | None = None
    unit_changes: tuple[tuple[date, str], ...] = ()
    load_basis: str = "by exercise"
    bar_kg: float = 20.0
    bars_kg: tuple[tuple[str, float], ...] = ()
    plates: str | None = None
    plate_kg: float | None = None
    notation_order: str | None = None
    sheets: tuple[str, ...] = ()
    fill_down: tuple[str, ...] = ()
    more: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    comments: tuple[str, ...] = ()
    first_year: int | None = None
    first_day: date | None = None
    checksum: str = ""


@dataclass(frozen=True)
class RawFile:
    """A file read as it is: ``frame`` has ``row_no`` (line where the record starts, from 1; a
    running number where there are no lines, with the column ``PLACE`` beside it), then one text
    column per original label; nothing is converted.
    """

    file: SourceFile
    map: SourceMap
    encoding: str
    frame: pl.DataFrame
    warnings: tuple[str, ...] = ()
