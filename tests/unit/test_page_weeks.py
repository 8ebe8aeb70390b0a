"""What pages count in weeks themselves: whole weeks of a pause, and the weeks of a year."""

from datetime import date, timedelta

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboards.prepare.annual.years import years_of
from dashboards.prepare.easing import whole_weeks
from dashboards.prepare.strips import StripFrames
from pipeline.core.calendar import WEEKDAYS, week_start_of

DAYS = st.dates(date(2015, 1, 1), date(2020, 12, 31))


@given(DAYS, st.integers(0, 60), DAYS, st.sampled_from(WEEKDAYS))
def test_whole_weeks_of_a_pause_are_those_that_fit_into_it(start, length, other, starts):
    end = start + timedelta(days=length)
    days = (start + timedelta(days=later) for later in range(length + 1))
    fits = [
        day for day in days if week_start_of(day, starts) == day and day + timedelta(days=6) <= end
    ]
    assert whole_weeks(start, end, week_start_of(other, starts)) == len(fits)


@pytest.mark.parametrize("starts", WEEKDAYS)
def test_a_week_belongs_to_the_year_of_its_first_day(starts):
    first, count = week_start_of(date(2018, 6, 15), starts), 150
    empty = pl.DataFrame()
    last = first + timedelta(weeks=count, days=-1)
    years = years_of(StripFrames(first, last, count, empty, empty, empty))
    assert [year.number for year in years] == [2021, 2020, 2019, 2018]
    for week in range(count):
        day = first + timedelta(weeks=week)
        (year,) = [year for year in years if year.w0 <= week < year.w1]
        assert (year.number, year.first <= day <= year.last) == (day.year, True)
    assert all(week_start_of(year.first, starts) == year.first for year in years)
