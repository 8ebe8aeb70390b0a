"""What the names of a folder's files tell that their rows do not: the day, or the exercise."""

import re
from dataclasses import replace
from pathlib import Path

from pipeline.core.source import FILE_NAME
from pipeline.sources.draft_cells import make_column
from pipeline.sources.draft_columns import is_day
from pipeline.sources.draft_file import LooseTable
from pipeline.sources.draft_records import Readers

LEAST = 0.5  # share of cells, or of the files beside this one, that are alike
DAY_IN_NAME = re.compile(
    r"(?<!\d)(?:(?:19|20)\d\d([.\-_ ]?)\d{2}\1\d{2}|\d{1,2}([.\-_])\d{1,2}\2\d{2,4})(?!\d)"
)


def add_file_name(table: LooseTable, readers: Readers) -> LooseTable:
    """``table`` with the column ``(file name)`` where the name tells the day or the exercise and
    no column does; its pattern then reads all files of the folder that are named so."""
    path = table.source.absolute
    test = is_day(readers, table.year)
    if not any(column.share(test) >= LEAST for column in table.columns) and _day_in(path):
        alike = [other for other in _beside(path) if _day_in(other)]
        days = [_day_in(path)] * len(table.rows) + [_day_in(other) for other in alike]
        return _with_column(table, days, alike)
    names_known = any(
        readers.knows(text) for column in table.columns for text in list(column.counts)[:50]
    )
    has_lifts = any(readers.knows(column.label) for column in table.columns)
    if not names_known and not has_lifts and readers.knows(table.source.stem):
        alike = [other for other in _beside(path) if readers.knows(other.stem)]
        return _with_column(table, [table.source.stem] * len(table.rows), alike)
    return table


def _with_column(table: LooseTable, cells: list[str], alike: list[Path]) -> LooseTable:
    column = make_column(FILE_NAME, len(table.columns), cells)
    rows = tuple((*row, cells[0]) for row in table.rows)
    pattern = table.pattern
    if alike:
        folder, _, name = table.source.path.rpartition("/")
        ending = Path(name).suffix
        pattern = f"{folder}/*{ending}" if folder else f"*{ending}"
    return replace(
        table,
        columns=(*table.columns, column),
        rows=rows,
        pattern=pattern,
        siblings=tuple(alike),
    )


def _beside(path: Path) -> list[Path]:
    """Files of the same folder with the same ending."""
    return sorted(
        other
        for other in path.parent.iterdir()
        if other != path and other.suffix == path.suffix and other.is_file()
    )


def _day_in(path: Path) -> str:
    match = DAY_IN_NAME.search(path.stem)
    return re.sub(r"[_ ]", "-", match[0]) if match else ""
