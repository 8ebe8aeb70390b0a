"""Drafted maps of spreadsheets, JSON, YAML and folders of files, read back by the same reader."""

import json
from collections.abc import Iterable
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
import yaml

from pipeline.core.errors import InputError
from pipeline.core.source import SourceFile
from pipeline.sources.draft_nested import say_path
from pipeline.sources.draft_records import Draft
from pipeline.sources.read import read_raw
from tests.unit.drafting import TODAY, days, draft, small_readers
from tests.unit.workbooks import Cell, workbook

LIFTS = ("Back squat", "Bench press", "Barbell row")
Log = list[tuple[date, str, float, int]]


def _log(n: int = 20, start: date = date(2023, 11, 20)) -> Log:
    return [
        (day, lift, 60 + 10 * place + 2.5 * (i // 4), 8 - s)
        for i, day in enumerate(days(n, start))
        for place, lift in enumerate(LIFTS)
        for s in range(3)
    ]


def _check(path: Path, log: Log) -> Draft:
    """Without a question the drafted map reads exactly what was written."""
    drafted, one = draft(path, small_readers())
    assert not drafted.questions
    file = SourceFile("file", "ida", path.name, "", 0, path)
    found = small_readers().tidy_file(read_raw(file, one))
    assert found.set_aside.is_empty(), found.set_aside.to_dicts()[:3]
    rows = found.sets.select("session_date", "exercise_as_written", "load_kg", "reps").rows()
    assert sorted(rows) == sorted(log)
    return drafted


def _save(folder: Path, name: str, data: bytes | str) -> Path:
    path = folder / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(data if isinstance(data, bytes) else data.encode())
    return path


def test_a_sheet_a_year_with_titles_above_and_dates_written_once(tmp_path: Path) -> None:
    log = _log()
    sheets: dict[str, list[list[Cell]]] = {}
    for year in (2023, 2024):
        rows: list[list[Cell]] = [["Training", year], [], ["Date", "Exercise", "Weight", "Reps"]]
        seen: set[object] = set()
        for day, lift, load, reps in log:
            if day.year == year:
                cells = [day, (day, lift)]
                first = [cell not in seen for cell in cells]
                rows.append([day if first[0] else None, lift if first[1] else None, load, reps])
                seen |= set(cells)
        sheets[str(year)] = rows
    sheets["ideas"] = [["try more rows"]]
    path = _save(tmp_path, "log.xlsx", workbook(sheets))
    drafted = _check(path, log)
    assert 'fill_down = ["date", "exercise"]' in drafted.toml
    told = " ".join(drafted.evidence)
    assert "2 sheets laid out alike, '2023' to '2024'" in told
    assert "'Date' is empty: it is taken as written once" in told


def test_a_sheet_a_lift(tmp_path: Path) -> None:
    log = _log()
    sheets: dict[str, list[list[Cell]]] = {
        lift: [["Day", "Load (kg)", "Reps"], *([d, kg, n] for d, who, kg, n in log if who == lift)]
        for lift in LIFTS
    }
    path = _save(tmp_path, "lifts.xlsx", workbook(sheets))
    assert 'exercise = "(sheet)"' in _check(path, log).toml


def test_dates_without_a_year_on_sheets_of_a_year(tmp_path: Path) -> None:
    log = _log(40)
    sheets: dict[str, list[list[Cell]]] = {
        f"Year {year}": [
            ["Datum", "Übung", "Gewicht (kg)", "Wdh"],
            *([f"{d.day}.{d.month}.", who, kg, n] for d, who, kg, n in log if d.year == year),
        ]
        for year in (2023, 2024)
    }
    path = _save(tmp_path, "log.xlsx", workbook(sheets))
    drafted = _check(path, log)
    assert 'year_from = "sheet"' in drafted.toml
    assert "the name of the first sheet gives 2023" in " ".join(drafted.evidence)


def test_numbers_of_a_sheet_take_the_decimal_sign_of_its_texts(tmp_path: Path) -> None:
    log = _log()
    rows: list[list[Cell]] = [["Date", "Exercise", "Weight (kg)", "Reps"]]
    rows += [
        [day, lift, f"{load:g}".replace(".", ",") if i % 2 else load, reps]
        for i, (day, lift, load, reps) in enumerate(log)
    ]
    drafted = _check(_save(tmp_path, "log.xlsx", workbook({"log": rows})), log)
    assert 'decimal = ","' in drafted.toml


def _by_day(log: Log) -> dict[str, dict[str, list[tuple[float, int]]]]:
    found: dict[str, dict[str, list[tuple[float, int]]]] = {}
    for day, lift, load, reps in log:
        found.setdefault(day.isoformat(), {}).setdefault(lift, []).append((load, reps))
    return found


def _sessions(log: Log) -> list[dict[str, Any]]:
    return [
        {
            "date": day,
            "exercises": [
                {"name": lift, "sets": [{"weight": kg, "reps": n} for kg, n in sets]}
                for lift, sets in lifts.items()
            ],
        }
        for day, lifts in _by_day(log).items()
    ]


def _shapes(log: Log) -> Iterable[tuple[str, str, str, str]]:
    """Name, file name, text, a label that the map must have."""
    by_day = _by_day(log)
    yield "sessions", "a.json", json.dumps({"sessions": _sessions(log)}), "sessions[].date"
    yield "lines", "b.jsonl", "\n".join(map(json.dumps, _sessions(log))), "[].date"
    flat = [{"day": str(d), "lift": x, "weight": kg, "reps": n} for d, x, kg, n in log]
    yield "flat", "c.json", json.dumps(flat), "[].lift"
    yield "flat under another name", "log.txt", json.dumps({"rows": flat}), "rows[].lift"
    short = {
        d: {x: ", ".join(f"{kg:g}x{n}" for kg, n in sets) for x, sets in lifts.items()}
        for d, lifts in by_day.items()
    }
    yield "days and lifts as keys", "d.yaml", yaml.safe_dump(short), "{}{key}"
    remarks = {d: {"mood": "fine", **lifts} for d, lifts in short.items()}
    yield "remarks among the lifts", "e.yaml", yaml.safe_dump(remarks), "{}{}"
    documents = [{"date": d, **lifts} for d, lifts in short.items()]
    yield "documents", "f.yaml", yaml.safe_dump_all(documents), "[]{key}"
    lists = {
        d: {
            x: {"weight": [kg for kg, _ in sets], "reps": [n for _, n in sets]}
            for x, sets in ls.items()
        }
        for d, ls in by_day.items()
    }
    yield "two lists", "g.yaml", yaml.safe_dump(lists), "{}{}.reps[]"
    pairs = {d: {x: [list(s) for s in sets] for x, sets in ls.items()} for d, ls in by_day.items()}
    yield "pairs", "h.yaml", yaml.safe_dump(pairs), "{}{}[][0]"
    rows = [[str(d), x, kg, n] for d, x, kg, n in log]
    columns = ["date", "lift", "weight", "reps"]
    table = json.dumps({"columns": columns, "data": rows})
    yield "rows of a table", "j.json", table, "data[][1]"
    texts = [
        {"when": d, "lifts": [{"exercise": {"name": x}, "sets": [f"{kg:g} x {n}" for kg, n in s]}
                              for x, s in ls.items()]}
        for d, ls in by_day.items()
    ]  # fmt: skip
    yield "texts", "i.yaml", yaml.safe_dump({"log": texts}), "log[].lifts[].exercise.name"


@pytest.mark.parametrize("shape", list(_shapes(_log())), ids=lambda shape: shape[0])
def test_nested_records_are_drafted_without_editing(
    tmp_path: Path, shape: tuple[str, str, str, str]
) -> None:
    _, name, text, label = shape
    drafted = _check(_save(tmp_path, name, text), _log())
    assert label in drafted.toml


def test_single_items_beside_lists_tell_the_order_of_numbers_too(tmp_path: Path) -> None:
    """``squat: 3x8@20`` beside ``squat: [20x8, 20x7]``: both are seen when the order is drafted."""
    log: Log = []
    lines = []
    for i, day in enumerate(days(20)):
        load = 6 + i % 3
        log += [(day, "Back squat", load, 8)] * 3
        log += [(day, "Bench press", 62.5, 8 - n) for n in range(2)]
        lines += [f"{day}:", f"  Back squat: 3x8@{load}", "  Bench press: [62.5x8, 62.5x7]"]
    _check(_save(tmp_path, "log.yaml", "\n".join(lines)), log)


def test_weights_with_their_unit_are_the_load_whatever_the_label(tmp_path: Path) -> None:
    log = [(day, lift, load, reps) for day, lift, load, reps in _log() if lift != "Barbell row"]
    lines = [
        json.dumps({"d": str(day), "ex": lift, "w": f"{load:g}kg", "r": reps})
        for day, lift, load, reps in log
    ]
    _check(_save(tmp_path, "log.jsonl", "\n".join(lines)), log)


def test_nights_in_nested_json(tmp_path: Path) -> None:
    nights = [
        {"date": str(d), "sleep": {"duration": 400 + i}, "heart": {"restingHeartRate": 50 + i % 5}}
        for i, d in enumerate(days(30, step=1))
    ]
    path = _save(tmp_path, "nights.json", json.dumps({"nights": nights}))
    _, one = draft(path, small_readers())
    assert [column.signal for column in one.signals] == ["sleep_min", "resting_hr_bpm"]
    by_day = {night.pop("date"): night for night in nights}
    path = _save(tmp_path, "days.json", json.dumps(by_day))
    drafted, one = draft(path, small_readers())
    assert one.columns["date"] == "{key}"
    assert [column.label for column in one.signals] == [
        "{}.sleep.duration",
        "{}.heart.restingHeartRate",
    ]
    assert drafted.first_signals.height == 20


@pytest.mark.parametrize(
    ("name", "data", "told"),
    [
        (
            "a.xlsx",
            workbook({"a": [["Exercise", "Weight", "Reps"], ["Back squat", 100, 5]]}),
            "no column of dates",
        ),
        (
            "a.yaml",
            yaml.safe_dump({"2024-01-02": ["skipped 3x8@60"] * 3}),
            "apart from its sets",
        ),
        ("a.json", "{", "no JSON"),
    ],
)
def test_what_cannot_be_drafted_says_why(
    tmp_path: Path, name: str, data: bytes | str, told: str
) -> None:
    with pytest.raises(InputError, match=told):
        draft(_save(tmp_path, name, data), small_readers())


def test_a_folder_of_files_with_the_day_in_the_name(tmp_path: Path) -> None:
    log = _log()
    folder = tmp_path / "inbox" / "ida" / "days"
    by_day = _by_day(log)
    for day, lifts in by_day.items():
        rows = [f"{x},{kg},{n}" for x, sets in lifts.items() for kg, n in sets]
        _save(folder, f"{day} legs.csv", "\n".join(["Exercise,Weight (kg),Reps", *rows]) + "\n")
    first, second = sorted(folder.iterdir())[:2]
    drafted, one = draft(first, small_readers())
    assert one.columns["date"] == "(file name)"
    assert one.globs == ("days/*.csv",)
    assert not drafted.questions
    file = SourceFile("file", "ida", f"days/{second.name}", "", 0, second)
    found = small_readers().tidy_file(read_raw(file, one))
    assert found.sets["session_date"].unique().to_list() == [date.fromisoformat(second.name[:10])]
    assert found.sets.height == 9


def test_a_folder_of_files_a_lift(tmp_path: Path) -> None:
    for lift in LIFTS:
        rows = [f"{d},{kg},{n}" for d, x, kg, n in _log() if x == lift]
        _save(tmp_path, f"{lift}.csv", "\n".join(["Date,Weight (kg),Reps", *rows]) + "\n")
    log = [row for row in _log() if row[1] == LIFTS[0]]
    drafted = _check(tmp_path / f"{LIFTS[0]}.csv", log)
    assert 'exercise = "(file name)"' in drafted.toml
    assert 'globs = ["*.csv"]' in drafted.toml


@pytest.mark.parametrize(
    ("label", "said"),
    [
        ("sessions[].exercises[].name", "exercise name"),
        ("sessions[].name", "session name"),
        ("a.weightKg", "weight Kg"),
        ("a.weight.value", "weight"),
        ("sleep.hours", "sleep hours"),
        ("reps[]", "reps"),
        ("{}{key}", ""),
        ("{}{}", ""),
        ("{}{}[][0]", ""),
    ],
)
def test_the_words_of_a_path(label: str, said: str) -> None:
    assert say_path(label) == said


def test_the_days_of_these_tests_have_come() -> None:
    assert max(day for day, *_ in _log(40)) + timedelta(1) < TODAY
