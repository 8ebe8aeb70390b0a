"""JSON and YAML in which texts hold names and sets, or days are split over keys, read as notes."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from pipeline.core.source import SourceFile
from pipeline.sources.read import read_raw
from tests.unit.drafting import days, draft, small_readers

LIFTS = ("Back squat", "Bench press")
DAYS = days(12)


def texts_under_days() -> Any:
    return {str(day): [f"{lift} 3x8@{60 + i}" for lift in LIFTS] for i, day in enumerate(DAYS)}


def texts_in_records() -> Any:
    return [
        {"date": day, "work": lines, "note": "felt good"}
        for day, lines in texts_under_days().items()
    ]


def lists_under_names() -> Any:
    return {
        "sessions": [
            {"date": str(day), **{lift: [f"{60 + i}x8"] * 3 for lift in LIFTS}}
            for i, day in enumerate(DAYS)
        ]
    }


def year_month_day() -> Any:
    root: dict[str, Any] = {}
    for i, day in enumerate(DAYS):
        month = root.setdefault(str(day.year), {}).setdefault(str(day.month), {})
        month[str(day.day)] = dict.fromkeys(LIFTS, f"3x8@{60 + i}")
    return root


def year_month_name_day() -> Any:
    root: dict[str, Any] = {}
    for i, day in enumerate(DAYS):
        month = root.setdefault(str(day.year), {}).setdefault(f"{day:%B}", {})
        month[str(day.day)] = [f"{lift}: 3x8@{60 + i}" for lift in LIFTS]
    return root


@pytest.mark.parametrize(
    "make",
    [texts_under_days, texts_in_records, lists_under_names, year_month_day, year_month_name_day],
)
@pytest.mark.parametrize("ending", ["json", "yaml"])
def test_every_set_is_read(tmp_path: Path, make: Callable[[], Any], ending: str) -> None:
    path = tmp_path / f"log.{ending}"  # JSON is YAML too
    path.write_text(json.dumps(make(), indent=1))
    _, one = draft(path, small_readers())
    raw = read_raw(SourceFile("file", "ida", path.name, "", 0, path), one)
    found = small_readers().tidy_file(raw)
    assert found.set_aside.is_empty()
    rows = found.sets.select("session_date", "exercise_as_written", "load_kg", "reps").rows()
    right = [(day, lift, 60.0 + i, 8) for i, day in enumerate(DAYS) for lift in LIFTS]
    assert sorted(rows) == sorted(right * 3)
