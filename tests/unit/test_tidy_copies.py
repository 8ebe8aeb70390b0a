"""Training kept twice, not quite alike, is found; two real sessions of a day are left alone."""

from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

import polars as pl
import pytest

from pipeline.core.units import KG_PER_LB
from pipeline.tidy.copy_match import NO_WARMUPS, ONCE, ROUNDED, SAME
from pipeline.tidy.corrections import BOTH
from pipeline.tidy.repeats import Repeats, find_repeats
from tests.unit.reading import a_map, tidy

HEAD = "Date,Lift,Load,Reps\n"
FIRST = date(2024, 3, 4)
LIFTS = (("bench press", 80.0), ("landmine row", 60.0), ("leg press", 140.0), ("pull-up", 0.0))
DAYS = 12

Write = Callable[[str, float, int], list[str]]


def plan(place: int, lift: int) -> tuple[float, int]:
    """Load and repetitions of a lift on the day ``place``: different from day to day."""
    base = LIFTS[lift][1]
    return (base + 2.5 * ((place * (lift + 2)) % 5) if base else 0.0), 5 + (place + lift) % 4


def file_text(write: Write, days: range = range(DAYS), unit_column: bool = False) -> str:
    rows = [
        f"{FIRST + timedelta(days=3 * place)},{LIFTS[lift][0]},{row}\n"
        for place in days
        for lift in range(len(LIFTS))
        for row in write(LIFTS[lift][0], *plan(place, lift))
    ]
    return HEAD + "".join(rows)


def plain(_lift: str, load: float, reps: int) -> list[str]:
    return [f"{load:g},{reps}"] * 3


def with_warmups(_lift: str, load: float, reps: int) -> list[str]:
    lighter = [f"{load * 0.4:.0f},{reps}", f"{load * 0.7:.0f},{reps}"] if load else []
    return [*lighter, *plain(_lift, load, reps)]


def in_pounds(_lift: str, load: float, reps: int) -> list[str]:
    return [f"{5 * round(load / KG_PER_LB / 5)},{reps}"] * 3


def once(_lift: str, load: float, reps: int) -> list[str]:
    return [f"{load:g},{reps}"]


def next_session(_lift: str, load: float, reps: int) -> list[str]:
    """Another session of the same day: the same lifts, lighter and longer."""
    return [f"{load * 0.8:.1f},{reps + 4}"] * 3


def compare(folder: Path, a: str, b: str, unit_of_b: str = "kg", **decided: str) -> Repeats:
    one = tidy(folder, a, path="a.csv")
    other = tidy(folder, b, a_map(unit=unit_of_b), path="b.csv")
    pair = frozenset(("file_a.csv", "file_b.csv"))
    choice = {pair: decided["keep"]} if decided else None
    return find_repeats(pl.concat([one.sets, other.sets]), ["file_a.csv", "file_b.csv"], choice)


@pytest.mark.parametrize(
    ("write", "unit", "how", "lost"),
    [
        (plain, "kg", SAME, "file_b.csv"),
        (in_pounds, "lb", ROUNDED, "file_b.csv"),
        (once, "kg", ONCE, "file_b.csv"),
        (with_warmups, "kg", NO_WARMUPS, "file_a.csv"),  # the copy that says more counts
    ],
)
def test_a_month_kept_twice_counts_once(
    tmp_path: Path, write: Write, unit: str, how: str, lost: str
) -> None:
    found = compare(tmp_path, file_text(plain), file_text(write), unit)
    assert found.copies["file_id"].unique().to_list() == [lost]
    assert found.copies.height == DAYS * len(LIFTS)
    assert how in found.copies["how"].to_list()
    assert found.kept["file_id"].unique().to_list() == [
        {"file_a.csv": "file_b.csv", "file_b.csv": "file_a.csv"}[lost]
    ]


@pytest.mark.parametrize("keep", ["file_a.csv", "file_b.csv", BOTH])
def test_the_choice_can_be_reversed(tmp_path: Path, keep: str) -> None:
    found = compare(tmp_path, file_text(plain), file_text(with_warmups), keep=keep)
    left = set(found.kept["file_id"].to_list())
    assert left == ({"file_a.csv", "file_b.csv"} if keep == BOTH else {keep})


@pytest.mark.parametrize("write", [next_session])
def test_two_real_sessions_of_every_day_stay(tmp_path: Path, write: Write) -> None:
    found = compare(tmp_path, file_text(plain), file_text(write))
    assert found.copies.filter(pl.col("exercise_id") != "pull_up").is_empty()
    assert found.kept.height == 2 * 3 * DAYS * len(LIFTS)


def test_an_accessory_done_alike_twice_a_day_stays(tmp_path: Path) -> None:
    """One shared lift of many is no evidence: the rest of the two sessions differs."""
    morning = file_text(plain)
    evening = HEAD + "".join(
        f"{FIRST + timedelta(days=3 * place)},{lift},{rest}\n"
        for place in range(DAYS)
        for lift, rest in (
            ("pull-up", f"0,{plan(place, 3)[1]}"),
            ("cable raise", "10,12"),
            ("plank", "0,1"),
            ("dumbbell curl", "12,10"),
        )
        for _ in range(3)
    )
    assert compare(tmp_path, morning, evening).copies.is_empty()


def test_few_days_rounded_alike_are_no_evidence(tmp_path: Path) -> None:
    """Two lifts alike but for the unit, on one day only: chance is not ruled out."""
    days = range(1)
    a = "\n".join(file_text(plain, days).splitlines()[:7]) + "\n"
    b = "\n".join(file_text(in_pounds, days).splitlines()[:7]) + "\n"
    assert compare(tmp_path, a, b, "lb").copies.is_empty()


def test_parts_of_the_day_keep_equal_sessions_apart(tmp_path: Path) -> None:
    def parted(part: str) -> str:
        lines = file_text(plain).splitlines()
        return "\n".join([lines[0] + ",When", *(f"{line},{part}" for line in lines[1:])]) + "\n"

    one = a_map(more={"session": "When"})
    first = tidy(tmp_path, parted("morning"), one, "a.csv")
    second = tidy(tmp_path, parted("evening"), one, "b.csv")
    found = find_repeats(pl.concat([first.sets, second.sets]), ["file_a.csv", "file_b.csv"])
    assert found.copies.is_empty()


def test_a_month_told_again_in_the_same_file_counts_once(tmp_path: Path) -> None:
    text = file_text(plain) + file_text(plain, range(4, 10)).removeprefix(HEAD)
    found = find_repeats(tidy(tmp_path, text).sets, ["file_log.csv"])
    assert found.copies.height == 6 * len(LIFTS)
    assert found.kept.height == 3 * DAYS * len(LIFTS)
    assert found.repeated == {"file_log.csv": 3 * 6 * len(LIFTS)}


def test_two_sessions_of_a_day_in_one_file_stay(tmp_path: Path) -> None:
    """Told one after the other, without another day between, they are two sessions."""
    lines = file_text(plain).removeprefix(HEAD).splitlines()
    size = 3 * len(LIFTS)
    days = [lines[start : start + size] for start in range(0, len(lines), size)]
    text = HEAD + "\n".join(line for day in days for line in (*day, *day)) + "\n"
    assert find_repeats(tidy(tmp_path, text).sets, ["file_log.csv"]).copies.is_empty()


def test_a_file_sorted_by_number_of_set_stays(tmp_path: Path) -> None:
    lines = file_text(plain).removeprefix(HEAD).splitlines()
    text = HEAD + "\n".join(line for number in range(3) for line in lines[number::3]) + "\n"
    found = find_repeats(tidy(tmp_path, text).sets, ["file_log.csv"])
    assert found.copies.is_empty()


def test_a_copy_says_where_both_stand(tmp_path: Path) -> None:
    (first, *_) = compare(tmp_path, file_text(plain), file_text(once)).copies.to_dicts()
    assert (first["row_no"], first["first_row_no"], first["sets"]) == (2, 2, 1)
