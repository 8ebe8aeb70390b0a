"""The README's small folder is accepted as it stands, and its links lead somewhere."""

import re
from datetime import date
from pathlib import Path

import polars as pl
import pytest

from pipeline import read_logbook
from pipeline.core.settings import read_settings
from pipeline.sources.maps import read_map
from pipeline.tidy.journal import read_journal

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text("utf-8")


def _block(language: str, first: str) -> str:
    """The fenced block of that language whose text begins with ``first``."""
    blocks = re.findall(rf"```{language}\n(.*?)```", README, flags=re.DOTALL)
    return next(block for block in blocks if block.startswith(first))


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "settings.toml").write_text(_block("toml", "# settings.toml"), "utf-8")
    (tmp_path / "log.toml").write_text(_block("toml", "# maps/log.toml"), "utf-8")
    (tmp_path / "alex.toml").write_text(_block("toml", "# journal/alex.toml"), "utf-8")
    (tmp_path / "log.csv").write_text(_block("csv", "Day,Lift"), "utf-8")
    return tmp_path


def test_the_small_folder_is_accepted(folder):
    assert read_settings(folder / "settings.toml").lifter("alex").training_began.year == 2014
    assert read_map(folder / "log.toml").kind == "exercises"
    journal = read_journal(folder / "alex.toml", "alex")
    assert journal.select("kind", "start", "subject").row(0) == (
        "priority",
        date(2024, 3, 4),
        "calves",
    )


def test_its_log_is_read_as_it_says(folder):
    sets = read_logbook(folder / "log.csv", folder / "log.toml")
    bench = sets.filter(pl.col("exercise_id") == "bench_press")
    assert bench.select("reps", "load_kg").rows() == [(8, 100.0)] * 3 + [(6, 105.0)]
    raises = sets.filter(pl.col("exercise_id") == "cable_lateral_raise")
    assert raises["segment_no"].to_list() == [1, 2, 3]
    assert (raises["load_kg"] * raises["reps"]).sum() == 825


def test_the_first_paragraph_names_the_job_and_the_first_screen_what_is_modelled():
    top = README[: README.index("## Two commands")].lower()
    for word in ("priority", "recovery", "injury", "training age", "slopes", "deload", "night"):
        assert word in top


@pytest.mark.parametrize("target", re.findall(r"\]\(([^)#]+)\)", README))
def test_every_link_leads_to_a_file(target):
    assert (ROOT / target).exists()
