"""Columns beside each other that are one after the other a set: ``Set 1``, ``Set 2``, ``Set 3``."""

import re
from dataclasses import replace

from pipeline.core.errors import InputError
from pipeline.sources.draft_cells import NOTHING, REPS, Column, make_column
from pipeline.sources.draft_file import LooseTable
from pipeline.sources.draft_labels import read_label

SURE = 0.6  # share of cells that are repetitions, or sets in shorthand
OF_A_SET = frozenset({"set_no", "sets", "reps"})
_BEHIND = re.compile(r"(?P<stem>.*?)[\s_#.\-]*(?P<no>\d{1,2})")
_BEFORE = re.compile(r"(?P<no>\d{1,2})(?:st|nd|rd|th|\.)?[\s_]+(?P<stem>.*)")


def join_series(table: LooseTable) -> LooseTable:
    """``table`` with columns of single sets as one column, which has the label of the first.

    Raises
    ------
    InputError
        when each set has two such columns: a map cannot say that.
    """
    groups = _numbered(table.columns)
    for stem, columns in groups.items():
        field = _field_of(stem, columns)
        if field is None:
            continue
        others = [name for name, group in groups.items() if name != stem and _are_loads(group)]
        if others and field == "reps":
            labels = f"{columns[0].label!r} and {groups[others[0]][0].label!r}"
            remedy = "write each set into one cell, such as 60x8, or in a row of its own"
            raise InputError(table.source.path, None, f"a pair of columns a set: {labels}", remedy)
        table = _join(table, columns, field)
    return table


def _numbered(columns: tuple[Column, ...]) -> dict[str, list[Column]]:
    """Columns whose labels differ by a number that counts up from 1."""
    found: dict[str, list[tuple[int, Column]]] = {}
    for column in columns:
        match = _BEHIND.fullmatch(column.label) or _BEFORE.fullmatch(column.label)
        if match:
            found.setdefault(match["stem"].casefold(), []).append((int(match["no"]), column))
    return {
        stem: [column for _, column in group]
        for stem, group in found.items()
        if len(group) > 1 and [number for number, _ in group] == list(range(1, len(group) + 1))
    }


def _field_of(stem: str, columns: list[Column]) -> str | None:
    filled = [column for column in columns if not column.is_empty]
    fields = read_label(stem).fields if stem else dict.fromkeys(OF_A_SET, 1.0)
    if not filled or not OF_A_SET & fields.keys():
        return None
    if all(column.shorthand >= SURE for column in filled):
        return "sets"
    return "reps" if all(column.share_like(REPS) >= SURE for column in filled) else None


def _are_loads(columns: list[Column]) -> bool:
    filled = [column for column in columns if not column.is_empty]
    return bool(filled) and all("load" in column.meaning.fields for column in filled)


def _join(table: LooseTable, columns: list[Column], field: str) -> LooseTable:
    first, places = columns[0], [column.place for column in columns]
    rows = []
    for row in table.rows:
        cells = list(row)
        cells[first.place] = ", ".join(row[at] for at in places if row[at] not in NOTHING)
        rows.append(tuple(cells))
    joined = make_column(first.label, first.place, (row[first.place] for row in rows), field)
    kept = [joined if one is first else one for one in table.columns if one not in columns[1:]]
    more = {**table.more, first.label: tuple(column.label for column in columns[1:])}
    return replace(table, rows=tuple(rows), columns=tuple(kept), more=more)
