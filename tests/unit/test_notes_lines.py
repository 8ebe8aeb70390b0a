"""Lines of notes: which are sets, names, remarks or weighings, and which are set aside."""

from dataclasses import replace
from pathlib import Path

import polars as pl
import pytest

from pipeline.tidy.tidy_file import TidyFile
from tests.unit.test_notes_dates import notes_map
from tests.unit.test_notes_styles import is_balanced, read_notes

DAY = "2016-03-04\n"
KNOWN_HERE = ("back_squat", "bench_press", "pull_up")


def read(folder: Path, text: str, **more: object) -> TidyFile:
    """Lines below one date; every line is accounted for."""
    found = read_notes(folder, DAY + text, notes_map(**more))  # type: ignore[arg-type]
    assert is_balanced(found)
    return found


def rows(found: TidyFile) -> list[tuple[str, float | None, int | None]]:
    """Exercise, kilograms and repetitions of every set."""
    return found.sets.select("exercise_id", "load_kg", "reps").rows()


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("Squat 100x5, 110x5 felt heavy", [("back_squat", 100, 5), ("back_squat", 110, 5)]),
        ("squat 100x5; bench 70x8", [("back_squat", 100, 5), ("bench_press", 70, 8)]),
        ("Assistance: leg press 2x10 @ 100", [("leg_press", 100, 10)] * 2),
        ("Squat: 100x5 (next: 105)", [("back_squat", 100, 5)]),
        ("Bench 3x8 80kg, 2 min rest", [("bench_press", 80, 8)] * 3),
        ("Pull-ups: 10, 8", [("pull_up", None, 10), ("pull_up", None, 8)]),
        ("Dips 10, 9, 8", [("dip", None, 10), ("dip", None, 9), ("dip", None, 8)]),
        ("incline bench press 30 60x8", [("incline_bench_press", 60, 8)]),
        ("leg press 45 100x10", [("leg_press", 100, 10)]),
        ("Pull-ups 2x8", [("pull_up", None, 8)] * 2),
        ("Dips 20x8", [("dip", 20, 8)]),
        ("2x10 squats @ 60kg", [("back_squat", 60, 10)] * 2),
        ("~~Squat 3x5@100~~", []),
        ("Next time: squat 3x5@105", []),
        ("Last time: squat 3x5@95", []),
        ("Squat\nWeight - 100\nReps - 8", [("back_squat", 100, 8)]),
        ("bike 20 min", []),
        ("knee 3/10, slept 6h", []),
    ],
)
def test_a_line(tmp_path: Path, line: str, told: list[tuple[str, float, int]]) -> None:
    found = read(tmp_path, line + "\n")
    assert rows(found) == told
    assert found.set_aside.is_empty()


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("Squat 100x5 skipped 110x5\n", "sets not understood"),
        ("Squat 100x8 vs 95x8\n", "sets not understood"),
        ("Squat 100x8, last week 95x8\n", "sets not understood"),
        ("Squat 2 x 500 ml water\n", "sets not understood"),
        ("Bench 100\n", "sets not understood"),
        ("Exercise: Squat\nReps: 8\n", "sets not understood"),
        ("Exercise: Squat\nWeight: 100\nSets: 3\n", "sets not understood"),
        ("Exercise: Squat\nWeight: 100\nReps: 8, 7\nSets: 3\n", "sets not understood"),
        ("Squat\nWeight: 100,5\nReps: 8, 7\n", "sets not understood"),
        ("Squat\nWeight: 100 stone\nReps: 8\n", "sets not understood"),
        ("60 x 8\n", "no exercise"),
        ("- [x] Squat 3x5@100\n- [ ] Bench 3x5@70\n", "not ticked"),
        ("Squat 3x5@100, bench\nBench 3x5x5x5\n", "sets not understood"),
    ],
)
def test_a_line_that_is_set_aside(tmp_path: Path, text: str, reason: str) -> None:
    found = read(tmp_path, text)
    assert reason in found.set_aside["reason"].to_list()
    written = found.set_aside.filter(pl.col("reason") == reason)["as_written"][0]
    assert written in text.split("\n")


SQUAT_8, BENCH_5 = ("back_squat", 100, 8), ("bench_press", 60, 5)
KEYED = [
    ("Exercise: Squat\nWeight: 100\nReps: 8\nSets: 3\n", [SQUAT_8] * 3),
    (
        "Squat\nSets: 3\nReps: 8\nWeight: 100 kg\nBench\nReps: 5\nLoad: 60\n",
        [SQUAT_8] * 3 + [BENCH_5],
    ),
    ("Squat\nWeight: 100\nReps: 8\nRest: 2 min\nWeight: 100\nReps: 8\n", [SQUAT_8] * 2),
    ("Squat\nSet: 1\nWeight: 100\nReps: 8\nSet: 2\nWeight: 100\nReps: 8\n", [SQUAT_8] * 2),
    ("Squat\nWeight: 100\nbelt on\nReps: 8\n", [SQUAT_8]),
    ("Squat\nSet: 3\nReps: 8\nWeight: 100\n", [SQUAT_8] * 3),
    ("Squat\nWeight: 100\nReps: 8, 8\n", [SQUAT_8] * 2),
    ("Squat\nWeight: 100, Reps: 8\n\nWeight: 100 | Reps: 8 | Sets: 2\n", [SQUAT_8] * 3),
    ("Squat\nWeights: 60, 100\nReps: 8, 8\n", [("back_squat", 60, 8), SQUAT_8]),
    ("Übung: Kniebeuge\nSätze: 3\nWdh: 8\nGewicht: 100\n", [SQUAT_8] * 3),
    ("Exercice: Squat\nSéries: 3\nRépétitions: 8\nPoids: 100\n", [SQUAT_8] * 3),
    ("Ejercicio: Squat\nSeries: 3\nRepeticiones: 8\nPeso: 100 kg\n", [SQUAT_8] * 3),
    ("Pull-ups\nSets: 2\nReps: 8\n", [("pull_up", None, 8)] * 2),
    ("Pull-ups\nReps: 8\nWeight: +10\n", [("pull_up", 10, 8)]),
    ("Exercise: Zercher thing\nWeight: 40\nReps: 5\n", [(None, 40, 5)]),
]


@pytest.mark.parametrize("order", ["sets x reps @ load", "load x reps", "reps x load x sets"])
@pytest.mark.parametrize(("text", "told"), KEYED)
def test_parts_of_a_set_on_lines_of_their_own(
    tmp_path: Path, text: str, told: list[tuple[str | None, float, int]], order: str
) -> None:
    found = read_notes(tmp_path, DAY + text, replace(notes_map(), notation_order=order))
    assert is_balanced(found)
    named = [(name if name in KNOWN_HERE else None, load, reps) for name, load, reps in rows(found)]
    assert named == told
    assert found.set_aside.is_empty()


def test_effort_beside_parts_of_a_set_and_a_body_weight_below(tmp_path: Path) -> None:
    found = read(tmp_path, "Squat\nWeight: 100\nReps: 8\nRPE: 8\n\nBody weight: 82\n")
    assert found.sets.select("load_kg", "reps", "rir").rows() == [(100, 8, 2)]
    assert found.signals["value"].to_list() == [82]


def test_sets_before_any_date_are_set_aside(tmp_path: Path) -> None:
    found = read_notes(tmp_path, "Squat 3x5@100\n" + DAY + "Squat 3x5@100\n", notes_map())
    assert found.set_aside.select("row_no", "reason").rows() == [(1, "no date")]
    assert found.sets.height == 3


def test_warm_ups_below_their_own_heading(tmp_path: Path) -> None:
    found = read(tmp_path, "Squat\nWarm-up:\n40 x 8\n60 x 5\nWork sets:\n100 x 5\n")
    assert found.sets["is_warmup"].to_list() == [True, True, False]


def test_remarks_stay_beside_their_sets(tmp_path: Path) -> None:
    found = read(tmp_path, "Squat\n100 x 5\nfelt strong\n100 x 5\nSlept badly.\n")
    notes = found.sets["note"].to_list()
    assert notes == ["felt strong", "Slept badly."]
    assert set(found.sets["exercise_id"]) == {"back_squat"}


def test_an_unknown_name_above_sets_is_a_name(tmp_path: Path) -> None:
    found = read(tmp_path, "Squat\n100 x 5\n\nZercher carry\n80 x 5\n")
    assert rows(found)[-1] == ("unmatched:zercher_carry", 80.0, 5)


def test_a_title_is_no_exercise(tmp_path: Path) -> None:
    found = read(tmp_path, "Push day\n60 x 8\n")
    assert found.set_aside["reason"].to_list() == ["no exercise"]


def test_parts_of_the_day_are_sessions_and_letters_supersets(tmp_path: Path) -> None:
    text = "A1. Bench 1x8@60\nA2. Barbell row 1x8@50\n2016-03-04 evening\nSquat 1x5@100\n"
    found = read(tmp_path, text)
    assert found.sets["session_id"].n_unique() == 2
    assert found.sets["superset_id"].null_count() == 1
    assert found.sets["superset_id"].drop_nulls().n_unique() == 1


def test_body_weight_is_a_signal_in_the_unit_written(tmp_path: Path) -> None:
    found = read(tmp_path, "bw 82,5\nSquat 1x5@100\n2016-03-06\nBody weight: 180 lb\nbw 400 kg\n")
    values = found.signals.select("signal", pl.col("value").round(2)).rows()
    assert values == [("body_weight_kg", 82.5), ("body_weight_kg", 81.65)]
    assert found.set_aside["reason"].to_list() == ["value outside its limits"]


@pytest.mark.parametrize(
    ("table", "columns", "told"),
    [
        (
            "| Exercise | Sets | Reps | Weight |\n|---|---|---|---|\n| Squat | 3 | 5 | 100 |\n",
            {"exercise": "Exercise", "sets": "(sets in columns)"},
            [(100.0, 5)] * 3,
        ),
        (
            "| Exercise | Weight (lb) | Reps |\n|---|---|---|\n| Squat | 100 | 5, 4 |\n",
            {"exercise": "Exercise", "sets": "(sets in columns)"},
            [(45.36, 5), (45.36, 4)],
        ),
        (
            "| Exercise | kg | 1 | 2 |\n|---|---|---|---|\n| Squat | 100 | 5 | 90x8 |\n",
            {"exercise": "Exercise", "sets": "(sets in columns)"},
            [(100.0, 5), (90.0, 8)],
        ),
    ],
)
def test_columns_that_tell_of_sets_together(
    tmp_path: Path, table: str, columns: dict[str, str], told: list[tuple[float, int]]
) -> None:
    found = read(tmp_path, "\n" + table, columns=columns)
    assert found.sets.select(pl.col("load_kg").round(2), "reps").rows() == told


def test_a_table_without_known_columns_is_set_aside(tmp_path: Path) -> None:
    found = read(tmp_path, "Squat 1x5@100\n\n| Meal | Kcal |\n|---|---|\n| Oats | 500 |\n")
    assert found.set_aside.select("row_no", "reason").rows() == [(6, "table not described")]
    assert "'Meal', 'Kcal'" in found.set_aside["detail"][0]


def test_what_was_not_done_is_no_exercise(tmp_path: Path) -> None:
    found = read(tmp_path, "skipped 3x8@60\nsquat 100x5\n")
    assert rows(found) == [("back_squat", 100, 5)]
    assert found.set_aside.height == 1
