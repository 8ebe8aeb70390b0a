"""Map drafting: the layouts of the demo and small invented files give the right maps."""

from datetime import date
from fnmatch import fnmatch
from pathlib import Path

import pytest

from pipeline.sources.draft import draft_map
from pipeline.sources.draft_records import Readers
from pipeline.sources.maps import read_map
from tests.unit.drafting import (
    days,
    draft,
    european_table,
    read_text,
    sets_table,
    shipped_readers,
    shorthand_table,
    small_readers,
    wearable_table,
    wide_table,
    write,
)


@pytest.fixture(scope="module")
def readers() -> Readers:
    """Readers that know a handful of exercises."""
    return small_readers()


@pytest.fixture(scope="module")
def shipped() -> Readers:
    """Readers that know the shipped exercises."""
    return shipped_readers()


def test_one_row_a_set(tmp_path, readers):
    drafted, one = draft(write(tmp_path, sets_table()), readers)
    assert drafted.questions == ()
    assert (one.kind, one.separator, one.decimal, one.unit) == ("sets", ",", ".", "kg")
    assert one.columns == {
        "date": "Date",
        "exercise": "Exercise",
        "set_no": "Set",
        "load": "Weight (kg)",
        "reps": "Reps",
        "rir": "RIR",
        "to_failure": "To failure",
        "drop_of": "Drop of",
        "note": "Remarks",
    }
    assert one.date_order == "ymd"
    assert "the label says so" in " ".join(drafted.evidence)
    first = drafted.first_sets.row(0, named=True)
    assert (first["exercise_id"], first["load_kg"], first["reps"]) == ("back_squat", 100.0, 8)


def test_one_row_an_exercise_in_shorthand(tmp_path, readers):
    drafted, one = draft(write(tmp_path, shorthand_table()), readers)
    assert drafted.questions == ()
    assert (one.kind, one.unit, one.decimal) == ("exercises", "kg", ".")
    assert one.columns == {"date": "Date", "exercise": "Lift", "sets": "What was done"}
    assert one.notation_order == "sets x reps @ load; load x reps"
    assert "plate arithmetic kilograms" in " ".join(drafted.evidence)
    assert drafted.first_sets.height == 20


def test_a_european_file_with_a_change_of_unit(tmp_path, readers):
    drafted, one = draft(write(tmp_path, european_table(), encoding="cp1252"), readers)
    assert drafted.questions == ()
    assert (one.kind, one.separator, one.decimal) == ("sets", ";", ",")
    assert (one.date_order, one.encoding) == ("dmy", "cp1252")
    assert (one.unit, one.unit_changes) == ("lb", ((date(2024, 2, 20), "kg"),))
    assert one.columns["exercise"] == "Übung"
    told = " ".join(drafted.evidence)
    assert "a number above 12, such as day" in told
    assert "in position 1" in told
    assert "1 kg is 2.20 lb" in told
    assert set(drafted.first_sets["unit_as_written"]) == {"lb"}


def test_a_folder_of_yearly_wide_files(tmp_path, readers):
    folder = tmp_path / "inbox" / "ada" / "years"
    folder.mkdir(parents=True)
    write(folder, wide_table(2019).replace("Remarks", "Comment"), "training_2019.csv")
    drafted, one = draft(write(folder, wide_table(2020), "training_2020.csv"), readers)
    assert drafted.questions == ()
    assert (one.kind, one.date_order, one.year_from) == ("wide", "dmy", "file name")
    assert one.globs == ("years/training_*.csv",)
    assert one.skip_columns == ("Body weight", "Remarks", "Comment")
    assert one.notation_order == "load x reps"
    assert [line.match.exercise_id for line in drafted.names] == ["bench_press", "back_squat"]
    assert drafted.first_sets["session_date"].min() == date(2020, 1, 4)


def test_a_nightly_wearable_table(tmp_path, readers):
    drafted, one = draft(write(tmp_path, wearable_table()), readers)
    assert drafted.questions == ()
    assert (one.kind, one.decimal, one.date_order) == ("signals", ",", "dmy")
    assert {c.label: (c.signal, c.unit) for c in one.signals} == {
        "Sleep": ("sleep_min", "h:mm"),
        "Resting HR": ("resting_hr_bpm", "bpm"),
        "HRV (RMSSD) [ms]": ("hrv_rmssd_ms", "ms"),
        "Steps": ("steps", "steps"),
        "Body weight (kg)": ("body_weight_kg", "kg"),
    }
    assert one.columns == {"date": "Date", "device": "Device"}
    assert "not read: 'Moon'" in " ".join(drafted.evidence)
    assert drafted.first_signals.height == 20


def test_a_header_further_down_and_odd_separators(tmp_path, readers):
    text = "My log\nkept since 2015\n\n" + sets_table().replace(",", "|")
    _, one = draft(write(tmp_path, text), readers)
    assert (one.header_row, one.separator) == (4, "|")


def test_unmarked_warm_ups_are_told_apart_by_rule(tmp_path, readers):
    rows = ["Date,Exercise,Weight (kg),Reps"]
    for day in days(10):
        rows += [f"{day},Back squat,{load},5" for load in (40, 60, 80, 100, 100, 100)]
    drafted, one = draft(write(tmp_path, "\n".join(rows)), readers)
    assert one.warmups == "by rule"
    assert "On 10 of 10 occasions" in " ".join(drafted.evidence)
    assert drafted.first_sets["is_warmup"].head(3).to_list() == [True, True, False]


def test_unmatched_names_are_listed_with_the_nearest(tmp_path, readers):
    text = sets_table().replace("Lateral raise", "Zercher carry")
    drafted, _ = draft(write(tmp_path, text), readers)
    unmatched = [line for line in drafted.names if line.match.exercise_id is None]
    assert [(line.written, line.count) for line in unmatched] == [("Zercher carry", 24)]
    assert "'Zercher carry' (24 times) is unmatched; nearest:" in " ".join(drafted.evidence)


FIXTURES = Path(__file__).parents[2] / "fixtures"
LAYOUTS = sorted(
    path
    for name in ("sets", "exercises", "european", "wide", "nights")
    for path in (FIXTURES / name / "inbox").rglob("*.csv")
)


def test_there_are_demo_layouts_to_draft_for():
    assert len(LAYOUTS) >= 8


@pytest.mark.parametrize("path", LAYOUTS, ids=lambda path: path.name)
def test_the_drafts_for_the_demo_layouts_equal_the_maps_written_by_hand(path, shipped):
    folder = next(folder for folder in path.parents if (folder / "maps").is_dir())
    inside = str(path.relative_to(folder / "inbox").parts[0])
    shown = path.relative_to(folder / "inbox" / inside).as_posix()
    hand = next(
        one
        for one in map(read_map, (folder / "maps").glob("*.toml"))
        if any(fnmatch(shown, glob) for glob in one.globs)
    )
    drafted = draft_map(path, shipped)
    assert drafted.questions == ()
    one = read_text(drafted.toml)
    assert any(fnmatch(shown, glob) for glob in one.globs)
    for name in MEANT:
        assert getattr(one, name) == getattr(hand, name), name
    assert (one.notation_order or DEFAULT) == (hand.notation_order or DEFAULT)


MEANT = ("kind", "columns", "decimal", "header_row", "skip_columns", "warmups", "signals")
MEANT += ("date_order", "year_from", "unit", "unit_changes", "load_basis")
DEFAULT = "sets x reps @ load; load x reps"
