"""Corrections: applied where the expected text stands, loudly not applied elsewhere."""

import json
from importlib import resources
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from pipeline.core.errors import SettingsError
from pipeline.tidy.corrections import (
    Correction,
    apply_corrections,
    read_corrections,
    unused_corrections,
)
from tests.unit.reading import raw_file

TEXT = "Date,Lift,Load,Reps\n2024-01-02,bench press,1000,8\n2024-01-02,bench press,,8\n"
FIX = Correction("log.csv", 2, "Load", "1000", "100", "one zero too many")


def test_the_schema_is_a_schema() -> None:
    text = resources.files("pipeline.tidy").joinpath("schemas/corrections.schema.json")
    Draft202012Validator.check_schema(json.loads(text.read_text("utf-8")))


def test_reads_corrections(tmp_path: Path) -> None:
    path = tmp_path / "corrections.toml"
    assert read_corrections(path) == ()
    path.write_text(
        '# why not\n[[correction]]\nfile = "log.csv"\nrow = 2\ncolumn = "Load"\n'
        'expect = "1000"\nvalue = "100"\nwhy = "one zero too many"\n'
    )
    assert read_corrections(path) == (FIX,)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (("row = 2", "line = 2"), "unknown key correction[1].line: did you mean"),
        (('expect = "1000"', "expect = 1000"), "correction[1].expect = 1000: the text that stands"),
        (("row = 2", "row = 0"), "correction[1].row = 0: line of the row in the file"),
        (('why = "zero"\n', ""), "correction[1].why is missing: add it"),
    ],
)
def test_faults(tmp_path: Path, change: tuple[str, str], told: str) -> None:
    path = tmp_path / "corrections.toml"
    text = (
        '[[correction]]\nfile = "log.csv"\nrow = 2\ncolumn = "Load"\n'
        'expect = "1000"\nvalue = "100"\nwhy = "zero"\n'
    )
    path.write_text(text.replace(*change))
    with pytest.raises(SettingsError) as error:
        read_corrections(path)
    assert told in str(error.value)


def test_applied_where_the_expected_text_stands(tmp_path: Path) -> None:
    raw = raw_file(tmp_path, TEXT)
    fill = Correction("ida/log.csv", 3, "Load", "", "80", "forgotten")
    fixed = apply_corrections(raw, [FIX, fill])
    assert fixed.frame["Load"].to_list() == ["100", "80"]
    assert fixed.warnings == ()
    assert raw.frame["Load"].to_list() == ["1000", None]


@pytest.mark.parametrize(
    ("one", "told"),
    [
        (Correction("log.csv", 2, "Load", "10000", "100", "w"), "holds '1000', not '10000'"),
        (Correction("log.csv", 9, "Load", "1000", "100", "w"), "no row starts there"),
        (Correction("log.csv", 2, "Weight", "1000", "100", "w"), "no such column"),
        (Correction("log.csv", 2, "row_no", "2", "3", "w"), "no such column"),
    ],
)
def test_loudly_not_applied_elsewhere(tmp_path: Path, one: Correction, told: str) -> None:
    raw = raw_file(tmp_path, TEXT)
    fixed = apply_corrections(raw, [one])
    assert fixed.frame.equals(raw.frame)
    (warning,) = fixed.warnings
    assert told in warning
    assert "NOT applied" in warning
    assert f"ida/log.csv line {one.row}" in warning


def test_other_files_and_lifters_are_left_alone(tmp_path: Path) -> None:
    raw = raw_file(tmp_path, TEXT)
    others = [
        Correction("ola/log.csv", 2, "Load", "1000", "100", "w"),
        Correction("log2.csv", 2, "Load", "1000", "100", "w"),
    ]
    assert apply_corrections(raw, others) == raw
    assert unused_corrections([FIX, *others], [raw.file]) == [
        "corrections.toml: ola/log.csv: no such file in the inbox; NOT applied: correct its path",
        "corrections.toml: log2.csv: no such file in the inbox; NOT applied: correct its path",
    ]
