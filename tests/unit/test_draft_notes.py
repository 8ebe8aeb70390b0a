"""Maps drafted for notes: each style is read right with at most three answers; evidence is told."""

from pathlib import Path

import pytest

from pipeline.core.errors import InputError, SettingsError
from pipeline.sources.draft import draft_map
from pipeline.sources.draft_records import Readers
from tests.unit.drafting import days, draft, read_text, shipped_readers, small_readers, write
from tests.unit.note_styles import Style
from tests.unit.note_styles_more import STYLES
from tests.unit.test_notes_styles import is_balanced, read_notes, sets_found

UNDATED = "Mon 3/4\nsquat 100x5, 100x5\nWed 3/6\nbench 80x5\nFri 3/8\nsquat 102.5x5\n"


@pytest.fixture(scope="module")
def readers() -> Readers:
    """Readers that know the shipped exercises."""
    return shipped_readers()


@pytest.mark.parametrize("style", STYLES, ids=lambda style: style.name)
def test_a_style_is_drafted(style: Style, tmp_path: Path, readers: Readers) -> None:
    """What the file leaves open is asked; with the answers every set is found."""
    path = write(tmp_path, style.text, style.path)
    asked = draft_map(path, readers).questions
    right = {"units.load": style.unit, "dates.order": style.dates, "notation.order": style.order}
    assert len(asked) <= 3
    drafted, one = draft(path, readers, {question.key: right[question.key] for question in asked})
    assert drafted.questions == ()
    assert one.kind == "notes"
    found = read_notes(tmp_path, style.text, one, style.path)
    assert sets_found(found.sets) == list(style.found)
    assert is_balanced(found)


def test_the_evidence_for_dates_is_told(tmp_path: Path, readers: Readers) -> None:
    lines = [f"## {day} March 2016\n- Squat 3x5 @ {80 + day}kg\n" for day in range(1, 13)]
    drafted, _ = draft(write(tmp_path, "".join(lines), "log.md"), readers)
    assert "12 date lines as in '1 March 2016'" in drafted.evidence[0]
    text = "".join(f"{day}.{3 + day % 2}.2016\nSquat 3x5 @ 80kg\n" for day in (1, 3, 23, 25))
    _, one = draft(write(tmp_path, text, "short.txt"), readers)
    assert one.date_order == "dmy"


def test_weekdays_settle_the_order_of_dates(tmp_path: Path, readers: Readers) -> None:
    text = "Mon 4/3/2013\nSquat 3x5 @ 100kg\nFri 8/3/2013\nSquat 3x5 @ 100kg\n"
    drafted, one = draft(write(tmp_path, text, "log.txt"), readers)
    assert (one.date_order, drafted.questions) == ("dmy", ())
    assert "2 of 2 fall on the weekday beside them" in " ".join(drafted.evidence)


def test_notes_without_a_year_are_refused_with_the_years_that_fit(
    tmp_path: Path, readers: Readers
) -> None:
    path = write(tmp_path, UNDATED, "log.txt")
    with pytest.raises(InputError, match=r"lack the year.*2013, 2019, 2024"):
        draft_map(path, readers)
    _, one = draft(path, readers, {"dates.first_year": "2013", "units.load": "kg"})
    assert (one.first_year, one.date_order) == (2013, "mdy")
    with pytest.raises(SettingsError, match="write a year such as 2019"):
        draft_map(path, readers, {"dates.first_year": "last"})


def test_two_ways_to_write_three_numbers_are_told_apart(tmp_path: Path, readers: Readers) -> None:
    text = (
        "**Monday 4 Jan 2021**\n- Bench press: 80kg 3x8\n- Rows 70kg: 10, 10, 9\n"
        "**Wednesday 6 Jan 2021**\n- RDL 90x8x3\n- Curls 3x12 @ 15kg\n- Squat 100x5, 105x5\n"
    )
    drafted, one = draft(write(tmp_path, text, "log.md"), readers)
    assert drafted.questions == ()
    found = sets_found(read_notes(tmp_path, text, one, "log.md").sets)
    assert found[0][2] == ((80.0, 8),) * 3
    assert found[2][2] == ((90.0, 8),) * 3


def test_a_folder_with_a_file_a_day_gets_one_map(tmp_path: Path, readers: Readers) -> None:
    for day in (3, 6, 9, 12):
        write(tmp_path, f"Squat\n{60 + 2.5 * day:g} x 8\n62.5 x 8\n", f"2017-04-{day:02}.txt")
    drafted, one = draft(tmp_path / "2017-04-03.txt", readers)
    assert one.globs == ("*.txt",)
    assert one.columns == {"date": "(file name)"}
    assert [str(day) for day in drafted.first_sets["session_date"].unique()] == ["2017-04-03"]


def test_a_decimal_comma_is_found_in_the_lines(tmp_path: Path, readers: Readers) -> None:
    text = "5. März 2018\nBankdrücken 62,5 kg x 8, 8, 7\nKniebeuge 102,5 kg x 5, 5\n"
    _, one = draft(write(tmp_path, text, "log.txt"), readers)
    assert one.decimal == ","
    found = read_notes(tmp_path, text, one)
    assert found.sets["load_kg"].to_list() == [62.5, 62.5, 62.5, 102.5, 102.5]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("Dear diary,\n\ntoday it rained.\n", "no separator|no line"),
        ("4 March 2016\nwent for a walk\n", "no line below a whole date holds sets"),
    ],
)
def test_a_text_that_is_no_log_is_refused(
    tmp_path: Path, readers: Readers, text: str, told: str
) -> None:
    with pytest.raises(InputError, match=told):
        draft_map(write(tmp_path, text, "diary.txt"), readers)


def test_lines_that_begin_with_a_comment_sign_are_not_read(tmp_path: Path) -> None:
    one = read_text(
        'schema = 1\n[match]\nglobs = ["*"]\n[table]\nkind = "notes"\n[lines]\ncomments = ["//"]\n'
        '[units]\nload = "kg"\n[notation]\norder = "sets x reps @ load"\n'
    )
    text = "2016-03-04\n// squat 3x5@200\nsquat 3x5@100\n"
    found = read_notes(tmp_path, text, one)
    assert found.sets["load_kg"].to_list() == [100.0] * 3
    assert (found.counts.kept, found.counts.blank) == (1, 2)


def test_parts_of_sets_on_lines_of_their_own_are_drafted(tmp_path):
    text = "".join(
        f"{day}\nWeight: 82\nExercise: Back squat\nSets: 3\nReps: 8\nWeight: {80 + 2.5 * i} kg\n\n"
        for i, day in enumerate(days(6))
    )
    drafted, _ = draft(write(tmp_path, text, "log.txt"), small_readers())
    assert drafted.questions == ()
    assert drafted.first_sets.select("load_kg", "reps").rows()[:3] == [(80, 8)] * 3
    assert drafted.first_signals["value"].to_list() == [82] * 6
