"""Dates as people write them."""

from datetime import date
from pathlib import Path

import pytest

from pipeline.core.errors import InputError
from pipeline.core.source import SourceFile
from pipeline.tidy.cells import CellError
from pipeline.tidy.dates import read_date, year_in_name

LIMIT = date(2025, 6, 30)


@pytest.mark.parametrize(
    ("text", "order", "year", "day"),
    [
        ("2019-03-05", "dmy", None, date(2019, 3, 5)),
        ("2019/3/5", "mdy", None, date(2019, 3, 5)),
        ("20190305", "dmy", None, date(2019, 3, 5)),
        ("2019-03-05T18:30:00+01:00", "ymd", None, date(2019, 3, 5)),
        ("2019-03-05 6:30 pm", "ymd", None, date(2019, 3, 5)),
        ("05.03.2019", "dmy", None, date(2019, 3, 5)),
        ("5. 3. 19", "dmy", None, date(2019, 3, 5)),
        ("3/5/2019", "mdy", None, date(2019, 3, 5)),
        ("3/5/19", "mdy", None, date(2019, 3, 5)),
        ("19-03-05", "ymd", None, date(2019, 3, 5)),
        ("Tue 5.3.2019", "dmy", None, date(2019, 3, 5)),
        ("Di., 05.03.2019", "dmy", None, date(2019, 3, 5)),
        ("5 Mar 2019", "ymd", None, date(2019, 3, 5)),
        ("5. März 2019", "dmy", None, date(2019, 3, 5)),
        ("5-Mar-19", "dmy", None, date(2019, 3, 5)),
        ("March 5th, 2019", "ymd", None, date(2019, 3, 5)),
        ("2019 March 5", "ymd", None, date(2019, 3, 5)),
        ("mardi 5 mars 2019", "dmy", None, date(2019, 3, 5)),
        ("5 juin 2019", "dmy", None, date(2019, 6, 5)),
        ("5 juillet 2019", "dmy", None, date(2019, 7, 5)),
        ("5.3.", "dmy", 2019, date(2019, 3, 5)),
        ("3/5", "mdy", 2019, date(2019, 3, 5)),
        ("03-05", "ymd", 2019, date(2019, 3, 5)),
        ("5 Mar", "dmy", 2019, date(2019, 3, 5)),
        ("5.3.2018", "dmy", 2019, date(2018, 3, 5)),
        ("5.3.97", "dmy", None, date(1997, 3, 5)),
        ("30.6.25", "dmy", None, date(2025, 6, 30)),
    ],
)
def test_dates_are_read(text: str, order: str, year: int | None, day: date) -> None:
    assert read_date(text, order, year, LIMIT) == day


@pytest.mark.parametrize(
    ("text", "order", "reason", "remedy"),
    [
        ("31.02.2019", "dmy", "impossible date", "no day 31 in month 2 of 2019, read as dmy"),
        ("05/13/2019", "dmy", "impossible date", "no day 5 in month 13 of 2019, read as dmy"),
        ("1.7.2025", "dmy", "date to come", "1 Jul 2025 is after 30 Jun 2025"),
        ("5.3.26", "dmy", "date to come", "5 Mar 2026 is after 30 Jun 2025"),
        ("1.1.1949", "dmy", "date too early", "1 Jan 1949 is before 1 Jan 1950"),
        ("05.03.2019", "ymd", "date not understood", "dates.order"),
        ("5.3.", "dmy", "date without a year", "dates.year_from"),
        ("Week 12", "dmy", "date not understood", "write it like 2019-03-05"),
        ("5.3.2019 heavy", "dmy", "date not understood", "write it like 2019-03-05"),
        ("5.3.219", "dmy", "date not understood", "write it like 2019-03-05"),
        ("0000-00-00", "ymd", "impossible date", "no day 0 in month 0"),
        ("²019-01-01", "ymd", "date not understood", "write it like"),
    ],
)
def test_what_is_no_date_says_why(text: str, order: str, reason: str, remedy: str) -> None:
    with pytest.raises(CellError) as error:
        read_date(text, order, None, LIMIT)
    assert error.value.reason == reason
    assert remedy in error.value.remedy


def named(path: str) -> SourceFile:
    return SourceFile("id", "ida", path, "sum", 1, Path(path))


@pytest.mark.parametrize(
    ("path", "year"),
    [
        ("2019.csv", 2019),
        ("old/training_2019.csv", 2019),
        ("2018/training.csv", 2018),
        ("2018/2019-03-05.csv", 2019),
        ("log 2019 (2019).csv", 2019),
    ],
)
def test_the_year_of_a_file(path: str, year: int) -> None:
    assert year_in_name(named(path)) == year


@pytest.mark.parametrize(
    ("path", "told"),
    [
        ("log.csv", "no year in the file's name: put the year into the file's name"),
        ("2018-2019.csv", "2 years in '2018-2019.csv': name the file with the one year"),
        ("id_120194.csv", "no year"),
    ],
)
def test_a_file_without_one_year_is_refused(path: str, told: str) -> None:
    with pytest.raises(InputError, match=told):
        year_in_name(named(path))
