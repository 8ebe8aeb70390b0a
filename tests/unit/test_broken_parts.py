"""One broken map or journal stops what it concerns and nothing else, with one line."""

from dataclasses import replace
from datetime import date
from io import StringIO
from pathlib import Path

import polars as pl
import pytest
from rich.console import Console

from pipeline.core.dictionary import conform
from pipeline.core.errors import NothingReadError
from pipeline.core.home import WAREHOUSE, Home
from pipeline.core.settings import default_settings
from pipeline.flows.began import first_days
from pipeline.flows.inputs import Inputs, read_inputs
from pipeline.flows.progress import Progress
from pipeline.flows.report import refuse_nothing
from pipeline.flows.step_file import FileResult, unread_file
from pipeline.sources.broken_map import BROKEN, broken_map
from pipeline.sources.snapshot import list_inbox
from pipeline.store.warehouse import build_warehouse
from tests.flows.homes import make_home
from tests.unit.store_records import one_lifter
from tests.unit.test_tidy_doubt_dates import DAYS, record

TODAY = date(2026, 11, 25)
REED = '\n[lifter.reed]\nname = "Reed"\ntraining_began = 2019-01-01\n'
BROKEN_JOURNAL = '[[event]]\nkind = "layof"\nstart = 2020-01-01\n'


@pytest.fixture
def home(tmp_path: Path) -> Home:
    root = make_home(tmp_path / "home", "sets", "nights")
    settings = root / "settings.toml"
    settings.write_text(settings.read_text("utf-8") + REED, "utf-8")
    (root / "inbox" / "reed").mkdir()
    (root / "journal").mkdir(exist_ok=True)
    return Home(root)


def read(home: Home) -> tuple[Inputs, list[str]]:
    progress = Progress(Console(file=StringIO()), 1)
    return read_inputs(home, progress, TODAY), progress.warnings


def test_a_broken_map_stops_its_own_files(home: Home) -> None:
    before, _ = read(home)
    (home.inbox / "hazel" / "odd.csv").write_text("a,b\n1,2\n", "utf-8")
    # without its broken map the file would fall to one for every file
    wide = next(home.maps.glob("*.toml")).read_text("utf-8")
    globs = wide[wide.index("globs") : wide.index("]", wide.index("globs")) + 1]
    (home.maps / "every.toml").write_text(wide.replace(globs, 'globs = ["*"]'), "utf-8")
    (home.maps / "odd.toml").write_text('schema = 1\n[match]\nglobs = ["odd.csv"]\n[table\n')
    after, warnings = read(home)
    assert [file.path for file in after.unmapped] == ["odd.csv"]
    assert len(after.files) == len(before.files)
    (line,) = [one for one in warnings if "odd.toml" in one]
    assert "not valid TOML" in line
    assert "its files are not read" in line
    assert list(after.why_unmapped.values()) == ["maps/odd.toml cannot be used: mend it"]


def test_a_file_that_two_maps_match_says_so(home: Home) -> None:
    (home.inbox / "hazel" / "odd.csv").write_text("a,b\n1,2\n", "utf-8")
    wide = next(home.maps.glob("*.toml")).read_text("utf-8")
    globs = wide[wide.index("globs") : wide.index("]", wide.index("globs")) + 1]
    for name in ("one", "two"):
        text = wide.replace(globs, 'globs = ["odd.csv"]')
        (home.maps / f"{name}.toml").write_text(text, "utf-8")
    after, warnings = read(home)
    (why,) = after.why_unmapped.values()
    assert "maps one, two match it equally" in why
    assert why in warnings


def test_a_broken_map_says_what_it_meant(tmp_path: Path) -> None:
    path = tmp_path / "odd.toml"
    path.write_text(
        '[match]\nglobs = [\n  "a/*.csv",\n  \'b.txt\',\n]\nlifters = ["ida"]\nkind = oops\n'
    )
    found = broken_map(path)
    assert (found.kind, found.globs, found.lifters) == (BROKEN, ("a/*.csv", "b.txt"), ("ida",))


def test_a_broken_journal_leaves_out_its_lifter_alone(home: Home) -> None:
    (home.journal / "reed.toml").write_text(BROKEN_JOURNAL, "utf-8")
    inputs, warnings = read(home)
    assert list(inputs.journals) == ["hazel"]
    (line,) = [one for one in warnings if "journal/reed.toml" in one]
    assert "did you mean layoff" in line
    assert "reed is left out" in line


def test_the_last_journal_stands_in_for_a_broken_one(home: Home) -> None:
    told = '[[event]]\nkind = "layoff"\nstart = 2020-01-01\n'
    (home.journal / "hazel.toml").write_text(told, "utf-8")
    good = read(home)[0].journals["hazel"]
    found = good.with_columns(kind=pl.lit("deload"), evidence=pl.lit("rule"))
    run = home.published / "one"
    run.mkdir(parents=True)
    sets = record(DAYS[:1]).with_columns(
        *(pl.lit("x").alias(name) for name in ("session_id", "exercise_id", "exercise_as_written")),
        *(pl.lit(1).alias(name) for name in ("exercise_order", "set_no", "segment_no")),
        *(pl.lit(False).alias(name) for name in ("is_warmup", "is_doubted")),
        lifter_id=pl.lit("hazel"),
        load_basis=pl.lit("total"),
        rir_source=pl.lit("none"),
    )
    frames = {"tidy_event": pl.concat([good, found]), "tidy_set": sets}
    frames["ref_lifter"] = one_lifter("hazel")
    build_warehouse(run / WAREHOUSE, frames, default_settings())
    home.current.symlink_to(run)
    (home.journal / "hazel.toml").write_text(BROKEN_JOURNAL, "utf-8")
    inputs, warnings = read(home)
    assert inputs.journals["hazel"].equals(good)
    assert "the journal of the last refresh is used" in warnings[0]


def test_a_choice_between_copies_names_files_of_the_inbox(home: Home) -> None:
    files = [file for file in list_inbox(home) if file.path.startswith("sets/")]
    one, other = (file.path for file in files)
    text = '[[copies]]\nfiles = ["{}", "{}"]\nkeep = "{}"\nwhy = "tidier"\n'
    home.corrections.write_text(text.format(one, other, other), "utf-8")
    inputs, warnings = read(home)
    assert inputs.copies == {frozenset(f.file_id for f in files): files[1].file_id}
    assert warnings == []
    home.corrections.write_text(text.format(one, "gone.csv", one), "utf-8")
    inputs, warnings = read(home)
    assert inputs.copies == {}
    assert warnings[0].startswith("corrections.toml: copies of gone.csv: no such file")


def test_an_empty_inbox_leaves_published_pages_alone(home: Home) -> None:
    unread: list[FileResult] = [unread_file(file, "no map") for file in list_inbox(home)]
    refuse_nothing(home, [])  # the first run has no pages to lose
    (home.published / "one").mkdir(parents=True)
    home.current.symlink_to(home.published / "one")
    for files in ([], unread):
        with pytest.raises(NothingReadError, match="the last pages stand"):
            refuse_nothing(home, files)


@pytest.mark.parametrize("is_confirmed", [False, True])
def test_training_age_begins_on_a_stray_day_only_when_it_is_confirmed(
    home: Home, tmp_path: Path, is_confirmed: bool
) -> None:
    (file, *_) = list_inbox(home)
    record([date(2002, 1, 5), *DAYS]).write_parquet(tmp_path / "tidy_set.parquet")
    said = {"file_id": "a", "row_no": 2, "column": "Date", "expect": "5.1.02", "why": "it was"}
    row = {**said, "value": "5.1.02" if is_confirmed else "5.1.22"}
    rows = conform("tidy_correction", pl.DataFrame([row]))
    rows.write_parquet(tmp_path / "tidy_correction.parquet")
    one = replace(unread_file(file, ""), is_read=True, folder=tmp_path)
    first, warnings = first_days([one])
    assert first == {file.lifter_id: date(2002, 1, 5) if is_confirmed else DAYS[0]}
    assert [("5 Jan 2002 stand alone" in line) for line in warnings] == [True] * (not is_confirmed)


def test_a_label_in_a_journal_is_answered_with_its_id(home: Home) -> None:
    label = BROKEN_JOURNAL.replace("layof", "priority") + 'subject = ["side delts"]\n'
    (home.journal / "reed.toml").write_text(label, "utf-8")
    (line,) = [one for one in read(home)[1] if "journal/reed.toml" in one]
    assert 'event[1].subject = "side delts"' in line
    assert "did you mean side_delts?" in line
