"""An order of dates that changes half-way is found and written; weekdays alone are refused."""

from datetime import date, timedelta
from pathlib import Path

import pytest

from pipeline.core.errors import InputError, SettingsError
from pipeline.core.source import OrderChange
from pipeline.sources.draft_order_change import find_turn
from pipeline.sources.draft_records import Notebook
from pipeline.tidy.dates import order_on
from tests.unit.drafting import draft, read_text, small_readers, write
from tests.unit.reading import a_map, raw_file, reasons, tidy
from tests.unit.workbooks import workbook

DAYS = [date(2019, 1, 2) + timedelta(3 * i) for i in range(40)]
DMY = [f"{day.day}/{day.month}/{day.year}" for day in DAYS]
MDY = [f"{day.month}/{day.day}/{day.year}" for day in DAYS]
AT = 20  # 3 March; until 12 March either order reads the dates
HEAD = "Date,Exercise,Weight,Reps\n"


def table(dates: list[str]) -> str:
    """Two rows a date."""
    return HEAD + "\n".join(f"{day},Back squat,{load},5" for day in dates for load in (82.5, 102.5))


def read_with(tmp_path: Path, text: str, toml: str, path: str = "log.csv"):
    return tidy(tmp_path, text, read_text(toml), path)


@pytest.mark.parametrize(("first", "second"), [(DMY, MDY), (MDY, DMY)])
def test_an_order_that_changes_half_way_is_drafted(tmp_path: Path, first, second) -> None:
    text = table([*first[:AT], *second[AT:]])
    drafted, one = draft(write(tmp_path, text), small_readers())
    assert drafted.questions == ()
    orders = ("dmy", "mdy") if first is DMY else ("mdy", "dmy")
    # 3/3 reads alike, so that the first row to read otherwise is the one of the day behind it
    assert one.date_order == orders[0]
    assert [change.order for change in one.order_changes] == [orders[1]]
    told = next(line for line in drafted.evidence if "order of dates changes" in line)
    assert "the day first" in told
    assert "the month first" in told
    assert drafted.first_sets["session_date"].to_list()[::2] == DAYS[:10]


def test_the_drafted_rows_read_every_day_as_it_was(tmp_path: Path) -> None:
    text = table([*DMY[:AT], *MDY[AT:]])
    drafted, one = draft(write(tmp_path, text), small_readers())
    assert one.globs == ("log.csv",)
    found = read_with(tmp_path, text, drafted.toml)
    assert found.sets["session_date"].to_list()[::2] == DAYS


def test_a_wide_table_a_sheet_and_notes_too(tmp_path: Path) -> None:
    dates = [*DMY[:AT], *MDY[AT:]]
    wide = "Date,Back squat,Bench press\n" + "\n".join(f"{d},100x5,60x5" for d in dates)
    drafted, _ = draft(write(tmp_path, wide), small_readers())
    assert read_with(tmp_path, wide, drafted.toml).sets["session_date"].to_list()[::2] == DAYS
    rows = [["Date", "Exercise", "Weight", "Reps"], *([d, "Back squat", 100, 5] for d in dates)]
    path = tmp_path / "log.xlsx"
    path.write_bytes(workbook({"Log": rows}))
    drafted, one = draft(path, small_readers())
    assert one.order_changes[0].from_row > 0
    assert drafted.first_sets.height == 20
    found = tidy(tmp_path, path.read_bytes(), one, "log.xlsx")
    assert found.sets["session_date"].to_list() == DAYS
    notes = "\n".join(f"{day}\nBack squat 102.5x5\n" for day in dates)
    drafted, one = draft(write(tmp_path, notes, "log.txt"), small_readers(), {"units.load": "kg"})
    assert drafted.questions == ()
    found = read_with(tmp_path, notes, drafted.toml, "log.txt")
    assert sorted(found.sets["session_date"].unique()) == DAYS


def test_a_date_written_once_for_the_rows_below(tmp_path: Path) -> None:
    rows = [
        row
        for day in [*DMY[:AT], *MDY[AT:]]
        for row in (f"{day},Back squat,80,5", ",Back squat,100,5")
    ]
    text = HEAD + "\n".join(rows)
    drafted, one = draft(write(tmp_path, text), small_readers())
    assert one.fill_down == ("date",)
    assert read_with(tmp_path, text, drafted.toml).sets["session_date"].to_list()[::2] == DAYS


def test_asked_where_several_rows_do_as_well(tmp_path: Path) -> None:
    """Sessions in April and in July with nothing in order between them."""
    dates = ["13/2/2019", "20/2/2019", "27/2/2019", "3/4/2019", "4/6/2019"]
    dates += ["7/15/2019", "7/22/2019", "7/29/2019"]
    with_date = write(tmp_path, table(dates))
    drafted, _ = draft(with_date, small_readers(), {"units.load": "kg"})
    (question,) = drafted.questions
    assert question.key == "dates.changes"
    assert "mdy from 4/6/2019 on, dmy before" in question.choices
    answers = {"units.load": "kg", "dates.changes": "mdy from 4/6/2019 on, dmy before"}
    drafted, one = draft(with_date, small_readers(), answers)
    assert drafted.questions == ()
    assert one.order_changes == (OrderChange(10, "4/6/2019", "mdy"),)


@pytest.mark.parametrize(
    "texts", [DMY, MDY, [*DMY, "4/25/2019"], [str(day) for day in DAYS], [*DMY, *MDY, *DMY]]
)
def test_one_order_and_single_slips_are_none_of_it(texts) -> None:
    book = Notebook()
    assert find_turn(texts, small_readers(), None, book) is None
    assert (book.evidence, book.questions) == ([], [])


CHANGED = a_map(
    date_order="dmy",
    order_changes=(OrderChange(3, "3/6/2019", "mdy"), OrderChange(5, "4/6/2019", "dmy")),
)
LOG = (
    "Date,Lift,Load,Reps\n5/3/2019,bp,60,5\n3/6/2019,bp,60,5\n3/8/2019,bp,60,5\n4/6/2019,bp,60,5\n"
)


def test_rows_are_read_in_the_order_stated_for_them(tmp_path: Path) -> None:
    assert [order_on(CHANGED, row) for row in (1, 2, 3, 4, 5, 99)] == [
        *("dmy", "dmy", "mdy", "mdy", "dmy", "dmy")
    ]
    days = tidy(tmp_path, LOG, CHANGED).sets["session_date"].to_list()
    assert days == [date(2019, 3, 5), date(2019, 3, 6), date(2019, 3, 8), date(2019, 6, 4)]


def test_a_fault_names_the_date_as_it_stands(tmp_path: Path) -> None:
    found = tidy(tmp_path, LOG.replace("3/8/2019", "13/8/2019"), CHANGED)
    assert reasons(found) == [(4, "impossible date")]
    assert found.set_aside["detail"][0].startswith("Date '13/8/2019': no day 8 in month 13")
    assert "read as mdy" in found.set_aside["detail"][0]


def test_a_file_that_grew_above_the_row_is_refused(tmp_path: Path) -> None:
    grown = LOG.replace("Reps\n", "Reps\n1/3/2019,bp,60,5\n")
    told = "line 3: dates.changes of maps/test.toml expects '3/6/2019' here, where '5/3/2019'"
    with pytest.raises(InputError, match=told):
        tidy(tmp_path, grown, CHANGED)
    with pytest.raises(InputError, match="where no date is written"):
        tidy(tmp_path, LOG[: LOG.index("4/6")], CHANGED)


def test_two_changes_in_one_row_are_refused() -> None:
    toml = (
        'schema = 1\n[match]\nglobs = ["a.csv"]\n[table]\nkind = "notes"\n[units]\nload = "kg"\n'
        '[dates]\nchanges = [{from_row = 3, expect = "a", order = "mdy"}, '
        '{from_row = 3, expect = "b", order = "dmy"}]\n'
    )
    with pytest.raises(SettingsError, match=r"dates\.changes: two from row 3: keep one"):
        read_text(toml)


def test_raw_rows_of_a_changed_order_are_kept_as_written(tmp_path: Path) -> None:
    assert raw_file(tmp_path, LOG, CHANGED).frame["Date"].to_list()[1] == "3/6/2019"


def test_weekdays_alone_date_nothing(tmp_path: Path) -> None:
    days = ["Monday", "Wednesday", "Friday"] * 5
    rows = "\n".join(f"{day},Back squat,100,5" for day in days)
    with pytest.raises(InputError, match="'Day' holds weekdays only, which date nothing"):
        draft(write(tmp_path, f"Day,Exercise,Weight,Reps\n{rows}\n"), small_readers())
    text = "\n\n".join(f"{day}:\nBack squat 100x5" for day in days)
    with pytest.raises(InputError, match="weekdays name the days, and they date nothing"):
        draft(write(tmp_path, text, "log.txt"), small_readers())
