"""A large table read part by part says what it says as a whole."""

import tempfile
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from polars.testing import assert_frame_equal

from pipeline.core.source import SourceFile
from pipeline.sources.parts import NotInPartsError, can_be_split, read_parts
from pipeline.sources.read import raw_rows, read_raw
from pipeline.tidy.parts import days_of, sum_parts
from pipeline.tidy.tidy_file import TidyFile, tidy_file
from tests.unit.reading import TODAY, a_map, exercises, names

MAP = a_map(
    more={"set_no": "Set", "rir": "RIR", "cluster": "Drop", "is_warmup": "W", "note": "Note"},
    warmups="by rule",
)
HEADER = "Date,Lift,Load,Reps,Set,RIR,Drop,W,Note"
CELLS = st.tuples(
    st.sampled_from(["bench press", " pull-up ", "leg press", "dumbbell curl", "no lift", ""]),
    st.sampled_from(["100", "60 kg", "bw", "-20", "45 lb", "heavy", "", "30 a side"]),
    st.sampled_from(["8", "5", "8,7", "x", ""]).map(lambda text: f'"{text}"'),
    st.sampled_from(["1", "2", "3", ""]),
    st.sampled_from(["1", "0", ""]),
    st.sampled_from(["A", "", "", ""]),
    st.sampled_from(["w", "", ""]),
    st.sampled_from(["", "fine", '"two\nlines"', "é", '"a, b"']),
).map(",".join)
DAYS = st.lists(st.lists(CELLS, min_size=1, max_size=4), min_size=1, max_size=12)


def read_whole(file: SourceFile) -> TidyFile:
    """The file read in one go."""
    return tidy_file(read_raw(file, MAP), names=names(), exercises=exercises(), today_limit=TODAY)


def a_file(folder: Path, text: str) -> SourceFile:
    """``text`` as a file of an invented lifter."""
    path = folder / "log.csv"
    path.write_bytes(text.encode())
    return SourceFile("file", "ida", "log.csv", "sum", path.stat().st_size, path)


def log_of(days: list[list[str]]) -> str:
    """The days one after the other, from January 2024."""
    rows = [
        f"{date(2024, 1, 1 + place)},{cells}" for place, day in enumerate(days) for cells in day
    ]
    return "\n".join([HEADER, *rows]) + "\n"


@settings(max_examples=40, deadline=None)
@given(days=DAYS, part_bytes=st.integers(20, 600))
def test_parts_say_what_the_whole_says(days: list[list[str]], part_bytes: int) -> None:
    with tempfile.TemporaryDirectory() as folder:
        file = a_file(Path(folder), log_of(days))
        whole, raws = read_whole(file), list(read_parts(file, MAP, part_bytes))
        told = [
            tidy_file(raw, names=names(), exercises=exercises(), today_limit=TODAY) for raw in raws
        ]
        raw_whole = raw_rows(read_raw(file, MAP))
    parts = sum_parts(told, MAP)
    assert_frame_equal(parts.sets, whole.sets)
    assert_frame_equal(parts.set_aside, whole.set_aside)
    assert_frame_equal(parts.names, whole.names)
    assert (parts.counts, parts.warnings) == (whole.counts, whole.warnings)
    seen = [days_of(raw, part) for raw, part in zip(raws, told, strict=True)]
    assert sum(map(len, seen)) == len(set().union(*seen))
    lines = pl.concat([raw_rows(raw) for raw in raws])["row_no"]
    assert lines.to_list() == raw_whole["row_no"].to_list()


def test_days_told_again_are_seen_in_both_parts(tmp_path: Path) -> None:
    row = "bench press,100,8,1,2,,,"
    days = ["2024-01-01", "2024-01-02", "2024-01-03", "2024-01-01"]
    file = a_file(tmp_path, "\n".join([HEADER, *(f"{day},{row}" for day in days)]))
    raws = list(read_parts(file, MAP, 20))
    told = [tidy_file(raw, names=names(), exercises=exercises(), today_limit=TODAY) for raw in raws]
    assert len(raws) == 4
    assert date(2024, 1, 1) in days_of(raws[0], told[0]) & days_of(raws[3], told[3])


@pytest.mark.parametrize(
    "damage",
    [
        pytest.param(lambda data: data.replace(b"fine", b"caf\xe9"), id="another encoding"),
        pytest.param(lambda data: data.replace(b"fine", b"a\x00"), id="NUL"),
        pytest.param(lambda data: data.replace(b"fine", b"\rfine"), id="old line end"),
        pytest.param(lambda data: b"\xef\xbb\xbf" + data, id="mark"),
        pytest.param(lambda data: data + b'2024-02-01,"bench', id="open quote"),
    ],
)
def test_what_needs_the_whole_file_is_not_split(
    tmp_path: Path, damage: Callable[[bytes], bytes]
) -> None:
    text = log_of([["bench press,100,8,1,2,,,fine"]] * 9)
    file = a_file(tmp_path, "")
    file.absolute.write_bytes(damage(text.encode()))
    with pytest.raises(NotInPartsError):
        list(read_parts(file, MAP, 60))


def test_only_rows_that_stand_alone_are_split(tmp_path: Path) -> None:
    file = a_file(tmp_path, log_of([["bench press,100,8,1,2,,,fine"]] * 9))
    assert can_be_split(file, MAP, 60)
    assert not can_be_split(file, MAP, 10_000)
    assert not can_be_split(file, replace(MAP, fill_down=("date",)), 60)
    assert not can_be_split(file, a_map(more={"drop_of": "Drop"}), 60)
    assert not can_be_split(file, a_map("signals"), 60)
