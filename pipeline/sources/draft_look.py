"""The table that an unknown file holds, whatever it is kept in, and what its columns mean."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path

from pipeline.core.errors import InputError
from pipeline.core.written import NOTHING
from pipeline.sources.decode import decode
from pipeline.sources.documents import read_documents
from pipeline.sources.draft_cells import make_column
from pipeline.sources.draft_columns import Layout, find_layout
from pipeline.sources.draft_file import (
    LooseTable,
    find_separator,
    read_head,
    read_loosely,
    source_of,
)
from pipeline.sources.draft_file_names import add_file_name
from pipeline.sources.draft_headed import headed_tables
from pipeline.sources.draft_nested import nested_tables
from pipeline.sources.draft_records import Notebook, Readers
from pipeline.sources.draft_series import join_series
from pipeline.sources.draft_sheets import read_signed_sheets, sheet_tables
from pipeline.sources.headed import text_sheet
from pipeline.sources.nested import ENDINGS
from pipeline.sources.sheets import is_spreadsheet

FILLED_DOWN = ("date", "session", "exercise")
RESULTS = ("sets", "reps", "load", "duration_s", "distance_m")
LEAST_EMPTY = 0.2  # share of the rows with results that lack what is written once for several
USEFUL = ("date", "exercise", *RESULTS)


def look(path: Path, readers: Readers, book: Notebook) -> tuple[LooseTable, Layout]:
    """The table in a file and the meaning of its columns.

    Where a file holds several tables, the one that says most of sets or signals is taken.

    Raises
    ------
    InputError
        when no table in it can be described by a map.
    """
    best: tuple[tuple[int, int], LooseTable] | None = None
    fault: InputError | None = None
    for tables in (_tables, _headed):
        try:
            for found in tables(path, readers) if best is None else ():
                try:
                    ranked = _rank_table(found, path, readers, book)
                except InputError as error:
                    fault = fault or error
                    continue
                best = ranked if best is None or ranked[0] > best[0] else best
        except InputError as error:
            fault = fault or error
    if best is None:
        remedy = "check what the file holds"
        raise fault or InputError(path.name, None, "no records in it", remedy)
    table = best[1]
    return table, find_layout(table.columns, readers, book, table.year, table.source.path)


def _rank_table(
    found: LooseTable, path: Path, readers: Readers, book: Notebook
) -> tuple[tuple[int, int], LooseTable]:
    """The table made ready to be drafted from, and how much it says."""
    table = join_series(add_file_name(found, readers))
    layout = _try_layout(table, readers, book)
    if layout.kind == "wide" and table.depth:
        labels = ", ".join(column.label for column in layout.lifts[:3])
        remedy = "a mapping or list with the exercise apart from its sets is needed"
        raise InputError(path.name, None, f"under {labels} stand names and sets", remedy)
    return _rank(layout, table), _fill_down(table, layout, book)


def is_sheets(path: Path) -> bool:
    """The file is a spreadsheet, whatever its name."""
    return is_spreadsheet(read_head(source_of(path))[0])


def _tables(path: Path, readers: Readers) -> Iterable[LooseTable]:
    source = source_of(path)
    beginning, _ = read_head(source)
    if is_spreadsheet(beginning):
        return sheet_tables(source, path.read_bytes(), readers)
    if _is_nested(path, beginning):
        decoded = decode(source, path.read_bytes())
        documents = read_documents(source, decoded.text)
        return nested_tables(source, decoded.encoding, documents, readers)
    return [read_loosely(path)]


def _is_nested(path: Path, beginning: bytes) -> bool:
    is_json = beginning.removeprefix(b"\xef\xbb\xbf").lstrip().startswith((b"{", b"[{"))
    return is_json or path.suffix.lower() in ENDINGS


def _headed(path: Path, readers: Readers) -> Iterable[LooseTable]:
    """A sheet or text table in which days are headings."""
    source = source_of(path)
    beginning, _ = read_head(source)
    if _is_nested(path, beginning):
        return ()
    if is_spreadsheet(beginning):
        return headed_tables(source, read_signed_sheets(source, path.read_bytes()))
    decoded = decode(source, beginning)
    separator = find_separator(source, decoded.text.removesuffix("\n").split("\n"))
    sheet = text_sheet(decoded.text, separator, ())
    return headed_tables(source, [sheet], decoded.encoding, separator)


def _try_layout(table: LooseTable, readers: Readers, book: Notebook) -> Layout:
    scratch = Notebook(dict(book.answers))
    return find_layout(table.columns, readers, scratch, table.year, table.source.path)


def _rank(layout: Layout, table: LooseTable) -> tuple[int, int]:
    """More of what a map needs goes first, then the fewest lists within each other."""
    known = sum(field in layout.fields for field in USEFUL)
    if "sets" in layout.fields:
        known += 1  # shorthand says load and repetitions
    return known + 2 * bool(layout.lifts) + min(len(layout.signals), 2), -table.depth


def _fill_down(table: LooseTable, layout: Layout, book: Notebook) -> LooseTable:
    """The table with what is written once for several rows in each of them."""
    results = [layout.fields[field].place for field in RESULTS if field in layout.fields]
    results += [column.place for column in layout.lifts]
    full = [row for row in table.rows if any(row[place] not in NOTHING for place in results)]
    fields = []
    for field in FILLED_DOWN:
        column = layout.fields.get(field)
        if column is None or not full or table.depth:
            continue
        n = sum(row[column.place] in NOTHING for row in full)
        if n >= LEAST_EMPTY * len(full):
            fields.append(field)
            book.note(
                f"On {n} of {len(full)} rows with sets {column.label!r} is empty: it is taken as "
                "written once for the rows below."
            )
    if not fields:
        return table
    rows = _filled(table.rows, [layout.fields[field].place for field in fields], layout)
    columns = tuple(
        make_column(one.label, one.place, (row[one.place] for row in rows), one.said)
        for one in table.columns
    )
    return replace(table, rows=rows, columns=columns, fill_down=tuple(fields))


def _filled(
    rows: Sequence[tuple[str, ...]], places: Sequence[int], layout: Layout
) -> tuple[tuple[str, ...], ...]:
    day = layout.fields["date"].place
    above: dict[int, str] = {}
    found = []
    for row in rows:
        if row[day] not in NOTHING:
            above = {}
        cells = list(row)
        if any(cell not in NOTHING for cell in row):
            for place in places:
                cells[place] = above.get(place, "") if row[place] in NOTHING else row[place]
                above[place] = cells[place]
        found.append(tuple(cells))
    return tuple(found)
