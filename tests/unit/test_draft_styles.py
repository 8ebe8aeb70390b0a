"""Drafting from notes in less common styles: slashes, six digits, labels before the date."""

from pathlib import Path

import pytest

from pipeline.core.errors import InputError
from pipeline.sources.draft import draft_map
from pipeline.sources.draft_records import Draft
from tests.unit.drafting import small_readers

WEEKS = range(1, 10)


def draft(folder: Path, text: str, name: str = "log.txt", **answers: str) -> Draft:
    path = folder / name
    path.write_text(text, "utf-8")
    return draft_map(path, small_readers(), {k.replace("__", "."): v for k, v in answers.items()})


def first(found: Draft, n: int = 3) -> list[tuple[str, float | None, int | None]]:
    return found.first_sets.select("exercise_id", "load_kg", "reps").rows()[:n]


def keys(found: Draft) -> list[str]:
    return [question.key for question in found.questions]


@pytest.mark.parametrize(
    ("line", "order"),
    [
        ("back squat {load}/5 {load}/5 {load}/4", "load / reps"),
        ("back squat 5/{load} 5/{load} 4/{load}", "reps / load"),
        ("back squat 5/{load}, 5/{load}, 4/{load}", "reps / load"),
    ],
)
def test_which_number_of_a_slash_pair_is_the_load_shows(tmp_path, line, order):
    days = [f"2018-01-{7 + w:02}\n{line.format(load=80 + 2.5 * w)}\n" for w in WEEKS]
    found = draft(tmp_path, "\n".join(days))
    assert f'order = "{order}"' in found.toml
    assert "notation.order" not in keys(found)
    assert first(found) == [("back_squat", 82.5, reps) for reps in (5, 5, 4)]


def test_slash_pairs_with_a_decimal_comma(tmp_path):
    days = [f"2018-01-{7 + w:02}\nKniebeuge 5/{60 + w},5 5/{60 + w}\n" for w in WEEKS]
    found = draft(tmp_path, "\n".join(days))
    assert first(found, 2) == [("back_squat", 61.5, 5), ("back_squat", 61.0, 5)]


def test_slash_pairs_of_two_likely_loads_are_a_question(tmp_path):
    days = [f"2018-01-{7 + w:02}\ndumbbell lateral raise 10/12 12/{9 + w % 3}\n" for w in WEEKS]
    assert "notation.order" in keys(draft(tmp_path, "\n".join(days)))


def test_repetitions_with_slashes_are_no_loads(tmp_path):
    days = [
        f"2018-01-{7 + w:02}\nback squat 80/5 82.5/5\npull-up 8/7/6\npull-up 10/8\n" for w in WEEKS
    ]
    found = draft(tmp_path, "\n".join(days))
    assert first(found, 5)[2:] == [("pull_up", None, reps) for reps in (8, 7, 6)]
    assert all(load is None or load > 10 for _, load, _ in first(found, 20))


@pytest.mark.parametrize(
    "title", ["W1D1 2018-01-08:", "Week 1 day 2 - 2018-01-08 -", "Push 2018-01-08:"]
)
@pytest.mark.parametrize("sign", [" / ", " | ", "; "])
def test_lifts_on_the_line_of_a_date_behind_a_label(tmp_path, title, sign):
    lifts = sign.join(["back squat 3x5@80", "bench press 2x5@60"])
    found = draft(tmp_path, f"{title} {lifts}\n")
    assert first(found, 5) == [("back_squat", 80, 5)] * 3 + [("bench_press", 60, 5)] * 2


def test_a_sentence_with_a_date_opens_no_day(tmp_path):
    found = draft(
        tmp_path, "2018-01-08\nback squat 3x5@80\nbest 2016-03-01: 140 kg\nbench press 60x8\n"
    )
    assert {str(day) for day in found.first_sets["session_date"]} == {"2018-01-08"}


def test_repetitions_at_one_load(tmp_path):
    days = [
        f"2018-01-{7 + w:02}\nback squat: 5 5 4 @ 80 kg\nbench press: 5 4 @ 60 kg\n" for w in WEEKS
    ]
    found = draft(tmp_path, "\n".join(days))
    assert first(found, 5)[2:] == [
        ("back_squat", 80, 4),
        ("bench_press", 60, 5),
        ("bench_press", 60, 4),
    ]
    pairs = [f"2018-01-{7 + w:02}\nback squat: 5 4 @ 80 kg\n" for w in WEEKS]
    assert "notation.order" in keys(draft(tmp_path, "\n".join(pairs)))


@pytest.mark.parametrize(
    ("days", "order"),
    [
        (["180108", "180110", "180115", "180201"], "ymd"),
        (["080118", "100118", "150118", "010218"], "dmy"),
        (["010818", "011018", "011518", "020118"], "mdy"),
    ],
)
def test_six_digits_are_dates_in_the_order_in_which_they_go_on(tmp_path, days, order):
    found = draft(tmp_path, "\n".join(f"{day}\nback squat 80x5\n" for day in days))
    assert f'order = "{order}"' in found.toml
    assert "dates.order" not in keys(found)
    told = [str(day) for day in found.first_sets["session_date"]]
    assert told == ["2018-01-08", "2018-01-10", "2018-01-15", "2018-02-01"]


def test_six_digits_that_leave_the_order_open_are_a_question(tmp_path):
    days = ["100109", "110109", "120209"]
    found = draft(tmp_path, "\n".join(f"{day}\nback squat 80x5\n" for day in days))
    assert "dates.order" in keys(found)


def test_six_digits_within_dated_notes_are_no_dates(tmp_path):
    text = "2018-01-08\n483920\nback squat 80x5\n\n2018-01-10\n119922\nback squat 80x5\n"
    found = draft(tmp_path, text)
    assert [str(day) for day in found.first_sets["session_date"]] == ["2018-01-08", "2018-01-10"]


def test_notes_with_a_comma_a_line_are_no_table(tmp_path):
    lifts = "back squat: 5 x 135, 3x5 x 175\nbench press: 5 x 135, 3x5 x {load}\n"
    days = [f"1/{7 + w}/18\n{lifts.format(load=100 + 5 * w)}" for w in WEEKS]
    found = draft(tmp_path, "\n".join(days))
    assert 'kind = "notes"' in found.toml
    assert [row[2] for row in first(found, 4)] == [5, 5, 5, 5]
    assert {line.match.exercise_id for line in found.names} == {"back_squat", "bench_press"}


def test_a_wide_table_of_unknown_labels_is_a_question(tmp_path):
    rows = "\n".join(f"2018-01-{7 + w:02},3x5x80,3x5x60" for w in WEEKS)
    text = f"date,first thing,second thing\n{rows}\n"
    assert "columns.exercises" in keys(draft(tmp_path, text, "log.csv"))
    with pytest.raises(InputError, match="first thing"):
        draft(tmp_path, text, "log.csv", columns__exercises="no")


def test_thirties_are_weights_for_two_hands(tmp_path):
    days = [f"2018-01-{7 + w:02}\ndumbbell lateral raise: 30s x 10, 10, 9\n" for w in WEEKS]
    found = draft(tmp_path, "\n".join(days), units__load="kg")
    assert first(found) == [("lateral_raise", 60, reps) for reps in (10, 10, 9)]
