"""Whatever stands in a file: no crash, no row lost, nothing counted twice."""

import os
import string
import tempfile
from dataclasses import replace
from datetime import date
from pathlib import Path

import polars as pl
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pipeline.core.errors import InputError
from pipeline.core.source import SignalColumn, SourceMap
from pipeline.sources.read import raw_rows
from pipeline.tidy.lifter import join_files
from pipeline.tidy.tidy_file import TidyFile, tidy_file
from tests.unit.reading import TODAY, a_map, exercises, is_balanced, names, raw_file, tidy

NAMES, EXERCISES = names(), exercises()
FULL = {"set_no": "Set", "rir": "RIR", "drop_of": "Drop", "is_warmup": "W", "note": "Note"}
SETS = (
    "Date,Lift,Load,Reps,Set,RIR,Drop,W,Note\n"
    "2024-01-02,bench press,100,8,1,2,,,\n2024-01-02,bench press,50,9,2,,x,,\n\n"
    "2024-01-02,pull-up,bw,8,1,,,w,\n2024-01-02,pull-up,-20 kg,8,1,,,,\n2024-01-03,,,,,,,,rest\n"
    '2024-01-04,dumbbell curl,45 lb,12,1,1,,,"two\nlines"\n2024-01-04,dumbbell curl,20,8-12,1,,,,\n'
)
SHORT = (
    "Date;Lift;Sets\n2.1.24;bench press;3x8@100, 1x6@105\n2.1.24;pull-up;3x8\n"
    "3.1.24;cable raise;50x10 > 25x9 > 12,5x8\n4.1.24;;\n5.1.24;bp;100x8,8,7\n"
)
WIDE = "Date;Bench press;Curls;Bench press;Note\n2.1.24;3x8@100;2x10@20;;ok\n3.1.24;-;;1x5@110;\n"
NIGHTS = (
    "Date,Dev,Sleep,kg,Steps\n2024-01-02,a,7:30,80,9000\n2024-01-03,a,,80.5,\n2024-01-03,b,7,,0\n"
)
NOTES = (
    "# Log 2024\n\n## Tue 2 Jan - Push\n- **Bench press** 3x8@100, 1x6@105\n- [x] pull-up 10, 8\n"
    "bw 81.5\nfelt good\n\n3/1 evening\nincline press\n  set 1: 60 x 8\n  60 x 7 > 40 x 9\n"
    "| Lift | Load | Reps |\n|---|---|---|\n| bp | 90 | 8 |\n| bp | 90 | |\n"
    "Wed\nbp 80x5; cable raise 12x12 rest 2 min\nFri 5.1.24\nplank 60s\nbike 20 min\n"
)
SIGNALS = (
    SignalColumn("Sleep", "sleep_min", "h"),
    SignalColumn("kg", "body_weight_kg", "kg"),
    SignalColumn("Steps", "steps", "steps"),
)
KINDS: dict[str, tuple[str, SourceMap]] = {
    "sets": (SETS, a_map(more=FULL, warmups="as written")),
    "by rule": (SETS, a_map(warmups="by rule", unit_changes=((date(2024, 1, 3), "lb"),))),
    "exercises": (SHORT, a_map("exercises", date_order="dmy", decimal=",")),
    "wide": (WIDE, a_map("wide", date_order="dmy", skip_columns=("Note",))),
    "notes": (NOTES, a_map("notes", date_order="dmy")),
    "signals": (NIGHTS, a_map("signals", signals=SIGNALS, more={"device": "Dev"})),
}
PIECES = st.sampled_from(
    [
        *(
            "\n",
            "\r\n",
            "\r",
            '"',
            '""',
            ",",
            ";",
            "\t",
            "\x00",
            "-",
            "−",
            ".",
            "0",
            "9",
            "x",
            "@",
            ">",
        ),
        *("é", "Ж", "�", " ", "\x0b", "31.2.24", "2024-13-01", "2031-01-01", "1e309", "NaN"),
        *(
            "bw",
            "kg",
            "stone",
            "+",
            "(",
            ")",
            "to failure",
            "1.250",
            "99999999999",
            "²",
            "٣",
            "8-12",
        ),
        *("\n\n", "bench press", "{}", "^", "$", "*", "row_no", "reason"),
    ]
)
CHANGES = st.lists(
    st.tuples(
        st.integers(0, 10_000),
        st.integers(0, 6),
        st.one_of(PIECES, st.text(string.printable, max_size=4), st.text(max_size=3)),
    ),
    max_size=6,
)
QUIET = settings(
    max_examples=int(os.environ.get("FUZZ_EXAMPLES", "60")),  # make fuzz asks for many
    deadline=5000,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)


def mutate(text: str, changes: list[tuple[int, int, str]]) -> str:
    """``text`` with pieces cut out and put in; the header stays as it is."""
    head, body = text.split("\n", 1)
    for place, length, piece in changes:
        at = place % (len(body) + 1)
        body = body[:at] + piece + body[at + length :]
    return f"{head}\n{body}"


def read(text: str | bytes, one: SourceMap) -> TidyFile | str:
    """The file read; where it is refused as a whole, the line that says why."""
    with tempfile.TemporaryDirectory() as folder:
        try:
            return tidy(Path(folder), text, one)
        except InputError as error:
            return str(error)


def check(found: TidyFile | str) -> None:
    if isinstance(found, str):
        assert "\n" not in found
        return
    assert is_balanced(found)
    assert min(found.counts.__dict__.values()) >= 0
    assert found.set_aside.height == found.counts.set_aside
    records = found.sets.select("row_no", "exercise_as_written").unique().height
    assert records + found.signals.height == found.counts.kept
    for column in ("reason", "detail", "as_written"):
        assert found.set_aside[column].null_count() == 0
    for table in (found.sets, found.signals):
        assert table["row_no"].null_count() == 0
    if found.counts_as == "row":
        aside, kept = set(found.set_aside["row_no"]), set(found.sets["row_no"])
        assert not aside & kept


@QUIET
@given(kind=st.sampled_from(sorted(KINDS)), changes=CHANGES)
def test_the_row_equation_holds_for_mutated_files(
    kind: str, changes: list[tuple[int, int, str]]
) -> None:
    text, one = KINDS[kind]
    found = read(mutate(text, changes), one)
    check(found)
    if isinstance(found, TidyFile):
        joined = join_files(found.sets, found.signals, EXERCISES, [found.file.file_id])
        assert joined.sets.height == found.sets.height
        assert joined.signals.height == found.signals.height


@QUIET
@given(
    kind=st.sampled_from(sorted(KINDS)),
    place=st.integers(0, 10_000),
    junk=st.binary(max_size=20),
    encoding=st.sampled_from(["utf-8", "utf-16", "cp1252"]),
)
def test_the_row_equation_holds_for_mutated_bytes(
    kind: str, place: int, junk: bytes, encoding: str
) -> None:
    text, one = KINDS[kind]
    data = text.encode(encoding)
    at = place % (len(data) + 1)
    check(read(data[:at] + junk + data[at:], one))


@QUIET
@given(changes=CHANGES)
def test_every_line_is_read_whatever_the_header_row(changes: list[tuple[int, int, str]]) -> None:
    body = mutate("x\n" + SETS.split("\n", 1)[1].replace('"', ""), changes).replace('"', "")
    body = body.replace("\r\n", "\n").replace("\r", "\n")
    text = "Date,Lift,Load,Reps,Set,RIR,Drop,W,Note\n" + body
    one = KINDS["sets"][1]
    with tempfile.TemporaryDirectory() as folder:
        raw = raw_file(Path(folder), text, one)
    lines = text.removesuffix("\n").split("\n")
    assert raw.frame["row_no"].to_list() == list(range(2, len(lines) + 1))
    assert raw_rows(raw).height == len(lines) - 1


@QUIET
@given(kind=st.sampled_from(sorted(KINDS)), changes=CHANGES)
def test_reading_twice_gives_the_same(kind: str, changes: list[tuple[int, int, str]]) -> None:
    text, one = KINDS[kind]
    first, second = (read(mutate(text, changes), one) for _ in range(2))
    if isinstance(first, str) or isinstance(second, str):
        assert first == second
        return
    for table in ("sets", "signals", "set_aside"):
        left, right = getattr(first, table), getattr(second, table)
        assert left.equals(right)


CELLS = st.fixed_dictionaries(
    {
        "Date": st.dates(date(2000, 1, 1), TODAY).map(str),
        "Lift": st.sampled_from(["bench press", "Hebezeug", "cable raise"]),
        "Load": st.integers(1, 1200).map(lambda quarter: f"{quarter / 4:g}"),
        "Reps": st.integers(0, 300).map(str),
    }
)


@QUIET
@given(rows=st.lists(CELLS, max_size=30), separator=st.sampled_from([",", ";", "\t", "|"]))
def test_valid_rows_are_kept_with_their_tonnage(rows: list[dict[str, str]], separator: str) -> None:
    labels = ("Date", "Lift", "Load", "Reps")
    lines = [separator.join(labels), *(separator.join(row[n] for n in labels) for row in rows)]
    with tempfile.TemporaryDirectory() as folder:
        raw = raw_file(Path(folder), "\n".join(lines) + "\n", replace(a_map(), separator=separator))
    found = tidy_file(raw, names=NAMES, exercises=EXERCISES, today_limit=TODAY)
    assert found.counts.kept == found.counts.read == len(rows)
    tonnage = found.sets.select((pl.col("load_kg") * pl.col("reps")).sum()).item()
    assert abs(tonnage - sum(float(row["Load"]) * int(row["Reps"]) for row in rows)) < 1e-6
