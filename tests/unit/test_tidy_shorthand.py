"""Set shorthand in tables: a row per exercise, and a column per exercise."""

from datetime import date
from pathlib import Path

import pytest

from pipeline.core.errors import InputError
from tests.unit.reading import a_map, is_balanced, reasons, tidy


def test_a_row_per_exercise(tmp_path: Path) -> None:
    found = tidy(
        tmp_path,
        'Date,Lift,Sets\n2024-01-02,bench press,"3x8@100, 1x6@105"\n'
        '2024-01-02,bp,"100x8,8,7"\n2024-01-03,,\n2024-01-04,pull-up,3x8\n',
        a_map("exercises"),
    )
    assert found.sets.select("load_kg", "reps", "set_no", "row_no").rows() == [
        (100.0, 8, 1, 2),
        (100.0, 8, 2, 2),
        (100.0, 8, 3, 2),
        (105.0, 6, 4, 2),
        (100.0, 8, 5, 3),
        (100.0, 8, 6, 3),
        (100.0, 7, 7, 3),
        (None, 8, 1, 5),
        (None, 8, 2, 5),
        (None, 8, 3, 5),
    ]
    counts = found.counts
    assert (counts.read, counts.kept, counts.blank, found.counts_as) == (4, 3, 1, "row")


def test_a_double_drop_is_one_set_of_three_segments(tmp_path: Path) -> None:
    # 50x10 + 25x9 + 12.5x8 = 825 kg (computed); each segment half the load before:
    # common practice, no published source
    found = tidy(
        tmp_path,
        "Date,Lift,Sets\n2024-01-02,cable raise,50x10 > 25x9 > 12.5x8\n",
        a_map("exercises"),
    )
    sets = found.sets
    assert sets["set_no"].to_list() == [1, 1, 1]
    assert sets["segment_no"].to_list() == [1, 2, 3]
    assert sets["cluster_id"].unique().to_list() == ["ida|2024-01-02|cable_raise|1"]
    assert (sets["load_kg"] * sets["reps"]).sum() == 825.0


def test_what_is_not_wholly_understood_is_set_aside_whole(tmp_path: Path) -> None:
    found = tidy(
        tmp_path,
        'Date,Lift,Sets\n2024-01-02,bench press,"3x8@100, hmm 7"\n2024-01-02,bench press,\n'
        "2024-01-02,,3x8@100\n2024-01-02,bench press,1x9@900\n",
        a_map("exercises"),
    )
    assert found.sets.is_empty()
    assert reasons(found) == [
        (2, "sets not understood"),
        (3, "no sets"),
        (4, "no exercise"),
        (5, "weight out of range"),
    ]
    detail = found.set_aside["detail"][0]
    assert detail.startswith("Sets '3x8@100, hmm 7' from character 10: 'hmm'")
    assert found.set_aside["as_written"][0] == (
        "Date: 2024-01-02 | Lift: bench press | Sets: 3x8@100, hmm 7"
    )
    assert is_balanced(found)


def test_one_bad_set_takes_its_record_with_it(tmp_path: Path) -> None:
    found = tidy(
        tmp_path,
        'Date,Lift,Sets\n2024-01-02,bench press,"3x8@100, 1x8@900"\n',
        a_map("exercises"),
    )
    assert found.sets.is_empty()
    assert (found.counts.set_aside, found.counts.kept) == (1, 0)


def test_the_row_says_what_the_text_does_not(tmp_path: Path) -> None:
    one = a_map("exercises", more={"load": "Load", "rir": "RIR", "note": "Note"})
    found = tidy(
        tmp_path,
        "Date,Lift,Sets,Load,RIR,Note\n2024-01-02,bench press,3x8,100,2,ok\n"
        "2024-01-02,bench press,1x8@90 RIR 1,100,2,\n",
        one,
    )
    assert found.sets.select("load_kg", "rir", "note").rows() == [
        *[(100.0, 2.0, "ok")] * 3,
        (90.0, 1.0, None),
    ]


def test_the_notation_is_the_maps(tmp_path: Path) -> None:
    one = a_map("exercises", notation_order="load x reps x sets", decimal=",")
    found = tidy(tmp_path, 'Date,Lift,Sets\n2024-01-02,bench press,"72,5x6x4"\n', one)
    assert found.sets.select("load_kg", "reps").rows() == [(72.5, 6)] * 4


WIDE = "Date;Bench press;Note;Bench press;Curls\n"


def test_a_wide_table_counts_cells(tmp_path: Path) -> None:
    one = a_map(
        "wide",
        date_order="dmy",
        decimal=",",
        skip_columns=("Note",),
        unit="lb",
        unit_changes=((date(2024, 1, 1), "kg"),),
    )
    found = tidy(
        tmp_path,
        WIDE + "31.12.2023;3x8@100;hi;;-\n1.1.2024;3x8@100;;1x5@110;2x10@12,5\n2.1.2024;;rest;;\n"
        "31.2.2024;3x8@100;;;\n3.1.2024;a;;;\n",
        one,
    )
    counts = found.counts
    assert (counts.read, counts.kept, counts.set_aside, counts.blank) == (15, 4, 2, 9)
    assert is_balanced(found)
    assert found.counts_as == "cell"
    assert found.sets.group_by(
        "row_no", "exercise_as_written", maintain_order=True
    ).len().rows() == [
        (2, "Bench press", 3),
        (3, "Bench press", 3),
        (3, "Bench press (2)", 1),
        (3, "Curls", 2),
    ]
    assert found.sets.filter(exercise_id="bench_press").height == 7
    assert found.sets["load_kg"][0] == pytest.approx(45.359237)
    assert found.sets["load_kg"][3] == 100.0
    assert reasons(found) == [(5, "impossible date"), (6, "sets not understood")]
    assert found.set_aside["as_written"].to_list() == [
        "31.2.2024 | Bench press: 3x8@100",
        "3.1.2024 | Bench press: a",
    ]


def test_a_wide_table_needs_an_exercise(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"log.csv line 1: no column is an exercise"):
        tidy(tmp_path, "Date,Note\n2024-01-02,x\n", a_map("wide", skip_columns=("Note",)))
