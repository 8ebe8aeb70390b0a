"""The dates of a file of notes: which lines are dates, and which days they are."""

from dataclasses import dataclass, replace
from datetime import date

from pipeline.core.calendar import say_date
from pipeline.core.errors import InputError
from pipeline.core.source import FILE_NAME, RawFile, SourceMap
from pipeline.tidy.dates import order_on, years_in_name
from pipeline.tidy.notes.day_marks import find_mark
from pipeline.tidy.notes.day_patterns import DayMark
from pipeline.tidy.notes.days import DayLine, fitting_years, resolve_days, weekdays_fit
from pipeline.tidy.notes.forms import Placed, keep_dates
from pipeline.tidy.notes.layout import NoteLine, Pages, read_layout
from pipeline.tidy.notes.week_titles import derive_marks, week_titles

MOST_TOLD = 5  # lines named in a warning
NO_YEAR = "date without a year"


@dataclass(frozen=True)
class Calendar:
    """Dates by line, headings of weeks among them; ``start`` holds above the first of them.

    ``headings`` are the places of headings of months and years.
    """

    days: tuple[DayLine, ...]
    headings: frozenset[int]
    start: DayLine | None
    warnings: tuple[str, ...] = ()


def read_calendar(pages: Pages, raw: RawFile, limit: date, has_dates: bool) -> Calendar:
    """The day of every date in a file.

    Parameters
    ----------
    limit : the last day that can have been logged.
    has_dates : tables inside the notes have dates of their own.

    Raises
    ------
    InputError
        when no line is a date and the file's name is none; when the dates lack the year and
        nothing tells it; when the weekdays written do not fit the years.
    """
    marks = find_marks(pages, raw.map)
    start = find_start(pages, raw, limit)
    order, first = raw.map.date_order, _first_year(raw)
    days = resolve_days(marks, order, first, limit)
    dated = [line for line in days if line.mark.kind == "day"]
    if not days and start is None and not has_dates:
        remedy = "write the day above its exercises, such as 2019-03-05, or into the file's name"
        if titles := week_titles(pages.lines):
            remedy += f"; {titles[0]!r} dates the rest once dates.first_day of the map says when"
        raise InputError(raw.file.shown, None, "no line is a date", remedy)
    lacking = [line for line in dated if line.reason == NO_YEAR]
    if dated and len(lacking) == len(dated) and start is None:
        raise _no_year(raw, marks, lacking, limit)
    if not weekdays_fit(days):
        raise _wrong_year(raw, marks, days, limit)
    headings = frozenset(place for place, mark in marks if mark.kind in ("month", "year"))
    told = (*_odd_weekdays(days), *_derived(raw, len(days)))
    return Calendar(tuple(days), headings, start, told)


def find_marks(pages: Pages, one: SourceMap) -> list[Placed]:
    """Dates and headings of months, years and weeks, in the order of the file."""
    found = [(line.place, mark) for line in pages.lines if (mark := find_mark(line)) is not None]
    if one.first_day is not None:
        derived = derive_marks(pages.lines, one.first_day)
        places = {at for at, _ in derived}
        found = sorted([*derived, *(mark for mark in found if mark[0] not in places)], key=_place)
    if one.order_changes:
        found = [(at, replace(mark, order=order_on(one, at + 1))) for at, mark in found]
    return keep_dates(found, one.date_order)


def _place(one: Placed) -> int:
    return one[0]


@dataclass(frozen=True)
class WrittenDay:
    """The date of one line: its text, and its day; None where it is none that can have been."""

    text: str
    day: date | None


def day_on_line(line: str, order: str, year: int | None, limit: date) -> WrittenDay | None:
    """The date of a line of notes by itself; None where it holds no day.

    Parameters
    ----------
    order : "dmy", "mdy" or "ymd", for numbers whose order the text does not tell.
    year : that of a date without one, None where it is not known.
    limit : the last day that can have been logged.
    """
    (bare,) = read_layout([line]).lines
    mark = find_mark(bare)
    if mark is None or mark.kind != "day" or not (mark.month or mark.numbers):
        return None
    return WrittenDay(mark.written, resolve_days([(0, mark)], order, year, limit)[0].day)


def find_start(pages: Pages, raw: RawFile, limit: date) -> DayLine | None:
    """The date in the head of the file, or in its name where the map says so."""
    texts: list[tuple[int, str]] = []
    if pages.head_date is not None and pages.head_place is not None:
        texts.append((pages.head_place, pages.head_date))
    if raw.map.columns.get("date") == FILE_NAME:
        texts.append((-1, raw.file.stem.replace("_", " ")))
    for place, text in texts:
        mark = find_mark(NoteLine(place, text, level=1))
        if mark is not None and mark.kind == "day":
            return resolve_days([(place, mark)], raw.map.date_order, None, limit)[0]
    return None


def _derived(raw: RawFile, n_days: int) -> list[str]:
    """That the days are counted, not read."""
    if raw.map.first_day is None:
        return []
    first = say_date(raw.map.first_day)
    return [
        f"{n_days} dates are derived, not written: weeks counted from {first} "
        "(dates.first_day of the map), the days of a week laid evenly over it"
    ]


def _first_year(raw: RawFile) -> int | None:
    """Year of the earliest date, where the map gives it or names the file's name for it."""
    if raw.map.first_year is not None:
        return raw.map.first_year
    if raw.map.year_from != "file name":
        return None
    years = years_in_name(raw.file)
    if not years:
        remedy = "put the year into the file's name, or write it in the dates"
        raise InputError(raw.file.shown, None, "no year in the file's name", remedy)
    return min(years)


def _no_year(raw: RawFile, marks: list[Placed], lacking: list[DayLine], limit: date) -> InputError:
    line = lacking[0]
    value = f"dates such as {line.mark.written!r} lack the year"
    remedy = "write the year above the dates, put it into the file's name, or set dates.first_year"
    if any(mark.weekday is not None for _, mark in marks):
        fitting = fitting_years(marks, raw.map.date_order, limit)
        shown = ", ".join(map(str, fitting[-8:])) or "no year"
        remedy += f"; the weekdays written fit {shown}"
    return InputError(raw.file.shown, line.place + 1, value, remedy)


def _wrong_year(raw: RawFile, marks: list[Placed], days: list[DayLine], limit: date) -> InputError:
    odd = next(line for line in days if line.is_implied and not _agrees(line))
    value = f"{odd.mark.written!r} is taken for {say_date(odd.day or limit)}, another weekday"
    bare: list[tuple[int, DayMark]] = [one for one in marks if one[1].kind != "year"]
    fitting = fitting_years(bare, raw.map.date_order, limit)
    shown = ", ".join(map(str, fitting[-8:])) or "none, so that dates.order may be mistaken"
    remedy = f"correct the year in the file or in dates.first_year; years that fit: {shown}"
    return InputError(raw.file.shown, odd.place + 1, value, remedy)


def _agrees(line: DayLine) -> bool:
    return line.day is None or line.mark.weekday in (None, line.day.weekday())


def _odd_weekdays(days: list[DayLine]) -> list[str]:
    """Dates with a weekday beside them that they are not: kept as written, and told."""
    odd = [line for line in days if line.mark.kind == "day" and not _agrees(line)]
    if not odd:
        return []
    shown = ", ".join(
        f"line {line.place + 1} ({line.mark.written})" for line in odd[:MOST_TOLD]
    ) + (" ..." if len(odd) > MOST_TOLD else "")
    return [f"{len(odd)} dates have another weekday beside them than theirs; kept: {shown}"]
