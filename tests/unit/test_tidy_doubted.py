"""Planted slips in files of each kind: kept out, listed, and mended by the lines to paste."""

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path

import polars as pl
import pytest

from pipeline.core.paste import correction_lines
from pipeline.core.source import RawFile, SignalColumn, SourceMap
from pipeline.sources.read import raw_rows
from pipeline.tidy.corrections import (
    Correction,
    apply_corrections,
    confirmed_rows,
    correction_rows,
)
from pipeline.tidy.doubted import RecordParts, describe_doubts, rows_wanted
from pipeline.tidy.lifter import Decisions, JoinedFiles, join_files
from pipeline.tidy.tidy_file import TidyFile, tidy_file
from tests.unit.reading import TODAY, a_map, exercises, names, raw_file
from tests.unit.workbooks import workbook

FIRST = date(2024, 3, 4)
DAYS = [FIRST + timedelta(days=3 * place) for place in range(24)]
WEIGHT = a_map("signals", signals=(SignalColumn("kg", "body_weight_kg", "kg"),))


@dataclass(frozen=True)
class Reading:
    """A file read with some corrections, joined, and what is doubted of it."""

    file: TidyFile
    joined: JoinedFiles
    doubts: pl.DataFrame


def read(raw: RawFile, fixes: Sequence[Correction] = ()) -> Reading:
    mended = apply_corrections(raw, fixes)
    file = tidy_file(mended, names=names(), exercises=exercises(), today_limit=TODAY)
    decisions = Decisions({}, confirmed_rows(correction_rows(raw, fixes)))
    joined = join_files(
        file.sets, file.signals, exercises(), [raw.file.file_id], decisions=decisions
    )
    aside = pl.concat([file.set_aside, joined.set_aside])
    wanted = rows_wanted(joined.doubted, aside)
    cells = raw_rows(raw).join(wanted, on=["file_id", "row_no"], how="semi")
    parts = RecordParts(
        "ida",
        joined.doubted,
        aside,
        joined.sets,
        joined.signals,
        {raw.file.file_id: raw.map},
        {raw.file.file_id: dict(cells.select("row_no", "cells").iter_rows())},
        {raw.file.file_id: dict(cells.select("row_no", "place").iter_rows())},
    )
    return Reading(file, joined, describe_doubts(parts))


def paste(raw: RawFile, doubt: dict[str, str | None], row: int | str) -> Correction:
    """The correction that a person pastes from the page."""
    lines = correction_lines(raw.file.shown, row, doubt, "mistyped", may_stand=True)
    return Correction(**{"value": None, **tomllib.loads(lines)["correction"][0]})


def sets_text(rows: dict[int, str], kind: str) -> str:
    head, plain = {
        "sets": ("Date,Lift,Load,Reps", "{day},bench press,{load},8"),
        "exercises": ("Date,Lift,Sets", "{day},bench press,3x8@{load}"),
        "wide": ("Date,bench press", "{day},3x8@{load}"),
    }[kind]
    lines = [plain.format(day=day, load=100 + place % 3) for place, day in enumerate(DAYS)]
    for place, line in rows.items():
        lines[place] = line.format(day=DAYS[place])
    return "\n".join([head, *lines]) + "\n"


# kind, place, the line, what is doubted, the column and the cell that is proposed
SLIPS = [
    ("sets", 12, "{day},bench press,1000,8", "load", "Load", "100"),
    ("sets", 12, "{day},bench press,1025,8", "load", "Load", "102.5"),
    ("sets", 12, "{day},bench press,625,8", "load", "Load", "62.5"),
    ("sets", 12, "{day},bench press,225,8", "load", "Load", "225 lb"),
    ("sets", 12, "{day},bench press,10.2,8", "load", "Load", "102"),
    ("sets", 12, "{day},bench press,100,80", "repetitions", "Reps", "8"),
    ("sets", 12, "2025-04-09,bench press,100,8", "date", "Date", "2024-04-09"),
    ("sets", 12, "2042-04-09,bench press,100,8", "date", "Date", "2024-04-09"),
    ("sets", 12, "2024-24-04,bench press,100,8", "date", "Date", "2024-04-24"),
    ("sets", 12, "2024-09-04,bench press,100,8", "date", "Date", "2024-04-09"),
    ("exercises", 12, "{day},bench press,3x8@1000", "load", "Sets", "3x8@100"),
    ("exercises", 12, "{day},bench press,3x80@101", "repetitions", "Sets", "3x8@101"),
    ("wide", 12, "{day},3x8@650", "load", "bench press", "3x8@65"),
]


@pytest.mark.parametrize(("kind", "place", "line", "what", "column", "meant"), SLIPS)
def test_a_slip_is_kept_out_and_its_correction_mends_it(
    tmp_path: Path, kind: str, place: int, line: str, what: str, column: str, meant: str
) -> None:
    raw = raw_file(tmp_path, sets_text({place: line}, kind), a_map(kind))
    found = read(raw)
    assert found.joined.sets.filter(~pl.col("is_doubted"))["row_no"].n_unique() == len(DAYS) - 1
    (doubt,) = found.doubts.to_dicts()
    assert (doubt["row_no"], doubt["what"], doubt["column"]) == (place + 2, what, column)
    assert doubt["value"] == meant
    # a set's number tells itself; a day, and a row set aside, are told in a sentence
    is_set = doubt["date"] is not None
    unit = {"load": "kg", "repetitions": "repetitions"}.get(what) if is_set else None
    assert doubt["unit"] == unit
    assert (doubt["why"] is None) == (unit is not None)
    if unit:
        ratio = doubt["found"] / doubt["usual"]
        assert doubt["usual"] == pytest.approx(101 if unit == "kg" else 8, abs=1)
        assert ratio > 1.5 or ratio < 0.2
    mended = read(raw, [paste(raw, doubt, doubt["row_no"])])
    assert mended.doubts.is_empty(), mended.doubts
    assert mended.file.warnings == ()
    assert mended.joined.sets["is_doubted"].sum() == 0


@pytest.mark.parametrize(
    ("text", "what", "meant"),
    [
        ("8", "measured value", "80"),
        ("825", "measured value", "82.5"),
        ("182", "measured value", None),
    ],
)
def test_a_body_weight_that_cannot_be_is_kept_out(
    tmp_path: Path, text: str, what: str, meant: str | None
) -> None:
    weights = [f"{day},{text if place == 12 else 82 + place % 2}" for place, day in enumerate(DAYS)]
    raw = raw_file(tmp_path, "\n".join(["Date,kg", *weights]) + "\n", WEIGHT)
    found = read(raw)
    assert found.joined.signals.height == len(DAYS) - 1
    (doubt,) = found.doubts.to_dicts()
    assert (doubt["row_no"], doubt["what"], doubt["value"]) == (14, what, meant)


@pytest.mark.parametrize(
    ("line", "slip", "row", "what", "meant"),
    [
        ("3x8 @ 102", "3x80 @ 102", 38, "repetitions", "bench press 3x8 @ 102"),
        ("3x8 @ 100", "3x8 @ 225", 38, "load", "bench press 3x8 @ 225lb"),
        ("2024-04-09", "2023-04-09", 37, "date", "## 2024-04-09"),
        ("2024-04-09", "2042-04-09", 37, "date", "## 2024-04-09"),
        ("2024-04-09", "1924-04-09", 37, "date", "## 2024-04-09"),
        ("2024-04-09", "2024-09-04", 37, "date", "## 2024-04-09"),
        ("2024-04-09", "Tue 9 April 2042", 37, "date", "## Tue 9 April 2024"),
    ],
)
def test_slips_in_notes_stand_in_their_lines(
    tmp_path: Path, line: str, slip: str, row: int, what: str, meant: str
) -> None:
    load = line if line[0] == "3" else "3x8 @ 101"
    told = [
        f"## {day}\nbench press {load if place == 12 else '3x8 @ 101'}\n"
        for place, day in enumerate(DAYS)
    ]
    told[12] = told[12].replace(line, slip)
    one = SourceMap("notes", "notes", ("*",), {}, unit="kg")
    raw = raw_file(tmp_path, "\n".join(told), one, "notes.md")
    (doubt,) = read(raw).doubts.to_dicts()
    assert (doubt["row_no"], doubt["what"], doubt["value"]) == (row, what, meant)
    mended = read(raw, [paste(raw, doubt, row)])
    assert mended.file.warnings == ()
    assert mended.doubts.is_empty()


@pytest.mark.parametrize(
    ("slip", "meant"),
    [
        ("9/4/42", "9/4/24"),
        ("Tue 9/4/42 push", "Tue 9/4/24 push"),
        ("9/4/2042 (gym)", "9/4/2024 (gym)"),
        ("4/9/24", "9/4/24"),
        ("13/13/2024", None),
    ],
)
def test_a_slip_in_a_heading_of_numbers_is_told_once(
    tmp_path: Path, slip: str, meant: str | None
) -> None:
    told = [
        f"{day.day}/{day.month}/{day:%y}\nbench press 3x8 @ 101\nincline press 3x8 @ 81\n"
        for day in DAYS
    ]
    told[12] = told[12].replace("9/4/24", slip)
    one = SourceMap("notes", "notes", ("*",), {}, unit="kg", date_order="dmy")
    raw = raw_file(tmp_path, "\n".join(told), one, "notes.md")
    doubts = read(raw).doubts.to_dicts()
    assert {(one["row_no"], one["expect"], one["value"]) for one in doubts} == {(49, slip, meant)}
    assert len(doubts) == 1
    # of a day that can be, both lifts are doubted
    both = {"bench press", "incline press"}
    assert slip != "4/9/24" or set(doubts[0]["subject"].split("; ")) == both
    fix = [paste(raw, doubts[0], 49)] if meant else []
    assert read(raw, fix).doubts.is_empty() == bool(meant)


def test_a_slip_in_a_sheet_is_proposed_with_its_place(tmp_path: Path) -> None:
    rows = [[str(day), "bench press", 100 + at % 3, 8] for at, day in enumerate(DAYS)]
    rows[12][2] = 1000
    book = workbook({"Intro": [["hello"]], "2024": [["Date", "Lift", "Load", "Reps"], *rows]})
    raw = raw_file(tmp_path, book, path="log.xlsx")
    (doubt,) = read(raw).doubts.to_dicts()
    assert (doubt["place"], doubt["value"]) == ("sheet 2024, row 14", "100")
    fix = paste(raw, doubt, doubt["place"])
    assert fix.row == doubt["place"]
    assert read(raw, [fix]).doubts.is_empty()
    applied = correction_rows(raw, [fix, replace(fix, row=doubt["row_no"])])
    assert applied["place"].to_list() == [doubt["place"]] * 2


def test_a_measured_value_outside_its_limits_is_left_out_by_what_is_proposed(
    tmp_path: Path,
) -> None:
    weights = [f"{day},{0 if place == 12 else 82 + place % 2}" for place, day in enumerate(DAYS)]
    raw = raw_file(tmp_path, "\n".join(["Date,kg", *weights]) + "\n", WEIGHT)
    (doubt,) = read(raw).doubts.to_dicts()
    assert (doubt["column"], doubt["expect"], doubt["value"]) == ("kg", "0", "")
    kept = read(raw, [paste(raw, doubt, doubt["row_no"])])
    assert kept.doubts.is_empty()
    assert kept.file.set_aside.is_empty()
    assert kept.joined.signals.height == len(DAYS) - 1


def test_the_same_text_confirms_a_value(tmp_path: Path) -> None:
    raw = raw_file(tmp_path, sets_text({12: "{day},bench press,225,8"}, "sets"))
    (doubt,) = read(raw).doubts.to_dicts()
    unread = paste(raw, {**doubt, "value": None}, 14)
    assert unread.value is None
    assert read(raw, [unread]).doubts.height == 1
    right = replace(unread, value=unread.expect)
    confirmed = read(raw, [right])
    assert confirmed.doubts.is_empty()
    assert confirmed.joined.sets["is_doubted"].sum() == 0


def test_a_confirmation_of_another_text_confirms_nothing(tmp_path: Path) -> None:
    raw = raw_file(tmp_path, sets_text({12: "{day},bench press,225,8"}, "sets"))
    stale = Correction("log.csv", 14, "Load", "235", "235", "it was heavy")
    found = read(raw, [stale])
    assert found.doubts.height == 1
    assert "NOT applied" in found.file.warnings[0]


def test_a_body_weight_can_be_confirmed(tmp_path: Path) -> None:
    weights = [f"{day},{182 if place == 12 else 82}" for place, day in enumerate(DAYS)]
    raw = raw_file(tmp_path, "\n".join(["Date,kg", *weights]) + "\n", WEIGHT)
    right = Correction("log.csv", 14, "kg", "182", "182", "two on the scales")
    assert read(raw, [right]).joined.signals.height == len(DAYS)


def test_an_ordinary_record_has_no_doubts(tmp_path: Path) -> None:
    for kind in ("sets", "exercises", "wide"):
        one: SourceMap = a_map(kind)
        assert read(raw_file(tmp_path, sets_text({}, kind), one)).doubts.is_empty()
