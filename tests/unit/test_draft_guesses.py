"""What looks like a day, a load or repetitions and is none; what is written once for many rows."""

import json
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from pipeline.core.source import SourceFile
from pipeline.sources.draft_records import Readers
from pipeline.sources.read import read_raw
from pipeline.tidy.dates import read_date
from pipeline.tidy.numbers import read_rpe
from tests.unit.drafting import TODAY, days, draft, small_readers, write
from tests.unit.test_notes_dates import notes_map
from tests.unit.test_notes_lines import rows
from tests.unit.test_notes_styles import is_balanced, read_notes


@pytest.fixture(scope="module")
def readers() -> Readers:
    return small_readers()


def _moment(day: date) -> int:
    return int(datetime(day.year, day.month, day.day, 18, tzinfo=UTC).timestamp() * 1000)


def test_short_keys_and_moments_beside_a_day_of_export_and_a_version(
    tmp_path: Path, readers: Readers
) -> None:
    """Neither the day of the export nor a version or a number of a record is taken for training."""
    log = [(day, 60 + 2.5 * (i % 8), 5 + i % 4) for i, day in enumerate(days(24, date(2023, 1, 2)))]
    sessions = [
        {
            "id": i,
            "at": _moment(day),
            "lifts": [{"name": "Bench press", "sets": [{"w": w, "r": r}]}],
        }
        for i, (day, w, r) in enumerate(log)
    ]
    text = json.dumps({"version": 3, "exportedAt": "2024-12-21", "unit": "kg", "log": sessions})
    path = write(tmp_path, text, "log.json")
    drafted, one = draft(path, readers)
    assert drafted.questions == ()
    assert "counted since 1970" in " ".join(drafted.evidence)
    found = readers.tidy_file(read_raw(SourceFile("f", "ida", path.name, "", 0, path), one))
    assert found.sets.select("session_date", "load_kg", "reps").rows() == log


def test_two_columns_of_days_that_differ_are_asked_about(tmp_path: Path, readers: Readers) -> None:
    lines = [f"{day},2024-02-0{i % 9 + 1},Back squat,100,5" for i, day in enumerate(days(9))]
    path = write(tmp_path, "\n".join(["A,B,Exercise,Weight,Reps", *lines]))
    drafted, one = draft(path, readers)
    assert [q.key for q in drafted.questions if q.key == "columns.date"] == ["columns.date"]
    assert one.columns["date"] == "A"
    _, other = draft(path, readers, {"columns.date": "B"})
    assert other.columns["date"] == "B"


def test_a_moment_is_its_day_in_utc() -> None:
    assert read_date("1451928600000", "dmy", None, TODAY) == date(2016, 1, 4)
    assert read_date("1451865599", "ymd", None, TODAY) == date(2016, 1, 3)


def test_of_a_range_of_exertion_the_middle_is_read() -> None:
    assert read_rpe("8-9", ".") == {"rir_of_rpe": 1.5}


TABLE = "| Exercise | Weight | Reps |\n|---|---|---|\n| Squat | 100 | 5 |\n| | 105 | 4 |\n"


def test_an_exercise_of_a_table_in_notes_is_written_once(tmp_path: Path) -> None:
    """Not over the border of two tables: a name missing in the first row is missing."""
    one = notes_map(columns={"exercise": "Exercise", "load": "Weight", "reps": "Reps"})
    text = f"2016-03-04\n\n{TABLE}\n| Exercise | Weight | Reps |\n|---|---|---|\n| | 60 | 8 |\n"
    found = read_notes(tmp_path, text, one)
    assert rows(found) == [("back_squat", 100, 5), ("back_squat", 105, 4)]
    assert found.set_aside["reason"].to_list() == ["no exercise"]
    assert is_balanced(found)


def test_lifts_that_nobody_knows_are_lifts_where_repetitions_stand_beside_them(
    tmp_path: Path, readers: Readers
) -> None:
    """Their weights are no weights of the body."""
    lines = [f"{day},przysiad ze sztangą,{60 + i},8" for i, day in enumerate(days(9))]
    path = write(tmp_path, "\n".join(["Date,Exercise,Weight,Reps", *lines]))
    _, one = draft(path, readers)
    assert one.kind == "sets"
    assert one.columns["exercise"] == "Exercise"
    assert one.columns["load"] == "Weight"
