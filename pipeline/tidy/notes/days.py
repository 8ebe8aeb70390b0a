"""The day of each date in notes: years left out are taken from headings, the file's name, or order.

A year comes, in this order, from the date itself; the heading of the month or the year it stands
under; the date before it in the file's own direction (28 December, then 3 January, is the turn of
a year); the year that the map gives for the earliest date. Nothing else is tried: without any of
these the file is refused.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import pairwise

from pipeline.tidy.cells import CellError
from pipeline.tidy.dates import check_day, full_year
from pipeline.tidy.notes.day_patterns import DayMark

BACK_DAYS = 45  # a date this much out of order is out of order; further back is another year
HALF_YEAR = 183
FIRST_YEAR_TRIED = 1990
FITTING = 0.9  # share of the weekdays that has to fit a year


@dataclass(frozen=True)
class DayLine:
    """The date on one line: ``day``, or the reason why it has none.

    ``is_implied``: its year is not written in the date.
    """

    place: int
    mark: DayMark
    day: date | None = None
    reason: str | None = None
    detail: str | None = None
    is_implied: bool = False


@dataclass(frozen=True)
class _Part:
    """A date on its way: what is known of it so far; ``under`` is the heading of its year."""

    line: DayLine
    year: int | None
    month: int | None
    day: int | None
    under: int | None = None


def resolve_days(
    marks: Sequence[tuple[int, DayMark]], order: str, first_year: int | None, limit: date
) -> list[DayLine]:
    """The day of every mark, in the order of the file.

    Parameters
    ----------
    marks : place in the file and mark, headings of months and years among them.
    order : "dmy", "mdy" or "ymd", for numbers whose order the text does not tell.
    first_year : year of the earliest date, where no date says one; None: not known.
    limit : the last day that can have been logged.
    """
    parts = _with_headings(marks, order, limit)
    dated = [part for part in parts if part.line.mark.kind in ("day", "week")]
    ways = _direction(dated)
    filled = _fill_years(dated, ways, first_year)
    found = {part.line.place: _close(part, order, limit) for part in filled}
    lines = [found.get(part.line.place, part.line) for part in parts]
    return _place_weekdays(lines, ways)


def fitting_years(marks: Sequence[tuple[int, DayMark]], order: str, limit: date) -> list[int]:
    """First years with which the weekdays beside the dates agree; all when none is written."""
    years = range(FIRST_YEAR_TRIED, limit.year + 1)
    return [year for year in years if weekdays_fit(resolve_days(marks, order, year, limit))]


def weekdays_fit(lines: Sequence[DayLine]) -> bool:
    """The weekdays beside dates without a year agree with the years found."""
    told = [
        one.day.weekday() == one.mark.weekday
        for one in lines
        if one.is_implied and one.day is not None and one.mark.weekday is not None
    ]
    return sum(told) >= FITTING * len(told)


def _with_headings(marks: Sequence[tuple[int, DayMark]], order: str, limit: date) -> list[_Part]:
    """Dates with what the headings above them say; headings themselves are left out.

    One heading of a year holds for the first date below it: the turn of the year may follow. Where
    there are several, each holds for all dates below it.
    """
    many = sum(mark.kind == "year" for _, mark in marks) > 1
    year: int | None = None
    month: int | None = None
    bound_by: str | None = None
    parts: list[_Part] = []
    for place, mark in marks:
        if mark.kind == "year":
            year, month, bound_by = int(mark.year or 0), None, "year"
        elif mark.kind == "month":
            month = mark.month
            if mark.year:
                year, bound_by = int(mark.year), "month"
            elif bound_by == "month":
                bound_by = None
        elif mark.kind == "weekday":
            parts.append(_Part(DayLine(place, mark), None, None, None))
        else:
            own = _own_part(place, mark, order, limit, year if bound_by else None, month)
            parts.append(replace(own, under=year))
            bound_by = bound_by if many or bound_by == "month" else None
    return parts


def _own_part(
    place: int, mark: DayMark, order: str, limit: date, hint: int | None, month: int | None
) -> _Part:
    written, its_month, its_day = mark.parts(order)
    own = int(written) if written else None
    own = full_year(own, limit) if own is not None and len(written or "") == 2 else own
    year = hint if own is None else own
    line = DayLine(place, mark, is_implied=own is None)
    return _Part(line, year, month if its_month is None else its_month, its_day)


def _turn(part: _Part) -> int:
    return (part.month or 1) * 31 + (part.day or 1)


def _direction(parts: Sequence[_Part]) -> int:
    """1 where the file goes on in time, -1 where the newest comes first."""
    votes = 0
    for one, two in pairwise(parts):
        step = (_turn(two) - _turn(one) + HALF_YEAR) % 372 - HALF_YEAR
        if one.year is not None and two.year is not None and one.year != two.year:
            step = two.year - one.year
        votes += (step > 0) - (step < 0)
    return -1 if votes < 0 else 1


def _fill_years(parts: list[_Part], way: int, first_year: int | None) -> list[_Part]:
    """Years stepped on from the nearest date above that has one, else back from one below."""
    filled = list(parts)
    if filled and all(part.year is None for part in filled) and first_year is not None:
        at = 0 if way == 1 else -1
        filled[at] = replace(filled[at], year=first_year)
    _step_through(filled, range(len(filled)), way)
    _step_through(filled, range(len(filled) - 1, -1, -1), -way)
    return filled


def _step_through(parts: list[_Part], places: range, way: int) -> None:
    before: date | None = None
    for at in places:
        part = parts[at]
        if part.year is None and before is not None:
            part = parts[at] = replace(part, year=_next_year(part, before, way))
        before = _as_date(part, part.year) or before


def _next_year(part: _Part, before: date, way: int) -> int | None:
    """The year that puts the date next after ``before`` in the direction of the file."""
    steps = [
        ((found - before).days * way, year)
        for year in (before.year - 1, before.year, before.year + 1)
        if part.under is None or year - part.under in (0, way)
        if (found := _as_date(part, year)) is not None
    ]
    ahead = [step for step in steps if step[0] >= -BACK_DAYS]
    return min(ahead)[1] if ahead else None


def _as_date(part: _Part, year: int | None) -> date | None:
    if year is None or part.month is None or part.day is None:
        return None
    try:
        return date(year, part.month, part.day)
    except ValueError:
        return None


def _close(part: _Part, order: str, limit: date) -> DayLine:
    """The day, checked against the calendar; else the reason."""
    line = part.line
    if part.month is None or part.day is None:
        remedy = "write the month above the days, or the whole date"
        return replace(line, reason="date without a month", detail=remedy)
    if part.year is None:
        remedy = 'write the year, or set dates.year_from = "file name" or dates.first_year'
        return replace(line, reason="date without a year", detail=remedy)
    told = line.mark.order or order
    try:
        return replace(line, day=check_day(part.year, part.month, part.day, told, limit))
    except CellError as fault:
        return replace(line, reason=fault.reason, detail=fault.remedy)


def _place_weekdays(lines: list[DayLine], way: int) -> list[DayLine]:
    """Days of lines that say only the weekday, where the dates around them leave one choice."""
    placed = list(lines)
    at = 0
    while at < len(placed):
        end = at
        while end < len(placed) and placed[end].mark.kind == "weekday":
            end += 1
        if end > at:
            days = _between(placed, at, end, way)
            for place, day in zip(range(at, end), days, strict=True):
                placed[place] = _weekday_line(placed[place], day)
        at = max(end, at + 1)
    return placed


def _weekday_line(line: DayLine, day: date | None) -> DayLine:
    if day is not None:
        return replace(line, day=day, is_implied=True)
    remedy = (
        "only the weekday is written and the dates around it leave the week open; write the day"
    )
    return replace(line, reason="weekday without a date", detail=remedy)


def _between(lines: list[DayLine], at: int, end: int, way: int) -> list[date | None]:
    """Days of the weekdays ``at`` to ``end``: the only ones between the dates around them."""
    none: list[date | None] = [None] * (end - at)
    above = lines[at - 1] if at else None
    below = lines[end] if end < len(lines) else None
    weekdays = [line.mark.weekday or 0 for line in lines[at:end]]
    if above is None or above.day is None:
        return none
    if above.mark.kind == "week":
        first, last = above.day, above.day + timedelta(days=6)
        return list(_only_days(weekdays, first, last) or none)
    if below is None or below.day is None:
        return none
    one = timedelta(days=1)
    if way == 1:
        return list(_only_days(weekdays, above.day + one, below.day - one) or none)
    found = _only_days(weekdays[::-1], below.day + one, above.day - one)
    return list(found[::-1] if found else none)


def _only_days(weekdays: list[int], first: date, last: date) -> list[date] | None:
    """Rising days with these weekdays from ``first`` to ``last``; None unless just one way fits."""
    early: list[date] = []
    day = first
    for weekday in weekdays:
        day += timedelta(days=(weekday - day.weekday()) % 7)
        early.append(day)
        day += timedelta(days=1)
    late: list[date] = []
    day = last
    for weekday in reversed(weekdays):
        day -= timedelta(days=(day.weekday() - weekday) % 7)
        late.insert(0, day)
        day -= timedelta(days=1)
    return early if early == late else None
