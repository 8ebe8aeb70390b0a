"""Every style of notes is read as its writer meant it, and no line is lost."""

from datetime import date
from functools import cache
from pathlib import Path

import polars as pl
import pytest

from pipeline.core.source import SourceFile, SourceMap
from pipeline.reference import Reference, load_reference
from pipeline.sources.read import read_raw
from pipeline.tidy.names import NameIndex
from pipeline.tidy.tidy_file import TidyFile, tidy_file
from tests.unit.note_styles import Found, Style
from tests.unit.note_styles_more import STYLES

LIMIT = date(2025, 6, 30)
TABLE_COLUMNS = {
    "date": "Date",
    "exercise": "Exercise",
    "load": "Weight",
    "reps": "Reps",
    "sets": "Sets",
}


@cache
def reference() -> tuple[Reference, NameIndex]:
    """The shipped exercises and their names."""
    found = load_reference()
    return found, NameIndex.from_reference(found.aliases, found.exercises, {})


def map_of(style: Style) -> SourceMap:
    """The map that a person would write for a style."""
    columns = TABLE_COLUMNS
    if "Lift |" in style.text:
        columns = {"date": "Date", "exercise": "Lift", "sets": "Sets"}
    elif "| set |" in style.text:
        columns = {"set_no": "set", "load": "weight", "reps": "reps"}
    return SourceMap(
        name="notes",
        kind="notes",
        globs=("*",),
        columns=columns,
        decimal=style.decimal,
        date_order=style.dates,
        year_from=style.year_from,
        unit=style.unit,
        notation_order=style.order,
    )


def read_notes(folder: Path, text: str, one: SourceMap, path: str = "log.txt") -> TidyFile:
    """Notes as a refresh would read them."""
    target = folder / path
    target.write_text(text, "utf-8")
    file = SourceFile("file", "ida", path, "sum", target.stat().st_size, target)
    found, names = reference()
    return tidy_file(read_raw(file, one), names=names, exercises=found.exercises, today_limit=LIMIT)


def sets_found(sets: pl.DataFrame) -> list[Found]:
    """Day, exercise, and load as written with repetitions, a line for each exercise in a row."""
    found: list[Found] = []
    rows = sets.select("session_date", "exercise_id", "load_kg", "reps", "unit_as_written")
    basis = sets["load_basis"].to_list()
    for (day, exercise, load, reps, unit), how in zip(rows.iter_rows(), basis, strict=True):
        if load is not None:
            load = load / 0.45359237 if unit == "lb" else load
            load = round(load / 2 if how == "per_hand" else load, 2)
        one = (load, reps)
        if found and found[-1][:2] == (day.isoformat(), exercise):
            found[-1] = (*found[-1][:2], (*found[-1][2], one))
        else:
            found.append((day.isoformat(), exercise, (one,)))
    return found


def is_balanced(found: TidyFile) -> bool:
    """The row equation."""
    counts = found.counts
    return counts.read == counts.kept + counts.repeated + counts.set_aside + counts.blank


@pytest.mark.parametrize("style", STYLES, ids=lambda style: style.name)
def test_a_style_is_read(style: Style, tmp_path: Path) -> None:
    found = read_notes(tmp_path, style.text, map_of(style), style.path)
    assert sets_found(found.sets) == list(style.found)
    assert tuple(found.set_aside["row_no"].to_list()) == style.asides
    assert is_balanced(found)
