"""Sheets whose days are headings, and rows with a pair of columns for each set: read as drafted."""

import csv
import io
from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path

import pytest

from pipeline.core.errors import SettingsError
from pipeline.core.source import SourceFile
from pipeline.sources.headings import day_of, days_in
from pipeline.sources.maps import read_map
from pipeline.sources.read import read_raw
from tests.unit.drafting import draft, small_readers
from tests.unit.workbooks import Cell, workbook

DAYS = [date(2024, 3, day) for day in (4, 6, 8, 11, 13)]
LIFTS = ("Back squat", "Bench press", "Barbell row")
Rows = list[list[Cell]]
Sets = list[tuple[date, str, float, int]]


def _load(day: int, lift: int) -> float:
    return 60.0 + 2.5 * day + 10 * lift


def _log(n_sets: int = 2, days: Sequence[date] = DAYS) -> Sets:
    """Each lift on each day, ``n_sets`` sets of 8, 7, ... repetitions."""
    return [
        (day, lift, _load(i, j), 8 - s)
        for i, day in enumerate(days)
        for j, lift in enumerate(LIFTS)
        for s in range(n_sets)
    ]


def blocks() -> Rows:
    rows: Rows = [["My training"], []]
    for i, day in enumerate(DAYS):
        rows += [[day, "Push" if i % 2 else "Legs"], ["Exercise", "Weight", "Reps"]]
        for j, lift in enumerate(LIFTS):
            rows += [[lift if s == 0 else None, _load(i, j), 8 - s] for s in range(2)]
        rows.append([])
    return rows


def labels_once() -> Rows:
    rows: Rows = [["Exercise", "Set 1", "Set 2"]]
    for i, day in enumerate(DAYS):
        rows.append([f"{day:%A} {day.day} {day:%B} {day.year}"])
        rows += [
            [lift, *(f"{_load(i, j)}x{8 - s}" for s in range(2))] for j, lift in enumerate(LIFTS)
        ]
    return rows


def no_labels() -> Rows:
    rows: Rows = []
    for i, day in enumerate(DAYS):
        rows += [[f"Day {i + 1} - {day.day}/{day.month}/{day.year}"]]
        rows += [[lift, f"{_load(i, j)}x8,7"] for j, lift in enumerate(LIFTS)]
        rows += [[]]
    return rows


def side_by_side() -> Rows:
    rows: Rows = [["Week 1"], [], ["Exercise", "Weight", "Reps", None] * 5]
    for day in DAYS:
        rows[1] += [day, None, None, None]
    for j, lift in enumerate(LIFTS):
        for s in range(2):
            rows.append([c for i in range(5) for c in (lift, _load(i, j), 8 - s, None)])
    return rows


def weeks_below_each_other() -> Rows:
    """Days side by side, and a row of such blocks for each week."""
    rows: Rows = []
    for first, last in ((0, 3), (3, 5)):
        rows += [[f"Week {1 + first // 3}"], [None], ["Exercise"]]
        for day in DAYS[first:last]:
            rows[-2] += [day, None]
            rows[-1] += ["Weight", "Reps"]
        for j, lift in enumerate(LIFTS):
            for s in range(2):
                cells = [c for i in range(first, last) for c in (_load(i, j), 8 - s)]
                rows.append([lift, *cells])
        rows.append([])
    return rows


def days_across() -> Rows:
    rows: Rows = [["Exercise", *DAYS]]
    rows += [[lift, *(f"{_load(i, j)}x8,7" for i in range(5))] for j, lift in enumerate(LIFTS)]
    return rows


def days_across_without_a_label() -> Rows:
    return [[None, *DAYS], *days_across()[1:]]


def days_across_a_row_a_set() -> Rows:
    rows: Rows = [["Lift", "Set", *DAYS]]
    for j, lift in enumerate(LIFTS):
        for s in range(2):
            cells = [f"{_load(i, j)} x {8 - s}" for i in range(5)]
            rows.append([lift if s == 0 else None, s + 1, *cells])
    return rows


def pairs(labels: Sequence[str] = ("Weight 1", "Reps 1", "Weight 2", "Reps 2")) -> Rows:
    rows: Rows = [["Date", "Exercise", *labels]]
    for i, day in enumerate(DAYS):
        rows += [[day, lift, _load(i, j), 8, _load(i, j), 7] for j, lift in enumerate(LIFTS)]
    return rows


def pairs_with_one_label() -> Rows:
    return pairs(("Weight", "Reps") * 2)


def pairs_by_set() -> Rows:
    return pairs(("Set 1 kg", "Set 1 reps", "Set 2 kg", "Set 2 reps"))


def pairs_in_blocks() -> Rows:
    rows: Rows = []
    for i, day in enumerate(DAYS):
        rows += [["Date:", day], ["Exercise", *("Weight", "Reps") * 2]]
        rows += [row[1:] for row in pairs()[1 + 3 * i : 4 + 3 * i]]
    return rows


LAYOUTS: list[Callable[[], Rows]] = [
    blocks, labels_once, no_labels, side_by_side, weeks_below_each_other, days_across,
    days_across_without_a_label, days_across_a_row_a_set, pairs, pairs_with_one_label,
    pairs_by_set, pairs_in_blocks,
]  # fmt: skip


def _as_csv(rows: Rows) -> bytes:
    width, target = max(map(len, rows)), io.StringIO()
    padded = [[*row, *[None] * (width - len(row))] for row in rows]
    csv.writer(target).writerows([["" if c is None else c for c in row] for row in padded])
    return target.getvalue().encode()


def _read(path: Path, rows: Rows) -> tuple[Sets, list[str], list[str]]:
    """Sets as read with the drafted map, the questions, and the reasons of what was set aside."""
    path.write_bytes(workbook({"Log": rows}) if path.suffix == ".xlsx" else _as_csv(rows))
    drafted, one = draft(path, small_readers())
    raw = read_raw(SourceFile("file", "ida", path.name, "", 0, path), one)
    found = small_readers().tidy_file(raw)
    sets = found.sets.select("session_date", "exercise_as_written", "load_kg", "reps").rows()
    keys = [question.key for question in drafted.questions]
    return sorted(sets), keys, found.set_aside["reason"].to_list()


@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda one: one.__name__)
@pytest.mark.parametrize("ending", ["xlsx", "csv"])
def test_the_drafted_map_reads_every_set(
    tmp_path: Path, layout: Callable[[], Rows], ending: str
) -> None:
    sets, questions, reasons = _read(tmp_path / f"log.{ending}", layout())
    assert sets == sorted(_log())
    assert reasons == []
    assert set(questions) <= {"units.load"}  # the sheet does not say


def test_a_block_without_a_day_is_set_aside_and_takes_no_other_day(tmp_path: Path) -> None:
    rows = blocks()
    at = next(i for i, row in enumerate(rows) if row[:1] == [DAYS[2]])
    rows[at] = []
    sets, _, reasons = _read(tmp_path / "log.xlsx", rows)
    assert {day for day, *_ in sets} == {*DAYS} - {DAYS[2]}
    assert reasons == ["date not understood"] * 6


def test_a_remark_beside_a_block_does_no_harm(tmp_path: Path) -> None:
    rows = blocks()
    rows[4].append("slow")
    assert _read(tmp_path / "log.xlsx", rows)[0] == sorted(_log())


def test_a_set_of_which_nothing_is_written_is_none(tmp_path: Path) -> None:
    rows = pairs()
    rows[1][4:] = [None, None]
    rows[2][5] = None  # a load without repetitions
    sets, _, reasons = _read(tmp_path / "log.csv", rows)
    assert len(sets) == len(_log()) - 2
    assert reasons == ["no repetitions"]


@pytest.mark.parametrize(
    ("row", "places"),
    [
        (["Exercise", "4/3", "6/3"], [1, 2]),
        (["Squat", "8/8", "7/7"], []),  # two sets each, no days
        (["Squat", "8/8/10"], []),
        (["2024-03-04", "Squat", "3x8@60"], []),  # a row of an ordinary table
        (["2024-03-04", "Squat", "60"], []),
        (["Monday 4 March 2024", "Gym"], [0]),
        (["Date:", "04.03.24"], [1]),
        (["Week 3", "Day 2"], []),
    ],
)
def test_headings_are_told_from_sets(row: list[str], places: list[int]) -> None:
    assert days_in(row) == places


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("Push - 04.03.2024", "04.03.2024"),
        ("Week 1, day 2 (4 March 2024)", "4 March 2024"),
        ("2024-03-04: legs", "2024-03-04"),
        ("best since 4 March 2024", None),
        ("5/3/1", None),
        ("March", None),
        ("Day 12", None),
    ],
)
def test_a_title_may_stand_beside_the_day(text: str, day: str | None) -> None:
    assert day_of(text) == day


def test_lists_of_labels_have_to_go_together(tmp_path: Path) -> None:
    path = tmp_path / "pairs.toml"
    path.write_text(
        'schema = 1\n[match]\nglobs = ["a.csv"]\n[table]\nkind = "sets"\n[units]\nload = "kg"\n'
        '[columns]\ndate = "Date"\nexercise = "Exercise"\nload = ["W1", "W2", "W3"]\n'
        'reps = ["R1", "R2"]\n'
    )
    with pytest.raises(SettingsError, match=r"columns\.reps lists 2 labels, columns\.load 3"):
        read_map(path)
