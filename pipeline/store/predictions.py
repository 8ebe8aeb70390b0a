"""What was predicted and when: ``predictions.jsonl``, only ever added to and never built again.

One JSON object a line (``schemas/prediction.schema.json``). A line that cannot be read is named and
stays as it is; lines of a lifter who left the folder stay too.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import Any, cast

from pipeline.core.errors import SettingsError
from pipeline.core.home import Home
from pipeline.core.json_schema import check_entries, load_schema
from pipeline.store.lines import append_lines

TYPES: dict[str, tuple[type, ...]] = {
    "string": (str,),
    "integer": (int,),
    "number": (int, float),
}


@dataclass(frozen=True)
class KeptPredictions:
    """Lines of the file as they stand, and a warning for each that cannot be read."""

    rows: tuple[dict[str, Any], ...]
    broken: tuple[str, ...]


def append_predictions(home: Home, rows: Sequence[Mapping[str, object]]) -> None:
    """Add predictions; without any the file is not touched.

    Raises
    ------
    SettingsError
        when a row is not as the schema says.
    """
    for row in rows:
        check_entries("predictions.jsonl", dict(row), _schema())
    append_lines(home.predictions, rows)


def read_predictions(home: Home) -> KeptPredictions:
    """Every prediction that was kept, in the order of writing."""
    if not home.predictions.exists():
        return KeptPredictions((), ())
    rows: list[dict[str, Any]] = []
    broken: list[str] = []
    for number, line in enumerate(home.predictions.read_bytes().splitlines(), 1):
        if not line.strip():
            continue
        shown = f"predictions.jsonl line {number}"
        try:
            rows.append(_read_line(shown, line))
        except SettingsError as error:
            broken.append(f"{error}: the line is kept and left out")
    return KeptPredictions(tuple(rows), tuple(broken))


def _read_line(shown: str, line: bytes) -> dict[str, Any]:
    try:
        row = json.loads(line.decode("utf-8"))
    except ValueError:
        raise SettingsError(f"{shown}: no JSON object on a line of its own") from None
    if not isinstance(row, dict):
        raise SettingsError(f"{shown}: no JSON object on a line of its own")
    if not _is_plain(row):
        check_entries(shown, row, _schema())
        raise SettingsError(f"{shown}: a day that is not in the calendar")
    return row


def _is_plain(row: dict[str, Any]) -> bool:
    """Whether the row has the schema's keys and types: a check of the schema itself takes fifty
    times as long, and a coach's file may hold a million lines."""
    kinds = _kinds()
    if not _required() <= row.keys() <= kinds.keys():
        return False
    for key, value in row.items():
        allowed = kinds[key]
        if allowed is None:
            try:
                date.fromisoformat(value)
            except (TypeError, ValueError):
                return False
            if len(value) != 10:
                return False
        elif isinstance(allowed, frozenset):
            if not isinstance(value, str) or value not in allowed:
                return False
        elif type(value) not in allowed or value != value:
            return False
    return cast(str, row["subject"]).startswith(("lift:", "muscle:"))


@cache
def _kinds() -> dict[str, tuple[type, ...] | frozenset[str] | None]:
    """By key: its types, its values, or None for a day."""
    found: dict[str, tuple[type, ...] | frozenset[str] | None] = {}
    for key, said in cast(dict[str, dict[str, Any]], _schema()["properties"]).items():
        if "enum" in said:
            found[key] = frozenset(said["enum"])
        else:
            found[key] = TYPES[said["type"]] if "type" in said else None
    return found


@cache
def _required() -> frozenset[str]:
    return frozenset(cast(list[str], _schema()["required"]))


def _schema() -> dict[str, object]:
    return load_schema("pipeline.store", "prediction.schema.json")
