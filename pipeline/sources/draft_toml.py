"""The drafted map as a commented TOML text."""

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from pipeline.core.errors import one_line
from pipeline.sources.draft_dates import DateFinding
from pipeline.sources.draft_file import LooseTable
from pipeline.sources.draft_plates import PlatesFinding
from pipeline.sources.draft_records import Notebook
from pipeline.sources.draft_signals import SignalFinding
from pipeline.sources.draft_units import UnitFinding

KIND_WORDS = {
    "sets": "one row a set",
    "exercises": "one row an exercise, with its sets in shorthand",
    "wide": "one row a day, one column an exercise",
    "signals": "one row a day or night, one column a measured signal",
    "notes": "lines of notes, sets below their date",
}
SEPARATOR_WORDS = {";": "semicolon", ",": "comma", "\t": "tab", "|": "bar"}


@dataclass(frozen=True)
class MapParts:
    """Everything that goes into the map; None or empty: left out."""

    table: LooseTable
    kind: str
    columns: dict[str, str]
    decimal: str
    dates: DateFinding
    skip_columns: tuple[str, ...] = ()
    signals: tuple[SignalFinding, ...] = ()
    unit: UnitFinding | None = None
    order: str | None = None
    by_rule: bool = False
    basis: str = "by exercise"
    plates: PlatesFinding | None = None


def write_map(parts: MapParts, book: Notebook) -> str:
    """The map; open questions stand as comments above the lines that they concern."""
    sections = (
        _head(parts),
        _table(parts, book),
        _columns(parts, book),
        _signals(parts, book),
        _dates(parts, book),
        _units(parts, book),
        _load(parts, book),
        _notation(parts, book),
    )
    return "\n".join("\n".join(lines) + "\n" for lines in sections if lines)


def quote(text: str) -> str:
    """A TOML string."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _quote_list(texts: Iterable[str]) -> str:
    return f"[{', '.join(quote(text) for text in texts)}]"


def _asked(book: Notebook, start: str, but: tuple[str, ...] = ()) -> list[str]:
    """Open questions whose key begins with ``start`` and with none of ``but``."""
    lines: list[str] = []
    for question in book.questions:
        if question.key.startswith(start) and not question.key.startswith(but):
            choices = ", ".join(question.choices)
            lines += [f"# UNSURE: {question.text} ({choices})", f"#   {question.why}"]
    return [" ".join(line.split("\n")) for line in lines]


def _head(parts: MapParts) -> list[str]:
    return [
        f"# How {one_line(parts.table.source.path)} is read: {KIND_WORDS[parts.kind]}.",
        "# Drafted by looking at the file; correct what is wrong.",
        "schema = 1",
        "",
        "[match]",
        f"globs = [{quote(parts.table.pattern)}]   # against the path inside inbox/<lifter>/",
    ]


def _table(parts: MapParts, book: Notebook) -> list[str]:
    table = parts.table
    lines = [
        "[table]",
        *_asked(book, "table."),
        f"kind = {quote(parts.kind)}   # {KIND_WORDS[parts.kind]}",
        *(
            [f"separator = {quote(table.separator)}   # {SEPARATOR_WORDS[table.separator]}"]
            if table.separator
            else []
        ),
        f"decimal = {quote(parts.decimal)}",
    ]
    if table.header_row != 1:
        lines.append(f"header_row = {table.header_row}")
    if table.encoding not in ("utf-8", "utf-8-sig"):
        lines.append(f"encoding = {quote(table.encoding)}")
    if table.fill_down:
        lines.append(
            f"fill_down = {_quote_list(table.fill_down)}   # written once for the rows below"
        )
    if parts.by_rule:
        lines.append('warmups = "by rule"   # light first sets that are not marked as warm-ups')
    if parts.skip_columns:
        lines.append(f"skip_columns = {_quote_list(parts.skip_columns)}   # no exercises")
    return lines


def _columns(parts: MapParts, book: Notebook) -> list[str]:
    more = parts.table.more
    body = [
        f"{field} = {_quote_list([label, *more[label]]) if label in more else quote(label)}"
        for field, label in parts.columns.items()
    ]
    if not body:
        return []
    return ["[columns]   # field = the label in the file", *_asked(book, "columns."), *body]


def _signals(parts: MapParts, book: Notebook) -> list[str]:
    starts = [f'signals."{one.label}"' for one in parts.signals]
    lines = _asked(book, "signals.", but=tuple(starts))  # of columns left out of the map
    for start, one in zip(starts, parts.signals, strict=True):
        lines += [
            *_asked(book, start),
            f"[signals.{quote(one.label)}]",
            f"signal = {quote(one.signal)}",
            f"unit = {quote(one.unit)}",
        ]
    return lines


def _dates(parts: MapParts, book: Notebook) -> list[str]:
    lines = ["[dates]", *_asked(book, "dates."), f"order = {quote(parts.dates.order)}"]
    if parts.dates.changes:
        changes = ", ".join(
            f"{{from_row = {one.from_row}, expect = {quote(one.expect)}, "
            f"order = {quote(one.order)}}}"
            for one in parts.dates.changes
        )
        lines.append(f"changes = [{changes}]   # the order from that row on")
    if parts.dates.year_from:
        lines.append(f"year_from = {quote(parts.dates.year_from)}   # the rows lack it")
    if parts.dates.first_day:
        lines.append(f"first_day = {parts.dates.first_day}   # of week 1")
    if parts.dates.first_year:
        lines.append(f"first_year = {parts.dates.first_year}   # of the earliest date")
    return lines


def _units(parts: MapParts, book: Notebook) -> list[str]:
    if parts.unit is None:
        return []
    lines = ["[units]", *_asked(book, "units."), f"load = {quote(parts.unit.unit)}"]
    if parts.unit.changes:
        changes = [f"{{from = {day}, load = {quote(unit)}}}" for day, unit in parts.unit.changes]
        lines.append(f"changes = [{', '.join(changes)}]   # the unit from that day on")
    return lines


def _load(parts: MapParts, book: Notebook) -> list[str]:
    if parts.kind == "signals":
        return []
    return [
        "[load]",
        *_asked(book, "load."),
        "# by exercise: dumbbells are written for one hand; total: every load is written whole",
        f"basis = {quote(parts.basis)}",
        *_plates(parts.plates),
    ]


def _plates(found: PlatesFinding | None) -> list[str]:
    if found is None:
        return []
    lines = [f"plates = {quote(found.count)}   # where no side is named"] if found.count else []
    numbers = (("plate_kg", found.plate_kg), ("bar_kg", found.bar_kg))
    return [*lines, *(f"{key} = {kg:g}" for key, kg in numbers if kg is not None)]


def _notation(parts: MapParts, book: Notebook) -> list[str]:
    if parts.order is None:
        return []
    return ["[notation]", *_asked(book, "notation."), f"order = {quote(parts.order)}"]


def list_labels(labels: Sequence[str]) -> str:
    """Labels for a sentence."""
    return ", ".join(repr(label) for label in labels)
