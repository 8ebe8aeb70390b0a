"""A mistyped year is doubted; gaps, late entries and sheets one after another are not."""

import random
from datetime import date, timedelta

import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.core.dictionary import conform
from pipeline.tidy.doubt_dates import find_date_doubts, split_strays

FIRST = date(2023, 9, 4)
DAYS = [FIRST + timedelta(days=3 * place) for place in range(60)]


def record(days: list[date], file_id: str = "a") -> pl.DataFrame:
    rows = [
        {"lifter_id": "ida", "session_date": day, "file_id": file_id, "row_no": place + 2}
        for place, day in enumerate(days)
    ]
    return conform("tidy_set", pl.DataFrame(rows))


def doubted(days: list[date]) -> list[int]:
    return find_date_doubts(record(days))["place"].to_list()


def test_a_record_in_order_of_days_is_not_doubted() -> None:
    assert doubted(DAYS) == []
    assert doubted(DAYS[::-1]) == []


def test_last_years_number_in_january_is_doubted_beside_its_neighbour() -> None:
    place = next(i for i, day in enumerate(DAYS) if day.year == 2024)
    days = [*DAYS]
    days[place] = days[place].replace(year=2023)
    found = find_date_doubts(record(days))
    assert found.select("place", "near").rows() == [(place, days[place - 1])]


def test_a_year_not_yet_begun_and_one_long_past_are_doubted() -> None:
    for year in (2014, 2026):
        days = [*DAYS]
        days[10] = days[10].replace(year=year)
        assert doubted(days) == [10]


def test_a_session_entered_late_is_not_a_slip_of_the_year() -> None:
    days = [*DAYS]
    days[10] = days[10] - timedelta(days=250)
    assert doubted(days) == []


ISO_SWAPPED = [(place, day) for place, day in enumerate(DAYS) if 2 < place < 57 and day.day <= 12]


@pytest.mark.parametrize(
    "place", [place for place, day in ISO_SWAPPED if abs(day.day - day.month) > 1]
)
@pytest.mark.parametrize("way", [1, -1])
def test_day_and_month_swapped_in_an_orderly_file_are_doubted(place: int, way: int) -> None:
    days = [*DAYS]
    days[place] = date(days[place].year, days[place].day, days[place].month)
    at = place if way == 1 else len(days) - 1 - place
    assert doubted(days[::way]) == [at]


def test_a_late_entry_that_fits_no_better_swapped_is_not_doubted() -> None:
    for late in (date(2023, 12, 9), date(2023, 11, 12), date(2024, 1, 8)):
        days = [*DAYS[:50], late, *DAYS[50:]]
        assert doubted(days) == []


@given(seed=st.integers(0, 999))
@settings(max_examples=50, deadline=None)
def test_an_unordered_file_has_no_swapped_days(seed: int) -> None:
    days = [*DAYS]
    random.Random(seed).shuffle(days)
    assert doubted(days) == []


def test_a_short_or_sparse_file_has_no_swapped_days() -> None:
    days = [*DAYS[12:18]]
    days[2] = date(days[2].year, days[2].day % 12 + 1, days[2].month)
    assert doubted(days) == []
    weeks = [FIRST + timedelta(days=30 * place) for place in range(30)]
    weeks[8] = date(weeks[8].year, weeks[8].day % 12 + 1, weeks[8].month)
    assert doubted(weeks) == []


def test_a_lift_after_another_in_one_file_is_not_doubted() -> None:
    assert doubted([*DAYS, *DAYS, *DAYS[:30]]) == []


def test_a_year_off_is_not_doubted() -> None:
    assert doubted([*DAYS[:30], *(day + timedelta(days=500) for day in DAYS[30:])]) == []


def test_one_early_day_is_no_beginning() -> None:
    days = [date(2002, 1, 5), *DAYS]
    assert doubted(days) == [0]
    assert split_strays(days) == ([date(2002, 1, 5)], DAYS)


def test_three_early_days_or_a_short_gap_are_a_beginning() -> None:
    early = [date(2020, 1, day) for day in (3, 5, 8)]
    assert split_strays([*early, *DAYS]) == ([], [*early, *DAYS])
    near = FIRST - timedelta(days=200)
    assert split_strays([near, *DAYS]) == ([], [near, *DAYS])


def test_a_short_record_has_no_strays() -> None:
    days = [date(2002, 1, 5), *DAYS[:4]]
    assert split_strays(days) == ([], days)
