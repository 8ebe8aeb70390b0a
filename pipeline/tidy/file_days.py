"""Days and years that stand in the name of a file or of a sheet, not in its rows."""

import re
from datetime import date

from pipeline.core.errors import InputError
from pipeline.core.source import SourceFile
from pipeline.tidy.cells import CellError
from pipeline.tidy.dates import read_date

_WORD = r"[^\W\d_]{3,}"
# Runs of a name that may be a day; tried from left to right, the first form goes before the next.
_FORMS = (
    re.compile(r"(?<!\d)\d{4}-\d{1,2}-\d{1,2}(?!\d)"),
    re.compile(r"(?<!\d)(?:19|20)\d{6}(?!\d)"),
    re.compile(r"(?<!\d)\d{1,2}([.\-])\d{1,2}\1(?:\d{4}|\d{2})(?!\d)"),
    re.compile(rf"(?<!\d)\d{{1,2}}(?:st|nd|rd|th)?[.\- ]*{_WORD}[.\-, ]*\d{{4}}(?!\d)"),
    re.compile(rf"{_WORD}[.\- ]*\d{{1,2}}(?:st|nd|rd|th)?[.\-, ]+\d{{4}}(?!\d)"),
)
_YEAR = re.compile(r"(?<!\d)(?:19[5-9]\d|20\d\d)(?!\d)")


def day_in_name(file: SourceFile, order: str, limit: date) -> date:
    """The one day that the file's name tells, or its folders and its name together.

    Parameters
    ----------
    order : "ymd", "dmy" or "mdy"; a year of four digits in front is always year, month, day.
    limit : the last day that can have been logged.

    Raises
    ------
    InputError
        when there is none, more than one, or one that is no possible day.
    """
    folder = file.path.rpartition("/")[0]
    for text in (file.stem, f"{folder}-{file.stem}".replace("/", "-")):
        found = _find_days(text, order, limit, file)
        if len(found) == 1:
            return found.pop()
        if found:
            told = " and ".join(str(day) for day in sorted(found))
            raise InputError(file.shown, None, f"its name tells {told}", "leave one of them in it")
    remedy = "name it like 2019-03-05.csv, or write the dates into the file"
    raise InputError(file.shown, None, "no day in the file's name", remedy)


def year_of_sheet(sheet: str) -> int:
    """The one year in a sheet's name.

    Raises
    ------
    CellError
        when there is none, or more than one.
    """
    years = {int(year) for year in _YEAR.findall(sheet)}
    if len(years) == 1:
        return years.pop()
    raise CellError("date without a year", f"sheet {sheet!r} tells {len(years)} years, 1 is needed")


def _find_days(text: str, order: str, limit: date, file: SourceFile) -> set[date]:
    plain = text.replace("_", "-")
    for form in _FORMS:
        days: set[date] = set()
        for match in form.finditer(plain):
            try:
                days.add(read_date(match[0].strip(" -."), order, None, limit))
            except CellError as fault:
                if fault.reason != "date not understood":
                    raise InputError(
                        file.shown, None, f"{fault.reason} in its name", fault.remedy
                    ) from None
        if days:
            return days
    return set()
