"""Drafting the map of notes in plain text or Markdown.

Dates first: which lines are dates, in which order their numbers stand, where the year comes from.
Then the sets: order of numbers, unit, decimal sign. Notes whose year nothing tells are refused.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from pipeline.core.errors import InputError
from pipeline.core.source import FILE_NAME, RawFile, SourceMap
from pipeline.sources.decode import decode
from pipeline.sources.draft_cells import make_column, read_number
from pipeline.sources.draft_columns import find_layout
from pipeline.sources.draft_file import (
    LooseTable,
    only_year,
    pattern_of,
    read_head,
    siblings_of,
    source_of,
)
from pipeline.sources.draft_notation import (
    NotationFinding,
    decimals_of_shorthand,
    find_notation,
)
from pipeline.sources.draft_note_dates import NoNotesError, find_note_dates, with_year_in_name
from pipeline.sources.draft_records import NameLine, Notebook, NotesLike, Readers
from pipeline.sources.draft_toml import MapParts
from pipeline.sources.draft_units import Load, UnitFinding, find_unit
from pipeline.sources.draft_warmups import find_unmarked_warmups
from pipeline.sources.plain_list import read_list

ABOVE = re.compile(r"\((?:date|name|part of the day) above\)")


@dataclass(frozen=True)
class NotesFinding:
    """Parts of the map, the names found, and the table that stands for the file."""

    parts: MapParts
    names: tuple[NameLine, ...]


def draft_notes(path: Path, readers: Readers, book: Notebook) -> NotesFinding:
    """Parts of the map that reads notes.

    Raises
    ------
    InputError
        when it is no text, has no dates or no sets, or when nothing tells the year.
    """
    table = _as_table(path)
    raw = with_year_in_name(_as_lines(table), table)
    dates, raw = find_note_dates(raw, table, readers, book)
    seen = readers.survey_notes(raw)
    columns, loads_in_tables, cells_in_tables = _read_tables(seen, readers, book, table)
    if raw.map.columns.get("date") == FILE_NAME:
        columns["date"] = FILE_NAME
    cells = [(name, text) for _, name, text in seen.entries] + cells_in_tables
    if not cells and not loads_in_tables:
        remedy = "write each exercise with its sets on a line below its date, such as squat 3x8@100"
        raise NoNotesError(table.source.path, None, "no line holds sets", remedy)
    notation = None
    decimal = "."
    if cells:
        signs = decimals_of_shorthand([text for _, text in cells], "\n")
        notation = find_notation(cells, signs, readers, book)
        decimal = notation.decimal
        if decimal != raw.map.decimal:
            seen = readers.survey_notes(replace(raw, map=replace(raw.map, decimal=decimal)))
    parts = MapParts(
        table=table,
        kind="notes",
        columns=columns,
        decimal=decimal,
        dates=dates,
        unit=_find_unit(seen, loads_in_tables, notation, book),
        order=notation.order if notation else None,
        by_rule=_find_warmups(seen, notation, book),
        basis=book.answers.get("load.basis", "by exercise"),
    )
    return NotesFinding(parts, _match_names(seen, readers))


def _as_table(path: Path) -> LooseTable:
    source = source_of(path)
    data, is_part = read_head(source)
    decoded = decode(source, data)
    return LooseTable(
        source=source,
        encoding=decoded.encoding,
        separator="",
        header_row=1,
        columns=(),
        rows=(),
        pattern=pattern_of(source.path),
        siblings=siblings_of(path),
        year=only_year(path.name),
        is_part=is_part,
    )


def _as_lines(table: LooseTable) -> RawFile:
    one = SourceMap(name="draft", kind="notes", globs=(), columns={})
    return read_list(table.source, read_head(table.source)[0], one)


def _read_tables(
    seen: NotesLike, readers: Readers, book: Notebook, table: LooseTable
) -> tuple[dict[str, str], list[Load], list[tuple[str, str]]]:
    """Columns of the tables inside the notes, their loads, and their cells in shorthand."""
    columns: dict[str, str] = {}
    loads: list[Load] = []
    cells: list[tuple[str, str]] = []
    for found in seen.tables:
        lists = [
            make_column(label, place, (text or "" for text in texts))
            for place, (label, texts) in enumerate(found.items())
        ]
        try:
            layout = find_layout(tuple(lists), readers, book, None, table.source.path)
        except InputError as error:
            book.note(f"A table with the columns {', '.join(found)} is not read: {error.value}.")
            continue
        fields = {field: column.label for field, column in layout.fields.items()}
        own = {field: label for field, label in fields.items() if not ABOVE.fullmatch(label)}
        columns = {**own, **columns}
        rows = [dict(zip(found, row, strict=True)) for row in zip(*found.values(), strict=True)]
        loads += _loads_of(rows, fields, readers)
        if "sets" in fields:
            cells += [(r[fields["exercise"]] or "", r[fields["sets"]] or "") for r in rows]
    if columns:
        told = ", ".join(f"{field} {label!r}" for field, label in columns.items())
        book.note(f"Tables inside the notes are read: {told}.")
    return columns, loads, [cell for cell in cells if cell[1]]


def _loads_of(
    rows: list[dict[str, str | None]], fields: Mapping[str, str], readers: Readers
) -> list[Load]:
    if "load" not in fields or "exercise" not in fields:
        return []
    found: list[Load] = []
    for row in rows:
        day = readers.read_date(row[fields["date"]] or "", "ymd", None)
        value = read_number(row[fields["load"]] or "")
        if day is not None and value:
            found.append((day, row[fields["exercise"]] or "", value))
    return found


def _find_unit(
    seen: NotesLike, in_tables: list[Load], notation: NotationFinding | None, book: Notebook
) -> UnitFinding:
    loads = [
        (day, name, load)
        for day, name, text in seen.entries
        if day is not None
        for load in _bare_loads(text, notation)
    ]
    return find_unit(loads + in_tables, None, [text for _, _, text in seen.entries], book)


def _bare_loads(text: str, notation: NotationFinding | None) -> list[float]:
    if notation is None:
        return []
    return [load for load, unit in notation.loads.get(text, ()) if unit is None]


def _find_warmups(seen: NotesLike, notation: NotationFinding | None, book: Notebook) -> bool:
    if notation is None or notation.has_warmups:
        return False
    days = ((day or date.min, name, text) for day, name, text in seen.entries)
    return find_unmarked_warmups(
        ((str(day), name, _all_loads(text, notation)) for day, name, text in days), book
    )


def _all_loads(text: str, notation: NotationFinding) -> list[float]:
    return [load for load, _ in notation.loads.get(text, ())]


def _match_names(seen: NotesLike, readers: Readers) -> tuple[NameLine, ...]:
    counts: dict[str, int] = {}
    for _, name, _ in seen.entries:
        counts[name] = counts.get(name, 0) + 1
    ranked = sorted(counts.items(), key=lambda pair: (-pair[1], pair[0]))
    return tuple(NameLine(name, n, readers.resolve_name(name)) for name, n in ranked)
