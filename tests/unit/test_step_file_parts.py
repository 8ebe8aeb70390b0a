"""A file written part by part has the tables of one written whole."""

import json
from collections.abc import Callable
from functools import partial
from io import StringIO
from pathlib import Path

import pytest
from polars.testing import assert_frame_equal
from rich.console import Console

from pipeline.core.home import Home
from pipeline.flows import step_file
from pipeline.flows.inputs import Inputs, read_inputs
from pipeline.flows.progress import Progress
from pipeline.flows.step_file import load_file, make_file
from pipeline.sources.parts import can_be_split, read_parts
from tests.flows.homes import make_home
from tests.unit.reading import TODAY

TABLES = ("raw_row", "tidy_set", "tidy_signal", "set_aside", "tidy_correction", "tidy_name")
PART_BYTES = 4000


def tables_of(inputs: Inputs, folder: Path, path: str) -> dict[str, object]:
    """Every table of one file of the inbox and what is told of it."""
    file, one = next(pair for pair in inputs.files if pair[0].path == path)
    folder.mkdir()
    make_file(inputs, file, one, TODAY)(folder)
    found = load_file(file, folder)
    assert sorted(each.name for each in folder.iterdir()) == sorted(
        ["meta.json", *(f"{table}.parquet" for table in TABLES)]
    )
    meta = json.loads((folder / "meta.json").read_text("utf-8"))
    return {"meta": meta, **{table: found.frame(table) for table in TABLES}}


def copy_first_day(text: str) -> str:
    """The first row's day once more, at the end of the file."""
    return text + text.splitlines()[2] + "\n"


@pytest.mark.parametrize("change", [str, copy_first_day], ids=["in order", "a day told again"])
def test_tables_are_those_of_the_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, change: Callable[[str], str]
) -> None:
    home = Home(make_home(tmp_path / "home", "sets"))
    log = next(home.inbox.rglob("sets 2019.csv"))
    log.write_text(change(log.read_text("utf-8")), "utf-8")
    inputs = read_inputs(home, Progress(Console(file=StringIO()), 1), TODAY)
    whole = tables_of(inputs, tmp_path / "whole", "sets/sets 2019.csv")
    asked: list[int] = []

    def read(file: object, one: object) -> object:
        for raw in read_parts(file, one, PART_BYTES):  # type: ignore[arg-type]
            asked.append(raw.frame.height)
            yield raw

    monkeypatch.setattr(step_file, "can_be_split", partial(can_be_split, part_bytes=PART_BYTES))
    monkeypatch.setattr(step_file, "read_parts", read)
    parts = tables_of(inputs, tmp_path / "parts", "sets/sets 2019.csv")
    assert len(asked) > 2
    assert parts["meta"] == whole["meta"]
    for table in TABLES:
        assert_frame_equal(parts[table], whole[table])  # type: ignore[arg-type]
