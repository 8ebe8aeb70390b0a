"""Dates that no map can read are refused: an order that changes half-way, weekdays alone."""

from datetime import date, timedelta
from pathlib import Path

import pytest

from pipeline.core.errors import InputError
from pipeline.sources.draft_order_change import refuse_change
from tests.unit.drafting import draft, small_readers, write

DAYS = [date(2019, 1, 2) + timedelta(3 * i) for i in range(40)]
DMY = [f"{day.day}/{day.month}/{day.year}" for day in DAYS]
MDY = [f"{day.month}/{day.day}/{day.year}" for day in DAYS]


@pytest.mark.parametrize(("first", "second"), [(DMY, MDY), (MDY, DMY)])
def test_an_order_that_changes_half_way_is_refused(tmp_path: Path, first, second) -> None:
    rows = [f"{day},Back squat,100,5" for day in [*first[:20], *second[20:]]]
    path = write(tmp_path, "Date,Exercise,Weight,Reps\n" + "\n".join(rows) + "\n")
    with pytest.raises(InputError, match="the day first") as caught:
        draft(path, small_readers())
    assert "the month first" in str(caught.value)
    assert "split the file where the order changes" in str(caught.value)


def test_notes_too(tmp_path: Path) -> None:
    lines = [f"{day}\nBack squat 100x5\n" for day in [*DMY[:20], *MDY[20:]]]
    with pytest.raises(InputError, match="split the file where the order changes"):
        draft(write(tmp_path, "\n".join(lines), "log.txt"), small_readers())


@pytest.mark.parametrize(
    "texts", [DMY, MDY, [*DMY, "4/25/2019"], [str(day) for day in DAYS], [*DMY, *MDY, *DMY]]
)
def test_one_order_and_single_slips_are_none_of_it(texts) -> None:
    refuse_change(texts, "log.csv")


def test_weekdays_alone_date_nothing(tmp_path: Path) -> None:
    days = ["Monday", "Wednesday", "Friday"] * 5
    rows = "\n".join(f"{day},Back squat,100,5" for day in days)
    with pytest.raises(InputError, match="'Day' holds weekdays only, which date nothing"):
        draft(write(tmp_path, f"Day,Exercise,Weight,Reps\n{rows}\n"), small_readers())
    text = "\n\n".join(f"{day}:\nBack squat 100x5" for day in days)
    with pytest.raises(InputError, match="weekdays name the days, and they date nothing"):
        draft(write(tmp_path, text, "log.txt"), small_readers())
