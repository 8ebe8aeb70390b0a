"""The day in the name of a file."""

from datetime import date
from pathlib import Path

import pytest

from pipeline.core.errors import InputError
from pipeline.core.source import SourceFile
from pipeline.tidy.cells import CellError
from pipeline.tidy.file_days import day_in_name, year_of_sheet

DAY, LIMIT = date(2019, 3, 5), date(2024, 6, 30)


def _file(path: str) -> SourceFile:
    return SourceFile("f", "ida", path, "", 0, Path(path))


@pytest.mark.parametrize(
    "path",
    [
        "2019-03-05.csv",
        "days/2019_03_05 push.csv",
        "push 20190305.json",
        "5.3.2019.txt",
        "5.3.19 legs.csv",
        "5 March 2019.csv",
        "log of March 5, 2019.csv",
        "2019/03/05.csv",
        "2019/03-05.csv",
        "2017-2019/2019-03-05.csv",
    ],
)
def test_one_day_is_found_in_the_name_or_the_folders(path: str) -> None:
    assert day_in_name(_file(path), "dmy", LIMIT) == DAY


@pytest.mark.parametrize(
    ("path", "told"),
    [
        ("training.csv", "no day in the file's name"),
        ("2019-03.csv", "no day in the file's name"),
        ("2019-03-05 to 2019-03-07.csv", "tells 2019-03-05 and 2019-03-07"),
        ("2019-02-30.csv", "impossible date in its name"),
        ("2031-02-03.csv", "date to come in its name"),
    ],
)
def test_no_day_or_two_days_are_refused(path: str, told: str) -> None:
    with pytest.raises(InputError, match=told):
        day_in_name(_file(path), "ymd", LIMIT)


def test_the_year_of_a_sheet() -> None:
    assert year_of_sheet("training 2018") == 2018
    with pytest.raises(CellError, match="2 years, 1 is needed"):
        year_of_sheet("2018-2019")
