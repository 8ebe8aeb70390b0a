"""Drafting the map of notes in plain text or Markdown.

Dates first: which lines are dates, in which order their numbers stand, where the year comes from.
Then the sets: order of numbers, unit, decimal sign. Notes whose year nothing tells are refused.
"""

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path

from pipeline.core.errors import InputError
from pipeline.core.source import FILE_NAME, LINE, RawFile, SourceMap
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
from pipeline.sources.draft_order_change import has_weekday_lines
from pipeline.sources.draft_plates import find_plates
from pipeline.sources.draft_records import NameLine, Notebook, NotesLike, Readers
from pipeline.sources.draft_toml import MapParts, list_labels
from pipeline.sources.draft_units import Load, UnitFinding, find_unit
from pipeline.sources.draft_warmups import find_unmarked_warmups
from pipeline.sources.nested_lines import read_lines

Entry = tuple[date | None, str, str]  # day, exercise, shorthand
_FRACTION = re.compile(
    r"(?<![\d.,])\d+([.,])(?:5|25|75|50)(?=\s*(?:[x×*@:]|kgs?\b|lbs?\b)|\s+\d|$)", re.MULTILINE
)
MOST_SIBLINGS = 60  # files beside that are looked at
_DAY_IN_NAME = re.compile(
    r"(?<!\d)(?:(?:19|20)\d\d[-_. ]?\d\d[-_. ]?\d\d|\d\d[-_.]\d\d[-_.](?:19|20)?\d\d)(?!\d)"
)
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
    table = _by_day(_as_table(path))
    raw = with_year_in_name(_as_lines(table), table)
    raw = replace(raw, map=replace(raw.map, decimal=_likelier_decimal(raw)))
    dates, raw = find_note_dates(raw, table, readers, book)
    if dates.changes:
        table = replace(table, pattern=table.source.path.replace("[", "?"), siblings=())
    seen = readers.survey_notes(raw)
    inside = _read_tables(seen, readers, book, table)
    if raw.map.columns.get("date") == FILE_NAME:
        inside.columns["date"] = FILE_NAME
    entries = [*seen.entries, *inside.entries]
    if _DAY_IN_NAME.search(table.source.stem):
        entries += _entries_beside(raw, table, readers)
    if not entries and not inside.loads:
        value = "no line below a whole date holds sets"
        remedy = "write each exercise with its sets on a line below its date, such as squat 3x8@100"
        if has_weekday_lines(raw.frame[LINE].drop_nulls()):
            value = "weekdays name the days, and they date nothing"
            remedy = "write the date of each day above it, such as 2019-03-05"
        raise NoNotesError(table.source.path, None, value, remedy)
    notation = None
    if entries:
        signs = decimals_of_shorthand([text for _, _, text in entries], "\n")
        notation = find_notation([entry[1:] for entry in entries], signs, readers, book)
    parts = MapParts(
        table=table,
        kind="notes",
        columns=inside.columns,
        decimal=notation.decimal if notation else raw.map.decimal,
        dates=dates,
        unit=_find_unit(entries, inside, notation, book),
        order=notation.order if notation else None,
        by_rule=_find_warmups(entries, notation, book),
        basis=book.answers.get(book.takes("load.basis"), "by exercise"),
        plates=find_plates((text for _, _, text in entries), book),
    )
    return NotesFinding(
        parts, _match_names([*(name for _, name, _ in entries), *inside.names], readers)
    )


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


def _by_day(table: LooseTable) -> LooseTable:
    """With a file for each day, the pattern and the files of the whole folder."""
    path = table.source.absolute
    if not _DAY_IN_NAME.search(path.stem):
        return table
    like = _DAY_IN_NAME.sub("*", path.name)
    beside = sorted(path.parent.iterdir()) if path.parent.is_dir() else []
    same = [one for one in beside if one != path and _DAY_IN_NAME.sub("*", one.name) == like]
    folder = table.source.path.rpartition("/")[0]
    pattern = like.replace("[", "?")
    return replace(
        table,
        pattern=f"{folder}/{pattern}" if folder else pattern,
        siblings=tuple(one for one in same if one.is_file()),
    )


def _entries_beside(raw: RawFile, table: LooseTable, readers: Readers) -> list[Entry]:
    """What the files of other days say; one that is no text is left out."""
    entries: list[Entry] = []
    for path in table.siblings[:MOST_SIBLINGS]:
        source = source_of(path)
        try:
            beside = read_lines(source, read_head(source)[0], raw.map)
        except InputError:
            continue
        entries += readers.survey_notes(beside).entries
    return entries


def _likelier_decimal(raw: RawFile) -> str:
    """The decimal sign in fractions of plates: ``62,5 kg``, ``1.25 x``."""
    text = "\n".join(raw.frame[LINE].fill_null("").to_list())
    signs = [match[1] for match in _FRACTION.finditer(text)]
    return "," if signs.count(",") > signs.count(".") else "."


def _as_lines(table: LooseTable) -> RawFile:
    one = SourceMap(name="draft", kind="notes", globs=(), columns={})
    return read_lines(table.source, read_head(table.source)[0], one)


@dataclass
class _Inside:
    """Tables inside the notes: columns of the map, loads with day and exercise, shorthand."""

    columns: dict[str, str] = field(default_factory=dict)
    loads: list[Load] = field(default_factory=list)
    entries: list[Entry] = field(default_factory=list)
    names: list[str] = field(default_factory=list)
    rest: list[str] = field(default_factory=list)
    stated: str | None = None


def _read_tables(seen: NotesLike, readers: Readers, book: Notebook, table: LooseTable) -> _Inside:
    inside = _Inside()
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
        fields = {name: column.label for name, column in layout.fields.items()}
        own = {name: label for name, label in fields.items() if not ABOVE.fullmatch(label)}
        inside.columns = {**own, **inside.columns}
        if "load" in layout.fields:
            unit = layout.fields["load"].meaning.unit
            inside.stated = unit if unit in ("kg", "lb") else inside.stated
        rows = [dict(zip(found, row, strict=True)) for row in zip(*found.values(), strict=True)]
        if layout.kind == "sets":
            inside.names += layout.fields["exercise"].cells
        inside.rest += [one.label for one in layout.rest if not ABOVE.fullmatch(one.label)]
        inside.loads += _loads_of(rows, fields, readers)
        inside.entries += _entries_of(rows, fields, readers)
    if inside.columns:
        told = ", ".join(f"{name} {label!r}" for name, label in inside.columns.items())
        book.note(f"Tables inside the notes are read: {told}.")
    if inside.rest:
        book.note(f"Columns of theirs that are not read: {list_labels(inside.rest)}.")
    return inside


def _entries_of(
    rows: list[dict[str, str | None]], fields: Mapping[str, str], readers: Readers
) -> list[Entry]:
    if "sets" not in fields or "exercise" not in fields:
        return []
    return [
        (
            readers.read_date(row[fields["date"]] or "", "ymd", None),
            row[fields["exercise"]] or "",
            row[fields["sets"]] or "",
        )
        for row in rows
        if row[fields["sets"]]
    ]


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
    entries: Sequence[Entry], inside: _Inside, notation: NotationFinding | None, book: Notebook
) -> UnitFinding:
    loads = [
        (day, name, load)
        for day, name, text in entries
        if day is not None
        for load in _bare_loads(text, notation)
    ]
    texts = [text for _, _, text in entries]
    return find_unit(loads + inside.loads, inside.stated, texts, book)


def _bare_loads(text: str, notation: NotationFinding | None) -> list[float]:
    if notation is None:
        return []
    return [load for load, unit in notation.loads.get(text, ()) if unit is None]


def _find_warmups(
    entries: Sequence[Entry], notation: NotationFinding | None, book: Notebook
) -> bool:
    if notation is None or notation.has_warmups:
        return False
    days = ((day or date.min, name, text) for day, name, text in entries)
    return find_unmarked_warmups(
        ((str(day), name, _all_loads(text, notation)) for day, name, text in days), book
    )


def _all_loads(text: str, notation: NotationFinding) -> list[float]:
    return [load for load, _ in notation.loads.get(text, ())]


def _match_names(names: Sequence[str], readers: Readers) -> tuple[NameLine, ...]:
    ranked = sorted(Counter(names).items(), key=lambda pair: (-pair[1], pair[0]))
    return tuple(NameLine(name, n, readers.resolve_name(name)) for name, n in ranked)
