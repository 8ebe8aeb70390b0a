"""The labels that a map names against those that a file has."""

from collections.abc import Sequence

from pipeline.core.errors import InputError
from pipeline.core.source import FILE_NAME, SourceFile, SourceMap

# Columns without which the rest would be misread; other columns of the map may be missing.
ESSENTIAL = ("date", "exercise", "sets", "n_sets", "reps", "load", "unit", "interval")
SHOWN = 12  # labels in a message


def labels_of(one: SourceMap) -> list[str]:
    """Every label that the map names for reading."""
    more = (label for labels in one.more.values() for label in labels)
    return [*one.columns.values(), *more, *(column.label for column in one.signals)]


def check_labels(
    file: SourceFile, one: SourceMap, labels: Sequence[str], row: int | None
) -> list[str]:
    """Warnings for columns that may be missing.

    Parameters
    ----------
    labels : labels that the file has.
    row : line of the header, for the message; None where there is none.

    Raises
    ------
    InputError
        when a column is missing without which the rest would be misread.
    """
    known = {*labels, FILE_NAME}
    missing = {field: label for field, label in one.columns.items() if label not in known}
    needed = [label for field, label in missing.items() if field in ESSENTIAL]
    absent = [column.label for column in one.signals if column.label not in known]
    if one.signals and len(absent) == len(one.signals):
        needed += absent
    if needed:
        shown = ", ".join(labels[:SHOWN]) + (" ..." if len(labels) > SHOWN else "")
        value = f"no column {', '.join(repr(label) for label in needed)} among {shown}"
        remedy = f"correct the labels, separator or header_row in maps/{one.name}.toml"
        raise InputError(file.shown, row, value, remedy)
    gone = [label for labels in one.more.values() for label in labels if label not in known]
    missed = (*missing.values(), *gone, *absent)
    return [f"no column {label!r}; read without it" for label in missed]
