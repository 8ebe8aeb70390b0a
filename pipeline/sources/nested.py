"""Nested records (JSON, YAML) as a table: one row an innermost item, labels are paths.

    sessions:
      - date: 2014-03-01
        exercises:
          - name: bench press
            sets: [{load: 60, reps: 8}, {load: 70, reps: 6}]

read by the label ``sessions[].exercises[].sets[].load`` gives two rows; each carries the values of
its session and exercise too. Which lists are followed is said by the labels of the map. What stands
in one row lies on one path; other lists of plain values beside it are joined into one text.
"""

from dataclasses import replace

import polars as pl

from pipeline.core.errors import InputError
from pipeline.core.source import FILE_NAME, NO_CELLS, PLACE, RawFile, SourceFile, SourceMap
from pipeline.sources.decode import decode
from pipeline.sources.documents import Documents, read_documents
from pipeline.sources.flatten import Chain, flatten
from pipeline.sources.labels import ESSENTIAL, check_labels, labels_of
from pipeline.sources.paths import ITEMS, KEY, VALUES, Path, is_path, read_path
from pipeline.sources.table import MAX_COLUMNS

ENDINGS = (".json", ".jsonl", ".ndjson", ".yaml", ".yml")
# Fields without which no row of a kind can be read; others may be missing from a whole file, since
# a record leaves out what it does not have.
NEVER_MISSING = ("date", "exercise", "sets")


def is_nested(file: SourceFile, one: SourceMap) -> bool:
    """By the file's name, or by labels that can only be paths."""
    return file.path.lower().endswith(ENDINGS) or any(map(is_path, labels_of(one)))


def read_nested(file: SourceFile, data: bytes, one: SourceMap) -> RawFile:
    """Read nested records as a map says, converting nothing.

    ``row_no`` is a running number, ``PLACE`` the path to the record.

    Raises
    ------
    InputError
        when the file is broken, or has nothing under the labels of the map.
    """
    if one.kind == "wide":
        remedy = 'take kind = "exercises" with labels such as {key}, {}{key} and {}{}'
        raise InputError(file.shown, None, f'kind = "wide" in maps/{one.name}.toml', remedy)
    decoded = decode(file, data, one.encoding)
    documents = read_documents(file, decoded.text)
    chain = make_chain(one)
    frame, warnings = frame_of(file, documents, chain)
    check = replace(one, columns=_checked(one, frame.columns))
    labels = [name for name in frame.columns if name not in NO_CELLS]
    warnings = [*decoded.warnings, *warnings, *check_labels(file, check, labels, None)]
    gone = [label for label in one.columns.values() if label not in (*labels, FILE_NAME)]
    warnings += [f"nothing stands under {label!r}; read without it" for label in gone]
    return RawFile(file, one, decoded.encoding, frame, tuple(warnings))


def make_chain(one: SourceMap) -> Chain:
    """The lists that are followed, from the labels of the map.

    Raises
    ------
    InputError
        when its labels lie in lists beside each other, or one is no path.
    """
    shown = f"maps/{one.name}.toml"
    essential = [label for field, label in one.columns.items() if field in _FOLLOWED]
    essential += [column.label for column in one.signals]
    paths = {label: _path_of(label, shown) for label in essential if not label.startswith("(")}
    levels = max((_levels(path) for path in paths.values()), key=len, default=())
    beside: tuple[str, ...] = ()
    for label, path in paths.items():
        own = _levels(path)
        if own == levels[: len(own)]:
            continue
        if (
            len(own) == len(levels)
            and own[:-1] == levels[:-1]
            and _is_parallel(own[-1], levels[-1])
        ):
            beside = (*beside, own[-1][0])
            continue
        other = next(one for one, path in paths.items() if _levels(path) == levels)
        remedy = "keep the labels of one of the two"
        value = f"{label!r} and {other!r} lie in lists beside each other"
        raise InputError(shown, None, value, remedy)
    named = frozenset(
        found.steps for label in (*labels_of(one), *one.skip_columns) if (found := read_path(label))
    )
    return Chain(levels, named, (levels[-1][0], *dict.fromkeys(beside)) if beside else ())


def frame_of(
    file: SourceFile, documents: Documents, chain: Chain
) -> tuple[pl.DataFrame, list[str]]:
    """Rows along a chain: ``row_no``, ``PLACE`` and one text column a label; and warnings."""
    found = flatten(documents, chain)
    columns: dict[str, pl.Series] = {}
    warnings = list(found.warnings)
    for depth, records in enumerate(found.records):
        labels = dict.fromkeys(label for record in records for label in record)
        at = pl.Series([row[depth] for row in found.rows], dtype=pl.Int64)
        for label in labels:
            if len(columns) >= MAX_COLUMNS:
                told = f"more than {MAX_COLUMNS} labels; those from {label!r} on are left out"
                warnings.append(told)
                break
            cells = [record.get(label) for record in records]
            column = pl.Series([*cells, None], dtype=pl.String)
            columns[label if label not in NO_CELLS else f"{label} (2)"] = column.gather(at)
    frame = pl.DataFrame(
        {
            "row_no": pl.int_range(1, len(found.rows) + 1, dtype=pl.Int64, eager=True),
            PLACE: pl.Series(found.places, dtype=pl.String),
            **columns,
        }
    )
    return frame, warnings


# Fields that say which list holds the records.
_FOLLOWED = (*ESSENTIAL, "duration_s", "distance_m", "set_no", "interval")


def _checked(one: SourceMap, labels: list[str]) -> dict[str, str]:
    """Columns of the map that have to be there: those that may be missing only if they are."""
    results = [f for f in ("reps", "duration_s", "distance_m") if f in one.columns]
    has_result = any(one.columns[field] in labels for field in results)
    needed = {*NEVER_MISSING, *(() if has_result else results)}
    return {
        field: label for field, label in one.columns.items() if field in needed or label in labels
    }


def _path_of(label: str, shown: str) -> Path:
    path = read_path(label)
    if path is None:
        remedy = "write it like sessions[].sets[].load"
        raise InputError(shown, None, f"label {label!r} is no path", remedy)
    return path


def _levels(path: Path) -> tuple[tuple[str, ...], ...]:
    """Lists and mappings that a label goes through, the one whose key it is included."""
    if path.rest[-1:] == (KEY,):
        return (*path.levels, (*path.rest[:-1], VALUES))
    return path.levels


def _is_parallel(one: tuple[str, ...], other: tuple[str, ...]) -> bool:
    """Lists beside each other that a row takes one item each from: ``load[]`` and ``reps[]``."""
    return len(one) == len(other) == 2 and one[1] == other[1] == ITEMS
