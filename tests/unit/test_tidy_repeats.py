"""The same training kept twice, and files joined into one record."""

from pathlib import Path

import polars as pl

from pipeline.core.dictionary import schema_of
from pipeline.core.source import SignalColumn
from pipeline.tidy.lifter import JoinedFiles, join_files
from pipeline.tidy.repeats import find_repeats
from pipeline.tidy.tidy_file import TidyFile
from tests.unit.reading import a_map, exercises, is_balanced, tidy

HEAD = "Date,Lift,Load,Reps\n"
THREE = "2024-01-02,bench press,100,8\n" * 3
SHORT = a_map("exercises")
WEIGHT = a_map("signals", signals=(SignalColumn("kg", "body_weight_kg", "kg"),))


def joined(*files: TidyFile) -> JoinedFiles:
    sets = pl.concat([one.sets for one in files])
    signals = pl.concat([one.signals for one in files])
    order = [one.file.file_id for one in sorted(files, key=lambda one: one.file.path)]
    return join_files(sets, signals, exercises(), order)


def test_equal_sets_are_sets_of_their_own(tmp_path: Path) -> None:
    found = tidy(tmp_path, HEAD + THREE)
    assert (found.sets.height, found.counts.repeated) == (3, 0)


def test_a_numbered_set_that_is_said_again_is_repeated(tmp_path: Path) -> None:
    one = a_map(more={"set_no": "Set", "note": "Note"})
    found = tidy(
        tmp_path,
        "Date,Lift,Load,Reps,Set,Note\n"
        "2024-01-02,bench press,100,8,1,\n2024-01-02,bench press,100,8,2,\n"
        "2024-01-02,bench press,100,8,2,\n"  # the same set again
        "2024-01-02,bench press,100,7,2,\n"  # another result
        "2024-01-02,bench press,100,8,2,slow\n"
        "2024-01-03,bench press,100,8,2,\n"
        "2024-01-02,bench press,100,8,,\n2024-01-02,bench press,100,8,,\n",
        one,
    )
    assert found.sets["row_no"].to_list() == [2, 3, 5, 6, 7, 8, 9]
    assert found.counts.repeated == 1
    assert is_balanced(found)


def test_the_same_training_in_two_notations_counts_once(tmp_path: Path) -> None:
    table = tidy(tmp_path, HEAD + THREE + "2024-01-02,pull-up,bw,8\n", path="b.csv")
    notes = tidy(
        tmp_path,
        "Date,Lift,Sets\n2024-01-02,bp,3x8@100\n2024-01-02,pull-up,2x8\n2024-01-03,bp,3x8@100\n",
        SHORT,
        "a.csv",
    )
    found = joined(table, notes)
    by_file = dict(found.sets.group_by("file_id").len().iter_rows())
    assert by_file == {"file_a.csv": 8, "file_b.csv": 1}
    assert found.repeated == {"file_b.csv": 3}
    assert found.copies.select("exercise_id", "file_id", "first_file_id").rows() == [
        ("bench_press", "file_b.csv", "file_a.csv")
    ]
    counts = table.counts.moved(repeated=3)
    assert (counts.kept, counts.repeated) == (1, 3)
    assert counts.read == counts.kept + counts.repeated + counts.set_aside + counts.blank


def test_a_repeated_shorthand_row_is_one_record(tmp_path: Path) -> None:
    table = tidy(tmp_path, HEAD + THREE, path="a.csv")
    notes = tidy(tmp_path, "Date,Lift,Sets\n2024-01-02,bp,3x8@100\n", SHORT, "b.csv")
    assert joined(table, notes).repeated == {"file_b.csv": 1}


def test_another_pattern_day_or_lifter_is_no_repeat(tmp_path: Path) -> None:
    first = tidy(tmp_path, HEAD + THREE, path="a.csv")
    for rows in (
        THREE.replace("8\n", "7\n", 1),
        THREE.replace("100", "102.5"),
        THREE.replace("2024-01-02", "2024-01-03"),
        THREE + "2024-01-02,bench press,100,8\n",
    ):
        second = tidy(tmp_path, HEAD + rows, path="b.csv")
        assert joined(first, second).repeated == {}
    other = first.sets.with_columns(pl.lit("ola").alias("lifter_id"), pl.lit("x").alias("file_id"))
    assert find_repeats(pl.concat([first.sets, other]), ["file_a.csv", "x"]).repeated == {}


def test_sessions_over_two_files_are_numbered_through(tmp_path: Path) -> None:
    first = tidy(tmp_path, HEAD + THREE, path="a.csv")
    second = tidy(
        tmp_path,
        "Date,Lift,Sets\n2024-01-02,cable raise,50x10 > 25x9\n2024-01-02,bp,2x5@110\n"
        "2024-01-02,bp,60x8 > 40x8\n",
        SHORT,
        "b.csv",
    )
    sets = joined(first, second).sets
    assert sets.schema == schema_of("tidy_set")
    assert sets.select("exercise_id", "exercise_order", "set_no", "segment_no").rows() == [
        *[("bench_press", 1, n, 1) for n in (1, 2, 3)],
        ("cable_raise", 2, 1, 1),
        ("cable_raise", 2, 1, 2),
        *[("bench_press", 1, n, 1) for n in (4, 5)],
        ("bench_press", 1, 6, 1),
        ("bench_press", 1, 6, 2),
    ]
    assert sets["cluster_id"].drop_nulls().unique(maintain_order=True).to_list() == [
        "ida|2024-01-02|cable_raise|1",
        "ida|2024-01-02|bench_press|6",
    ]


def test_signals_of_two_files(tmp_path: Path) -> None:
    head = "Date,kg\n"
    first = tidy(tmp_path, head + "2024-01-02,80\n2024-01-03,80.5\n", WEIGHT, "a.csv")
    second = tidy(
        tmp_path, head + "2024-01-02,80.0\n2024-01-03,81\n2024-01-04,81\n", WEIGHT, "b.csv"
    )
    found = joined(first, second)
    assert found.signals.select("value", "file_id").rows() == [
        (80.0, "file_a.csv"),
        (80.5, "file_a.csv"),
        (81.0, "file_b.csv"),
    ]
    assert (found.repeated, found.contradicted) == ({"file_b.csv": 1}, {"file_b.csv": 1})
    (aside,) = found.set_aside.to_dicts()
    assert (aside["row_no"], aside["reason"]) == (3, "second value for the day")
    assert aside["detail"].startswith(
        "body_weight_kg of 2024-01-03 is 81.0 here and 80.5 in another"
    )
    assert second.counts.moved(repeated=1, set_aside=1).kept == 1


def test_joining_nothing(tmp_path: Path) -> None:
    found = joined(tidy(tmp_path, HEAD))
    assert (found.sets.height, found.signals.height, found.repeated) == (0, 0, {})


def test_joining_is_the_same_whatever_the_order_of_the_rows_of_files(tmp_path: Path) -> None:
    first = tidy(tmp_path, HEAD + THREE, path="a.csv")
    second = tidy(tmp_path, HEAD + THREE.replace("bench press", "pull-up"), path="b.csv")
    assert joined(first, second).sets.equals(joined(second, first).sets)
