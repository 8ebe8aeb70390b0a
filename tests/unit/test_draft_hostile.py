"""Looking at files that nobody keeps on purpose: at once, in one plain line."""

import json
import os
import time

import pytest

from pipeline.cli.inspect import inspect_file
from pipeline.core.errors import InputError
from pipeline.sources.draft import draft_map
from pipeline.sources.maps import read_map
from tests.unit.drafting import sets_table, small_readers


def test_a_line_break_in_a_file_name_stays_in_its_comment(tmp_path):
    source = tmp_path / "two\nlines.csv"
    source.write_text(sets_table(), "utf-8")
    drafted = draft_map(source, small_readers(), {})
    written = tmp_path / "drafted.toml"
    written.write_text(drafted.toml, "utf-8")
    assert read_map(written).globs == ("two\nlines.csv",)


def test_an_endless_cell_is_not_compared_with_names(tmp_path):
    source = tmp_path / "log.csv"
    head, first, rest = sets_table().split("\n", 2)
    cells = first.split(",")
    cells[1] = "x" * 2_000_000
    source.write_text("\n".join((head, ",".join(cells), rest)), "utf-8")
    began = time.monotonic()
    draft_map(source, small_readers(), {})
    assert time.monotonic() - began < 10.0


def test_thousands_of_columns_are_refused(tmp_path):
    source = tmp_path / "wide.csv"
    labels = ["date", "exercise", *(f"c{i}" for i in range(3000))]
    rows = [",".join(["2024-01-01", "row", *["1"] * 3000])] * 3
    source.write_text("\n".join((",".join(labels), *rows)), "utf-8")
    with pytest.raises(InputError, match="3002 columns, 2000 at most"):
        draft_map(source, small_readers(), {})


@pytest.mark.parametrize(
    "make", [lambda path: path.symlink_to(path.name), os.mkfifo, lambda path: path.symlink_to("no")]
)
def test_links_to_nowhere_and_pipes_are_refused_at_once(tmp_path, make):
    path = tmp_path / "log.csv"
    make(path)
    with pytest.raises(InputError, match="a link that leads nowhere, or a pipe"):
        inspect_file(path, None, [])


def test_a_cell_is_shown_as_it_is_written_whatever_its_brackets(tmp_path, capsys):
    source = tmp_path / "log.csv"
    source.write_text("Date,Exercise,Sets\n2024-01-01,Back squat,60x8 [/b]\n" * 2, "utf-8")
    assert inspect_file(source, None, []) == 0
    assert "60x8 [/b]" in capsys.readouterr().out


def test_a_name_that_is_no_text_is_written_out(tmp_path):
    source = tmp_path / os.fsdecode(b"caf\xe9.csv")
    source.write_text(sets_table(), "utf-8")
    written = tmp_path / "drafted.toml"
    written.write_text(draft_map(source, small_readers(), {}).toml, "utf-8")
    assert read_map(written).globs == ("caf\\xe9.csv",)


def test_half_a_character_costs_no_more_than_itself(tmp_path):
    source = tmp_path / "log.json"
    sets = [{"date": "2024-01-01", "exercise": "Squat \ud83d", "weight": 60, "reps": 8}] * 2
    source.write_text(json.dumps(sets), "ascii")
    drafted = draft_map(source, small_readers(), {})
    assert drafted.first_sets["exercise_as_written"].to_list() == ["Squat \\ud83d"] * 2


def test_nothing_but_labels_is_said_so(tmp_path):
    source = tmp_path / "log.csv"
    source.write_text("Date,Exercise,Weight,Reps\n", "utf-8")
    with pytest.raises(InputError, match="nothing below its labels"):
        draft_map(source, small_readers(), {})
