"""Spreadsheets to sheets of text: every cell exactly as it stands there, nothing understood yet."""

import io
import re
import zipfile
import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

import python_calamine

from pipeline.core.errors import InputError
from pipeline.core.source import SourceFile

ZIPPED, OLD = b"PK\x03\x04", b"\xd0\xcf\x11\xe0"
# A decade of sets is some hundred thousand cells; beyond these limits lies a slip or an attack.
MOST_BYTES = 512 * 2**20  # unpacked
MOST_CELLS = 20_000_000
MOST_SHEETS = 400
# Name of the stream that a locked .xlsx consists of.
LOCKED = "EncryptedPackage".encode("utf-16-le")
PARTS = ("xl/workbook.xml", "xl/workbook.bin", "content.xml")
REMEDY = "save it again as .xlsx, or as CSV"

_REFERENCE = re.compile(rb'<(?:\w+:)?c [^>]*?\br="([A-Z]{1,3})(\d{1,7})"')
_ROW = re.compile(rb'<(?:\w+:)?row [^>]*?\br="(\d{1,7})"')
_WIDE = re.compile(rb'\br="[A-Z]{2,3}\d')
_REPEATED = re.compile(rb'number-(?:columns|rows)-repeated="(\d{4,})"')
_VALUE = re.compile(rb"value-type=|<text:p")

# What zipfile raises on a damaged archive: a directory that points before the start of the file
# seeks to a negative place, a part that ends early has no more bytes to give.
_BROKEN = (
    zipfile.BadZipFile,
    zlib.error,
    NotImplementedError,
    OSError,
    RuntimeError,
    ValueError,
    EOFError,
)

Cell = str | int | float | bool | date | time | datetime | timedelta


@dataclass(frozen=True)
class Sheet:
    """One sheet: ``rows`` of cells as text (None: empty), all equally long; ``first_row`` is the
    number of the first of them in the sheet, from 1."""

    name: str
    first_row: int
    rows: list[list[str | None]]


def is_spreadsheet(data: bytes) -> bool:
    """By the first bytes: the file's name may say anything."""
    return data.startswith((ZIPPED, OLD))


def read_sheets(file: SourceFile, data: bytes, decimal: str = ".") -> list[Sheet]:
    """Every sheet that holds something, hidden ones too.

    Merged cells are filled downwards: what is written once for several rows belongs to each. A
    date in a cell becomes ISO text, a number has as many digits as the sheet shows at most and no
    spurious ``.0``; ``decimal`` is the sign it is written with.

    Raises
    ------
    InputError
        when the file is broken, locked by a password, no spreadsheet, or far too large.
    """
    if LOCKED in data:
        raise _locked(file)
    if data.startswith(ZIPPED):
        _check_parts(file, data)
    try:
        book = python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(data))
        names = book.sheet_names
        if len(names) > MOST_SHEETS:
            value = f"{len(names)} sheets, {MOST_SHEETS} at most"
            raise InputError(file.shown, None, value, "split the file")
        found = [_read_sheet(book.get_sheet_by_name(name), decimal) for name in names]
    except python_calamine.PasswordError:
        raise _locked(file) from None
    except (python_calamine.CalamineError, OSError, ValueError) as error:
        value = f"a broken spreadsheet ({str(error)[:80]})"
        raise InputError(file.shown, None, value, REMEDY) from None
    return [sheet for sheet in found if sheet.rows]


def say_cell(cell: Cell, decimal: str) -> str | None:
    """A cell as text; None where it is empty."""
    if isinstance(cell, str):
        return cell or None
    if isinstance(cell, bool):
        return "true" if cell else "false"
    if isinstance(cell, int | float):
        # 15 digits: what a spreadsheet holds; more would show 82.30000000000001
        return f"{cell:.15g}".replace(".", decimal)
    if isinstance(cell, datetime):
        return str(cell.date()) if cell.time() == time() else cell.isoformat(" ", "seconds")
    if isinstance(cell, timedelta):
        return _say_clock(round(cell.total_seconds()))
    if isinstance(cell, time):
        return _say_clock(cell.hour * 3600 + cell.minute * 60 + cell.second)
    return str(cell)


def _say_clock(seconds: int) -> str:
    sign, seconds = ("-", -seconds) if seconds < 0 else ("", seconds)
    hours, rest = divmod(seconds, 3600)
    minutes, left = divmod(rest, 60)
    return f"{sign}{hours}:{minutes:02}" + (f":{left:02}" if left else "")


def _read_sheet(sheet: python_calamine.CalamineSheet, decimal: str) -> Sheet:
    if sheet.start is None:
        return Sheet(sheet.name, 1, [])
    top, left = sheet.start
    cells: Sequence[Sequence[Cell]] = sheet.to_python()
    rows = [[say_cell(cell, decimal) for cell in row] for row in cells]
    for (first, column), (last, _) in sheet.merged_cell_ranges or ():
        at, place = first - top, column - left
        if 0 <= at < len(rows) and 0 <= place < len(rows[at]):
            for row in rows[at + 1 : last - top + 1]:
                row[place] = row[place] or rows[at][place]
    return Sheet(sheet.name, top + 1, rows)


def _check_parts(file: SourceFile, data: bytes) -> None:
    """Refuse an archive that is no spreadsheet, or that would unpack to more than memory holds."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            parts = archive.infolist()
            if not any(part.filename in PARTS for part in parts):
                value = "an archive or a document, not a spreadsheet"
                raise InputError(file.shown, None, value, "unpack it and put in the logs it holds")
            size = sum(part.file_size for part in parts)
            if size > MOST_BYTES:
                value = f"{size // 2**20} MB when unpacked, {MOST_BYTES // 2**20} MB at most"
                raise InputError(file.shown, None, value, "split the file")
            manifest = "META-INF/manifest.xml"
            if manifest in archive.namelist() and b"encryption-data" in archive.read(manifest):
                raise _locked(file)
            for part in parts:
                if part.filename.startswith("xl/worksheets/") or part.filename == "content.xml":
                    _check_extent(file, archive.read(part))
    except _BROKEN as error:
        value = f"a broken spreadsheet ({str(error)[:80]})"
        raise InputError(file.shown, None, value, REMEDY) from None


def _locked(file: SourceFile) -> InputError:
    return InputError(file.shown, None, "locked by a password", "save a copy without a password")


def _check_extent(file: SourceFile, xml: bytes) -> None:
    """The library makes room for the whole rectangle from the first used cell to the last."""
    tall = max((int(row) for row in _ROW.findall(xml)), default=1)
    wide = 26
    if _WIDE.search(xml) or not tall:
        places = _REFERENCE.findall(xml)
        wide = max((_column(letters) for letters, _ in places), default=1)
        tall = max((int(row) for _, row in places), default=1)
    for found in _REPEATED.finditer(xml):
        end = xml.find(b">", found.end())
        if _VALUE.search(xml[xml.rfind(b"<", 0, found.start()) : end]):
            tall = max(tall, int(found[1]) * 1024)
    if tall * wide > MOST_CELLS:
        value = f"a sheet of {tall * wide} cells from its first to its last, {MOST_CELLS} at most"
        raise InputError(file.shown, None, value, "delete what stands far outside the table")


def _column(letters: bytes) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + letter - 64
    return number
