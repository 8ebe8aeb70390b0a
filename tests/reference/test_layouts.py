"""Four layouts and the measures, read by the real reader against counts from the career's arrays.

Bars: every set found, tonnage within 0.1 %, row equation and dates exact. Outside value: the
simulator's arrays, counted by ``fixtures/truth.py`` without any reader; pounds are exact by
definition (1959 agreement, see pipeline/core/units.py).
"""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import polars as pl
import pytest

from fixtures.make_fixtures import EXAMPLE_DAY, EXAMPLES, ROOT, write_fixtures
from pipeline.core.dictionary import empty_frame
from pipeline.core.home import Home
from pipeline.demo.slips import WHEEL
from pipeline.demo.write_home import write_home
from pipeline.reference import Reference, load_reference
from pipeline.sources.maps import choose_map, read_maps
from pipeline.sources.read import read_raw
from pipeline.sources.snapshot import list_inbox
from pipeline.tidy.corrections import apply_corrections, read_corrections
from pipeline.tidy.lifter import join_files
from pipeline.tidy.lifts import unmatched_id
from pipeline.tidy.names import NameIndex, read_name_decisions
from pipeline.tidy.tidy_file import TidyFile, tidy_file

LAYOUTS = ("wide", "european", "exercises", "sets")
LIMIT = date(2026, 12, 31)
# Measures as documents of open standards, and as intervals between heartbeats.
STANDARDS = ("documents", "heartbeats")
# Years of notes as text, in three hands.
NOTES = ("notes_journal", "notes_paper", "notes_pounds")
# A year in spreadsheets, JSON, YAML and a file a day.
CONTAINERS = ("books", "lift_sheets", "sessions", "diary", "day_files")
TONNAGE_TOLERANCE = 1e-3
# One lift by itself: pounds are written to a tenth, which is 0.15 % of 12.5 kg (27.56 lb).
LIFT_TOLERANCE = 2e-3
TABLES = ("tidy_set", "tidy_signal", "set_aside")


@dataclass(frozen=True)
class Reading:
    """What was read of one lifter, and what had to be found."""

    sets: pl.DataFrame
    signals: pl.DataFrame
    set_aside: list[dict[str, Any]]
    files: dict[str, dict[str, Any]]
    expected: dict[str, Any]


@cache
def _reference() -> tuple[Reference, NameIndex]:
    reference = load_reference(None)
    decisions = {"face pul": "face_pull"}
    names = NameIndex.from_reference(reference.aliases, reference.exercises, decisions)
    return reference, names


def _read_home(root: Path, expected: Path, lifter: str) -> Reading:
    home = Home(root)
    reference, names = _reference()
    maps, fixes = read_maps(home), read_corrections(home.corrections)
    tidied: list[TidyFile] = []
    for file in list_inbox(home):
        if file.lifter_id != lifter:
            continue
        one = choose_map(file, maps)
        assert one is not None, file.shown
        raw = apply_corrections(read_raw(file, one), fixes)
        tidied.append(tidy_file(raw, names=names, exercises=reference.exercises, today_limit=LIMIT))
    ids = [one.file.file_id for one in tidied]
    joined = join_files(
        pl.concat([empty_frame("tidy_set"), *(one.sets for one in tidied)]),
        pl.concat([empty_frame("tidy_signal"), *(one.signals for one in tidied)]),
        reference.exercises,
        ids,
    )
    told = json.loads(expected.read_text("utf-8"))["lifters"][lifter]
    return Reading(
        sets=joined.sets,
        signals=joined.signals,
        set_aside=_aside(tidied),
        files={one.file.path: _equation(one, joined.repeated) for one in tidied},
        expected=told,
    )


def _equation(one: TidyFile, repeated: dict[str, int]) -> dict[str, Any]:
    counts = one.counts.moved(repeated=repeated.get(one.file.file_id, 0))
    return {
        "counts_as": one.counts_as,
        "read": counts.read,
        "kept": counts.kept,
        "repeated": counts.repeated,
        "set_aside": counts.set_aside,
        "blank": counts.blank,
    }


def _aside(tidied: Sequence[TidyFile]) -> list[dict[str, Any]]:
    return [
        {"file": one.file.path, "row": row, "reason": reason}
        for one in tidied
        for row, reason in one.set_aside.select("row_no", "reason").rows()
    ]


@cache
def _fixture(layout: str) -> Reading:
    return _read_home(ROOT / layout, ROOT / layout / "expected.json", "hazel")


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("demo")
    write_home(folder)
    return folder


def _check_sets(found: Reading) -> None:
    """Counts of segments, working sets, warm-ups and drops equal; tonnage within 0.1 %."""
    extra = found.expected["extra"]
    odd = {unmatched_id(one["exercise"]) for one in extra if one["exercise"] == WHEEL}
    doubted = [one for one in extra if one["is_doubted"]]
    assert found.sets["is_doubted"].sum() == len(doubted)
    assert found.sets.filter(pl.col("exercise_id").is_in(odd)).height == len(extra) - len(doubted)
    true = found.sets.filter(~pl.col("is_doubted") & ~pl.col("exercise_id").is_in(odd))
    _compare(true, found.expected, TONNAGE_TOLERANCE)
    by_exercise = found.expected["by_exercise"]
    assert set(true["exercise_id"]) == set(by_exercise)
    for name, counts in by_exercise.items():
        _compare(true.filter(pl.col("exercise_id") == name), counts, LIFT_TOLERANCE)
    assert true["session_id"].n_unique() == found.expected["sessions"]


def _compare(sets: pl.DataFrame, counts: dict[str, Any], tolerance: float) -> None:
    is_parent = pl.col("segment_no") == 1
    assert sets.height == counts["segments"]
    assert sets.filter(is_parent & ~pl.col("is_warmup")).height == counts["working_sets"]
    assert sets["is_warmup"].sum() == counts["warmup_sets"]
    assert sets.filter(~is_parent).height == counts["drop_segments"]
    tonnage = (sets["load_kg"] * sets["reps"]).sum()
    assert tonnage == pytest.approx(counts["tonnage_kg"], rel=tolerance)


def _check_files(found: Reading) -> None:
    """The row equation of every file, and file, line and reason of all that was set aside."""
    assert found.files == found.expected["files"]
    for counts in found.files.values():
        parts = (counts[name] for name in ("kept", "repeated", "set_aside", "blank"))
        assert counts["read"] == sum(parts)

    def order(one: dict[str, Any]) -> tuple[str, int, str]:
        return one["file"], one["row"], one["reason"]

    told = found.expected["set_aside"]
    assert sorted(found.set_aside, key=order) == sorted(told, key=order)


@pytest.mark.parametrize("layout", [*LAYOUTS, *NOTES, *CONTAINERS])
def test_sets_are_those_of_the_career(layout: str) -> None:
    _check_sets(_fixture(layout))


@pytest.mark.parametrize("layout", [*LAYOUTS, "nights", *STANDARDS, *NOTES, *CONTAINERS])
def test_every_row_is_accounted_for(layout: str) -> None:
    _check_files(_fixture(layout))


@pytest.mark.parametrize("layout", [*LAYOUTS, *NOTES, *CONTAINERS])
def test_days_are_exact(layout: str) -> None:
    days = _fixture(layout).sets["session_date"].unique().sort()
    assert [day.isoformat() for day in days] == _fixture(layout).expected["days"]


@pytest.mark.parametrize("layout", LAYOUTS)
def test_examples_of_the_notation(layout: str) -> None:
    """3x8@100, 1x6@105: 3,030 kg; 100x8,8,7: 2,300 kg; the double drop: one set, 825 kg."""
    sets = _fixture(layout).sets.filter(pl.col("session_date") == EXAMPLE_DAY)
    for exercise, _, written in EXAMPLES:
        own = sets.filter(pl.col("exercise_id") == exercise)
        segments = [segment for one in written for segment in one]
        assert own.select("load_kg", "reps").rows() == segments
        assert own.filter(pl.col("segment_no") == 1).height == len(written)
    tonnage = (sets["load_kg"] * sets["reps"]).sum()
    assert tonnage == 3030 + 2300 + 825
    drops = sets.filter(pl.col("exercise_id") == "leg_extension")
    assert drops["cluster_id"].n_unique() == 1
    assert drops["segment_no"].to_list() == [1, 2, 3]


@pytest.mark.parametrize("layout", ["wide", "exercises"])
def test_examples_stand_in_the_shorthand_files(layout: str) -> None:
    text = "".join(path.read_text("utf-8") for path in (ROOT / layout).rglob("*2020.csv"))
    assert all(example in text for _, example, _ in EXAMPLES)


def test_reserve_and_set_up_are_read() -> None:
    """Bench angle and stand at the cable in their columns; reserve recorded in two layouts."""
    sets = _fixture("sets").sets
    presses = sets.filter(pl.col("exercise_id") == "incline_dumbbell_press")
    raises = sets.filter(pl.col("exercise_id") == "cable_lateral_raise")
    assert set(presses["angle_deg"]) == {30.0, 45.0}
    assert set(raises["position"]) == {"leaning", "upright"}
    recorded = sets.filter((pl.col("rir_source") == "recorded") & (pl.col("segment_no") == 1))
    log = _fixture("exercises").sets
    again = log.filter((pl.col("rir_source") == "recorded") & (pl.col("segment_no") == 1))
    days = ("session_date", "exercise_id", "load_kg", "reps", "rir")
    assert recorded.height > 700
    assert recorded.select(days).sort(days).equals(again.select(days).sort(days))
    assert _fixture("european").sets["rir"].null_count() == _fixture("european").sets.height


@pytest.mark.parametrize("layout", ["nights", "notes_journal", *STANDARDS])
def test_signals_are_those_of_the_career(layout: str) -> None:
    found = _fixture(layout)
    told = found.expected["signals"]
    assert set(found.signals["signal"]) == set(told)
    for name, truth in told.items():
        values = found.signals.filter(pl.col("signal") == name)["value"]
        assert len(values) == truth["n"]
        assert values.sum() == pytest.approx(truth["sum"])


def test_the_device_is_read() -> None:
    devices = _fixture("nights").signals["device_id"].drop_nulls()
    assert set(devices) == {"first watch", "second watch"}


@pytest.mark.parametrize("lifter", ["alder", "birch"])
def test_demo_is_read_whole(demo: Path, lifter: str) -> None:
    """One record through all four layouts: twelve years, and the two of the second lifter."""
    assert read_name_decisions(Home(demo).name_decisions) == {"face pul": "face_pull"}
    found = _read_home(demo, ROOT / "demo" / "expected.json", lifter)
    _check_sets(found)
    _check_files(found)


def test_committed_fixtures_are_what_the_script_writes(tmp_path: Path) -> None:
    write_fixtures(tmp_path)
    made = {path.relative_to(tmp_path): path for path in tmp_path.rglob("*") if path.is_file()}
    kept = {
        path.relative_to(ROOT): path
        for path in ROOT.rglob("*")
        if path.is_file() and path.suffix not in (".py", ".pyc")
        if "corpus" not in path.relative_to(ROOT).parts  # written by fixtures/strangers
    }
    assert made.keys() == kept.keys()
    for name, path in made.items():
        assert path.read_bytes() == kept[name].read_bytes(), name
