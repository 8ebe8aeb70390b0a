"""Checks of rows: what breaks a rule is found with value, limit and remedy; a broken engine is not
taken for bad data; what is set aside is kept with its reasons."""

import importlib
import socket
from datetime import date

import polars as pl
import pytest
from polars.testing import assert_frame_equal

from pipeline.checks import suites
from pipeline.checks.quarantine import quarantine
from pipeline.checks.rules import Rule, column_rules
from pipeline.checks.suites import CheckReport, Failure, check_frames
from pipeline.core.dictionary import columns_of, conform, tables
from pipeline.core.errors import EngineError
from tests.unit.store_records import one_set, rows


def sets(*changes: dict[str, object]) -> pl.DataFrame:
    return rows("tidy_set", [one_set(i, "bench") | change for i, change in enumerate(changes, 1)])


def signals(*pairs: tuple[str, float | None]) -> pl.DataFrame:
    entry = {"lifter_id": "a", "date": date(2025, 3, 3), "unit": "x", "file_id": "f"}
    numbered = enumerate(pairs, 1)
    return conform(
        "tidy_signal",
        pl.DataFrame([entry | {"signal": s, "value": v, "row_no": i} for i, (s, v) in numbered]),
    )


def check_frame(table: str, frame: pl.DataFrame) -> CheckReport:
    return check_frames({table: frame})[table]


def found(report: CheckReport) -> list[tuple[int, str]]:
    return [(failure.row, failure.column) for failure in report.failures]


def test_sound_rows_pass_and_every_rule_was_asked() -> None:
    report = check_frame("tidy_set", sets({}, {"side": "left"}, {"rir": 2.0}))
    assert report.failures == ()
    required = sum(column.required for column in columns_of("tidy_set"))
    assert report.n_expectations > required


BAD_SETS = [
    ({"load_kg": -20.0}, "load_kg", -20.0),
    ({"load_kg": 701.0}, "load_kg", 701.0),
    ({"load_kg": float("inf")}, "load_kg", float("inf")),
    ({"reps": -1}, "reps", -1),
    ({"rir": 20.5}, "rir", 20.5),
    ({"side": "centre"}, "side", "centre"),
    ({"load_basis": None}, "load_basis", None),
    ({"session_date": date(215, 3, 4)}, "session_date", date(215, 3, 4)),
    ({"reps": None}, "reps", None),
    ({"segment_no": 2}, "cluster_id", None),
]


def test_each_bad_value_is_found_in_its_row_with_its_column() -> None:
    changes = [change for change, _, _ in BAD_SETS]
    report = check_frame("tidy_set", sets({}, *changes, {"load_kg": 700.0, "rir": 20.0}))
    wanted = [(row, column, value) for row, (_, column, value) in enumerate(BAD_SETS, 1)]
    assert [(f.row, f.column, f.value) for f in report.failures] == wanted


def test_the_first_day_that_is_allowed_and_the_last_that_is_not() -> None:
    days = (date(1950, 1, 1), date(1949, 12, 31), None)
    report = check_frame("tidy_set", sets(*({"session_date": day} for day in days)))
    assert [(f.row, f.value) for f in report.failures] == [(1, date(1949, 12, 31)), (2, None)]


def test_a_hold_needs_no_repetitions_and_a_drop_with_its_cluster_is_sound() -> None:
    frame = sets(
        {"reps": None, "duration_s": 40.0},
        {"reps": None, "distance_m": 30.0},
        {"cluster_id": "c"},
        {"cluster_id": "c", "segment_no": 2},
    )
    assert check_frame("tidy_set", frame).failures == ()


def test_a_failure_says_value_limit_and_remedy() -> None:
    bad = sets({"load_kg": -20.0}, {"session_date": date(215, 3, 4)})
    load, day = check_frame("tidy_set", bad).failures
    assert load.sentence() == (
        "load −20: within 0 to 700 kg is allowed; "
        "correct the value in the file, or its unit or column in the map"
    )
    assert day.sentence().startswith(
        "date 4 Mar 215: no day before 1 Jan 1950 is allowed; correct the year"
    )


def test_signals_have_limits_by_name() -> None:
    frame = signals(
        ("body_weight_kg", 82.0),
        ("body_weight_kg", 820.0),
        ("resting_hr_bpm", 0.0),
        ("sleep_min", -5.0),
        ("girth_thigh_cm", 62.0),
        ("girth_thigh_cm", 0.62),
        ("rating_calves", -1.0),
        ("steps", None),
    )
    report = check_frame("tidy_signal", frame)
    assert found(report) == [(row, "value") for row in (1, 2, 3, 5, 6, 7)]
    assert report.failures[0].expectation == "body weight kg not within 25 to 350"


def test_several_tables_in_one_go_and_empty_ones_cost_nothing() -> None:
    reports = check_frames(
        {
            "tidy_set": sets({"reps": 301}),
            "tidy_signal": signals(("steps", 5.0)),
            "tidy_event": rows("tidy_event", []),
        }
    )
    assert {name: len(report.failures) for name, report in reports.items()} == {
        "tidy_set": 1,
        "tidy_signal": 0,
        "tidy_event": 0,
    }
    assert reports["tidy_event"].n_expectations == 0


def test_every_table_of_the_dictionary_has_rules_that_its_own_limits_state() -> None:
    for table in tables():
        rules = column_rules(table)
        for column in columns_of(table):
            kinds = {rule.kind for rule in rules if rule.column == column.name}
            assert not column.required or "given" in kinds, (table, column.name)
            assert not column.values or "among" in kinds, (table, column.name)
            limited = column.low is not None or column.high is not None or column.type == "date"
            assert not limited or "within" in kinds, (table, column.name)
        assert all(rule.limit and rule.remedy and rule.says for rule in rules)


def test_a_broken_engine_is_no_bad_data(monkeypatch: pytest.MonkeyPatch) -> None:
    """A limit of the wrong kind makes the engine fail inside, with no word about the rows."""
    odd = Rule("note", "within", "note odd", "limit", "remedy", low=0.0, high=1.0)
    monkeypatch.setattr(suites, "column_rules", lambda table: (odd,))
    with pytest.raises(EngineError, match=r"tidy_set\.note could not run"):
        check_frame("tidy_set", sets({"note": "felt heavy"}))


def test_an_engine_that_raises_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object) -> list[object]:
        raise RuntimeError("out of breath")

    monkeypatch.setattr(suites, "_validate", fail)
    with pytest.raises(EngineError, match="check of tidy_set could not run: out of breath"):
        check_frame("tidy_set", sets({}))


def test_nothing_leaves_the_machine_and_nothing_is_written_to_the_terminal(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    tried: list[object] = []

    def refuse(_: socket.socket, address: object) -> None:
        tried.append(address)
        raise OSError("no network in this test")

    importlib.import_module("great_expectations")
    monkeypatch.setattr(socket.socket, "connect", refuse)
    monkeypatch.setattr(socket.socket, "connect_ex", refuse)
    check_frame("tidy_set", sets({"load_kg": -1.0}))
    assert tried == []
    out, errors = capfd.readouterr()
    assert (out, errors) == ("", "")


AS_WRITTEN = pl.DataFrame(
    {"file_id": "f", "row_no": [1, 2, 3], "as_written": ["one", "two", "three"]}
)


def test_a_record_is_set_aside_whole_with_all_its_reasons() -> None:
    """The second line of the file gave three sets; one has a load and repetitions out of reach."""
    frame = sets({}, {}, {"row_no": 2, "load_kg": -5.0, "reps": 900}, {"row_no": 2}, {"row_no": 3})
    kept, aside = quarantine("tidy_set", frame, check_frame("tidy_set", frame), AS_WRITTEN)
    assert kept["row_no"].to_list() == [1, 3]
    assert aside.height == 1
    row = aside.row(0, named=True)
    assert (row["file_id"], row["row_no"], row["as_written"]) == ("f", 2, "two")
    assert row["reason"] == "load not within 0 to 700 kg"
    assert "−5" in row["detail"]
    assert "900" in row["detail"]
    assert_frame_equal(aside, conform("set_aside", aside))


def test_a_bad_cell_leaves_the_other_cells_of_its_line() -> None:
    wide = sets({"row_no": 1}, {"row_no": 1, "exercise_as_written": "row", "load_kg": -5.0})
    kept, aside = quarantine("tidy_set", wide, check_frame("tidy_set", wide), AS_WRITTEN)
    assert kept["exercise_as_written"].to_list() == ["bench"]
    assert aside["row_no"].to_list() == [1]
    night = signals(("sleep_min", 420.0), ("resting_hr_bpm", 0.0)).with_columns(
        row_no=pl.lit(1, dtype=pl.Int64())
    )
    kept, aside = quarantine("tidy_signal", night, check_frame("tidy_signal", night), AS_WRITTEN)
    assert kept["signal"].to_list() == ["sleep_min"]
    assert aside["reason"].to_list() == ["resting hr bpm not within 25 to 140"]


def test_as_written_can_be_given_by_cell() -> None:
    wide = sets({"row_no": 1}, {"row_no": 1, "exercise_as_written": "row", "load_kg": -5.0})
    cells = pl.DataFrame(
        {
            "file_id": "f",
            "row_no": 1,
            "exercise_as_written": ["bench", "row"],
            "as_written": ["8x100", "8x-5"],
        }
    )
    _, aside = quarantine("tidy_set", wide, check_frame("tidy_set", wide), cells)
    assert aside["as_written"].to_list() == ["8x-5"]


def test_sound_rows_are_all_kept_and_a_row_without_text_is_not_lost() -> None:
    frame = sets({}, {})
    kept, aside = quarantine("tidy_set", frame, CheckReport((), 0), AS_WRITTEN)
    assert_frame_equal(kept, frame)
    assert aside.is_empty()
    failure = Failure(0, "reps", "odd", 1, "limit", "remedy")
    kept, aside = quarantine("tidy_set", frame, CheckReport((failure,), 1), AS_WRITTEN[1:])
    assert kept.height == 1
    assert aside["as_written"].to_list() == [""]
