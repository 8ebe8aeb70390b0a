"""Weeks that start on any weekday: of one day, of a column of days, and the warehouse's own."""

from datetime import date, timedelta

import duckdb
import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.core.calendar import (
    WEEKDAYS,
    iso_weekday,
    nearest_week_start,
    week_start_of,
    week_starts_of,
)
from pipeline.store.warehouse import build_warehouse, read_table, run_checks
from tests.unit.store_records import SETTINGS, one_lifter, one_set, record, rows

DAYS = st.dates(date(1950, 1, 1), date(2150, 12, 31))
STARTS = st.sampled_from(WEEKDAYS)
# A leap day, both ends of a year, and a turn of the century among them.
FORTNIGHTS = [
    first + timedelta(days=later)
    for first in (date(2024, 2, 24), date(2025, 12, 26), date(1999, 12, 28))
    for later in range(14)
]


@given(DAYS, STARTS)
def test_a_week_holds_its_day_and_starts_on_the_weekday_chosen(day: date, starts: str) -> None:
    first = week_start_of(day, starts)
    assert first <= day < first + timedelta(days=7)
    assert first.strftime("%A").lower() == starts
    assert week_start_of(first, starts) == first


@given(DAYS, STARTS)
def test_the_nearest_week_shares_most_days(day: date, starts: str) -> None:
    near = nearest_week_start(day, starts)
    assert near.isoweekday() == iso_weekday(starts)
    assert abs((near - day).days) <= 3


@given(st.lists(DAYS, min_size=1), STARTS)
def test_a_column_of_days_is_cut_as_one_day_is(days: list[date], starts: str) -> None:
    wanted = [week_start_of(day, starts) for day in days]
    assert week_starts_of(pl.Series(days), starts).to_list() == wanted
    frame = pl.DataFrame({"day": days}).select(week_starts_of(pl.col("day"), starts))
    assert frame["day"].to_list() == wanted


def test_monday_is_the_week_of_iso_8601() -> None:
    for day in FORTNIGHTS:
        year, week, _ = day.isocalendar()
        assert week_start_of(day, "monday") == date.fromisocalendar(year, week, 1)


@pytest.mark.parametrize("starts", WEEKDAYS)
def test_the_marts_cut_weeks_as_the_program_does(starts: str, tmp_path) -> None:
    days = [date(2025, 2, 24) + timedelta(days=later) for later in range(21)]
    sets = [one_set(i, "bench", session_date=day) for i, day in enumerate(days, 1)]
    weighed = [
        {"lifter_id": "a", "date": day, "signal": "body_weight_kg", "value": 80.0 + i}
        | {"unit": "kg", "file_id": "f", "row_no": i}
        for i, day in enumerate(days, 1)
    ]
    made = record(sets) | {"ref_lifter": one_lifter("a", week_starts_on=iso_weekday(starts))}
    path = tmp_path / "warehouse.duckdb"
    build_warehouse(path, made | {"tidy_signal": rows("tidy_signal", weighed)}, SETTINGS)
    cut = read_table(path, "mart_set_segment")
    assert cut["week_start"].to_list() == [week_start_of(d, starts) for d in cut["session_date"]]
    weeks = read_table(path, "mart_week_lifter").sort("week_start")
    first, last = week_start_of(days[0], starts), week_start_of(days[-1], starts)
    wanted = [first + timedelta(weeks=w) for w in range((last - first).days // 7 + 1)]
    assert weeks["week_start"].to_list() == wanted
    assert weeks["working_sets"].sum() == len(days)  # the same sets, whatever day weeks start on
    means = [
        sum(80.0 + i for i, day in enumerate(days, 1) if week <= day < week + timedelta(days=7))
        / sum(week <= day < week + timedelta(days=7) for day in days)
        for week in wanted
    ]
    assert weeks["body_weight_kg"].to_list() == pytest.approx(means)


def test_the_check_of_weeks_reads_the_weekday_chosen(tmp_path) -> None:
    path = tmp_path / "warehouse.duckdb"
    build_warehouse(path, record([one_set(1, "bench")]), SETTINGS)
    assert "week_complete" not in {broken.name for broken in run_checks(path)}
    with duckdb.connect(str(path)) as connection:
        connection.execute("update ref_lifter set week_starts_on = 7")
    assert "week_complete" in {broken.name for broken in run_checks(path)}
