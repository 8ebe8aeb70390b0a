"""Notes that number weeks and days only: refused, or dated from the first day that is answered."""

from datetime import date
from pathlib import Path

import pytest

from pipeline.core.errors import InputError, SettingsError
from tests.unit.drafting import draft, read_text, small_readers, write
from tests.unit.test_notes_dates import days_of, notes_map
from tests.unit.test_notes_styles import read_notes

MONDAY = date(2024, 3, 4)
LINES = {
    "apart": "Week {w}\nDay 1\nSquat 3x5@100\nDay 2\nSquat 3x5@80\nDay 3\nSquat 3x5@90\n",
    "one line": "## Week {w}, Day 1: squat\nSquat 3x5@100\n## Week {w} day 2\nSquat 3x5@80\n"
    "## Week {w} - Day 3 (easy)\nSquat 3x5@90\n",
    "short": "W{w}D1\nSquat 3x5@100\nW{w}D2\nSquat 3x5@80\nW{w}D3\nSquat 3x5@90\n",
    "german": "Woche {w}\nTag 1\nSquat 3x5@100\nTag 2\nSquat 3x5@80\nTag 3\nSquat 3x5@90\n",
}
THREE_A_WEEK = ["2024-03-04", "2024-03-06", "2024-03-08"]
NEXT = ["2024-03-11", "2024-03-13", "2024-03-15"]


def days(folder: Path, text: str) -> list[str]:
    return sorted(set(days_of(folder, text, notes_map(first_day=MONDAY))))


@pytest.mark.parametrize("style", LINES)
def test_days_are_counted_from_the_first(tmp_path: Path, style: str) -> None:
    text = "".join(LINES[style].format(w=w) for w in (1, 2))
    assert days(tmp_path, text) == [*THREE_A_WEEK, *NEXT]
    backwards = "".join(LINES[style].format(w=w) for w in (2, 1))
    assert days(tmp_path, backwards) == [*THREE_A_WEEK, *NEXT]


def test_weeks_without_days_and_weeks_that_begin_again(tmp_path: Path) -> None:
    weeks = "".join(f"Week {w}\nSquat 3x5@100\n" for w in (1, 2, 1, 2))
    assert days(tmp_path, weeks) == ["2024-03-04", "2024-03-11", "2024-03-18", "2024-03-25"]
    two = "Week 1\nDay 1\nSquat 3x5@100\nDay 2\nSquat 3x5@100\n"
    assert days(tmp_path, two) == ["2024-03-04", "2024-03-07"]


def test_titles_are_no_sentences_and_sets_no_titles(tmp_path: Path) -> None:
    text = "Week 1\nSquat 3x5@100\nday 2 of the cold, it still hurts a bit\nSquat 3x5@90\n"
    assert days(tmp_path, text) == ["2024-03-04"]


def test_without_an_answer_the_file_is_refused_with_the_key(tmp_path: Path) -> None:
    text = "".join(LINES["apart"].format(w=w) for w in (1, 2)).replace("Squat", "Back squat")
    path = write(tmp_path, text, "log.txt")
    with pytest.raises(InputError, match=r"--answer dates\.first_day=2019-03-04"):
        draft(path, small_readers())
    with pytest.raises(SettingsError, match="write a day such as"):
        draft(path, small_readers(), {"dates.first_day": "in March"})
    with pytest.raises(InputError, match=r"'Week 1' dates the rest once dates\.first_day"):
        days_of(tmp_path, text, notes_map())
    answers = {"dates.first_day": "2024-03-04", "units.load": "kg"}
    drafted, one = draft(path, small_readers(), answers)
    assert drafted.questions == ()
    assert one.first_day == MONDAY
    assert sorted({str(day) for day in drafted.first_sets["session_date"]}) == [
        *THREE_A_WEEK,
        *NEXT,
    ]


def test_derived_days_are_told(tmp_path: Path) -> None:
    text = "".join(LINES["apart"].format(w=w) for w in (1, 2))
    (told,) = read_notes(tmp_path, text, notes_map(first_day=MONDAY)).warnings
    assert told.startswith("8 dates are derived, not written: weeks counted from 4 Mar 2024")


def test_a_first_day_that_is_none() -> None:
    head = 'schema = 1\n[match]\nglobs = ["a"]\n[table]\nkind = "notes"\n[units]\nload = "kg"\n'
    for day in ('"2024-02-31"', "0001-01-01", "9999-12-31"):
        with pytest.raises(SettingsError, match=r"dates\.first_day = .*: no day of 1950 to 2199"):
            read_text(head + f"[dates]\nfirst_day = {day}\n")
    assert read_text(head + "[dates]\nfirst_day = 2024-03-04\n").first_day == MONDAY
