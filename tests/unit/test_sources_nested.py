"""JSON and YAML: nothing converted, one row an innermost item, every other value beside it."""

import json
import tempfile
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.core.errors import InputError
from pipeline.core.source import PLACE, RawFile, SourceFile
from pipeline.sources.documents import MOST_DEPTH, read_documents
from pipeline.sources.paths import read_path, write_path
from tests.unit.reading import a_map, is_balanced, raw_file, tidy

DEEP = {
    "date": "sessions[].date",
    "exercise": "sessions[].exercises[].name",
    "load": "sessions[].exercises[].sets[].load",
    "reps": "sessions[].exercises[].sets[].reps",
}
BY_KEY = {"date": "{key}", "exercise": "{}{key}", "sets": "{}{}"}
DAY = date(2014, 3, 1)


def _read(folder: Path, text: str, kind: str, columns: dict[str, str], name: str) -> RawFile:
    return raw_file(folder, text, replace(a_map(kind), columns=columns), name)


def _sets(folder: Path, text: str, kind: str, columns: dict[str, str], name: str) -> list[tuple]:
    found = tidy(folder, text, replace(a_map(kind), columns=columns), name)
    assert is_balanced(found)
    assert found.set_aside.is_empty(), found.set_aside.to_dicts()
    return list(found.sets.select("session_date", "exercise_id", "load_kg", "reps").iter_rows())


def _documents(text: str) -> object:
    return read_documents(SourceFile("f", "ida", "log.yaml", "", 0, Path("log.yaml")), text).root


@pytest.mark.parametrize(
    ("text", "root"),
    [
        ('{"a": [1, 2.50, true, null, "x"]}', {"a": ["1", "2.50", "true", None, "x"]}),
        (
            "a: 2.50\nb: 7:30\nc: no\nd: 2014-03-01\ne: ~\nf: 010\ng: 'null'\n",
            {"a": "2.50", "b": "7:30", "c": "no", "d": "2014-03-01", "e": None, "f": "010"}
            | {"g": "null"},
        ),
        ("a: &usual [8, 8]\nb: *usual\n", {"a": ["8", "8"], "b": ["8", "8"]}),
        ("a: 1\n---\nb: 2\n", [{"a": "1"}, {"b": "2"}]),
        ('{"a": 1}\n\n{"a": 2}\n', [{"a": "1"}, {"a": "2"}]),
        ("a: !!python/object/apply:os.abort []\n", {"a": []}),
        ("a: !!binary aGk=\n", {"a": "aGk="}),
    ],
)
def test_every_value_is_the_text_that_stands_there(text: str, root: object) -> None:
    assert _documents(text) == root


@pytest.mark.parametrize(
    ("text", "line", "told"),
    [
        ('{"a": {"b": 1,\n"c": 2,\n"b": 3}}', 3, "'b' stands twice"),
        ('{"a": 1}\n{"a": 1,\n "a": 2}', 3, "'a' stands twice"),
        ("a: 1\nb: 2\na: 3\n", 3, "'a' stands twice"),
        ('{"a": 1,}', 1, "no JSON"),
        ('{"a": [1, 2}', 1, "no JSON"),
        ("a:\n\t- 1\n", 2, "no YAML"),
        ("a: [1\nb: 2\n", 2, "no YAML"),
        ("a: \x01\n", None, "no YAML"),
        ("? [a]\n: b\n", 1, "no text"),
        ("a: 1\n<<: {b: 2}\n", 2, "'<<' is not read"),
        ("a: &x [*x]\n", 1, "no value is called &x"),
        ("[" * 100_000, 1, f"more than {MOST_DEPTH} levels"),
        ("[" * 60 + "]" * 60, None, f"more than {MOST_DEPTH} levels"),
        ("- " * 60 + "a\n", 1, f"more than {MOST_DEPTH} levels"),
    ],
)
def test_what_is_broken_is_refused_with_its_line(text: str, line: int | None, told: str) -> None:
    with pytest.raises(InputError) as caught:
        _documents(text)
    assert told in caught.value.value
    assert caught.value.row == line
    assert caught.value.remedy


def test_values_behind_aliases_count_each_time() -> None:
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 10)}]" for n in range(1, 9)]
    with pytest.raises(InputError, match="values, those behind") as caught:
        _documents("\n".join(lines))
    assert caught.value.row == 7


def test_each_innermost_item_is_a_row_with_what_stands_around_it(tmp_path: Path) -> None:
    text = """
sessions:
  - date: 2014-03-01
    tags: [short, hot]
    exercises:
      - name: bench press
        sets: [{load: 60, reps: 8}, {load: 72.50, reps: 6}]
      - {name: pull-up, sets: {reps: 5}}
  - {date: 2014-03-03, exercises: [], extra: [{x: 1}]}
"""
    raw = _read(tmp_path, text, "sets", DEEP | {"note": "sessions[].tags[]"}, "log.yaml")
    assert raw.frame[PLACE].to_list() == [
        "sessions[0].exercises[0].sets[0]",
        "sessions[0].exercises[0].sets[1]",
        "sessions[0].exercises[1].sets[0]",
        "sessions[1]",
    ]
    assert raw.frame["sessions[].exercises[].sets[].load"].to_list() == ["60", "72.50", None, None]
    assert raw.frame["sessions[].tags[]"].to_list() == ["short, hot"] * 3 + [None]
    assert raw.warnings == ("not read, beside the records: sessions[].extra[]",)
    found = tidy(tmp_path, text, replace(a_map(), columns=DEEP), "log.yaml")
    assert (found.counts.kept, found.counts.blank) == (3, 1)


@pytest.mark.parametrize(
    ("text", "columns"),
    [
        ("2014-03-01: {bench press: 2x8@60}", BY_KEY),
        (
            "log: {2014-03-01: {note: hot, bench press: 2x8@60}}",
            {"date": "log{key}", "exercise": "log{}{key}", "sets": "log{}{}"}
            | {"note": "log{}.note"},
        ),
        ("2014-03-01: {bench press: [60x8, 60x8]}", BY_KEY | {"sets": "{}{}[]"}),
        (
            "date: 2014-03-01\nbench press: 2x8@60\n---\n",
            {"date": "[].date", "exercise": "[]{key}", "sets": "[]{}"},
        ),
        (
            '{"date": "2014-03-01", "lift": "bench press", "sets": "2x8@60"}\n',
            {"date": "[].date", "exercise": "[].lift", "sets": "[].sets"},
        ),
        (
            '{"a.b": {"2014-03-01": {"bench  press": "2x8@60"}}}',
            {"date": '"a.b"{key}', "exercise": '"a.b"{}{key}', "sets": '"a.b"{}{}'},
        ),
    ],
)
def test_keys_that_are_data_and_shorthand(
    tmp_path: Path, text: str, columns: dict[str, str]
) -> None:
    one = replace(a_map("exercises"), columns=columns, notation_order=None)
    found = tidy(tmp_path, text, one, "log.yaml")
    assert found.set_aside.is_empty(), found.set_aside.to_dicts()
    rows = found.sets.select("session_date", "exercise_id", "load_kg", "reps").rows()
    assert rows == [(DAY, "bench_press", 60.0, 8)] * 2


@pytest.mark.parametrize(
    ("text", "load", "reps"),
    [
        ("2014-03-01: {bench press: [[60, 8], [70, 6]]}", "{}{}[][0]", "{}{}[][1]"),
        ("2014-03-01: {bench press: {kg: [60, 70], reps: [8, 6]}}", "{}{}.kg[]", "{}{}.reps[]"),
        (
            "2014-03-01: {bench press: [{kg: 60, reps: 8}, {kg: 70, reps: 6}]}",
            "{}{}[].kg",
            "{}{}[].reps",
        ),
    ],
)
def test_sets_as_pairs_as_two_lists_and_as_mappings(
    tmp_path: Path, text: str, load: str, reps: str
) -> None:
    columns = {"date": "{key}", "exercise": "{}{key}", "load": load, "reps": reps}
    rows = _sets(tmp_path, text, "sets", columns, "log.yml")
    assert rows == [(DAY, "bench_press", 60.0, 8), (DAY, "bench_press", 70.0, 6)]


def test_two_lists_of_different_length_are_set_aside_not_guessed(tmp_path: Path) -> None:
    columns = {"date": "{key}", "exercise": "{}{key}"}
    columns |= {"load": "{}{}.kg[]", "reps": "{}{}.reps[]"}
    text = "2014-03-01: {bench press: {kg: [60, 70, 80], reps: [8, 6]}}"
    found = tidy(tmp_path, text, replace(a_map(), columns=columns), "log.yaml")
    assert found.sets.is_empty()
    assert found.set_aside["place"].to_list() == ["2014-03-01.bench press"]
    assert is_balanced(found)


def test_lines_of_json_are_named_by_their_line(tmp_path: Path) -> None:
    text = '{"d": "2014-03-01", "steps": 4000}\n\n{"d": "soon", "steps": 5000}\n'
    one = replace(a_map("signals"), columns={"date": "[].d"}, signals=())
    raw = raw_file(tmp_path, text, one, "days.jsonl")
    assert raw.frame[PLACE].to_list() == ["line 1", "line 3"]
    assert raw.frame["[].steps"].to_list() == ["4000", "5000"]
    text = json.dumps({"date": "2014-03-01", "exercises": [{"name": "a", "sets": [{"reps": 5}]}]})
    columns = {field: label.replace("sessions[]", "[]") for field, label in DEEP.items()}
    raw = _read(tmp_path, text, "sets", columns, "log.jsonl")
    assert raw.frame[PLACE].to_list() == ["line 1, exercises[0].sets[0]"]


def test_labels_that_cannot_be_one_row(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="lists beside each other"):
        _read(tmp_path, "a: 1", "sets", DEEP | {"reps": "reps[].n"}, "log.yaml")
    with pytest.raises(InputError, match=r"'Reps\.' is no path"):
        _read(tmp_path, "a: 1", "sets", DEEP | {"reps": "Reps."}, "log.yaml")
    with pytest.raises(InputError, match=r"no column 'sessions\[\].date'"):
        _read(tmp_path, "a: 1", "sets", DEEP, "log.yaml")
    with pytest.raises(InputError, match='kind = "wide"'):
        _read(tmp_path, "a: 1", "wide", {"date": "[].date"}, "log.yaml")


def test_what_a_whole_file_leaves_out_is_named(tmp_path: Path) -> None:
    text = "sessions: [{date: 2014-03-01, exercises: [{name: pull-up, sets: [{reps: 5}]}]}]"
    raw = _read(tmp_path, text, "sets", DEEP, "log.yaml")
    assert raw.warnings == (
        "nothing stands under 'sessions[].exercises[].sets[].load'; read without it",
    )


NAMES = st.text(min_size=1, max_size=8).map(lambda t: " ".join(t.split())).filter(bool)
STEPS = st.one_of(st.sampled_from(["[]", "{}", "[0]"]), NAMES.map(lambda name: f".{name}"))


@given(st.lists(STEPS, max_size=6).map(tuple))
def test_a_label_comes_back_from_its_text(steps: tuple[str, ...]) -> None:
    path = read_path(write_path(steps))
    assert path is not None
    assert path.steps == steps


@settings(deadline=None)
@given(
    st.lists(
        st.tuples(
            st.dates(date(2010, 1, 1), date(2024, 12, 31)),
            st.lists(
                st.lists(st.tuples(st.integers(20, 200), st.integers(1, 20)), max_size=4),
                max_size=3,
            ),
        ),
        max_size=4,
    ),
    st.booleans(),
)
def test_every_set_of_a_nested_log_is_found(
    sessions: list[tuple[date, list[list[tuple[int, int]]]]], as_lines: bool
) -> None:
    records = [
        {
            "date": day.isoformat(),
            "exercises": [
                {"name": "bench press", "sets": [{"load": kg, "reps": n} for kg, n in sets]}
                for sets in exercises
            ],
        }
        for day, exercises in sessions
    ]
    if not any(record["exercises"] for record in records):
        return
    expected = [
        (day, float(kg), reps) for day, lifts in sessions for sets in lifts for kg, reps in sets
    ]
    prefix = "[]" if as_lines else "sessions[]"
    columns = {field: label.replace("sessions[]", prefix) for field, label in DEEP.items()}
    text = "\n".join(map(json.dumps, records)) if as_lines else json.dumps({"sessions": records})
    with tempfile.TemporaryDirectory() as folder:
        name = "log.jsonl" if as_lines else "log.json"
        one = replace(a_map(), columns=columns)
        if not expected:
            with pytest.raises(InputError, match="no column"):
                tidy(Path(folder), text, one, name)
            return
        raw = raw_file(Path(folder), text, one, name)
        found = tidy(Path(folder), text, one, name)
    places = [columns["date"], columns["load"], columns["reps"]]
    rows = raw.frame.select(places).drop_nulls().rows()
    assert [(date.fromisoformat(d), float(kg), int(n)) for d, kg, n in rows] == expected
    assert is_balanced(found)


@settings(deadline=None)
@given(st.text(alphabet='{}[]",:-&*#!|>\n\t ab1.', max_size=60), st.sampled_from(["json", "yaml"]))
def test_any_text_is_read_or_refused(text: str, ending: str) -> None:
    with tempfile.TemporaryDirectory() as folder:
        try:
            _read(Path(folder), text, "exercises", BY_KEY, f"log.{ending}")
        except InputError:
            return
