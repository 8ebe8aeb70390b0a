"""Columns beside each other that are one after the other a set: ``Set 1``, ``Set 2``, ``Set 3``."""

import re
from dataclasses import replace

from pipeline.core.written import NOTHING
from pipeline.sources.draft_cells import LOAD, REPS, Column, make_column
from pipeline.sources.draft_file import LooseTable
from pipeline.sources.draft_labels import read_label

SURE = 0.6  # share of cells that are repetitions, or sets in shorthand
OF_A_SET = frozenset({"set_no", "sets", "reps"})
# "Set 1", "S1 kg", "Reps (2)", "2nd set": a number is what the labels of a series differ by.
_NUMBERED = re.compile(
    r"(?P<stem>\D*?)[\s_#.\-(]*(?<!\d)(?P<no>\d{1,2})(?!\d)(?:st|nd|rd|th)?[\s_.)]*(?P<rest>\D*)"
)
LOAD_UNITS = ("kg", "lb")


def join_series(table: LooseTable) -> LooseTable:
    """``table`` with columns of single sets as one column, which has the label of the first.

    Where each set has a column of loads beside that of repetitions, each set becomes a row.
    """
    groups = _numbered(table.columns)
    loads = next((group for stem, group in groups.items() if _are_loads(stem, group)), None)
    for stem, columns in groups.items():
        field = _field_of(stem, columns) if columns is not loads else None
        if field == "reps" and loads is not None and len(loads) == len(columns):
            return _spread(table, loads, columns)
        if field is not None:
            table = _join(table, columns, field)
    return table


def _numbered(columns: tuple[Column, ...]) -> dict[str, list[Column]]:
    """Columns whose labels differ by a number that counts up from 1, which may be left out."""
    found: dict[str, list[tuple[int, Column]]] = {}
    for column in columns:
        match = _NUMBERED.fullmatch(column.label)
        stem = f"{match['stem']} {match['rest']}" if match else column.label
        number = int(match["no"]) if match else 1
        found.setdefault(" ".join(stem.casefold().split()), []).append((number, column))
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


def _are_loads(stem: str, columns: list[Column]) -> bool:
    filled = [column for column in columns if not column.is_empty]
    meaning = read_label(stem)
    says_load = meaning.fields.get("load", 0.0) > 0 or meaning.unit in LOAD_UNITS
    return says_load and bool(filled) and all(one.share_like(LOAD) >= SURE for one in filled)


def _spread(table: LooseTable, loads: list[Column], reps: list[Column]) -> LooseTable:
    """A row for each set of which something is written, and one for a row without any."""
    pairs = [(one.place, other.place) for one, other in zip(loads, reps, strict=True)]
    (at_load, at_reps), rows = pairs[0], []
    for row in table.rows:
        told = [pair for pair in pairs if any(row[at] not in NOTHING for at in pair)]
        for load, count in told or pairs[:1]:
            cells = list(row)
            cells[at_load], cells[at_reps] = row[load], row[count]
            rows.append(tuple(cells))
    dropped = [*loads[1:], *reps[1:]]
    said = {loads[0].label: "load", reps[0].label: "reps"}
    unit = read_label(loads[0].label).unit
    if unit is not None:
        said[loads[0].label] += f" ({unit})"
    columns = tuple(
        make_column(
            one.label, one.place, (row[one.place] for row in rows), said.get(one.label, one.said)
        )
        for one in table.columns
        if one not in dropped
    )
    more = {group[0].label: tuple(one.label for one in group[1:]) for group in (loads, reps)}
    return replace(table, rows=tuple(rows), columns=columns, more={**table.more, **more})


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
