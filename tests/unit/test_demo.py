"""The demo's folder: written the same each time, readable by its maps, true to its story."""

from collections import Counter
from dataclasses import replace
from datetime import date
from pathlib import Path

import polars as pl
import pytest

from pipeline.cli.demo import run_demo
from pipeline.core.errors import SettingsError
from pipeline.core.home import Home
from pipeline.core.settings import read_settings
from pipeline.demo.logbook import Entry, Segment, keep_logbook
from pipeline.demo.names import all_names
from pipeline.demo.scenario import ALDER, BIRCH, EXERCISES_FROM, GYM_CHANGE
from pipeline.demo.sheet import Row, Sheet
from pipeline.demo.shorthand import shared_reserve, write_load, write_sets
from pipeline.demo.write_home import Written, is_demo, write_home
from pipeline.findings import propose_phases
from pipeline.reference import load_reference
from pipeline.sources.maps import choose_map, read_maps
from pipeline.sources.snapshot import list_inbox
from pipeline.tidy.corrections import read_corrections
from pipeline.tidy.journal import read_journal
from pipeline.tidy.names import NameIndex, read_name_decisions
from tests.simulated_record import muscles_of, record_of

MOST_BYTES = 4_000_000


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, list[Written]]:
    folder = tmp_path_factory.mktemp("demo")
    return folder, write_home(folder)


def _files(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


def test_writing_is_small_and_the_same_each_time(
    written: tuple[Path, list[Written]], tmp_path: Path
) -> None:
    folder, _ = written
    files = _files(folder)
    assert sum(map(len, files.values())) < MOST_BYTES
    write_home(tmp_path)
    assert _files(tmp_path) == files


def test_every_file_says_that_it_is_invented(written: tuple[Path, list[Written]]) -> None:
    for name, content in _files(written[0]).items():
        top = b"\n".join(content.splitlines()[:3]).decode("cp1252")
        assert any(word in top for word in ("invented", "does not exist")), name


def test_own_readers_take_every_file(written: tuple[Path, list[Written]]) -> None:
    home = Home(written[0])
    settings = read_settings(home.settings)
    assert [one.lifter_id for one in settings.lifters] == ["alder", "birch"]
    assert settings.lifter("alder").training_began == date(2013, 5, 18)
    maps = read_maps(home)
    chosen = [choose_map(file, maps) for file in list_inbox(home)]
    assert {one.name for one in chosen if one is not None} == {one.name for one in maps}
    assert None not in chosen
    assert {one.kind for one in maps} == {"wide", "sets", "exercises", "signals"}
    assert len(read_corrections(home.corrections)) == 1


def test_journals_tell_what_happened(written: tuple[Path, list[Written]]) -> None:
    home = Home(written[0])
    alder = read_journal(home.journal / "alder.toml", "alder")
    kinds = Counter(alder["kind"])
    assert kinds["priority"] == 8
    assert kinds["layoff"] == 9
    assert kinds["gym_change"] == kinds["device_change"] == 1
    assert {"surplus", "deficit", "hold", "deload"} <= kinds.keys()
    injury, elbow = alder.filter(pl.col("kind") == "injury").sort("start").to_dicts()
    assert injury["regions"] == "knee"
    assert elbow["regions"] == "elbow"
    assert elbow["end"] is None
    assert "back_squat" in injury["lifts_out"].split()
    assert 140 < (injury["end"] - injury["start"]).days < 160
    birch = read_journal(home.journal / "birch.toml", "birch")
    assert set(birch["kind"]) <= {"surplus", "deload", "layoff"}


def test_the_phase_left_untold_is_proposed(written: tuple[Path, list[Written]]) -> None:
    alder = written[1][0]
    told, (start,) = record_of(alder.career), ALDER.untold
    is_untold = (pl.col("kind") == "priority") & (pl.col("start") == start)
    assert told.events.filter(is_untold).height == 1
    record = replace(told, events=told.events.filter(~is_untold))
    proposed = propose_phases(record, muscles_of(alder.career)).filter(start=start)
    assert proposed.select("end", "subject").row(0) == (date(2023, 7, 2), "hamstrings")


def test_muscles_and_lifts_are_those_of_the_reference(
    written: tuple[Path, list[Written]],
) -> None:
    reference = load_reference(None)
    for one in (ALDER, BIRCH):
        path = Home(written[0]).journal / f"{one.lifter_id}.toml"
        events = read_journal(path, one.lifter_id)
        muscles = events.filter(events["kind"].is_in(["priority", "hold"]))["subject"]
        named = {word for text in muscles for word in text.split()}
        assert named <= set(reference.muscles["muscle_id"])
        lifts = {word for text in events["lifts_out"].drop_nulls() for word in text.split()}
        assert lifts <= set(reference.exercises["exercise_id"])


def test_every_spelling_finds_its_exercise(written: tuple[Path, list[Written]]) -> None:
    reference = load_reference(None)
    decisions = read_name_decisions(Home(written[0]).name_decisions)
    names = NameIndex.from_reference(reference.aliases, reference.exercises, decisions)
    wrong = {
        name: names.resolve(name).exercise_id
        for name, meant in all_names().items()
        if names.resolve(name).exercise_id != meant
    }
    assert wrong == {}


def test_knee_rules_out_deep_squats_and_brings_substitutes_in() -> None:
    entries = keep_logbook(ALDER.live())
    months = [one for one in entries if date(2022, 2, 7) <= one.day <= date(2022, 7, 10)]
    done = Counter(one.exercise_id for one in months)
    assert not {"back_squat", "front_squat", "hack_squat", "bulgarian_split_squat"} & done.keys()
    assert done["leg_press"] > 15
    assert done["hip_thrust"] > 15
    before = {one.exercise_id for one in entries if one.day < date(2022, 2, 7)}
    assert not {"leg_press", "hip_thrust"} & before
    assert "back_squat" in before


def test_twelve_years_end_in_mid_november_and_two_are_short() -> None:
    alder, birch = keep_logbook(ALDER.live()), keep_logbook(BIRCH.live())
    assert alder[0].day == date(2014, 11, 17)
    assert date(2026, 11, 9) <= alder[-1].day <= date(2026, 11, 15)
    assert date(2024, 11, 18) <= birch[0].day
    assert birch[-1].day <= date(2026, 11, 15)
    sessions = {one.day for one in alder}
    sets = sum(not one[0].is_warmup for entry in alder for one in entry.sets)
    assert 3.5 < len(sessions) / (12 * 52) < 4
    assert 16 <= sets / len(sessions) <= 20
    assert not any(date(2020, 10, 5) <= day <= date(2021, 1, 3) for day in sessions)


def test_reserve_is_missing_in_the_first_years_and_drops_are_there() -> None:
    entries = keep_logbook(ALDER.live())
    early = [segment for one in entries if one.day < EXERCISES_FROM for segment in one.segments]
    late = [segment for one in entries if one.day >= EXERCISES_FROM for segment in one.segments]
    assert all(segment.rir is None for segment in early)
    assert sum(segment.rir is not None for segment in late) > 0.7 * len(late)
    assert sum(len(one) > 1 for entry in entries for one in entry.sets) > 1000


def test_nights_and_tape_measures(written: tuple[Path, list[Written]]) -> None:
    alder = written[1][0]
    nights, body = alder.sheet("wearable/nights.csv"), alder.sheet("body.csv")
    days = [date.fromisoformat(row.cells[0]) for row in nights.rows]
    assert 5.9 < (max(days) - min(days)).days / 365.25 < 6.1
    assert {row.cells[-1] for row in nights.rows} == {"first watch", "second watch"}
    assert "HRV RMSSD ms" in nights.labels
    girths = [row for row in body.rows if row.cells[2]]
    assert 10 < len(girths) / 12 < 13
    weighed = [date.fromisoformat(row.cells[0]) for row in body.rows if row.cells[1]]
    assert max(weighed) < min(days)


def test_pounds_give_way_to_kilograms(written: tuple[Path, list[Written]]) -> None:
    sheet = written[1][0].sheet("training_2018-2020.csv")
    kept = [row.cells for row in sheet.rows if row.fate == "kept" and row.cells[1] == "Kniebeuge"]
    day = date(2019, 9, 2)
    assert day == GYM_CHANGE
    heavy = {True: 0.0, False: 0.0}
    for cells in kept:
        d, m, y = map(int, cells[0].split("."))
        late = date(y, m, d) >= day
        heavy[late] = max(heavy[late], float(cells[3].replace(",", ".")))
    assert 1.7 < heavy[False] / heavy[True] < 2.3


def test_another_folder_is_refused_and_an_earlier_demo_is_not(
    written: tuple[Path, list[Written]], tmp_path: Path
) -> None:
    (tmp_path / "mine.csv").write_text("Date,Lift\n")
    with pytest.raises(SettingsError, match="not empty and no demo: choose a new folder"):
        run_demo(tmp_path)
    with pytest.raises(SettingsError, match="a file: choose a new folder"):
        run_demo(tmp_path / "mine.csv")
    assert (tmp_path / "mine.csv").read_text() == "Date,Lift\n"
    assert not is_demo(tmp_path)
    assert is_demo(written[0])


def test_own_files_in_a_demo_folder_stay(tmp_path: Path) -> None:
    write_home(tmp_path)
    own = tmp_path / "inbox" / "alder" / "mine.csv"
    own.write_text("Date,Lift\n")
    write_home(tmp_path)
    assert own.read_text() == "Date,Lift\n"


def test_slips_are_a_few_rows_of_each_kind(written: tuple[Path, list[Written]]) -> None:
    alder, birch = written[1]
    reasons = Counter(
        record["reason"] for sheet in alder.sheets for record in sheet.list_set_aside()
    )
    assert reasons == {
        "impossible date": 4,
        "negative weight": 2,
        "sets not understood": 2,
        "unknown unit": 1,
        "no exercise": 1,
        "no sets": 1,
        "weight out of range": 1,
        "value outside its limits": 2,
    }
    assert sum(one.is_doubted for one in alder.extra) == 1
    assert not any(sheet.list_set_aside() for sheet in birch.sheets)


def _entry(*sets: tuple[Segment, ...], loaded_as: str = "total") -> Entry:
    return Entry(date(2024, 3, 4), "bench_press", loaded_as, sets)


def test_shorthand_writes_the_examples_of_the_notation() -> None:
    three = [(Segment(100, 8),)] * 3
    assert write_sets(_entry(*three, (Segment(105, 6),))) == "3x8@100, 1x6@105"
    assert write_sets(_entry(*three[:2], (Segment(100, 7),))) == "100x8,8,7"
    drops = (Segment(50, 10), Segment(25, 9), Segment(12.5, 8))
    assert write_sets(_entry(drops)) == "50x10 > 25x9 > 12.5x8"


def test_shorthand_writes_reserve_where_the_sets_differ() -> None:
    same = _entry((Segment(80, 8, rir=2),), (Segment(80, 7, rir=2),))
    assert shared_reserve(same) == "2"
    assert write_sets(same) == "80x8,7"
    other = _entry((Segment(80, 8, rir=2),), (Segment(80, 8, rir=0, to_failure=True),))
    assert shared_reserve(other) is None
    assert write_sets(other, with_reserve=True) == "1x8@80 RIR 2, 1x8@80 RIR 0 to failure"


def test_loads_are_written_as_lifters_do() -> None:
    assert write_load(Segment(40, 8), "per_hand") == "20"
    assert write_load(Segment(0, 8), "added") == "bw"
    assert write_load(Segment(12.5, 8), "added", decimal=",") == "bw+12,5"
    # 100 kg are 220.46 lb by the pound's definition, 220.5 to a tenth
    assert write_load(Segment(100, 8), "total", "lb", ",") == "220,5"


def test_sheet_accounts_for_every_record() -> None:
    rows = [Row(("1 Jan", "3x8@60", "")), Row(("31 Sep", "3x8@60", "2x5@80"), "impossible date")]
    wide = Sheet("log.csv", "invented", ("Day", "Bench", "Squat"), rows, measured=(1, 2))
    assert wide.count_records() == {
        "read": 4,
        "kept": 1,
        "repeated": 0,
        "set_aside": 2,
        "blank": 1,
    }
    assert wide.list_set_aside() == [
        {"file": "log.csv", "row": 4, "reason": "impossible date"},
        {"file": "log.csv", "row": 4, "reason": "impossible date"},
    ]
