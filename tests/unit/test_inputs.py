"""What a refresh is made from: warnings about what its owner left open."""

import os
from datetime import date
from io import StringIO

from rich.console import Console

from pipeline.core.home import Home
from pipeline.flows.inputs import read_inputs
from pipeline.flows.progress import Progress
from tests.flows.homes import make_home

TODAY = date(2026, 11, 25)


def test_a_map_with_open_questions_is_told_of(tmp_path):
    home = make_home(tmp_path / "home", "sets")
    path = next((home / "maps").glob("*.toml"))
    quiet, loud = (Progress(Console(file=StringIO()), 1) for _ in range(2))
    read_inputs(Home(home), quiet, TODAY)
    assert quiet.warnings == []
    path.write_text(path.read_text("utf-8") + "\n# UNSURE: dates.order, dmy or mdy\n", "utf-8")
    read_inputs(Home(home), loud, TODAY)
    (line,) = loud.warnings
    assert path.name in line
    assert "lines marked # UNSURE: 1;" in line


def test_maps_that_are_no_files_cost_nothing_but_themselves(tmp_path):
    home = make_home(tmp_path / "home", "sets")
    (home / "maps" / "x.toml").mkdir()
    (home / "maps" / "y.toml").write_bytes(b"\xff\xfe\x00")
    os.mkfifo(home / "maps" / "z.toml")
    loud = Progress(Console(file=StringIO()), 1)
    inputs = read_inputs(Home(home), loud, TODAY)
    assert inputs.files
    assert {line.split()[0].rstrip(":") for line in loud.warnings} == {
        "maps/x.toml",
        "maps/y.toml",
        "maps/z.toml",
    }
