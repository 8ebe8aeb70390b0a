"""A set is traced to its file, line, text, map, name and corrections."""

import json
from datetime import date
from pathlib import Path

import polars as pl
import pytest

from pipeline.cli.trace import tell_origin, trace_what
from pipeline.core.dictionary import conform
from pipeline.core.errors import SettingsError
from pipeline.core.home import WAREHOUSE
from pipeline.core.settings import default_settings
from pipeline.store.trace import SetName, read_set_name, trace_sets
from pipeline.store.warehouse import build_warehouse
from tests.unit.store_records import one_lifter

DAY = date(2019, 3, 5)


def a_set(lifter_id: str, set_no: int, row_no: int, **more: object) -> dict[str, object]:
    return {
        "lifter_id": lifter_id,
        "session_date": DAY,
        "session_id": f"{lifter_id}|{DAY}",
        "exercise_id": "bench_press",
        "exercise_as_written": "BP",
        "exercise_order": 1,
        "set_no": set_no,
        "segment_no": 1,
        "is_warmup": set_no == 1,
        "load_kg": 100.0,
        "load_basis": "total",
        "reps": 8,
        "rir_source": "none",
        "is_doubted": False,
        "file_id": f"{lifter_id}-1",
        "row_no": row_no,
        **more,
    }


def a_file(lifter_id: str, number: int, path: str) -> dict[str, object]:
    counts = {"read": 1, "kept": 1, "repeated": 0, "set_aside": 0, "blank": 0}
    told = {"path": path, "sha256": "ab", "map": "table", "encoding": "utf-8", "counts_as": "row"}
    return {"file_id": f"{lifter_id}-{number}", "lifter_id": lifter_id, **told, **counts}


@pytest.fixture(scope="module")
def warehouse(tmp_path_factory: pytest.TempPathFactory) -> Path:
    tables: dict[str, list[dict[str, object]]] = {
        "tidy_set": [
            *(a_set("ida", number, 10 + number) for number in (1, 2, 3)),
            a_set("ola", 1, 7),
            a_set("ida", 1, 20, exercise_id="pull_up", exercise_as_written="chins", load_kg=None),
        ],
        "source_file": [
            a_file("ida", 1, "log.xlsx"),
            a_file("ida", 2, "notes.txt"),
            a_file("ola", 1, "log.csv"),
        ],
        "raw_row": [
            {
                "file_id": "ida-1",
                "row_no": 12,
                "cells": json.dumps({"Day": "5.3.19", "Lift": "BP", "kg": "1000", "Note": None}),
                "place": "sheet 2019, row 12",
            },
            {"file_id": "ola-1", "row_no": 7, "cells": json.dumps({"Lift": "BP"})},
        ],
        "tidy_name": [
            {
                "lifter_id": "ida",
                "exercise_as_written": "BP",
                "exercise_id": "bench_press",
                "certainty": 1.0,
                "how": "alias",
            }
        ],
        "tidy_correction": [
            {
                "file_id": "ida-1",
                "row_no": 12,
                "column": "kg",
                "expect": "1000",
                "value": "100",
                "why": "a zero too many",
            }
        ],
        "tidy_copy": [
            {
                "lifter_id": "ida",
                "session_date": DAY,
                "exercise_id": "bench_press",
                "file_id": "ida-2",
                "row_no": 4,
                "first_file_id": "ida-1",
                "first_row_no": 11,
                "how": "equal sets written once",
                "sets": 1,
            }
        ],
    }
    root = tmp_path_factory.mktemp("trace")
    run = root / "published" / "one"
    run.mkdir(parents=True)
    frames = {name: conform(name, pl.DataFrame(rows)) for name, rows in tables.items()}
    frames["ref_lifter"] = one_lifter("ida")
    build_warehouse(run / WAREHOUSE, frames, default_settings())
    (root / "current").symlink_to(run)
    return run / WAREHOUSE


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("2019-03-05", SetName(DAY)),
        ("2019-03-05 bench press 2", SetName(DAY, None, "bench press", 2)),
        ("ida 2019-03-05 BP", SetName(DAY, "ida", "BP")),
    ],
)
def test_a_set_is_named_by_lifter_day_lift_and_number(text: str, name: SetName) -> None:
    assert read_set_name(text) == name


def test_a_name_without_a_day_is_refused() -> None:
    with pytest.raises(SettingsError, match="no day such as 2019-03-05"):
        read_set_name("bench press 2")


def test_one_set_with_all_that_made_it(warehouse: Path) -> None:
    (origin,) = trace_sets(warehouse, SetName(DAY, "ida", "bench press", 2))
    assert list(tell_origin(origin)) == [
        "ida, 5 Mar 2019, bench press, set 2: 100 kg, 8 repetitions",
        "  file: ida/log.xlsx, sheet 2019, row 12",
        "  text: Day: 5.3.19 | Lift: BP | kg: 1000",
        "  map: maps/table.toml",
        "  name: 'BP' by alias, certainty 1.00",
        "  correction: kg '1000' to '100': a zero too many; applied",
        "  told again: ida/notes.txt line 4, equal sets written once; left out",
    ]


@pytest.mark.parametrize(
    ("name", "rows"),
    [
        (SetName(DAY), [11, 12, 13, 20, 7]),
        (SetName(DAY, "ida", "bp"), [11, 12, 13]),
        (SetName(DAY, None, "pull-up", 1), [20]),
        (SetName(DAY, "ola"), [7]),
    ],
)
def test_what_is_left_open_means_all(warehouse: Path, name: SetName, rows: list[int]) -> None:
    found = [one.tidy_set["row_no"] for one in trace_sets(warehouse, name)]
    assert sorted(found) == sorted(rows)


@pytest.mark.parametrize(
    ("name", "told"),
    [
        (SetName(DAY, "ida", "squat", 1), "there are bench_press 1 to 3, pull_up 1 to 1"),
        (SetName(DAY, "ida", "bench press", 9), "no set 'bench press 9' of ida on 5 Mar 2019"),
        (SetName(date(2019, 3, 6)), "no set is kept on 6 Mar 2019"),
    ],
)
def test_a_set_that_is_not_there_is_answered_with_what_is(
    warehouse: Path, name: SetName, told: str
) -> None:
    with pytest.raises(SettingsError, match=told):
        trace_sets(warehouse, name)


def test_the_command_prints_the_published_run(
    warehouse: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    trace_what(warehouse.parents[2], "ola 2019-03-05")
    assert "  file: ola/log.csv, line 7" in capsys.readouterr().out


def test_a_folder_without_a_run_is_refused(tmp_path: Path) -> None:
    with pytest.raises(SettingsError, match="liftstrata refresh"):
        trace_what(tmp_path, "2019-03-05")
