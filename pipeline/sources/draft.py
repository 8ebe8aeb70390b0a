"""Drafting a map: look at an unknown table, say what it is, and ask only what it does not tell.

    draft = draft_map(path, readers)
    draft.toml        the commented map, valid as it stands
    draft.questions   what the file leaves open; answer by key and draft again
    draft.evidence    what was found, and why
    draft.first_sets  the first sets as they are read with this map

Nothing ambiguous is decided silently: the draft takes the likelier reading, marks it UNSURE and
asks. Where dates lack a year that cannot be recovered, it refuses.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path

from pipeline.core.errors import InputError
from pipeline.core.written import NOTHING
from pipeline.sources.draft_cells import Column, read_number
from pipeline.sources.draft_columns import Layout
from pipeline.sources.draft_dates import DateFinding, find_dates
from pipeline.sources.draft_file import LooseTable, read_header
from pipeline.sources.draft_labels import read_label
from pipeline.sources.draft_look import is_sheets, look
from pipeline.sources.draft_names import ask_lifts, knows_any, match_names, tell_names
from pipeline.sources.draft_notation import (
    NotationFinding,
    decimals_of_shorthand,
    find_notation,
)
from pipeline.sources.draft_note_dates import NoNotesError
from pipeline.sources.draft_notes import draft_notes
from pipeline.sources.draft_plates import find_plates
from pipeline.sources.draft_preview import read_beginning
from pipeline.sources.draft_records import Draft, NameLine, Notebook, Readers
from pipeline.sources.draft_signals import find_units
from pipeline.sources.draft_standard import draft_without_table
from pipeline.sources.draft_toml import SEPARATOR_WORDS, MapParts, list_labels, write_map
from pipeline.sources.draft_turn import with_days_told, with_rows_told
from pipeline.sources.draft_units import Load, UnitFinding, find_unit
from pipeline.sources.draft_warmups import find_unmarked_warmups
from pipeline.sources.nested import ENDINGS

N_FIRST = 20  # sets or signals shown
# Endings that say whether a file is notes or a table; any other is looked at as a table first.
NOTE_ENDINGS = (".md", ".markdown", ".org")
TABLE_ENDINGS = (".csv", ".tsv", ".xml", ".html")
DECIMAL_WORDS = {".": "point", ",": "comma"}


def draft_map(path: Path, readers: Readers, answers: Mapping[str, str] | None = None) -> Draft:
    """Draft the map that reads ``path``.

    Parameters
    ----------
    readers : the readers of the tidy stage, see ``draft_records.Readers``.
    answers : answers to questions of an earlier draft, by their keys.

    Raises
    ------
    InputError
        naming the file and the reason: not a table, no header, no dates, no year, no exercises.
    SettingsError
        when an answer is not usable.
    """
    plain = draft_without_table(path, readers, Notebook(dict(answers or {})))
    if plain is not None:
        return plain
    try:
        if path.suffix.lower() in NOTE_ENDINGS:
            return _draft_notes(path, readers, Notebook(dict(answers or {})))
        found = _draft_table(path, readers, Notebook(dict(answers or {})))
        return _notes_with_names(path, readers, answers, found) or found
    except InputError as error:
        if path.suffix.lower() in ENDINGS:
            return _draft_texts(path, readers, Notebook(dict(answers or {})), error)
        is_other = path.suffix.lower() in (*NOTE_ENDINGS, *TABLE_ENDINGS)
        if is_other or not path.is_file() or is_sheets(path):
            raise
        try:
            return _draft_notes(path, readers, Notebook(dict(answers or {})))
        except NoNotesError as other:
            value = f"neither a table ({error.value}) nor notes ({other.value})"
            raise InputError(error.file, None, value, other.remedy) from None


def _draft_table(path: Path, readers: Readers, book: Notebook) -> Draft:
    table, layout = look(path, readers, book)
    dates = find_dates(
        layout.fields["date"], readers, book, table.year, table.source.path, table.year_from
    )
    table = with_days_told(table, layout, dates, readers)
    _tell_file(table, layout, book)
    if layout.kind == "signals":
        parts = _signal_parts(table, layout, dates, book)
        names: tuple[NameLine, ...] = ()
    else:
        parts = _set_parts(table, layout, dates, readers, book)
        names = match_names(table, layout, readers)
        if layout.kind == "wide":
            ask_lifts(names, table.source.path, book)
    return _finish(parts, names, readers, book)


def _notes_with_names(
    path: Path, readers: Readers, answers: Mapping[str, str] | None, table: Draft
) -> Draft | None:
    """Notes whose names are known, where none of a text read as a table is: its lines may hold a
    comma each.
    """
    is_text = path.suffix.lower() not in (*TABLE_ENDINGS, *ENDINGS) and not is_sheets(path)
    if not is_text or not table.names or knows_any(table.names):
        return None
    try:
        notes = _draft_notes(path, readers, Notebook(dict(answers or {})))
    except InputError:
        return None
    return notes if knows_any(notes.names) else None


def _draft_texts(path: Path, readers: Readers, book: Notebook, fault: InputError) -> Draft:
    """JSON or YAML whose texts are lines as in notes; else why it is no table."""
    try:
        return _draft_notes(path, readers, book)
    except InputError:
        raise fault from None


def _draft_notes(path: Path, readers: Readers, book: Notebook) -> Draft:
    found = draft_notes(path, readers, book)
    return _finish(found.parts, found.names, readers, book)


def _finish(
    parts: MapParts, names: tuple[NameLine, ...], readers: Readers, book: Notebook
) -> Draft:
    """The map as text, and the beginning of the file as it is read with it."""
    if parts.kind != "signals":
        tell_names(names, book)
    parts = with_rows_told(parts)
    toml = write_map(parts, book)
    tidy = read_beginning(toml, parts.table, readers, book)
    return Draft(
        toml=toml,
        questions=tuple(book.questions),
        evidence=tuple(book.evidence),
        names=names,
        first_sets=tidy.sets.head(N_FIRST),
        first_signals=tidy.signals.head(N_FIRST),
        keys=tuple(sorted(book.keys)),
    )


def _tell_file(table: LooseTable, layout: Layout, book: Notebook) -> None:
    where = "" if table.header_row == 1 else f", labels in line {table.header_row}"
    if table.what:
        book.note(f"{table.what}: {len(table.rows)} rows.")
    else:
        book.note(
            f"A table of {len(table.rows)} rows, separated by {SEPARATOR_WORDS[table.separator]}, "
            f"encoding {table.encoding}{where}."
        )
    if table.left_out:
        book.note(f"Sheets laid out otherwise, not read: {list_labels(table.left_out)}.")
    if table.siblings:
        book.note(
            f"The pattern {table.pattern!r} also reads {len(table.siblings)} files beside it."
        )
    if layout.rest:
        labels = list_labels([column.label for column in layout.rest])
        book.note(f"Columns that are not read: {labels}.")
    if table.is_part:
        book.note("The file is large; only its first part was looked at.")


def _signal_parts(
    table: LooseTable, layout: Layout, dates: DateFinding, book: Notebook
) -> MapParts:
    measured = [column for column, _ in layout.signals]
    return MapParts(
        table=table,
        kind="signals",
        columns={field: column.label for field, column in layout.fields.items()},
        decimal=_find_decimal(measured, table, book),
        dates=dates,
        signals=find_units(layout.signals, book),
    )


def _set_parts(
    table: LooseTable, layout: Layout, dates: DateFinding, readers: Readers, book: Notebook
) -> MapParts:
    notation: NotationFinding | None = None
    if layout.kind == "sets":
        numeric = [layout.fields[f] for f in ("load", "rir", "rpe") if f in layout.fields]
        decimal = _find_decimal(numeric, table, book)
    else:
        cells = [(exercise, text) for _, exercise, text in _entries(table, layout)]
        signs = decimals_of_shorthand([text for _, text in cells], table.separator)
        notation = find_notation(cells, signs, readers, book)
        decimal = notation.decimal
    return MapParts(
        table=table,
        kind=layout.kind,
        columns={field: column.label for field, column in layout.fields.items()},
        decimal=decimal,
        dates=dates,
        skip_columns=_skipped(table, layout, readers) if layout.kind == "wide" else (),
        unit=_find_unit(table, layout, dates, notation, readers, book),
        order=notation.order if notation else None,
        by_rule=_has_unmarked_warmups(table, layout, notation, book),
        basis=book.answers.get(book.takes("load.basis"), "by exercise"),
        plates=find_plates((text for _, _, text in _entries(table, layout)), book),
    )


def _entries(table: LooseTable, layout: Layout) -> list[tuple[str, str, str]]:
    """Date, exercise and text (load or shorthand) of each row or cell that says something."""
    day = layout.fields["date"].place
    if layout.kind == "wide":
        return [
            (row[day], lift.label, row[lift.place])
            for row in table.rows
            for lift in layout.lifts
            if row[lift.place] not in NOTHING
        ]
    what = layout.fields["exercise"].place
    text = layout.fields.get("sets" if layout.kind == "exercises" else "load")
    if text is None:
        return []
    filled = (row for row in table.rows if row[text.place] not in NOTHING)
    return [(row[day], row[what], row[text.place]) for row in filled]


def _find_decimal(columns: Sequence[Column], table: LooseTable, book: Notebook) -> str:
    """The decimal sign of plain numbers; three digits after a sign may be thousands."""
    signs: Counter[str] = Counter()
    for column in columns:
        for text, n in column.counts.items():
            head, sign, tail = text.partition("," if "," in text else ".")
            if sign and head.lstrip("+-−").isdigit() and 0 < len(tail.split(" ")[0]) < 3:
                signs[sign] += n
    if len(signs) == 2:
        likelier, other = (sign for sign, _ in signs.most_common())
        why = f"{signs[likelier]} numbers have {likelier!r}, {signs[other]} have {other!r}"
        text = "Which is the decimal sign?"
        return book.ask("table.decimal", text, (likelier, other), why)
    if signs:
        sign = next(iter(signs))
        book.note(f"The decimal sign is the {DECIMAL_WORDS[sign]}, on {signs[sign]} numbers.")
        return sign
    return "," if table.separator == ";" else "."


def _find_unit(
    table: LooseTable,
    layout: Layout,
    dates: DateFinding,
    notation: NotationFinding | None,
    readers: Readers,
    book: Notebook,
) -> UnitFinding | None:
    if "unit" in layout.fields:
        book.note(f"The unit stands in the column {layout.fields['unit'].label!r}.")
        return None
    year = table.year if dates.year_from else None
    known: dict[str, date | None] = {}
    loads: list[Load] = []
    texts: list[str] = []
    for day, exercise, text in _entries(table, layout):
        if day not in known:
            known[day] = readers.read_date(day, dates.order, year)
        texts.append(text)
        on = known[day]
        if on is not None:
            loads += [(on, exercise, load) for load in _loads_in(text, notation)]
    column = layout.fields.get("load")
    stated = column.meaning.unit if column else None
    return find_unit(loads, stated if stated in ("kg", "lb") else None, texts, book)


def _loads_in(text: str, notation: NotationFinding | None) -> list[float]:
    """Numbers of load without a unit beside them."""
    if notation is not None:
        return [load for load, unit in notation.loads.get(text, ()) if unit is None]
    value = read_number(text)
    return [value] if value else []


def _has_unmarked_warmups(
    table: LooseTable, layout: Layout, notation: NotationFinding | None, book: Notebook
) -> bool:
    if "is_warmup" in layout.fields or (notation is not None and notation.has_warmups):
        return False
    entries = _entries(table, layout)
    return find_unmarked_warmups(
        ((day, exercise, _loads_in(text, notation)) for day, exercise, text in entries), book
    )


def _skipped(table: LooseTable, layout: Layout, readers: Readers) -> tuple[str, ...]:
    """Labels of a wide table, and of its yearly siblings, that are no exercises."""
    lifts = {column.label for column in layout.lifts}
    used = lifts | {column.label for column in layout.fields.values()}
    labels = [column.label for column in table.columns]
    skipped = [label for label in labels if label not in used]
    for path in table.siblings:
        for label in read_header(path, table):
            meaning = read_label(label)
            is_known = bool(meaning.fields or meaning.signals)
            if is_known and label not in used and readers.resolve_name(label).exercise_id is None:
                skipped.append(label)
    return tuple(dict.fromkeys(skipped))
