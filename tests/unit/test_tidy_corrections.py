"""Corrections: applied where the expected text stands, loudly not applied elsewhere."""

import json
from dataclasses import replace
from importlib import resources
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from pipeline.core.errors import SettingsError
from pipeline.core.paste import correction_lines
from pipeline.core.source import NO_VALUE
from pipeline.tidy.corrections import (
    Correction,
    apply_corrections,
    confirmed_rows,
    correction_rows,
    read_corrections,
    unused_corrections,
)
from tests.unit.reading import raw_file

TEXT = "Date,Lift,Load,Reps\n2024-01-02,bench press,1000,8\n2024-01-02,bench press,,8\n"
DOUBT = {"column": "Load", "expect": "1000"}
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
        (("value =", "vale ="), "unknown key correction[1].vale: did you mean value?"),
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


def test_a_correction_without_a_value_is_told_and_not_applied(tmp_path: Path) -> None:
    path = tmp_path / "corrections.toml"
    path.write_text(
        correction_lines("log.csv", 2, {**DOUBT, "value": None}, "load mistyped", may_stand=True)
    )
    (open_one,) = read_corrections(path)
    raw = raw_file(tmp_path, TEXT)
    fixed = apply_corrections(raw, [open_one])
    assert fixed.frame.equals(raw.frame)
    (warning,) = fixed.warnings
    assert warning == (
        "corrections.toml: ida/log.csv line 2 column 'Load': no value; NOT applied: "
        "write value = the text that is meant; the text of expect confirms it"
    )
    told = correction_rows(raw, [open_one])
    assert told.select("value", "fault").row(0) == (None, NO_VALUE)
    assert confirmed_rows(told).is_empty()


def test_lines_of_a_row_set_aside_do_not_offer_to_confirm_it() -> None:
    doubt = {**DOUBT, "value": None}
    offered, mended = (
        correction_lines("log.csv", 2, doubt, "mistyped", may_stand=one) for one in (True, False)
    )
    assert "to confirm this" in offered
    assert "# write what is meant\n" in mended


def test_taking_the_mark_away_confirms_what_stands_there(tmp_path: Path) -> None:
    path = tmp_path / "corrections.toml"
    lines = correction_lines(
        "log.csv", 2, {**DOUBT, "value": None}, "load mistyped", may_stand=True
    )
    path.write_text(lines.replace("# value", "value"))
    told = correction_rows(raw_file(tmp_path, TEXT), read_corrections(path))
    assert confirmed_rows(told)["row_no"].to_list() == [2]


def test_a_correction_whose_source_changed_says_so_before_its_value_is_missed(
    tmp_path: Path,
) -> None:
    raw = raw_file(tmp_path, TEXT)
    (warning,) = apply_corrections(raw, [replace(FIX, expect="900", value=None)]).warnings
    assert "holds '1000', not '900'; NOT applied: renew or remove" in warning


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
