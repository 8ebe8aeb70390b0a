"""From a set back to the line it was read from: file, place, text, map, name and corrections."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import polars as pl

from pipeline.core.calendar import say_date
from pipeline.core.errors import SettingsError
from pipeline.store.warehouse import read_where

EXAMPLE = '"2019-03-05 bench press 2"'


@dataclass(frozen=True)
class SetName:
    """A set as a person names it; ``lifter_id``, ``lift`` and ``set_no`` may be left open."""

    day: date
    lifter_id: str | None = None
    lift: str | None = None
    set_no: int | None = None


@dataclass(frozen=True)
class Origin:
    """Where one set is from: rows of the warehouse, as dictionaries from column to value.

    ``cells`` is the record as written; ``corrections`` and ``doubts`` are of its row; ``copies``
    are the other tellings of this lift and day, with the path they are left out from.
    """

    tidy_set: Mapping[str, Any]
    source_file: Mapping[str, Any]
    cells: Mapping[str, str]
    place: str | None
    name: Mapping[str, Any] | None
    corrections: tuple[Mapping[str, Any], ...]
    doubts: tuple[Mapping[str, Any], ...]
    copies: tuple[Mapping[str, Any], ...]


def read_set_name(text: str) -> SetName:
    """Lifter, day, lift and number of a set, in this order: "alder 2019-03-05 bench press 2".

    The day is needed; without the lifter, the lift or the number, all of them are meant.

    Raises
    ------
    SettingsError
        when there is no day in it.
    """
    words = text.split()
    for place, word in enumerate(words):
        day = _read_day(word)
        if day is None:
            continue
        before, after = words[:place], words[place + 1 :]
        number = int(after.pop()) if after and after[-1].isdecimal() else None
        return SetName(day, " ".join(before) or None, " ".join(after) or None, number)
    raise SettingsError(f"{text!r}: no day such as 2019-03-05 in it: name a set as {EXAMPLE}")


def names_set(text: str) -> bool:
    """There is a day in the text, so that it names a set."""
    return any(_read_day(word) is not None for word in text.split())


def _read_day(word: str) -> date | None:
    try:
        return date.fromisoformat(word)
    except ValueError:
        return None


def trace_sets(warehouse: Path, name: SetName) -> list[Origin]:
    """Every set that ``name`` means, in the order of the session.

    Raises
    ------
    SettingsError
        when there is none, saying what there is on that day.
    """
    day = read_where(warehouse, "tidy_set", session_date=name.day)
    if name.lifter_id is not None:
        day = day.filter(pl.col("lifter_id") == name.lifter_id)
    found = day.filter(_is_lift(name.lift)) if name.lift else day
    if name.set_no is not None:
        found = found.filter(pl.col("set_no") == name.set_no)
    if found.is_empty():
        raise SettingsError(_nothing(name, day))
    order = ("lifter_id", "session_id", "exercise_order", "set_no", "segment_no")
    return [_origin(warehouse, row) for row in found.sort(order).iter_rows(named=True)]


def _is_lift(lift: str) -> pl.Expr:
    """The exercise by its id or name, or the name that the file has for it."""
    wanted = lift.casefold()
    by_id = pl.col("exercise_id") == wanted.replace(" ", "_").replace("-", "_")
    return by_id | (pl.col("exercise_as_written").str.to_lowercase() == wanted)


def _nothing(name: SetName, day: pl.DataFrame) -> str:
    whom = f" of {name.lifter_id}" if name.lifter_id else ""
    if day.is_empty():
        return (
            f"no set{whom} is kept on {say_date(name.day)}: see State of the record for what was "
            "set aside"
        )
    counts = day.group_by("exercise_id", maintain_order=True).agg(pl.col("set_no").max())
    listed = ", ".join(f"{lift} 1 to {number}" for lift, number in counts.iter_rows())
    asked = " ".join(str(part) for part in (name.lift, name.set_no) if part is not None)
    return f"no set {asked!r}{whom} on {say_date(name.day)}: there are {listed}"


def _origin(warehouse: Path, row: Mapping[str, Any]) -> Origin:
    file = {"file_id": row["file_id"]}
    line = {**file, "row_no": row["row_no"]}
    (source,) = read_where(warehouse, "source_file", **file).to_dicts()
    raw = read_where(warehouse, "raw_row", **line).to_dicts()
    owner = {"lifter_id": row["lifter_id"]}
    names = read_where(
        warehouse, "tidy_name", **owner, exercise_as_written=row["exercise_as_written"]
    )
    copies = read_where(
        warehouse,
        "tidy_copy",
        **owner,
        session_date=row["session_date"],
        exercise_id=row["exercise_id"],
    )
    paths = read_where(warehouse, "source_file", **owner).select("file_id", "path")
    return Origin(
        tidy_set=row,
        source_file=source,
        cells=json.loads(raw[0]["cells"]) if raw else {},
        place=raw[0]["place"] if raw else None,
        name=next(iter(names.to_dicts()), None),
        corrections=tuple(read_where(warehouse, "tidy_correction", **line).to_dicts()),
        doubts=tuple(read_where(warehouse, "tidy_doubt", **line).to_dicts()),
        copies=tuple(copies.join(paths, on="file_id").to_dicts()),
    )
