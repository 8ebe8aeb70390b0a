"""Small records for the tests of the warehouse, made by hand."""

from collections.abc import Iterable
from datetime import date
from pathlib import Path

import polars as pl

from pipeline.core.dictionary import columns_of, conform
from pipeline.core.settings import default_settings
from pipeline.store.warehouse import build_warehouse

SETTINGS = default_settings()
MONDAY = date(2025, 3, 3)
ROLES = {
    "bench": {"chest": "direct", "triceps": "indirect"},
    "extension": {"triceps": "direct"},
    "row": {"lats": "direct", "biceps": "indirect"},
    "rear_fly": {"rear_delts": "direct"},
}
PATTERNS = {"bench": "horizontal_push", "row": "horizontal_pull"}


def rows(table: str, entries: Iterable[dict[str, object]]) -> pl.DataFrame:
    return conform(table, pl.DataFrame(list(entries), infer_schema_length=None))


def one_lifter(
    lifter_id: str, began: date = date(2020, 3, 2), week_starts_on: int = 1
) -> pl.DataFrame:
    """Table ``ref_lifter`` of one lifter."""
    row = {"lifter_id": lifter_id, "name": lifter_id.title(), "training_began": began}
    return rows("ref_lifter", [row | {"unit": "kg", "week_starts_on": week_starts_on}])


def one_set(row_no: int, exercise: str, **values: object) -> dict[str, object]:
    day = values.pop("session_date", MONDAY)
    return {
        "lifter_id": "a",
        "session_date": day,
        "session_id": f"a {day}",
        "exercise_id": exercise,
        "exercise_as_written": exercise,
        "exercise_order": 1,
        "set_no": row_no,
        "segment_no": 1,
        "is_warmup": False,
        "load_basis": "total",
        "load_kg": 100.0,
        "load_moved_kg": 100.0,
        "reps": 8,
        "rir_source": "none",
        "is_doubted": False,
        "file_id": "f",
        "row_no": row_no,
    } | values


def reference() -> dict[str, pl.DataFrame]:
    muscles = sorted({muscle for roles in ROLES.values() for muscle in roles})
    return {
        "ref_lifter": one_lifter("a"),
        "ref_muscle": rows(
            "ref_muscle",
            [
                {"muscle_id": m, "name": m, "family": "trunk", "page_order": 1, "is_shown": True}
                for m in muscles
            ],
        ),
        "ref_contribution": rows(
            "ref_contribution",
            [
                {"exercise_id": exercise, "muscle_id": muscle, "role": role}
                for exercise, roles in ROLES.items()
                for muscle, role in roles.items()
            ],
        ),
        "ref_exercise": rows("ref_exercise", [an_exercise(name) for name in ROLES]),
    }


def an_exercise(name: str) -> dict[str, object]:
    required = {c.name: c.values[0] if c.values else "x" for c in columns_of("ref_exercise")}
    numbers = {"body_weight_share": 0.0, "default_angle_deg": None}
    pattern = PATTERNS.get(name, "isolation")
    return required | numbers | {"exercise_id": name, "pattern": pattern}


def record(sets: list[dict[str, object]]) -> dict[str, pl.DataFrame]:
    """A whole record of ``sets``: reference, raw rows and the file they come from."""
    numbers = [s["row_no"] for s in sets]
    raw = [{"file_id": "f", "row_no": n, "cells": "{}"} for n in dict.fromkeys(numbers)]
    file = {
        "file_id": "f",
        "lifter_id": "a",
        "path": "log.csv",
        "sha256": "0",
        "counts_as": "row",
        "read": len(raw),
        "kept": len(raw),
        "repeated": 0,
        "set_aside": 0,
        "blank": 0,
    }
    loaded = {"tidy_set": sets, "raw_row": raw, "source_file": [file]}
    return reference() | {name: rows(name, entries) for name, entries in loaded.items()}


def build(path: Path, sets: list[dict[str, object]], **more: pl.DataFrame) -> Path:
    file = path / "warehouse.duckdb"
    build_warehouse(file, record(sets) | more, SETTINGS)
    return file
