"""Tables inside notes, with bars between their cells: read like any other table of their kind.

The date and the exercise may stand above the table instead of in it; they are then filled in. A
column for each set ("Set 1", "Set 2") is joined to one, with the load of the row where the cells
hold repetitions alone.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

import polars as pl

from pipeline.core.source import NO_CELLS, RawFile, SourceMap
from pipeline.tidy.draft import conform_draft
from pipeline.tidy.notes.layout import NoteLine
from pipeline.tidy.notes.records import Above
from pipeline.tidy.sets import draft_sets
from pipeline.tidy.shorthand import draft_exercises, draft_wide, exercise_columns

SETS_JOINED = "(sets in columns)"
DATE_ABOVE, NAME_ABOVE, PART_ABOVE = "(date above)", "(name above)", "(part of the day above)"
TAKEN = (*NO_CELLS, SETS_JOINED, DATE_ABOVE, NAME_ABOVE, PART_ABOVE)
_BAR = re.compile(r"(?<!\\)\|")
_RULE = re.compile(r"[\s|:+\-=]+")
_SET_LABEL = re.compile(r"(?:set|satz|série|serie|sett?)?\s*#?\s*\d{1,2}", re.IGNORECASE)
_LOAD_LABEL = re.compile(
    r"(?:weight|load|kgs?|lbs?|gewicht|poids|charge|peso|carico|carga|vikt)\b.*", re.IGNORECASE
)
LEAST_SET_COLUMNS = 2
LEAST_LISTS = 0.2  # share of cells of a column of repetitions that are lists
MOST_ROWS = 0.8
_REPS_LABEL = re.compile(
    r"(?:reps?|repetitions?|wdh|wiederholungen|répétitions|repeticiones|ripetizioni|repetições|"
    r"herhalingen)\b.*",
    re.IGNORECASE,
)
_COUNT_LABEL = re.compile(r"(?:sets|sätze|séries|series|no\.? of sets|# ?sets)", re.IGNORECASE)
_LIST = re.compile(r"\d{1,3}(?:\s*[,/;]\s*\d{1,3}|\s*-\s*\d{1,3}\s*-\s*\d{1,3})+")
_COUNT = re.compile(r"\d{1,2}")
_UNIT = re.compile(r"kg|lb", re.IGNORECASE)
WRITTEN = ("sets", "reps", "load", "duration_s", "distance_m")
MOST_APART = 2  # lines between rows of one table: a rule may stand between them
RESULTS = ("reps", "duration_s", "distance_m")


@dataclass(frozen=True)
class NoteTable:
    """All tables of a file with the same header, one below the other.

    ``places`` are the places of the rows in the file, from 0; ``rows`` their cells by label.
    """

    labels: tuple[str, ...]
    places: tuple[int, ...]
    rows: tuple[tuple[str, ...], ...]


def find_tables(lines: Sequence[NoteLine]) -> list[NoteTable]:
    """The tables of a file; a header is the first line of a run of lines with bars."""
    found: dict[tuple[str, ...], list[tuple[int, tuple[str, ...]]]] = {}
    header: tuple[str, ...] | None = None
    for line in lines:
        if not line.is_table:
            header = None if line.text else header
            continue
        if line.follows_blank:
            header = None
        if _RULE.fullmatch(line.text):
            continue
        cells = _cells(line.text)
        if header is None:
            header = _labels(cells)
            found.setdefault(header, [])
        else:
            width = len(header)
            found[header].append((line.place, (*cells, *[""] * width)[:width]))
    return [
        _join_sets(
            NoteTable(header, tuple(place for place, _ in rows), tuple(cells for _, cells in rows))
        )
        for header, rows in found.items()
    ]


def _join_sets(table: NoteTable) -> NoteTable:
    """The table with columns that tell of sets together joined to one column of shorthand.

    Together tell: a column for each set; a list of repetitions beside a load; a number of sets
    beside repetitions.
    """
    singles = tuple(at for at, label in enumerate(table.labels) if _SET_LABEL.fullmatch(label))
    load, reps, sets = (_place(table, one) for one in (_LOAD_LABEL, _REPS_LABEL, _COUNT_LABEL))
    if len(singles) >= LEAST_SET_COLUMNS:
        used = singles
    elif reps is not None and _share(table, reps, _LIST) >= LEAST_LISTS:
        used, sets = (reps,), None
    elif reps is not None and sets is not None and _share(table, sets, _COUNT) >= MOST_ROWS:
        used = (reps,)
    else:
        return table
    gone = {*used, load, sets if used == (reps,) else None}
    kept = [at for at in range(len(table.labels)) if at not in gone]
    unit = _UNIT.search(table.labels[load]) if load is not None else None
    rows = tuple(
        (
            *(row[at] for at in kept),
            _joined(
                [row[at] for at in used],
                row[load] if load is not None else "",
                unit[0].lower() if unit else "",
                row[sets] if used == (reps,) and sets is not None else "",
            ),
        )
        for row in table.rows
    )
    return NoteTable((*(table.labels[at] for at in kept), SETS_JOINED), table.places, rows)


def _place(table: NoteTable, pattern: re.Pattern[str]) -> int | None:
    return next((at for at, label in enumerate(table.labels) if pattern.fullmatch(label)), None)


def _share(table: NoteTable, at: int, pattern: re.Pattern[str]) -> float:
    cells = [row[at] for row in table.rows if row[at]]
    return sum(bool(pattern.fullmatch(cell)) for cell in cells) / max(1, len(cells))


def _joined(cells: Sequence[str], load: str, unit: str, sets: str) -> str:
    """Sets of one row; repetitions alone get the load of the row, and its unit, before them."""
    done = [cell for cell in cells if cell.strip(" -–")]
    load = f"{load}{unit}" if load[-1:].isdigit() else load
    if sets and len(done) == 1 and done[0].isdigit():
        return f"{sets} sets x {done[0]} reps" + (f" @ {load}" if load else "")
    texts = ["/".join(re.findall(r"\d+", cell)) if _LIST.fullmatch(cell) else cell for cell in done]
    is_bare = [all(sign.isdigit() or sign == "/" for sign in text) for text in texts]
    return "\n".join(
        f"{load} x {text}" if load and bare else text
        for text, bare in zip(texts, is_bare, strict=True)
    )


def _cells(text: str) -> tuple[str, ...]:
    parts = _BAR.split(text.strip().removeprefix("|").removesuffix("|"))
    plain = (re.sub(r"\*\*|__|`", "", part.replace("\\|", "|")) for part in parts)
    return tuple(" ".join(part.split()) for part in plain)


def _labels(cells: Sequence[str]) -> tuple[str, ...]:
    """Labels made distinct; one that is empty, taken or a pattern is called by its place."""
    labels: list[str] = []
    for place, cell in enumerate(cells, 1):
        is_pattern = cell == "*" or (cell.startswith("^") and cell.endswith("$"))
        label = cell if cell and cell not in TAKEN and not is_pattern else f"column {place}"
        while label in labels:
            label += f" ({place})"
        labels.append(label)
    return tuple(labels)


@dataclass(frozen=True)
class DraftTable:
    """Draft sets of one table; a record is a row, or a cell of a wide table."""

    draft: pl.DataFrame
    n_read: int
    n_blank: int


def read_note_table(
    table: NoteTable, raw: RawFile, above: Mapping[int, Above], limit: date
) -> DraftTable:
    """Draft sets of a table inside notes, by the map's columns.

    A table with none of the map's columns is set aside row by row.

    Parameters
    ----------
    above : what stands above each row.
    limit : the last day that can have been logged.
    """
    sub = table_as_file(table, raw, above)
    columns = sub.map.columns
    if "sets" in columns and "exercise" in columns:
        draft, n_blank = draft_exercises(sub, limit)
    elif any(field in columns for field in RESULTS) and "exercise" in columns:
        draft, n_blank = draft_sets(sub, limit)
    elif raw.map.columns.get("date") in table.labels and len(table.labels) > 1:
        draft, n_blank = draft_wide(sub, limit)
        n_cells = sub.frame.height * len(exercise_columns(sub))
        return DraftTable(draft, n_cells, n_blank)
    else:
        draft, n_blank = _unknown(table, sub), 0
    return DraftTable(draft, sub.frame.height, n_blank)


def table_as_file(table: NoteTable, raw: RawFile, above: Mapping[int, Above]) -> RawFile:
    """The table as a file of its own, with what stands above it as further columns."""
    over = [above[place] for place in table.places]
    texts = {
        DATE_ABOVE: [one.day.isoformat() if one.day else one.written for one in over],
        NAME_ABOVE: [one.name for one in over],
        PART_ABOVE: [one.part for one in over],
    }
    data: dict[str, Sequence[object]] = {"row_no": [place + 1 for place in table.places]}
    for at, label in enumerate(table.labels):
        data[label] = [row[at] or None for row in table.rows]
    own = {field: label for field, label in raw.map.columns.items() if label in table.labels}
    kept = {label for label in texts if label not in data}
    for field, label in (("date", DATE_ABOVE), ("exercise", NAME_ABOVE), ("session", PART_ABOVE)):
        if field not in own and label in kept and any(texts[label]):
            own[field] = label
            data[label] = texts[label]
    own.setdefault("date", DATE_ABOVE)
    _fill_down(data, own)
    data.setdefault(DATE_ABOVE, texts[DATE_ABOVE])
    schema = {name: pl.Int64() if name == "row_no" else pl.String() for name in data}
    return replace(raw, frame=pl.DataFrame(data, schema=schema), map=_with(raw.map, own))


def _fill_down(data: dict[str, Sequence[object]], own: Mapping[str, str]) -> None:
    """Day and exercise written once for the rows below them, in ``data``: within one table only.

    A new day ends what stood above it. A row in which nothing was done gets neither.
    """
    rows = data["row_no"]
    done = [data[own[field]] for field in WRITTEN if field in own]
    above = (DATE_ABOVE, NAME_ABOVE)
    written = [own[one] for one in ("date", "exercise") if own.get(one, above[0]) not in above]
    filled = {label: list(data[label]) for label in written}
    for at in range(1, len(rows)):
        is_below = int(str(rows[at])) - int(str(rows[at - 1])) <= MOST_APART
        if not is_below or not any(column[at] for column in done):
            continue
        for label in written:
            if data[label][at] is not None:
                break
            filled[label][at] = filled[label][at - 1]
    data.update(filled)


def _with(one: SourceMap, columns: Mapping[str, str]) -> SourceMap:
    skip = (*one.skip_columns, DATE_ABOVE, NAME_ABOVE, PART_ABOVE)
    return replace(one, columns=dict(columns), skip_columns=skip, fill_down=())


def _unknown(table: NoteTable, sub: RawFile) -> pl.DataFrame:
    labels = ", ".join(repr(label) for label in table.labels[:8])
    detail = (
        f"its columns are {labels}; say in [columns] of the map which are exercise, load, reps "
        "or sets"
    )
    rows = sub.frame.select(
        pl.int_range(pl.len(), dtype=pl.Int64).alias("record"),
        "row_no",
        pl.lit("table not described").alias("reason"),
        pl.lit(detail).alias("detail"),
    )
    return conform_draft(rows)
