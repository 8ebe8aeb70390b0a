"""The lifter's own exercises.csv: new exercises, and changes to single cells of shipped ones.

The file has a header and one row an exercise. Every column but ``exercise_id`` may be left out:

========================  ======================================================================
exercise_id               a slug of the lifter's choice, kept as it is, or a shipped id
name                      needed for a new exercise
pattern ... load basis    as in the table ``ref_exercise``; a cell left empty keeps the shipped
                          value, or for a new exercise the value in ``NEW_EXERCISE``
direct, indirect          muscle ids, separated by spaces; a cell given replaces that list, ``-``
                          empties it; every exercise needs one direct
========================  ======================================================================

Fields are separated by commas or semicolons; numbers may have a decimal comma.
"""

import csv
import difflib
import io
import re
from collections.abc import Iterable
from pathlib import Path

import polars as pl

from pipeline.core.dictionary import Column, columns_of
from pipeline.core.errors import InputError, nearest
from pipeline.core.settings import read_user_text

FILE = "exercises.csv"
ROLES = ("direct", "indirect")
NOBODY = "-"
# Ids stand in subjects, in lists separated by spaces and in keys joined by "|".
_ID = re.compile(r"[\w-]+")
EXERCISE_COLUMNS = tuple(column.name for column in columns_of("ref_exercise"))
OWN_COLUMNS = (*EXERCISE_COLUMNS, *ROLES)
NUMBERS = tuple(column for column in columns_of("ref_exercise") if column.type == "real")
WORDS = tuple(column for column in columns_of("ref_exercise") if column.values)
NEW_EXERCISE = {
    "pattern": "other",
    "equipment": "other",
    "laterality": "bilateral",
    "mechanics": "compound",
    "body_weight_share": "0",
    "body_weight_basis": "own exercise",
    "stance": "standing",
    "lower_back": "none",
    "knee": "none",
    "shoulder": "none",
    "elbow": "none",
    "hip": "none",
    "wrist": "none",
    "default_load_basis": "total",
}


def read_own_exercises(path: Path) -> pl.DataFrame:
    """The file as text: ``row_no`` (line in the file) and ``OWN_COLUMNS``; empty cells are null.

    Raises
    ------
    InputError
        when it is no table, or a column is not known: names the nearest known one.
    SettingsError
        when it cannot be read or is not UTF-8 text.
    """
    text = read_user_text(path, path.name)
    first = text.split("\n", 1)[0]
    reader = csv.DictReader(io.StringIO(text), delimiter=";" if ";" in first else ",")
    try:
        for name in reader.fieldnames or ():
            if name.strip() not in OWN_COLUMNS:
                raise InputError(path.name, 1, f"column {name!r}", _nearest(name, OWN_COLUMNS))
        rows = [_clean(path.name, reader.line_num, row) for row in reader]
    except csv.Error as error:
        remedy = "check the quotes and the length of that cell"
        raise InputError(path.name, reader.line_num + 1, str(error), remedy) from None
    schema = {"row_no": pl.Int64()} | dict.fromkeys(OWN_COLUMNS, pl.String())
    return pl.DataFrame([row for row in rows if len(row) > 1], schema=schema)


def check_own(rows: Iterable[dict], shipped: dict[str, str], muscles: Iterable[str]) -> None:
    """Refuse what cannot be merged.

    Parameters
    ----------
    rows : as read by ``read_own_exercises``.
    shipped : name of each shipped exercise by its id.
    muscles : known muscle ids.

    Raises
    ------
    InputError
        at the first fault: id missing or repeated, a word or muscle that is not known, a number
        outside its limits, a new exercise without a name, a name already taken.
    """
    known = tuple(muscles)
    owner = {name.lower(): key for key, name in shipped.items()}
    seen: set[str] = set()
    for row in rows:
        key = row["exercise_id"]
        if key is None:
            raise _error(row, "no exercise_id", "give the exercise an id of its own")
        if not _ID.fullmatch(key):
            raise _error(row, f"exercise_id {key!r}", "letters, digits, - and _ only, no spaces")
        if key in seen:
            raise _error(row, f"exercise_id {key!r} again", "keep one row for each exercise")
        seen.add(key)
        _check_words(row)
        _check_numbers(row)
        _check_muscles(row, known)
        _check_name(row, owner)
        if key not in shipped:
            _check_new(row, shipped)


def check_direct(rows: Iterable[dict], contributions: pl.DataFrame) -> None:
    """Refuse an exercise that would count for no muscle directly.

    Raises
    ------
    InputError
        at the first own row whose exercise has no direct muscle in ``contributions``.
    """
    direct = set(contributions.filter(role="direct")["exercise_id"])
    for row in rows:
        if row["exercise_id"] not in direct:
            value = f"exercise {row['exercise_id']!r} has no direct muscle"
            raise _error(row, value, "name at least one under direct")


def muscle_ids(cell: str | None) -> list[str]:
    """The muscle ids in a ``direct`` or ``indirect`` cell."""
    return [] if cell in (None, NOBODY) else cell.split()


def to_number(cell: str) -> float:
    """A number with decimal point or comma."""
    return float(cell.replace(",", "."))


def _clean(file: str, line: int, row: dict) -> dict:
    if None in row:
        raise InputError(file, line, f"{row[None][0]!r} is one cell too many", "check the quotes")
    cells = {name.strip(): value.strip() for name, value in row.items() if value}
    return {"row_no": line} | {name: value for name, value in cells.items() if value}


def _check_words(row: dict) -> None:
    for column in WORDS:
        value = row[column.name]
        if value is not None and value not in column.values:
            remedy = f"{_nearest(value, column.values)} (known: {', '.join(column.values)})"
            raise _error(row, f"{column.name} {value!r}", remedy)


def _check_numbers(row: dict) -> None:
    for column in NUMBERS:
        value = row[column.name]
        if value is not None and not _is_inside(value, column):
            limits = f"write a number from {column.low:g} to {column.high:g}"
            raise _error(row, f"{column.name} {value!r}", limits)


def _is_inside(cell: str, column: Column) -> bool:
    try:
        number = to_number(cell)
    except ValueError:
        return False
    above = column.low is None or column.low <= number
    return above and (column.high is None or number <= column.high)


def _check_muscles(row: dict, known: tuple[str, ...]) -> None:
    direct, indirect = (muscle_ids(row[role]) for role in ROLES)
    for muscle in (*direct, *indirect):
        if muscle not in known:
            raise _error(row, f"unknown muscle {muscle!r}", _nearest(muscle, known))
    for muscle in direct:
        if muscle in indirect:
            raise _error(row, f"{muscle!r} is direct and indirect", "keep it in one of the two")


def _check_name(row: dict, owner: dict[str, str]) -> None:
    taken = owner.get((row["name"] or "").lower())
    if taken not in (None, row["exercise_id"]):
        remedy = f"choose another name, or change that exercise with exercise_id {taken}"
        raise _error(row, f"name {row['name']!r} is the name of {taken}", remedy)


def _check_new(row: dict, shipped: dict[str, str]) -> None:
    if row["name"] is None:
        near = difflib.get_close_matches(row["exercise_id"], shipped, n=1)
        hint = f", or did you mean {near[0]}?" if near else ""
        raise _error(row, f"new exercise {row['exercise_id']!r}", f"give it a name{hint}")


def _nearest(word: str, known: Iterable[str]) -> str:
    return f"did you mean {nearest(word, known)}?"


def _error(row: dict, value: str, remedy: str) -> InputError:
    return InputError(FILE, row["row_no"], value, remedy)
