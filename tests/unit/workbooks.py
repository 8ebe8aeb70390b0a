"""Small invented spreadsheets, written by a library that the program does not use."""

import io
from collections.abc import Mapping, Sequence
from datetime import date, datetime, time, timedelta

import xlsxwriter

Cell = str | int | float | bool | date | datetime | time | timedelta | None
FORMATS = ((datetime, "yyyy-mm-dd hh:mm"), (date, "dd/mm/yyyy"), (time, "h:mm"))


def workbook(
    sheets: Mapping[str, Sequence[Sequence[Cell]]],
    merged: Mapping[str, Sequence[str]] | None = None,
) -> bytes:
    """An .xlsx file: cells by sheet and row; ``merged`` are ranges such as "A2:A4" whose first
    cell stands in ``sheets``."""
    target = io.BytesIO()
    book = xlsxwriter.Workbook(target, {"in_memory": True})
    formats = [(kind, book.add_format({"num_format": form})) for kind, form in FORMATS]
    formats.append((timedelta, book.add_format({"num_format": "[h]:mm"})))
    book.set_properties({"created": datetime(2024, 1, 1)})  # the same bytes at any time
    for name, rows in sheets.items():
        sheet = book.add_worksheet(name)
        for at, row in enumerate(rows):
            for place, cell in enumerate(row):
                form = next((form for kind, form in formats if isinstance(cell, kind)), None)
                if cell is not None:
                    sheet.write(at, place, cell, form)
        for where in (merged or {}).get(name, ()):
            sheet.merge_range(where, "")
            first = where.split(":")[0]
            at, place = int(first[1:]) - 1, ord(first[0]) - 65
            cell = rows[at][place]
            form = next((form for kind, form in formats if isinstance(cell, kind)), None)
            sheet.write(at, place, cell, form)
    book.close()
    return target.getvalue()
