"""Cells of megabytes: set aside at once with their length, never matched letter by letter."""

import time

import pytest

from tests.unit.reading import a_map, is_balanced, reasons, tidy

LONG = "x" * 1_000_000


@pytest.mark.parametrize(
    ("kind", "text"),
    [
        ("sets", f"Date,Lift,Load,Reps\n2024-01-01,{LONG},60,8\n2024-01-02,bp,60,8\n"),
        ("sets", f"Date,Lift,Load,Reps\n2024-01-01,bp,{LONG},8\n2024-01-02,bp,60,8\n"),
        ("sets", f"Date,Lift,Load,Reps\n{LONG},bp,60,8\n2024-01-02,bp,60,8\n"),
        ("exercises", f"Date,Lift,Sets\n2024-01-01,bp,{LONG}\n2024-01-02,bp,3x8@60\n"),
        ("wide", f"Date,bp\n2024-01-01,{LONG}\n2024-01-02,3x8@60\n"),
        ("wide", f"Date,bp,{LONG}\n2024-01-01,3x8@60,3x8@60\n"),
    ],
)
def test_a_cell_beyond_all_measure_is_set_aside_at_once(tmp_path, kind, text):
    began = time.monotonic()
    found = tidy(tmp_path, text, a_map(kind))
    assert time.monotonic() - began < 2.0
    assert [reason for _, reason in reasons(found)] == ["cell too long"]
    assert len(found.set_aside["detail"][0]) < 300
    assert found.counts.kept == 1
    assert is_balanced(found)


def test_a_long_note_keeps_its_set_and_is_cut(tmp_path):
    text = f"Date,Lift,Load,Reps,Note\n2024-01-01,bp,60,8,{LONG}\n"
    found = tidy(tmp_path, text, a_map("sets", more={"note": "Note"}))
    assert found.counts.kept == 1
    assert found.sets["note"].str.len_chars().to_list() == [2000]
