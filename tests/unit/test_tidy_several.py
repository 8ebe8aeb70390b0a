"""Rows that stand for several sets."""

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from tests.unit.drafting import days, draft, small_readers, write
from tests.unit.reading import a_map, is_balanced, reasons, tidy

ROW = "Date,Lift,Load,Reps,Sets\n"
COUNTED = a_map(more={"n_sets": "Sets"})


@pytest.mark.parametrize(
    ("cells", "reps"),
    [
        ("60,8,3", [8, 8, 8]),
        ("60,8,", [8]),
        ('60,"8, 8, 7",', [8, 8, 7]),
        ("60,8/8/7,3", [8, 8, 7]),
        ("60,10-8-6,", [10, 8, 6]),
        ("60,10 - 8 - 6,3", [10, 8, 6]),
        ("60,8-7,", [8, 7]),
        ("60,8-8,2", [8, 8]),
    ],
)
def test_one_row_gives_its_sets(tmp_path: Path, cells: str, reps: list[int]) -> None:
    found = tidy(tmp_path, f"{ROW}2024-01-02,bench press,{cells}\n", COUNTED)
    assert found.sets["reps"].to_list() == reps
    assert found.sets["load_kg"].to_list() == [60.0] * len(reps)
    assert found.sets["set_no"].to_list() == list(range(1, len(reps) + 1))
    assert (found.counts.read, found.counts.kept) == (1, 1)


def test_a_plan_is_no_series(tmp_path: Path) -> None:
    found = tidy(tmp_path, f"{ROW}2024-01-02,bench press,60,8-10,2\n", COUNTED)
    assert found.sets["reps_target"].to_list() == ["8-10", "8-10"]


def test_what_disagrees_is_set_aside_once(tmp_path: Path) -> None:
    text = ROW + '2024-01-02,bench press,60,"8, 8, 7",4\n2024-01-02,bench press,60,8,many\n'
    found = tidy(tmp_path, text, COUNTED)
    assert found.sets.is_empty()
    assert reasons(found) == [
        (2, "sets and repetitions disagree"),
        (3, "set number not understood"),
    ]
    assert "'8, 8, 7' has 3 numbers" in found.set_aside["detail"][0]
    assert is_balanced(found)


def test_a_count_of_sets_is_drafted_and_a_number_of_the_set_is_not_taken_for_it(
    tmp_path: Path,
) -> None:
    lifts = ("Back squat", "Bench press")
    rows = [f"{d},{x},3,8,{60 + 2.5 * i}" for i, d in enumerate(days(12)) for x in lifts]
    path = write(tmp_path, "Date,Exercise,Sets,Reps,Weight\n" + "\n".join(rows) + "\n")
    drafted, one = draft(path, small_readers())
    assert one.columns["n_sets"] == "Sets"
    assert "'Sets' counts sets: each row stands for so many." in drafted.evidence
    assert (
        drafted.first_sets.filter(drafted.first_sets["session_date"] == date(2024, 1, 3)).height
        == 6
    )
    rows = [f"{d},{x},{n},8,60" for d in days(12) for x in lifts for n in (1, 2, 3)]
    path = write(tmp_path, "Date,Exercise,Sets,Reps,Weight\n" + "\n".join(rows) + "\n")
    _, one = draft(path, small_readers())
    assert one.columns["set_no"] == "Sets"
    assert "n_sets" not in one.columns


def test_columns_of_single_sets_and_of_parts_of_the_date_are_read_one_after_the_other(
    tmp_path: Path,
) -> None:
    head = "Year,Month,Day,Lift,Load,S1,S2,S3"
    text = f"{head}\n2024,1,2,bench press,60,8,,7\n2024,1,2,bench press,70,,,\n"
    columns = {"date": "Year", "exercise": "Lift", "load": "Load", "reps": "S1"}
    more = {"date": ("Month", "Day"), "reps": ("S2", "S3")}
    found = tidy(tmp_path, text, replace(a_map(), columns=columns, more=more))
    assert found.sets.select("session_date", "reps").rows() == [
        (date(2024, 1, 2), n) for n in (8, 7)
    ]
    assert reasons(found) == [(3, "no repetitions")]


@pytest.mark.parametrize(
    ("labels", "cells", "n_sets"),
    [
        ("Weight,Set 1,Set 2,Set 3", "{kg},8,8,7", 3),
        ("Weight,1,2,3", "{kg},8,7,", 2),
        ("1st set,2nd set", "{kg}x8,{kg}x6", 2),
    ],
)
def test_columns_of_single_sets_are_drafted(
    tmp_path: Path, labels: str, cells: str, n_sets: int
) -> None:
    rows = [f"{d},Back squat,{cells.format(kg=60 + 2.5 * i)}" for i, d in enumerate(days(12))]
    path = write(tmp_path, f"Date,Exercise,{labels}\n" + "\n".join(rows) + "\n")
    drafted, one = draft(path, small_readers())
    assert not drafted.questions
    assert sum(map(len, one.more.values())) == labels.removeprefix("Weight,").count(",")
    first = drafted.first_sets.filter(drafted.first_sets["session_date"] == date(2024, 1, 3))
    assert first["load_kg"].to_list() == [60.0] * n_sets


def test_one_warm_up_and_three_working_sets_are_counts(tmp_path: Path) -> None:
    """Numbers that differ within a day but do not count up are no numbers of sets."""
    rows = [
        f"{d},Back squat,1,10,40\n{d},Back squat,3,5,{80 + 2.5 * i}" for i, d in enumerate(days(12))
    ]
    path = write(tmp_path, "Date,Exercise,Sets,Reps,Weight\n" + "\n".join(rows) + "\n")
    _, one = draft(path, small_readers())
    assert one.columns["n_sets"] == "Sets"
    assert "set_no" not in one.columns
