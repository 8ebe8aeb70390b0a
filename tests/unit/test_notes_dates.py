"""Dates in notes: how they may be written, where the year comes from, and when they are refused."""

from datetime import date
from pathlib import Path

import polars as pl
import pytest

from pipeline.core.errors import InputError
from pipeline.core.source import FILE_NAME, SourceMap
from tests.unit.test_notes_styles import is_balanced, read_notes


def notes_map(order: str = "ymd", **more: object) -> SourceMap:
    """A plain map of notes in kilograms."""
    columns = more.pop("columns", {})
    return SourceMap(
        name="notes",
        kind="notes",
        globs=("*",),
        columns=columns,  # type: ignore[arg-type]
        date_order=order,
        unit="kg",
        notation_order="sets x reps @ load; load x reps",
        **more,  # type: ignore[arg-type]
    )


def days_of(folder: Path, text: str, one: SourceMap, path: str = "log.txt") -> list[str]:
    """Days of the sets found, in the order of the file; all lines are accounted for."""
    found = read_notes(folder, text, one, path)
    assert is_balanced(found)
    return [day.isoformat() for day in found.sets["session_date"]]


@pytest.mark.parametrize(
    ("line", "order"),
    [
        ("2016-03-04", "ymd"),
        ("2016/3/4 Leg day", "ymd"),
        ("20160304", "ymd"),
        ("04.03.16", "dmy"),
        ("4. 3. 2016", "dmy"),
        ("3/4/2016 (Fri)", "mdy"),
        ("Date: 04/03/2016", "dmy"),
        ("Friday, March 4th, 2016", "ymd"),
        ("Fri 4 Mar '16", "ymd"),
        ("4. März 2016, abends", "ymd"),
        ("vendredi 4 mars 2016", "ymd"),
        ("viernes 4 de marzo de 2016", "ymd"),
        ("## Push A (4 March 2016)", "ymd"),
        ("* <2016-03-04 Fri>", "ymd"),
        ("*** 2016-03-04 18:30 - 19:40 ***", "ymd"),
        ("Workout #12 - 2016-03-04", "ymd"),
        ("Day 1 - 3/4/2016", "mdy"),
        ("Session 12: 3/4/16", "mdy"),
        ("=== 4-Mar-2016 ===", "ymd"),
        ("2016年3月4日", "ymd"),
        ("Leg day, 4 March 2016", "ymd"),
        ("**2016-03-04** - Push", "ymd"),
        ("> 2016-03-04", "ymd"),
        ("2016-03-04T18:30 | gym B", "ymd"),
    ],
)
def test_a_date_line(tmp_path: Path, line: str, order: str) -> None:
    assert days_of(tmp_path, f"{line}\nsquat 1x5@100\n", notes_map(order)) == ["2016-03-04"]


@pytest.mark.parametrize(
    "line",
    [
        "Started creatine on 4 March 2017",
        "set 1: 60 x 8",
        "60/8/3",
        "Dec. bench 20x8",
        "knee hurts since 3/4",
        "8/8/7",
        "week 3, day 2",
    ],
)
def test_no_date_line(tmp_path: Path, line: str) -> None:
    text = f"2016-03-04\nsquat 1x5@100\n{line}\nsquat 1x5@105\n2016-03-07\nsquat 1x5@100\n"
    found = read_notes(tmp_path, text, notes_map())
    assert set(found.sets["session_date"]) == {date(2016, 3, 4), date(2016, 3, 7)}


def test_years_roll_over_in_either_direction(tmp_path: Path) -> None:
    days = ["27.12.", "30.12.", "3.1.", "5.6.", "2.1."]
    told = ["2017-12-27", "2017-12-30", "2018-01-03", "2018-06-05", "2019-01-02"]
    one = notes_map("dmy", first_year=2017)
    up = "".join(f"{day}\nsquat 1x5@100\n" for day in days)
    down = "".join(f"{day}\nsquat 1x5@100\n" for day in reversed(days))
    assert days_of(tmp_path, up, one) == told
    assert days_of(tmp_path, down, one) == told[::-1]


def test_one_day_out_of_order_is_no_turn_of_a_year(tmp_path: Path) -> None:
    text = "".join(f"{day}\nsquat 1x5@100\n" for day in ("1.3.", "8.3.", "5.3.", "12.3."))
    told = ["2017-03-01", "2017-03-08", "2017-03-05", "2017-03-12"]
    assert days_of(tmp_path, text, notes_map("dmy", first_year=2017)) == told


def test_each_heading_of_a_year_holds_for_all_below_it(tmp_path: Path) -> None:
    text = "# 2018\n3/1\nsquat 1x5@100\n30/12\nsquat 1x5@100\n# 2019\n2/1\nsquat 1x5@100\n"
    assert days_of(tmp_path, text, notes_map("dmy")) == ["2018-01-03", "2018-12-30", "2019-01-02"]


def test_the_year_stands_beside_the_month(tmp_path: Path) -> None:
    text = "December 2018\nFri 28\nsquat 1x5@100\nJanuary 2019\nWed 2nd\nsquat 1x5@100\n"
    assert days_of(tmp_path, text, notes_map()) == ["2018-12-28", "2019-01-02"]


def test_years_written_once_hold_on(tmp_path: Path) -> None:
    text = "3 March 2018\nsquat 1x5@100\n6 March\nsquat 1x5@100\n4 January\nsquat 1x5@100\n"
    assert days_of(tmp_path, text, notes_map()) == ["2018-03-03", "2018-03-06", "2019-01-04"]


def test_two_years_in_the_name_mean_the_first_for_the_earliest(tmp_path: Path) -> None:
    text = "28.12.\nsquat 1x5@100\n4.1.\nsquat 1x5@100\n"
    one = notes_map("dmy", year_from="file name")
    assert days_of(tmp_path, text, one, "2015-2016.txt") == ["2015-12-28", "2016-01-04"]


def test_the_file_is_named_by_its_day(tmp_path: Path) -> None:
    one = notes_map(columns={"date": FILE_NAME})
    assert days_of(tmp_path, "squat 1x5@100\n", one, "2019-03-05 legs.md") == ["2019-03-05"]


def test_weekdays_between_dates_are_placed_where_one_way_fits(tmp_path: Path) -> None:
    text = "Mon 2016-03-07\nsquat 1x5@100\nWed\nsquat 1x5@101\nMon 2016-03-14\nsquat 1x5@102\n"
    assert days_of(tmp_path, text, notes_map()) == ["2016-03-07", "2016-03-09", "2016-03-14"]


def test_a_weekday_that_fits_two_weeks_is_set_aside(tmp_path: Path) -> None:
    text = "Mon 2016-03-07\nsquat 1x5@100\nWed\nsquat 1x5@101\nMon 2016-03-28\nsquat 1x5@102\n"
    found = read_notes(tmp_path, text, notes_map())
    assert found.set_aside.select("row_no", "reason").rows() == [(4, "weekday without a date")]


def test_a_year_that_has_not_come_sets_its_lines_aside(tmp_path: Path) -> None:
    text = "2024-03-07\nsquat 1x5@100\n2042-03-09\nsquat 1x5@100\nfine\n"
    found = read_notes(tmp_path, text, notes_map())
    assert found.set_aside.select("row_no", "reason").rows() == [(4, "date to come")]
    assert "2042-03-09" in found.set_aside["detail"][0]


def test_repetitions_are_not_taken_for_dates(tmp_path: Path) -> None:
    """Decimals and repetitions that would be days of the calendar do not go one way."""
    text = (
        "2016-03-04\nsquat 100kg\n5/5/4\n5/4/4\n3/3\ncurl\n12.5 x 8\n12.5 x 7\n7.5 x 12\n"
        "2016-03-08\nsquat 100kg\n5/5/5\n6/5\n"
    )
    found = read_notes(tmp_path, text, notes_map())
    assert set(found.sets["session_date"]) == {date(2016, 3, 4), date(2016, 3, 8)}
    squats = found.sets.filter(pl.col("exercise_id") == "back_squat")
    assert squats["reps"].to_list() == [5, 5, 4, 5, 4, 4, 3, 3, 5, 5, 5, 6, 5]
    assert set(squats["load_kg"]) == {100.0}


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("squat 3x5@100\nbench 3x5@70\n", "no line is a date"),
        ("3/4\nsquat 3x5@100\n6/4\nsquat 3x5@100\n", "lack the year"),
        (
            "Mon 4 Mar\nsquat 3x5@100\nWed 6 Mar\nsquat 3x5@100\n",
            "fit 1991, 1996, 2002, 2013, 2019",
        ),
    ],
)
def test_notes_that_cannot_be_dated_are_refused(tmp_path: Path, text: str, told: str) -> None:
    with pytest.raises(InputError, match=told):
        read_notes(tmp_path, text, notes_map("dmy"))


def test_a_year_that_the_weekdays_contradict_is_refused(tmp_path: Path) -> None:
    text = "Mon 4 Mar\nsquat 3x5@100\nWed 6 Mar\nsquat 3x5@100\n"
    with pytest.raises(InputError, match=r"another weekday.*years that fit: .*2013"):
        read_notes(tmp_path, text, notes_map("dmy", first_year=2014))
    assert days_of(tmp_path, text, notes_map("dmy", first_year=2013))[0] == "2013-03-04"


def test_another_weekday_beside_a_whole_date_is_told_and_kept(tmp_path: Path) -> None:
    found = read_notes(tmp_path, "Mon 2016-03-04\nsquat 1x5@100\n", notes_map())
    assert found.sets["session_date"].to_list() == [date(2016, 3, 4)]
    assert "line 1 (2016-03-04)" in found.warnings[0]


@pytest.mark.parametrize(
    ("line", "order", "told"),
    [
        ("2016-13-05", "ymd", "impossible date"),
        ("## 2016-03-45 Push", "ymd", "impossible date"),
        ("Tue 2016.00.05 18:30", "ymd", "impossible date"),
        ("32 March 2016", "dmy", "impossible date"),
        ("45.03.2016", "dmy", "impossible date"),
        ("2016-13-05 squat 3x5@90", "ymd", "impossible date"),
        ("0001-01-01", "ymd", "date too early"),
        ("0000-01-01", "ymd", "impossible date"),
        ("9999-12-31", "ymd", "date to come"),
    ],
)
def test_sets_beneath_a_date_of_no_calendar_get_no_other_day(
    tmp_path: Path, line: str, order: str, told: str
) -> None:
    text = f"4 March 2016\nsquat 1x5@100\n\n{line}\nsquat 1x5@101\n\n8 March 2016\nsquat 1x5@102\n"
    found = read_notes(tmp_path, text, notes_map(order))
    assert is_balanced(found)
    assert found.sets["session_date"].to_list() == [date(2016, 3, 4), date(2016, 3, 8)]
    assert found.set_aside["row_no"].to_list()[-1] == 5
    assert set(found.set_aside["reason"]) == {told}
