"""A finding is traced to its method, SQL, sets, files and lines; what is said of it is true."""

import ast
import json
import shutil
from datetime import date, timedelta
from importlib import import_module
from pathlib import Path
from typing import Any

import polars as pl
import pytest
from typer.testing import CliRunner

from dashboards.prepare.traces import PAGES
from pipeline import cli
from pipeline.cli.trace import trace_what
from pipeline.cli.trace_finding import tell_finding
from pipeline.core.dictionary import columns_of, conform
from pipeline.core.errors import SettingsError
from pipeline.core.finding import Finding
from pipeline.core.home import WAREHOUSE
from pipeline.core.settings import default_settings
from pipeline.findings.provenance import PROVENANCE
from pipeline.store.sql_models import read_models
from pipeline.store.trace_finding import find_finding, sql_behind, trace_finding
from pipeline.store.warehouse import add_tables, build_warehouse
from tests.unit.store_records import one_lifter

ROOT = Path(__file__).parents[2]
DAY = date(2024, 1, 1)
SETTLED = ("provenance", "support", "stability")


def a_set(number: int, exercise: str = "bench_press", **more: object) -> dict[str, object]:
    day = DAY + timedelta(weeks=number)
    return {
        "lifter_id": "ida",
        "session_date": day,
        "session_id": f"ida|{day}",
        "exercise_id": exercise,
        "exercise_as_written": exercise,
        "exercise_order": 1,
        "set_no": 1,
        "segment_no": 1,
        "is_warmup": False,
        "load_kg": 100.0,
        "load_moved_kg": 100.0,
        "load_basis": "total",
        "reps": 8,
        "rir_source": "none",
        "is_doubted": False,
        "file_id": "one",
        "row_no": number,
        **more,
    }


def a_finding(question: str, subject: str, sentence: str, **more: Any) -> dict[str, object]:
    told = Finding(
        lifter_id="ida",
        question=question,
        subject=subject,
        unit="%/year",
        n=9,
        n_of="trained weeks",
        support="fair",
        support_why="invented",
        method="state space",
        model_version="2.0",
        sentence=sentence,
        **more,
    )
    return told.as_row()


SLOPE = a_finding(
    "lift_slope",
    "lift:bench_press",
    "Bench press fell: \u22121.2 % a year (\u22122.0 to \u22120.4).",
    estimate=-1.2,
    low=-2.0,
    high=-0.4,
    coverage=0.95,
    from_date=DAY + timedelta(weeks=4),
    to_date=DAY + timedelta(weeks=9),
    window="last",
)
MUSCLE = a_finding("muscle_slope", "muscle:chest", "Chest cannot be told.", window="last")
BALANCE = a_finding("balance", "lifter:ida", "Pulling against pushing.", window="last")
NIGHTS = a_finding("signal_effect", "signal:sleep_min@1", "Sleep says nothing.")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = {"lifter_id": "ida", "sha256": "ab", "map": "m", "encoding": "utf-8", "counts_as": "row"}
    file |= {"read": 1, "kept": 1, "repeated": 0, "set_aside": 0, "blank": 0}
    sets = [
        *(a_set(number) for number in (1, 2, 3, 5, 6, 9)),
        a_set(7, is_warmup=True),
        a_set(8, is_doubted=True, load_moved_kg=900.0),
        a_set(4, "push_up", file_id="two", load_moved_kg=None),
        a_set(5, "dip", file_id="two"),
        a_set(6, "squat", file_id="two"),
    ]
    doubt = {"lifter_id": "ida", "file_id": "one", "row_no": 8, "subject": "bench"}
    fix = {"file_id": "one", "row_no": 9, "column": "kg", "expect": "1000", "value": "100"}
    night = {"lifter_id": "ida", "date": DAY, "signal": "sleep_min", "value": 420.0, "unit": "min"}
    tables: dict[str, list[dict[str, object]]] = {
        "tidy_set": sets,
        "tidy_signal": [{**night, "file_id": "two", "row_no": 1}],
        "source_file": [
            {"file_id": "one", "path": "log.csv", **file},
            {"file_id": "two", "path": "book.xlsx", **file},
        ],
        "raw_row": [{"file_id": "two", "row_no": 4, "cells": "{}", "place": "sheet A, row 4"}],
        "ref_contribution": [
            {"exercise_id": one, "muscle_id": "chest", "role": role}
            for one, role in (("bench_press", "direct"), ("dip", "direct"), ("squat", "indirect"))
        ],
        "tidy_doubt": [{**doubt, "what": "load", "found": 900.0, "usual": 91.336, "unit": "kg"}],
        "tidy_correction": [{**fix, "why": "a zero too many"}],
    }
    root = tmp_path_factory.mktemp("traced")
    run = root / "published" / "one"
    run.mkdir(parents=True)
    frames = {name: conform(name, pl.DataFrame(rows)) for name, rows in tables.items()}
    frames["ref_lifter"] = one_lifter("ida", DAY)
    build_warehouse(run / WAREHOUSE, frames, default_settings())
    rows = pl.DataFrame([SLOPE, MUSCLE, BALANCE, NIGHTS], infer_schema_length=None)
    add_tables(run / WAREHOUSE, {"finding": conform("finding", rows)})
    (root / "current").symlink_to(run)
    return root


def answered_questions() -> set[str]:
    """Questions that stand as a text of their own in a module that answers."""
    known = {
        value
        for column in columns_of("finding")
        if column.name == "question"
        for value in column.values
    }
    said: set[str] = set()
    for path in (ROOT / "pipeline" / "findings").rglob("*.py"):
        if path.stem.startswith(SETTLED) or "news" in path.parts:
            continue
        nodes = ast.walk(ast.parse(path.read_text("utf-8")))
        said |= {str(node.value) for node in nodes if isinstance(node, ast.Constant)}
    return known & said


def test_every_question_that_is_answered_says_what_it_is_made_from():
    assert answered_questions() - set(PROVENANCE) == set()


@pytest.mark.parametrize("question", sorted(PROVENANCE))
def test_what_a_question_is_made_from_is_there(question: str):
    made = PROVENANCE[question]
    import_module(made.code)
    for table in made.tables:
        assert columns_of(table)
    marts = {name for name in made.tables if name.startswith(("mart_", "calendar_"))}
    assert marts <= {model.name for model in read_models()}
    for model in sql_behind(made.tables):
        assert (ROOT / "sql" / model.stage / f"{model.name}.sql").is_file()


def test_a_question_stands_on_one_page():
    listed = [question for questions in PAGES.values() for question in questions]
    assert len(listed) == len(set(listed))
    assert set(listed) <= set(PROVENANCE)


def test_sql_is_named_back_to_the_first_table():
    assert [model.name for model in sql_behind(["mart_week_lifter"])][-1] == "mart_week_lifter"
    assert "mart_session_lift" in [model.name for model in sql_behind(["mart_week_lifter"])]
    assert sql_behind(["tidy_set"]) == ()


@pytest.mark.parametrize(
    "what",
    [SLOPE["finding_id"], str(SLOPE["finding_id"])[:6], "bench press fell: -1.2 %", "\u22122.0 to"],
)
def test_a_finding_is_named_by_id_or_words(folder: Path, what: str):
    assert find_finding(folder / "current" / WAREHOUSE, what)["finding_id"] == SLOPE["finding_id"]


@pytest.mark.parametrize(
    ("what", "told"),
    [
        ("abcdef0", "no finding has an id that begins with abcdef0"),
        ("the moon", "no finding says so, and no day such as 2019-03-05"),
        ("s", "4 findings, name one by its id"),
    ],
)
def test_what_names_no_finding_is_one_line(folder: Path, what: str, told: str):
    with pytest.raises(SettingsError, match=told):
        trace_what(folder, what)


def test_the_sets_of_a_lift_are_those_that_may_speak_of_strength(folder: Path):
    found = trace_finding(folder / "current" / WAREHOUSE, SLOPE, ("tidy_set",), "subject", False)
    assert (found.n, found.n_within, found.n_doubted) == (6, 3, 1)
    (file,) = found.lines
    assert file.runs == ((1, 3), (5, 6), (9, 9))
    assert [fix["row_no"] for fix in found.corrections] == [9]
    assert [doubt["row_no"] for doubt in found.doubts] == [8]


@pytest.mark.parametrize(
    ("finding", "rows", "signals", "n"),
    [
        (MUSCLE, "subject", False, 7),
        (BALANCE, "counted", False, 9),
        (BALANCE, "strength", False, 8),
        (BALANCE, "reserve", False, 0),
        (NIGHTS, "none", True, 1),
    ],
)
def test_which_rows_speak(
    folder: Path, finding: dict[str, object], rows: str, signals: bool, n: int
):
    assert trace_finding(folder / "current" / WAREHOUSE, finding, (), rows, signals).n == n


def test_weeks_that_start_on_another_day_are_a_changed_setting(folder: Path, tmp_path: Path):
    moved = tmp_path / WAREHOUSE
    shutil.copyfile(folder / "current" / WAREHOUSE, moved)
    add_tables(moved, {"ref_lifter": one_lifter("ida", DAY, week_starts_on=7)})
    origin = trace_finding(moved, SLOPE, (), "subject", False)
    assert origin.settings == {"week_starts": "sunday"}
    told = list(tell_finding(origin, PROVENANCE["lift_slope"], folder, False))
    assert "  settings: week_starts = sunday" in told


def test_the_command_tells_all_of_it(folder: Path):
    done = CliRunner().invoke(cli.app, ["trace", str(SLOPE["finding_id"]), str(folder)])
    lines = done.output.splitlines()
    assert done.exit_code == 0, done.output
    assert lines[0] == SLOPE["sentence"]
    assert (
        "  answer: -1.2 (-2 to -0.4, 95%) %/year; 9 trained weeks, 29 Jan 2024 to 4 Mar 2024"
        in (lines)
    )
    assert "  method: state space; models 2.0; pipeline.findings.slopes" in lines
    assert "  settings: all as shipped" in lines
    assert (
        "  records: 6 sets and readings, 3 of them between its dates; 1 doubted left out" in lines
    )
    assert "    ida/log.csv: 6, lines 1 to 3, 5 to 6, 9" in lines
    slip = "  doubted: ida/log.csv, row 8: load: 900 kg; about 91.34 kg is usual around it"
    assert slip in lines
    fix = "  correction: ida/log.csv, row 9: kg '1000' to '100': a zero too many; applied"
    assert fix in lines
    assert lines[-1].endswith(f"from finding where finding_id = '{SLOPE['finding_id']}'\")")


def test_marts_are_named_with_their_grain(folder: Path):
    done = CliRunner().invoke(cli.app, ["trace", "Pulling against", str(folder)])
    lines = done.output.splitlines()
    grain = "one row per lifter and week of the calendar"
    assert f"  sql: sql/marts/week/mart_week_lifter.sql, {grain}" in lines
    assert "  records: 9 sets and readings; 1 doubted left out" in lines


def test_machines_get_one_object(folder: Path):
    done = CliRunner().invoke(cli.app, ["trace", str(SLOPE["finding_id"]), str(folder), "--json"])
    told = json.loads(done.output)
    assert told["finding"]["estimate"] == -1.2
    assert told["lines"] == [
        {"path": "ida/log.csv", "sets": 6, "runs": [[1, 3], [5, 6], [9, 9]], "is_line": True}
    ]
    done = CliRunner().invoke(cli.app, ["trace", "2024-01-08 bench_press 1", str(folder), "--json"])
    (one,) = json.loads(done.output)["sets"]
    assert (one["tidy_set"]["row_no"], one["source_file"]["path"]) == (1, "log.csv")
