"""Tables with one row per set: what is kept, set aside, repeated and blank."""

from pathlib import Path

import polars as pl

from pipeline.core.dictionary import schema_of
from pipeline.tidy.tidy_file import tidy_file
from tests.unit.reading import (
    TODAY,
    a_map,
    exercises,
    is_balanced,
    names,
    raw_file,
    reasons,
    tidy,
)

HEAD = "Date,Lift,Load,Reps\n"
FULL = {
    "set_no": "Set",
    "rir": "RIR",
    "rpe": "RPE",
    "to_failure": "Fail",
    "is_warmup": "Warm",
    "drop_of": "Drop",
    "superset": "Super",
    "angle": "Angle",
    "position": "Position",
    "side": "Side",
    "duration_s": "Time",
    "distance_m": "Way",
    "session": "Session",
    "note": "Note",
}
FULL_HEAD = HEAD.strip() + "," + ",".join(FULL.values()) + "\n"


def full_row(lift: str, load: str, reps: str, **cells: str) -> str:
    return (
        ",".join(["2024-01-02", lift, load, reps, *(cells.get(name, "") for name in FULL)]) + "\n"
    )


def test_every_column_of_the_contract(tmp_path: Path) -> None:
    text = FULL_HEAD + full_row(
        "BP",
        "82.5",
        "8",
        rir="2",
        to_failure="no",
        superset="A",
        angle="30°",
        position="Front",
        side="both",
        session="Morning",
        note="slow",
    )
    found = tidy(tmp_path, text, a_map(more=FULL))
    assert found.sets.schema == schema_of("tidy_set")
    (row,) = found.sets.to_dicts()
    assert {name: value for name, value in row.items() if value is not None} == {
        "lifter_id": "ida",
        "session_date": row["session_date"],
        "session_id": "ida|2024-01-02|morning",
        "exercise_id": "bench_press",
        "exercise_as_written": "BP",
        "exercise_order": 1,
        "set_no": 1,
        "segment_no": 1,
        "superset_id": "ida|2024-01-02|morning|A",
        "is_warmup": False,
        "load_kg": 82.5,
        "load_basis": "total",
        "load_as_written": "82.5",
        "unit_as_written": "kg",
        "reps": 8,
        "rir": 2.0,
        "rir_source": "recorded",
        "to_failure": False,
        "angle_deg": 30.0,
        "position": "Front",
        "side": "both",
        "is_doubted": False,
        "note": "slow",
        "file_id": "file_log.csv",
        "row_no": 2,
    }
    assert str(row["session_date"]) == "2024-01-02"


def test_kinds_of_rows_are_counted(tmp_path: Path) -> None:
    found = tidy(
        tmp_path,
        HEAD + "2024-01-02,bench press,80,8\n"
        "\n"
        "2024-01-03,,,\n"  # a day without sets
        "2024-01-04,-,–,n/a\n"
        "2024-01-04,bench press,80,acht\n"
        "2024-01-04,bench press,80,\n"
        ",bench press,80,8\n"
        "2024-01-04,,80,8\n"
        "Week 12,,,\n"
        "2024-01-04,bench press,80,-8\n"
        "2024-01-04,bench press,80,999\n"
        "2024-01-04,bench press,80,8,9\n"
        "2024-01-04,bench press,,8\n",
    )
    assert reasons(found) == [
        (6, "repetitions not understood"),
        (7, "no repetitions"),
        (8, "no date"),
        (9, "no exercise"),
        (10, "date not understood"),
        (11, "repetitions out of range"),
        (12, "repetitions out of range"),
        (13, "more cells than the header"),
    ]
    counts = found.counts
    assert (counts.read, counts.kept, counts.set_aside, counts.blank) == (13, 2, 8, 3)
    assert is_balanced(found)
    assert found.counts_as == "row"
    assert found.set_aside["detail"][0] == "Reps 'acht': write a whole number"
    assert found.set_aside["detail"][5] == (
        "-8 repetitions; 0 to 300 is read; correct it in corrections.toml"
    )


def test_a_remark_on_a_day_without_sets_is_blank(tmp_path: Path) -> None:
    text = FULL_HEAD + "2024-01-02" + "," * 16 + ",slept badly\n"
    found = tidy(tmp_path, text.replace("," * 17 + "slept", "," * 17 + "slept"), a_map(more=FULL))
    assert (found.counts.blank, found.counts.read) == (1, 1)


def test_unmatched_names_keep_their_sets(tmp_path: Path) -> None:
    found = tidy(tmp_path, HEAD + "2024-01-02,Zottelheber,80,8\n2024-01-02,bench press,80,8\n")
    assert found.sets["exercise_id"].to_list() == ["unmatched:zottelheber", "bench_press"]
    assert dict(found.names.select("exercise_as_written", "exercise_id").iter_rows()) == {
        "Zottelheber": "unmatched:zottelheber",
        "bench press": "bench_press",
    }


def test_sets_are_numbered_in_their_order(tmp_path: Path) -> None:
    lifts = ["bench press", "bench press", "pull-up", "bench press", "pull-up"]
    found = tidy(tmp_path, HEAD + "".join(f"2024-01-02,{lift},10,8\n" for lift in lifts))
    assert found.sets.select("exercise_id", "exercise_order", "set_no").rows() == [
        ("bench_press", 1, 1),
        ("bench_press", 1, 2),
        ("pull_up", 2, 1),
        ("bench_press", 1, 3),
        ("pull_up", 2, 2),
    ]


def test_reserve_is_recorded_or_none(tmp_path: Path) -> None:
    text = FULL_HEAD + "".join(
        full_row("bench press", "80", "8", **cells)
        for cells in (
            {"rpe": "8.5"},
            {"rir": "1", "rpe": "7"},
            {},
            {"to_failure": "x"},
            {"rir": "25"},
        )
    )
    found = tidy(tmp_path, text, a_map(more=FULL))
    assert found.sets.select("rir", "rir_source", "to_failure").rows() == [
        (1.5, "recorded", None),
        (1.0, "recorded", None),
        (None, "none", None),
        (None, "none", True),  # to failure and a reserve of 0 are not the same
    ]
    assert reasons(found) == [(6, "reserve out of range")]


def test_holds_and_carries_need_no_repetitions(tmp_path: Path) -> None:
    text = (
        FULL_HEAD
        + full_row("plank", "", "", duration_s="1:30")
        + full_row("farmer walk", "40", "", distance_m="20 m")
        + full_row("bench press", "80", "8-12")
    )
    found = tidy(tmp_path, text, a_map(more=FULL))
    assert found.sets.select("reps", "reps_target", "duration_s", "distance_m").rows() == [
        (None, None, 90.0, None),
        (None, None, None, 20.0),
        (None, "8-12", None, None),
    ]


def drops(tmp_path: Path, rows: str, columns: dict[str, str]) -> pl.DataFrame:
    head = "Date,Lift,Load,Reps," + ",".join(columns.values()) + "\n"
    found = tidy(tmp_path, head + rows, a_map(more=columns))
    assert is_balanced(found)
    return found.sets.select("row_no", "set_no", "segment_no", "cluster_id")


def test_drops_by_mark_segment_number_and_cluster(tmp_path: Path) -> None:
    day, lift = "2024-01-02", "cable raise"
    cluster = f"ida|{day}|cable_raise|2"
    expected = [
        (2, 1, 1, None),
        (3, 2, 1, cluster),
        (4, 2, 2, cluster),
        (5, 2, 3, cluster),
        (6, 3, 1, None),
    ]
    loads = ["50", "50", "25", "12.5", "50"]
    ways = (
        ({"drop_of": "Drop"}, ["", "", "x", "drop", "no"]),
        ({"segment": "Part"}, ["1", "1", "2", "3", "1"]),
        ({"cluster": "C"}, ["", "a", "a", "a", "b"]),
        ({"set_no": "Set", "drop_of": "Drop"}, ["1,", "2,", "3,2", "4,2", "5,"]),
    )
    for columns, marks in ways:
        rows = "".join(f"{day},{lift},{load},8,{m}\n" for load, m in zip(loads, marks, strict=True))
        assert drops(tmp_path, rows, columns).rows() == expected, columns


def test_a_drop_without_its_set_is_set_aside(tmp_path: Path) -> None:
    one = a_map(more={"drop_of": "Drop"})
    found = tidy(
        tmp_path,
        "Date,Lift,Load,Reps,Drop\n2024-01-02,cable raise,25,8,x\n2024-01-02,bench press,80,acht,\n"
        "2024-01-02,bench press,40,8,x\n2024-01-02,bench press,60,8,\n",
        one,
    )
    assert reasons(found) == [
        (2, "drop without its set"),
        (3, "repetitions not understood"),
        (4, "drop of a set that was set aside"),
    ]
    assert found.sets["row_no"].to_list() == [5]


def test_warmups_as_written_and_by_rule(tmp_path: Path) -> None:
    rows = (
        "2024-01-02,bench press,20,10\n2024-01-02,bench press,60,5\n2024-01-02,bench press,61,5\n"
        "2024-01-02,bench press,100,5\n2024-01-02,bench press,50,12\n2024-01-02,pull-up,,8\n"
    )
    assert tidy(tmp_path, HEAD + rows).sets["is_warmup"].to_list() == [False] * 6
    by_rule = tidy(tmp_path, HEAD + rows, a_map(warmups="by rule"))
    # at most 60 % of the heaviest and before the first working set; a back-off set is none
    assert by_rule.sets["is_warmup"].to_list() == [True, True, False, False, False, False]
    raw = raw_file(tmp_path, HEAD + rows, a_map(warmups="by rule"))
    stricter = tidy_file(
        raw,
        names=names(),
        exercises=exercises(),
        today_limit=TODAY,
        thresholds={"warmup_max_share": 0.5},
    )
    assert stricter.sets["is_warmup"].to_list() == [True, False, False, False, False, False]
    failed = (
        "Date,Lift,Load,Reps,Fail\n2024-01-02,bench press,50,20,x\n2024-01-02,bench press,100,5,\n"
    )
    one = a_map(warmups="by rule", more={"to_failure": "Fail"})
    assert tidy(tmp_path, failed, one).sets["is_warmup"].to_list() == [False, False]
    marked = a_map(more={"is_warmup": "Warm"})
    text = (
        "Date,Lift,Load,Reps,Warm\n2024-01-02,bench press,100,5,w\n2024-01-02,bench press,80,5,\n"
    )
    assert tidy(tmp_path, text, marked).sets["is_warmup"].to_list() == [True, False]


def test_years_come_from_the_file_name(tmp_path: Path) -> None:
    one = a_map(date_order="dmy", year_from="file name")
    found = tidy(tmp_path, HEAD + "5.3.,bench press,80,8\n", one, "training_2019.csv")
    assert str(found.sets["session_date"][0]) == "2019-03-05"


def test_an_angle_written_in_the_name_belongs_to_the_set(tmp_path: Path) -> None:
    text = (
        FULL_HEAD
        + full_row("incline press 30°", "60", "8")
        + full_row("incline press 45 deg", "60", "8", angle="40")
    )
    found = tidy(tmp_path, text, a_map(more=FULL))
    assert found.sets.select("exercise_id", "angle_deg").rows() == [
        ("incline_press", 30.0),
        ("incline_press", 40.0),
    ]
