"""Marks of direction are read as if absent; signs of an empty cell say nothing."""

from pathlib import Path

import pytest

from pipeline.core.written import DIRECTION_MARKS, NOTHING, without_marks
from pipeline.sources.draft_cells import make_column
from tests.unit.reading import a_map, is_balanced, reasons, tidy


@pytest.mark.parametrize("mark", DIRECTION_MARKS)
def test_a_mark_of_direction_is_read_as_if_absent(tmp_path: Path, mark: str) -> None:
    table = f"Date,Lift,Load,Reps\n{mark}2024-01-02,{mark}bench press,{mark}60{mark},8{mark}\n"
    notes = f"{mark}2024-01-02\nbench press {mark}60x8\n"
    for text, one in ((table, a_map()), (notes, a_map("notes"))):
        found = tidy(tmp_path, text, one)
        assert found.sets.select("exercise_as_written", "load_kg", "reps").rows() == [
            ("bench press", 60.0, 8)
        ]
        assert is_balanced(found)
    column = make_column("Load", 0, [f"{mark}60", mark])
    assert (column.cells, column.numbers) == (("60",), (60.0,))
    assert without_marks(f"{mark}60{mark}") == "60"


@pytest.mark.parametrize("sign", NOTHING)
def test_a_sign_of_an_empty_cell_says_nothing(tmp_path: Path, sign: str) -> None:
    found = tidy(tmp_path, f"Date,Lift,Load,Reps\n2024-01-02,bench press,60,{sign}\n")
    assert reasons(found) == [(2, "no repetitions")]
    assert make_column("Load", 0, [sign, "60"]).cells == ("60",)


def test_a_unit_alone_is_no_load_and_the_message_says_what_is(tmp_path: Path) -> None:
    found = tidy(tmp_path, "Date,Lift,Load,Reps\n2024-01-02,pull-up,KG,8\n")
    assert reasons(found) == [(2, "weight not understood")]
    assert "bw for the body alone" in found.set_aside["detail"][0]
